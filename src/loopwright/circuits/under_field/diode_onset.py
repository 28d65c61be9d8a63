"""From which transmit field on crossed diodes act, and what their loop carries below and above."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.bias.crossed_diodes import (
    GENERIC_CROSSED_DIODES,
    drive_crossed_diodes,
    transition_emf_v,
)
from loopwright.circuits.bias.crossed_diodes import CrossedDiodes as DiodeLaw
from loopwright.circuits.nodal import reduced
from loopwright.circuits.parts import CrossedDiodes, Resistor
from loopwright.circuits.states import UNPLUGGED, in_state
from loopwright.circuits.under_field.own_gaps import OwnGaps
from loopwright.circuits.wiring import Branch, ElementCircuit, nodes_of

__all__ = ["DiodeOnset", "diode_onset"]

Complexes = NDArray[np.complex128]

#: Two loads, by which a source is known. [ohm]
_LOADS_OHM = (1.0, 1000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeOnset:
    """One pair of crossed diodes of one element, nothing plugged in and no other diode of it conducting.

    Attributes
    ----------
    part : str
        Name of the diodes.
    acts_t : float
        Field at which they conduct as well as all that lies beside them, B1+, peak. [T]
    b1_plus_t : ndarray, shape (B,)
        Fields, peak. [T]
    loop_a : ndarray, shape (B,)
        Mean gap current of the element at each of them, peak. [A]
    blocked_a_per_t : float
        The same per field while they block. [A/T]
    current_at_onset_a : float
        The same at ``acts_t``, peak. [A]
    """

    part: str
    acts_t: float
    b1_plus_t: NDArray[np.float64]
    loop_a: NDArray[np.float64]
    blocked_a_per_t: float
    current_at_onset_a: float


def diode_onset(
    circuit: ElementCircuit, source: OwnGaps, *, source_b1_plus_t: float, b1_plus_t: ArrayLike, frequency_hz: float
) -> tuple[DiodeOnset, ...]:
    """Drive every pair of crossed diodes of an element with fields from weak to strong.

    Parameters
    ----------
    circuit : ElementCircuit
        Of the element.
    source : OwnGaps
        Its gaps, all others in place.
    source_b1_plus_t : float
        Field for which that source holds, peak. [T]
    b1_plus_t : array_like, shape (B,)
        Fields, peak. [T]
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of DiodeOnset
        One for each pair, the one that acts first in front.

    Notes
    -----
    The circuit is linear but for the one pair, so two solutions with known loads in its place give the source that it
    sees and the current that it sends round the loop. Its blocking capacitance and conducting resistance are those of
    the circuit; the exponential law is that of ``GENERIC_CROSSED_DIODES``, from memory.
    """
    fields_t = np.asarray(b1_plus_t, dtype=np.float64)
    pairs = [b for b in circuit.branches if isinstance(b, Branch) and isinstance(b.part, CrossedDiodes)]
    found = [_onset(circuit, b, source, source_b1_plus_t, fields_t, frequency_hz) for b in pairs]
    return tuple(sorted(found, key=lambda one: one.acts_t))


def _onset(
    circuit: ElementCircuit,
    pair: Branch,
    source: OwnGaps,
    source_b1_plus_t: float,
    fields_t: NDArray[np.float64],
    f: float,
) -> DiodeOnset:
    part = pair.part
    assert isinstance(part, CrossedDiodes)  # noqa: S101 - chosen by the caller for being one
    (v_1, loop_1), (v_2, loop_2) = (_loaded(circuit, pair, source, ohm, f) for ohm in _LOADS_OHM)
    i_1, i_2 = v_1 / _LOADS_OHM[0], v_2 / _LOADS_OHM[1]
    bare_ohm = (v_2 - v_1) / (i_1 - i_2)
    bare_v = v_1 + bare_ohm * i_1
    leak_ohm = float(np.min(part.blocking_resistance_ohm))
    beside = leak_ohm / (leak_ohm + bare_ohm)
    law, ohm, emf_v = _law(part), bare_ohm * beside, bare_v * beside
    per_ampere = (loop_1 - loop_2) / (i_1 - i_2)
    without = loop_1 - per_ampere * i_1
    acts_t = float(transition_emf_v(ohm, diodes=law, frequency_hz=f)) / abs(emf_v) * source_b1_plus_t
    scale = np.append(fields_t, acts_t) / source_b1_plus_t
    driven = drive_crossed_diodes(emf_v * scale, ohm, diodes=law, frequency_hz=f)
    drawn = (scale * bare_v - driven.terminal_voltage_v) / bare_ohm  # by diodes and blocking resistance together
    loop_a = np.abs(scale[:, None] * without + drawn[:, None] * per_ampere).mean(axis=-1)
    return DiodeOnset(
        part=pair.name,
        acts_t=acts_t,
        b1_plus_t=fields_t,
        loop_a=loop_a[:-1],
        blocked_a_per_t=_mean_gap_a(in_state(circuit, UNPLUGGED), source, f) / source_b1_plus_t,
        current_at_onset_a=float(loop_a[-1]),
    )


def _law(part: CrossedDiodes) -> DiodeLaw:
    return replace(
        GENERIC_CROSSED_DIODES,
        junction_capacitance_f=float(np.min(part.blocking_capacitance_f)),
        series_resistance_ohm=float(np.min(part.conducting_resistance_ohm)),
    )


def _loaded(
    circuit: ElementCircuit, pair: Branch, source: OwnGaps, load_ohm: float, f: float
) -> tuple[complex, Complexes]:
    """Voltage across a resistor in the pair's place, and the gap currents with it."""
    loaded = in_state(circuit.with_part(pair.name, Resistor(resistance_ohm=load_ohm)), UNPLUGGED)
    seen = reduced(loaded, f, 0.0)
    gap_v = np.linalg.solve(np.eye(loaded.gap_count) + source.ohm @ seen.gap_siemens, source.open_v)
    nodes, node_v = nodes_of(loaded), seen.node_per_gap @ gap_v
    high, low = (node_v[nodes.index(node)] if node in nodes else 0.0 for node in pair.between)
    return complex(high - low), np.asarray(-seen.gap_siemens @ gap_v)


def _mean_gap_a(circuit: ElementCircuit, source: OwnGaps, f: float) -> float:
    gap_siemens = reduced(circuit, f, 0.0).gap_siemens
    gap_v = np.linalg.solve(np.eye(circuit.gap_count) + source.ohm @ gap_siemens, source.open_v)
    return float(np.abs(gap_siemens @ gap_v).mean())
