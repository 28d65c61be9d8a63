"""The wires of a birdcage at one frequency: its gaps as ports, and the wave of currents that resonates."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.transmit.birdcage import Birdcage, Capacitors, sector_of
from loopwright.fields.wires.sectors import SectorPorts, sector_ports, turned_round, wave_reactance_ohm
from loopwright.fields.wires.wire_graph import WireGraph
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "CageWires",
    "Resonance",
    "cage_wires",
    "capacitor_ohm",
    "resonance",
    "wave_of_ports",
    "wave_patterns",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Step to either side at which the slope of a reactance is taken, as a share of the frequency.
_STEP = 2e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class CageWires:
    """A birdcage and its shield, solved with all gaps open in free space.

    Attributes
    ----------
    cage : Birdcage
        The resonator.
    frequency_hz : float
        [Hz]
    graph : WireGraph
        All wires, in the body frame.
    resistance_ohm_per_m : ndarray, shape (pieces,)
        [ohm/m]
    ports : SectorPorts
        One port for every capacitor, sector after sector.
    """

    cage: Birdcage
    frequency_hz: float
    graph: WireGraph
    resistance_ohm_per_m: Floats
    ports: SectorPorts

    @property
    def in_shield(self) -> NDArray[np.bool_]:
        """Which pieces stand for the shield, shape (pieces,)."""
        middle = self.graph.vertices_m - np.array(self.cage.centre_m)
        between_m = (self.cage.radius_m + self.cage.shield.radius_m) / 2
        return np.asarray(np.hypot(middle[:, 0], middle[:, 1]) > between_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resonance:
    """The transverse wave, one turn of phase round the resonator, as a series circuit.

    Attributes
    ----------
    capacitor_f : ndarray, shape (ports of a sector,)
        Capacitors with which it resonates at the frequency of the wires. [F]
    wave : ndarray, shape (ports of a sector,)
        Current in the ports of a sector: one ring against the other, and the rung's own.
    resistance_ohm : float
        Of conductors, shield, capacitors and radiation. [ohm]
    inductance_h : float
        Half the slope of the reactance over angular frequency, which is the inductance of a series circuit. [H]
    """

    capacitor_f: Floats
    wave: Complexes
    resistance_ohm: float
    inductance_h: float

    def quality(self, frequency_hz: float, *, added_ohm: float = 0.0) -> float:
        """Quality at the frequency [Hz] with a resistance that something adds to the wave [ohm]."""
        return 2 * pi * frequency_hz * self.inductance_h / (self.resistance_ohm + added_ohm)


def cage_wires(cage: Birdcage, frequency_hz: float) -> CageWires:
    """Solve a birdcage's wires, and its shield's, at a frequency.

    Parameters
    ----------
    cage : Birdcage
        The resonator.
    frequency_hz : float
        Frequency. [Hz]
    """
    sector = sector_of(cage, frequency_hz)
    graph = turned_round(sector)
    return CageWires(
        cage=cage,
        frequency_hz=frequency_hz,
        graph=replace(graph, nodes_m=graph.nodes_m + np.array(cage.centre_m)),
        resistance_ohm_per_m=np.tile(sector.resistance_ohm_per_m, cage.rungs),
        ports=sector_ports(sector, frequency_hz),
    )


def wave_patterns(cage: Birdcage, waves: Sequence[int]) -> Floats:
    """Port currents that go as cosine and as sine of some multiples of the angle, in one row of ports at a time.

    Parameters
    ----------
    cage : Birdcage
        The resonator.
    waves : sequence of int
        Multiples m of the angle, 0 to half the number of rungs.

    Returns
    -------
    ndarray, shape (ports, patterns)
        Orthonormal; with all waves they span every state of the ports.
    """
    turns = 2 * pi * np.arange(cage.rungs) / cage.rungs
    rows = len(cage.port_angles_rad)
    found = []
    for m in waves:
        for row in range(rows):
            # Half the number of rungs alternates from port to port whatever their angle.
            for shape in (np.cos(m * turns), np.sin(m * turns)):
                if np.linalg.norm(shape) > 1e-6:
                    pattern = np.zeros((cage.rungs, rows))
                    pattern[:, row] = shape / np.linalg.norm(shape)
                    found.append(pattern.ravel())
    return np.column_stack(found)


def resonance(wires: CageWires) -> Resonance:
    """Find the capacitors with which the transverse wave resonates, and its series circuit, without a body.

    Parameters
    ----------
    wires : CageWires
        The wires at the wanted frequency.

    Raises
    ------
    OutsideModelError
        Where the wires are themselves capacitive at that frequency, so that no capacitor makes them resonate.

    Notes
    -----
    Turned by one rung the resonator is itself, so the wave of one phase turn is a resonance by itself, and the one that
    runs the other way round its equal.  The end rings carry opposite currents, as follows from the mirror image.
    """
    cage, f = wires.cage, wires.frequency_hz
    waves = wave_of_ports(cage)
    z, wave = _reduced_ohm(cage, np.asarray(waves.conj().T @ wires.ports.impedance_ohm @ waves), f)
    if z.imag <= 0:
        raise OutsideModelError(
            f"at {f / 1e6:.2f} MHz the wires of the transverse wave have a reactance of {z.imag:.0f} ohm, which no "
            f"capacitor {cage.capacitors.value} makes resonate. Remedy: a shorter one, or capacitors in the rings."
        )
    beside = [f * (1 + _STEP), f * (1 - _STEP)]
    above, below = (
        _reduced_ohm(cage, np.asarray(1j * wave_reactance_ohm(sector_of(cage, g), g, 1)), g)[0].imag for g in beside
    )
    slope_h = (above - below) / (2 * _STEP * 2 * pi * f)
    capacitor_f = 1 / (2 * pi * f * z.imag)
    found = {
        Capacitors.END_RINGS: [capacitor_f] * 2,
        Capacitors.RUNGS: [capacitor_f],
        Capacitors.BOTH: [capacitor_f, capacitor_f, cage.rung_capacitor_f],
    }
    return Resonance(
        capacitor_f=np.array(found[cage.capacitors]),
        wave=wave,
        resistance_ohm=z.real + z.imag / cage.capacitor_q,
        inductance_h=(slope_h + z.imag / (2 * pi * f)) / 2,
    )


def capacitor_ohm(capacitor_f: Floats, *, quality: float, frequency_hz: float) -> Complexes:
    """Impedance of capacitors [F] of a quality at a frequency [Hz], of the shape of theirs. [ohm]"""
    reactance = 1 / (2 * pi * frequency_hz * np.asarray(capacitor_f))
    return np.asarray(reactance * (1 / quality - 1j))


def wave_of_ports(cage: Birdcage) -> Complexes:
    """One turn of phase round each row of ports, shape (ports, ports of a sector), of unit norm."""
    turns = np.exp(2j * pi * np.arange(cage.rungs) / cage.rungs) / np.sqrt(cage.rungs)
    return np.asarray(np.kron(turns[:, None], np.eye(len(cage.port_angles_rad))))


def _reduced_ohm(cage: Birdcage, z: Complexes, frequency_hz: float) -> tuple[complex, Complexes]:
    """Impedance of the wave in the gaps of those capacitors that are to be found, and its currents in all of a sector.

    ``z`` is that between the ports of a sector for the wave, shape (ports of a sector, ports of a sector).
    """
    if cage.capacitors is Capacitors.RUNGS:
        return complex(z[0, 0]), np.ones(1, dtype=np.complex128)
    opposite = np.array([1, -1]) / np.sqrt(2)
    rings = complex(opposite @ z[:2, :2] @ opposite)
    if cage.capacitors is Capacitors.END_RINGS:
        return rings, opposite.astype(np.complex128)
    rung_f = np.array(cage.rung_capacitor_f, dtype=np.float64)
    own = z[2, 2] + capacitor_ohm(rung_f, quality=cage.capacitor_q, frequency_hz=frequency_hz)
    in_rung = -(z[2, :2] @ opposite) / own
    return complex(rings + (opposite @ z[:2, 2]) * in_rung), np.array([*opposite, in_rung])
