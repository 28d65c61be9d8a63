"""A network as it was measured, and what is wrong with it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import Complaint

__all__ = ["MeasuredNetwork", "cautions_of", "complaints_about", "within"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Gain of a passive network that calibration may leave (common practice). [1]
GAIN_ALLOWED = 0.02
#: Difference of S_ij and S_ji that calibration may leave (common practice). [1]
ASYMMETRY_ALLOWED = 0.02
#: Fewer points than this do not show a resonance.
LEAST_POINTS = 11
#: More elements at once than this are better measured a few at a time: who turns one part moves its neighbours alone.
MOST_ELEMENTS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredNetwork:
    """Scattering parameters of one measurement.

    Attributes
    ----------
    name : str
        Of the file.
    frequencies_hz : ndarray, shape (F,)
        Rising. [Hz]
    scattering : ndarray, shape (F, N, N)
        Complex, at the reference.
    reference_ohm : float
        Of every port. [ohm]
    """

    name: str
    frequencies_hz: Floats
    scattering: Complexes
    reference_ohm: float = 50.0

    @property
    def ports(self) -> int:
        """Number of ports."""
        return int(self.scattering.shape[-1])


def within(measured: MeasuredNetwork, band_hz: tuple[float, float], *, most_points: int) -> MeasuredNetwork:
    """Return the points inside a band, thinned evenly where there are many.

    Parameters
    ----------
    measured : MeasuredNetwork
        As read.
    band_hz : tuple of float
        Ends of the band. [Hz]
    most_points : int
        No more points than this are kept.
    """
    inside = np.flatnonzero((measured.frequencies_hz >= band_hz[0]) & (measured.frequencies_hz <= band_hz[1]))
    if len(inside) > most_points:
        inside = inside[np.linspace(0, len(inside) - 1, most_points).round().astype(np.intp)]
    return MeasuredNetwork(
        name=measured.name,
        frequencies_hz=measured.frequencies_hz[inside],
        scattering=measured.scattering[inside],
        reference_ohm=measured.reference_ohm,
    )


def complaints_about(
    measured: MeasuredNetwork, *, elements: int, band_hz: tuple[float, float], frequency_hz: float
) -> tuple[Complaint, ...]:
    """Say why a measurement cannot be used.

    Parameters
    ----------
    measured : MeasuredNetwork
        As read.
    elements : int
        How many it shall be held against.
    band_hz : tuple of float
        Band in which the model is known. [Hz]
    frequency_hz : float
        Operating frequency. [Hz]

    Returns
    -------
    tuple of Complaint
        Everything that is wrong, each with a remedy; empty where nothing is.
    """
    found = [*_wrong_ports(measured, elements), *_wrong_frequencies(measured, band_hz, frequency_hz)]

    def wrong(what: str, told: str, allowed: str, remedy: str) -> None:
        found.append(Complaint(file=measured.name, line=0, field=what, found=told, allowed=allowed, remedy=remedy))

    sound = np.isfinite(measured.scattering).all(axis=(-2, -1))
    if not sound.all():
        at_hz = measured.frequencies_hz[~sound][0]
        wrong(
            "values",
            f"not finite at {np.count_nonzero(~sound)} frequencies, the first {at_hz / 1e6:.3f} MHz",
            "finite numbers",
            "measure again, or take those lines out",
        )
    if sound.any():
        gain = np.linalg.norm(measured.scattering[sound], ord=2, axis=(-2, -1))
        if gain.max() > 1 + GAIN_ALLOWED:
            wrong(
                "scattering",
                f"more power than it takes: {gain.max():.3f} times the wave at "
                f"{measured.frequencies_hz[sound][int(np.argmax(gain))] / 1e6:.3f} MHz",
                f"at most {1 + GAIN_ALLOWED:g}, for coils are passive",
                "look at the calibration, and whether a preamplifier is in the path",
            )
    return tuple(found)


def _wrong_ports(measured: MeasuredNetwork, elements: int) -> list[Complaint]:
    found = []
    if measured.ports != elements:
        found.append(
            Complaint(
                file=measured.name,
                line=0,
                field="ports",
                found=f"{measured.ports}, for {elements} elements",
                allowed=f"{elements}, one for each element",
                remedy="name the elements that were measured, in the order of the file's ports: --elements E1,E2",
            )
        )
    if elements > MOST_ELEMENTS:
        found.append(
            Complaint(
                file=measured.name,
                line=0,
                field="elements",
                found=str(elements),
                allowed=f"1 to {MOST_ELEMENTS}",
                remedy="measure an element with its nearest neighbours, and name these with --elements",
            )
        )
    return found


def _wrong_frequencies(measured: MeasuredNetwork, band_hz: tuple[float, float], frequency_hz: float) -> list[Complaint]:
    f = measured.frequencies_hz
    inside = (f >= band_hz[0]) & (f <= band_hz[1])
    if inside.sum() >= LEAST_POINTS and f[0] < frequency_hz < f[-1]:
        return []
    return [
        Complaint(
            file=measured.name,
            line=0,
            field="frequencies",
            found=f"{f[0] / 1e6:.2f} to {f[-1] / 1e6:.2f} MHz, {inside.sum()} points in the band of the model",
            allowed=f"{LEAST_POINTS} points or more from {band_hz[0] / 1e6:.2f} to {band_hz[1] / 1e6:.2f} MHz, on both "
            f"sides of {frequency_hz / 1e6:.2f} MHz",
            remedy="sweep that band; `band_fraction` under `computation` in the brief makes it wider",
        )
    ]


def cautions_of(measured: MeasuredNetwork) -> tuple[str, ...]:
    """Say what a reader should mind about a measurement that can be used."""
    asymmetry = float(np.abs(measured.scattering - np.swapaxes(measured.scattering, -1, -2)).max())
    if asymmetry <= ASYMMETRY_ALLOWED:
        return ()
    return (
        (
            f"{measured.name}: transmission one way and the other differ by up to {asymmetry:.3f}, though coils are "
            "reciprocal; their mean is used. Look at the calibration of the ports."
        ),
    )
