r"""The array of a run when its elements are of coaxial line: tuned at the terminals, seen from there.

Each element gets a capacitor or an inductor across its terminal, the first cut of its inner conductor, and behind it an
ideal quarter-wave line of impedance K. With Y the admittance between the tuned terminals,

.. math:: Z'_{ij} = K_i Y_{ij} K_j,\qquad V_i = -j K_i I'_i .

K is chosen so that one ampere at the element port is one ampere round the loop outside: resistances, reactances and the
coefficient of coupling are those of loops. The quarter-wave line loses nothing: signal, noise and what a lossless match
makes of them are those of the terminals.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.coaxial.coaxial_element import CoaxialElement, coaxial_circuit, terminal_tuning
from loopwright.circuits.coaxial.coaxial_layout import elements_of
from loopwright.circuits.coaxial.coaxial_resonance import NOTHING, open_terminal
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.tuned.array import ElementFigures, TunedArray
from loopwright.circuits.tuned.matched_array import matched_array, sweep_frequencies_hz
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.quality import coil_noise_figure_db, quality_factor, snr_retained
from loopwright.circuits.tuned.resistances import Resistances, refer_resistances
from loopwright.circuits.tuned.tuning import resonant_frequency_hz
from loopwright.conductors import DressedLayout
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork

__all__ = ["tune_coaxial"]

#: Half of the step over which the slope of a susceptance is taken, as a fraction of the frequency.
_STEP = 1e-3

Complexes = NDArray[np.complex128]
Tuning = tuple[Capacitor | Inductor, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    """The array with or without body, tuned at its terminals.

    ``inverter_ohm`` (E,) is K, with the sign that makes the loop current positive; ``port_current`` (P, E) the currents
    into the gaps per element-port current, ``slope_ohm`` (E,) half of f dX/df of each element alone. [ohm]
    """

    ports: ArrayPorts
    tuning: Tuning
    inverter_ohm: NDArray[np.float64]
    slope_ohm: NDArray[np.float64]
    impedance_ohm: Complexes
    port_current: Complexes
    resistances: Resistances


def tune_coaxial(
    network: PortNetwork, reply: BodyReply, *, dressed: DressedLayout, temperatures: NoiseTemperatures
) -> TunedArray:
    """Tune every coaxial element on the body, match it, and tell what the array then is.

    "Tuned": each element alone, the gaps of all others open, is resonant at the operating frequency with one part
    across its terminal, on this body. "Matched": a lossless match of every element to 50 ohm real.

    Parameters
    ----------
    network : PortNetwork
        The outsides of the shields in air, seen from all gaps.
    reply : BodyReply
        What the body does to the sources of the array, at the operating frequency.
    dressed : DressedLayout
        Names of the elements, their cable, quality of the part across the terminal.
    temperatures : NoiseTemperatures
        Temperatures of body and coil, and what becomes of radiation.

    Returns
    -------
    TunedArray
        Element ports behind the quarter-wave lines. ``inductance_h`` of an element is that which would store at the
        loop's current what outside and line store together; ``capacitance_f`` is across its terminal, negative where
        an inductor stands there; ``other_ohm`` is the line inside, ``capacitor_ohm`` the part across the terminal.

    Raises
    ------
    OutsideModelError
        If an element has no positive resistance.

    Notes
    -----
    The body's impedance is that at the operating frequency; over the sweep it is held constant.
    """
    elements = elements_of(dressed)
    loaded = _state(network, array_ports(network, reply, temperatures), elements, dressed.capacitor_q)
    bare = _state(network, array_ports(network, None, temperatures), elements, dressed.capacitor_q)
    sweep = [_between_ports_ohm(loaded, elements, f) for f in sweep_frequencies_hz(network).tolist()]
    return matched_array(
        network,
        reply,
        elements=_figures(dressed, elements, loaded, bare),
        impedance_ohm=loaded.impedance_ohm,
        resistances=loaded.resistances,
        port_current=loaded.port_current,
        inductance_h=loaded.slope_ohm / (2 * np.pi * network.frequency_hz),
        sweep_impedance_ohm=np.stack(sweep),
        temperatures=temperatures,
        notes=(),
    )


def _state(network: PortNetwork, ports: ArrayPorts, elements: tuple[CoaxialElement, ...], quality: float) -> _State:
    """Tune each terminal alone, then see the array from all of them."""
    f0 = ports.frequency_hz
    alone = [_alone(ports, elements, number, f0) for number in range(len(elements))]
    tuning = tuple(terminal_tuning(1 / one.seen_ohm[0], frequency_hz=f0, quality_factor=quality) for one in alone)
    inverter = np.array([_inverter_ohm(network, number, one) for number, one in enumerate(alone)])
    slope = np.array([_slope_ohm(ports, elements, tuning, number) for number in range(len(elements))]) * inverter**2
    state = _all(ports, elements, f0)
    bare_siemens = np.linalg.inv(state.channel_ohm)
    tuned_siemens = np.array([complex(admittance_siemens(part, f0)) for part in tuning])
    per_port = -1j * np.diag(inverter)  # terminal voltage per current at the element port
    terminal_current = bare_siemens @ per_port
    port_current = state.port_current @ terminal_current
    none = np.zeros(len(ports.port_element))
    outside = refer_resistances(ports.resistances, port_current, capacitor_ohm=none, other_ohm=none)
    return _State(
        ports=ports,
        tuning=tuning,
        inverter_ohm=inverter,
        slope_ohm=slope,
        impedance_ohm=inverter[:, None] * (bare_siemens + np.diag(tuned_siemens)) * inverter,
        port_current=port_current,
        resistances=replace(
            outside,
            capacitor_ohm=np.diag(inverter**2 * tuned_siemens.real).astype(np.complex128),
            other_ohm=_line_ohm(state, port_current, terminal_current),
        ),
    )


def _all(ports: ArrayPorts, elements: tuple[CoaxialElement, ...], frequency_hz: float) -> ArrayState:
    """All elements, nothing at their terminals."""
    circuits = [coaxial_circuit(element, frequency_hz, NOTHING) for element in elements]
    return array_state(ports.at(frequency_hz), circuits, [UNPLUGGED] * len(circuits), frequency_hz=frequency_hz)


def _alone(ports: ArrayPorts, elements: tuple[CoaxialElement, ...], number: int, frequency_hz: float) -> ArrayState:
    own = np.flatnonzero(ports.port_element == number)
    return open_terminal(elements[number], ports.at(frequency_hz)[np.ix_(own, own)], frequency_hz)


def _inverter_ohm(network: PortNetwork, number: int, alone: ArrayState) -> float:
    """Terminal voltage per mean current outside; its sign makes the current at the port run with that of the loop."""
    own = np.flatnonzero(network.port_element == number)
    loop = complex(network.mean_loop_current[number, own] @ alone.port_current[:, 0])
    per_volt = -1j * loop / complex(alone.seen_ohm[0])
    return float(np.sign(per_volt.real) / abs(per_volt))


def _slope_ohm(ports: ArrayPorts, elements: tuple[CoaxialElement, ...], tuning: Tuning, number: int) -> float:
    """Half of f dB/df of one tuned element alone. [S]"""
    ends_hz = ports.frequency_hz * np.array([1 + _STEP, 1 - _STEP])
    high, low = (_susceptance_siemens(ports, elements, tuning, number, f) for f in ends_hz.tolist())
    return (high - low) / (4 * _STEP)


def _susceptance_siemens(
    ports: ArrayPorts, elements: tuple[CoaxialElement, ...], tuning: Tuning, number: int, frequency_hz: float
) -> float:
    """Susceptance of one tuned terminal, the gaps of all other elements open."""
    seen = 1 / complex(_alone(ports, elements, number, frequency_hz).seen_ohm[0])
    return float((seen + complex(admittance_siemens(tuning[number], frequency_hz))).imag)


def _between_ports_ohm(state: _State, elements: tuple[CoaxialElement, ...], frequency_hz: float) -> Complexes:
    """Impedance between the element ports at one frequency of the band."""
    tuned = [complex(admittance_siemens(part, frequency_hz)) for part in state.tuning]
    siemens = np.linalg.inv(_all(state.ports, elements, frequency_hz).channel_ohm) + np.diag(tuned)
    return np.asarray(state.inverter_ohm[:, None] * siemens * state.inverter_ohm)


def _line_ohm(state: ArrayState, port_current: Complexes, terminal_current: Complexes) -> Complexes:
    """What the lines inside lose, from the voltages across their gaps and the currents into their terminals.

    Seen from gap voltages v and terminal current i a circuit takes the currents Y v - m i and shows m v + z i, so its
    loss is the quadratic form of (v, i) with the Hermitian part of Y, -j Im m beside it, and Re z.
    """
    gap_voltage = state.port_ohm @ port_current
    lost = np.zeros((terminal_current.shape[-1],) * 2, dtype=np.complex128)
    for group in state.groups:
        inside = group.reduced
        for at, (element, ports) in enumerate(zip(group.elements, group.ports, strict=True)):
            siemens, per_gap = inside.gap_siemens[at], inside.channel_per_gap[at]
            form = np.block(
                [
                    [(siemens + siemens.conj().T) / 2, -1j * per_gap.imag[:, None]],
                    [1j * per_gap.imag[None, :], np.atleast_2d(inside.channel_own_ohm[at].real)],
                ]
            )
            across = np.vstack([gap_voltage[ports], terminal_current[element]])
            lost += across.T @ form.T @ across.conj()
    return np.asarray((lost + lost.conj().T) / 2)


def _figures(
    dressed: DressedLayout, elements: tuple[CoaxialElement, ...], loaded: _State, bare: _State
) -> tuple[ElementFigures, ...]:
    """Collect the figures of every element."""
    f0, temperatures = loaded.ports.frequency_hz, loaded.ports.temperatures
    inductance_h, bare_h = (state.slope_ohm / (2 * np.pi * f0) for state in (loaded, bare))
    on, off = loaded.resistances, bare.resistances
    body, coil, coil_off = (np.diagonal(one).real for one in (on.body_ohm, on.coil_ohm, off.coil_ohm))
    q_loaded = quality_factor(inductance_h, body + coil, frequency_hz=f0)
    q_unloaded = quality_factor(bare_h, coil_off, frequency_hz=f0)
    figure_db = coil_noise_figure_db(
        body,
        coil,
        body_temperature_k=temperatures.body_temperature_k,
        coil_temperature_k=temperatures.coil_temperature_k,
    )
    return tuple(
        ElementFigures(
            name=element.name,
            inductance_h=float(inductance_h[e]),
            capacitance_f=_as_capacitance_f(loaded.tuning[e], f0),
            capacitor_q=dressed.capacitor_q,
            gaps=len(element.gap_nodes),
            body_ohm=float(body[e]),
            conductor_ohm=float(on.conductor_ohm[e, e].real),
            capacitor_ohm=float(on.capacitor_ohm[e, e].real),
            other_ohm=float(on.other_ohm[e, e].real),
            radiation_ohm=float(on.radiation_ohm[e, e].real),
            q_unloaded=float(q_unloaded[e]),
            q_loaded=float(q_loaded[e]),
            q_unloaded_with_radiation=float(2 * np.pi * f0 * bare_h[e] / off.total_ohm[e, e].real),
            q_loaded_with_radiation=float(2 * np.pi * f0 * inductance_h[e] / on.total_ohm[e, e].real),
            noise_figure_db=float(figure_db[e]),
            snr_retained=float(snr_retained(q_loaded, q_unloaded)[e]),
            frequency_shift_hz=_shift_hz(bare.ports, elements, loaded.tuning, e),
        )
        for e, element in enumerate(dressed.layout.elements)
    )


def _as_capacitance_f(part: Capacitor | Inductor, frequency_hz: float) -> float:
    """Capacitance across the terminal; that of the same reactance, negative, where an inductor stands there."""
    if isinstance(part, Capacitor):
        return float(part.capacitance_f)
    return float(-1 / ((2 * np.pi * frequency_hz) ** 2 * part.inductance_h))


def _shift_hz(air: ArrayPorts, elements: tuple[CoaxialElement, ...], tuning: Tuning, number: int) -> float:
    """How far one element's resonance moves when the body is taken away."""
    found_hz = resonant_frequency_hz(
        lambda frequency_hz: _susceptance_siemens(air, elements, tuning, number, frequency_hz),
        near_hz=air.frequency_hz,
        band_hz=(float(air.frequencies_hz[0]), float(air.frequencies_hz[-1])),
    )
    return found_hz - air.frequency_hz
