"""A birdcage driven in quadrature: two ports a quarter of a turn apart, matched, isolated, and the currents of all."""

from dataclasses import dataclass
from math import log10, pi

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.fields.rotating import Precession
from loopwright.fields.transmit.birdcage import Capacitors
from loopwright.fields.transmit.birdcage_wires import CageWires, Resonance, capacitor_ohm
from loopwright.ground.errors import OutsideModelError

__all__ = ["Driven", "Matched", "driven_in_quadrature", "matched"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Impedance of each source. [ohm]
SOURCE_OHM = 50.0
#: Capacitors are tried within this share of those of the resonance without a body, in so many steps.
_WIDEST, _STEPS = 0.25, 4001


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """Capacitors with which both ports show the impedance of their sources, and how well the ports keep apart.

    Attributes
    ----------
    capacitor_f : ndarray, shape (ports,)
        Of every gap, those of the driven ones among them. [F]
    matching_f : float
        In series with each source. [F]
    driven : ndarray of int, shape (2,)
        Ports across which the sources stand, the second a quarter of a turn further.
    impedance_ohm : ndarray, shape (2, 2)
        At the sources, behind the matching capacitors. [ohm]
    """

    capacitor_f: Floats
    matching_f: float
    driven: NDArray[np.int64]
    impedance_ohm: Complexes

    @property
    def scattering(self) -> Complexes:
        """Scattering between the two sources, shape (2, 2)."""
        source = SOURCE_OHM * np.eye(2)
        return np.asarray((self.impedance_ohm - source) @ np.linalg.inv(self.impedance_ohm + source))

    @property
    def isolation_db(self) -> float:
        """Power that one source sends over what arrives at the other. [dB]"""
        return -20 * log10(abs(self.scattering[1, 0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """A birdcage at work; peak phasors.

    Attributes
    ----------
    port_current_a : ndarray, shape (ports,)
        Current of the conductor at every gap. [A]
    source_w : float
        Power that both sources deliver. [W]
    capacitor_w : float
        Lost in all capacitors. [W]
    """

    port_current_a: Complexes
    source_w: float
    capacitor_w: float


def matched(wires: CageWires, resonance: Resonance, *, body_ohm: Complexes | None = None) -> Matched:
    """Find the capacitors of the gaps, all alike, and the series capacitor that match both ports.

    Parameters
    ----------
    wires : CageWires
        The wires.
    resonance : Resonance
        Their resonance without a body.
    body_ohm : ndarray, shape (ports, ports), optional
        What a body adds between the gaps; nothing when left out. [ohm]

    Returns
    -------
    Matched
        Where the body tells the two ports apart, their mean is matched.

    Raises
    ------
    OutsideModelError
        When the resonance is so broad that a port never reaches the impedance of its source.

    Notes
    -----
    Seen across one capacitor the resonator is a parallel circuit.  With smaller capacitors it resonates higher and is
    inductive at the operating frequency; where its resistance has come down to that of the source, a series capacitor
    takes the reactance away.
    """
    driven = _driven_ports(wires)
    structure = np.linalg.inv(wires.ports.impedance_ohm + (0 if body_ohm is None else body_ohm))

    def seen(scale: float) -> Complexes:
        gaps = np.linalg.inv(structure + np.diag(_admittance_siemens(wires, _scaled_f(wires, resonance, scale))))
        return np.asarray(gaps[np.ix_(driven, driven)])

    def mean(scale: float) -> complex:
        return complex(np.trace(seen(scale)) / 2)

    scales = np.linspace(1 + _WIDEST, 1 - _WIDEST, _STEPS)
    resistance = np.array([mean(scale).real for scale in scales])
    peak = int(np.argmax(resistance))
    low = np.flatnonzero(resistance[peak:] < SOURCE_OHM)
    if resistance[peak] < SOURCE_OHM or not len(low):
        raise OutsideModelError(
            f"across one capacitor the resonator shows {resistance[peak]:.0f} ohm at most, so no series capacitor "
            f"matches it to {SOURCE_OHM:.0f} ohm. Remedy: fewer rungs, or smaller capacitors (a longer resonator)."
        )
    scale = float(brentq(lambda s: mean(s).real - SOURCE_OHM, scales[peak + low[0]], scales[peak + low[0] - 1]))
    reactance = mean(scale).imag
    if reactance <= 0:
        raise OutsideModelError(f"the matched port has a reactance of {reactance:.0f} ohm, not an inductive one")
    return Matched(
        capacitor_f=_scaled_f(wires, resonance, scale),
        matching_f=1 / (2 * pi * wires.frequency_hz * reactance),
        driven=driven,
        impedance_ohm=seen(scale) - 1j * reactance * np.eye(2),
    )


def driven_in_quadrature(
    wires: CageWires, circuit: Matched, *, sense: Precession, body_ohm: Complexes | None = None
) -> Driven:
    """Currents when both sources drive with 1 V each, the second a quarter of a period away.

    Parameters
    ----------
    wires : CageWires
        The wires.
    circuit : Matched
        Capacitors and ports.
    sense : Precession
        Sense of precession of the spins, with which the field shall turn.
    body_ohm : ndarray, shape (ports, ports), optional
        What a body adds between the gaps; nothing when left out. [ohm]

    Returns
    -------
    Driven
        Electromotive forces are 1 V behind 50 ohm each.
    """
    structure = np.linalg.inv(wires.ports.impedance_ohm + (0 if body_ohm is None else body_ohm))
    capacitors = _admittance_siemens(wires, circuit.capacitor_f)
    gaps = np.linalg.inv(structure + np.diag(capacitors))
    series = np.eye(2) / (2j * pi * wires.frequency_hz * circuit.matching_f)
    at_sources = gaps[np.ix_(circuit.driven, circuit.driven)] + series
    current = np.linalg.solve(at_sources + SOURCE_OHM * np.eye(2), np.array([1, 1j * sense]))
    voltage = gaps[:, circuit.driven] @ current
    return Driven(
        port_current_a=np.asarray(structure @ voltage),
        source_w=float((current.conj() @ at_sources @ current).real / 2),
        capacitor_w=float(np.sum(np.abs(voltage) ** 2 * capacitors.real) / 2),
    )


def _driven_ports(wires: CageWires) -> NDArray[np.int64]:
    """A port of the first sector, and the same a quarter of a turn further."""
    rows, rungs = len(wires.cage.port_angles_rad), wires.cage.rungs
    return np.array([0, rungs // 4 * rows])


def _scaled_f(wires: CageWires, resonance: Resonance, scale: float) -> Floats:
    """Capacitors of all ports, those that were found times a scale. [F]"""
    found = np.ones(len(resonance.capacitor_f), dtype=bool)
    if wires.cage.capacitors is Capacitors.BOTH:
        found[2] = False
    return np.tile(np.where(found, scale, 1.0) * resonance.capacitor_f, wires.cage.rungs)


def _admittance_siemens(wires: CageWires, capacitor_f: Floats) -> Complexes:
    return 1 / capacitor_ohm(capacitor_f, quality=wires.cage.capacitor_q, frequency_hz=wires.frequency_hz)
