"""A network as it was measured, and what is wrong with it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["MeasuredNetwork", "cautions_of", "complaints_about", "within"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Gain of a passive network that calibration may leave (common practice). [1]
GAIN_ALLOWED = 0.02
#: Difference of S_ij and S_ji that calibration may leave (common practice). [1]
ASYMMETRY_ALLOWED = 0.02
#: Fewer points than this do not show a resonance.
LEAST_POINTS = 11


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
    measured: MeasuredNetwork, *, ports: int, band_hz: tuple[float, float], frequency_hz: float
) -> tuple[str, ...]:
    """Say why a measurement cannot be used.

    Parameters
    ----------
    measured : MeasuredNetwork
        As read.
    ports : int
        Elements that it shall be held against.
    band_hz : tuple of float
        Band in which the model is known. [Hz]
    frequency_hz : float
        Operating frequency. [Hz]

    Returns
    -------
    tuple of str
        One sentence each, with a remedy; empty where nothing is wrong.
    """
    found = []
    if measured.ports != ports:
        found.append(
            f"{measured.name} has {measured.ports} ports for {ports} elements: name as many elements as the file has "
            "ports, in the order of its ports"
        )
    f = measured.frequencies_hz
    if not np.all(np.isfinite(measured.scattering)):
        found.append(f"{measured.name} holds values that are not numbers: measure again, or take those lines out")
    inside = (f >= band_hz[0]) & (f <= band_hz[1])
    if inside.sum() < LEAST_POINTS or not f[0] < frequency_hz < f[-1]:
        found.append(
            f"{measured.name} has {inside.sum()} points from {band_hz[0] / 1e6:.2f} to {band_hz[1] / 1e6:.2f} MHz, "
            f"where the model is known, and reaches from {f[0] / 1e6:.2f} to {f[-1] / 1e6:.2f} MHz: measure "
            f"{LEAST_POINTS} points or more there, on both sides of {frequency_hz / 1e6:.2f} MHz"
        )
    gain = float(np.linalg.norm(np.nan_to_num(measured.scattering), ord=2, axis=(-2, -1)).max())
    if gain > 1 + GAIN_ALLOWED:
        found.append(
            f"{measured.name} gives more power than it takes, {gain:.3f} times the wave at worst, though coils are "
            "passive: look at the calibration, and whether a preamplifier is in the path"
        )
    return tuple(found)


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
