"""From the conductors in air and the body's reply to the tuned and matched array."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.array import ElementFigures, TunedArray
from loopwright.circuits.tuned.capacitors import capacitor_impedance_ohm
from loopwright.circuits.tuned.element_ports import (
    ClosedGaps,
    body_port_impedance_ohm,
    close_gaps,
    first_ports,
    gap_loads_ohm,
)
from loopwright.circuits.tuned.matched_array import matched_array, sweep_frequencies_hz, unassigned_resistance
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.quality import coil_noise_figure_db, quality_factor, snr_retained
from loopwright.circuits.tuned.resistances import Resistances, port_resistances, refer_resistances
from loopwright.circuits.tuned.tuning import element_port_impedance_ohm, resonant_frequency_hz, tuned_capacitance_f
from loopwright.conductors import DressedLayout
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork
from loopwright.fields.wires.polynomial import interpolate

__all__ = ["tune"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    """One set of capacitors on the ports, with or without body."""

    capacitance_f: NDArray[np.float64]
    closed: ClosedGaps
    resistances: Resistances


def tune(
    network: PortNetwork, reply: BodyReply, *, dressed: DressedLayout, temperatures: NoiseTemperatures
) -> TunedArray:
    """Tune every element on the body, match it, and tell what the array then is.

    "Tuned": each element alone, the gaps of all others open, is resonant at the operating frequency with equal
    capacitors in its gaps, on this body. "Matched": a lossless match of every element to 50 ohm real.

    Parameters
    ----------
    network : PortNetwork
        The conductors in air, seen from all gaps.
    reply : BodyReply
        What the body does to the sources of the array, at the operating frequency.
    dressed : DressedLayout
        Names of the elements, quality of their capacitors, other resistance.
    temperatures : NoiseTemperatures
        Temperatures of body and coil, and what becomes of radiation.

    Returns
    -------
    TunedArray

    Raises
    ------
    OutsideModelError
        If an element cannot be tuned by equal capacitors or has no positive resistance.

    Notes
    -----
    The body's impedance is that at the operating frequency; over the sweep it is held constant.
    """
    loaded = _state(network, reply, dressed)
    bare = _state(network, None, dressed)
    return matched_array(
        network,
        reply,
        elements=_figures(network, dressed, temperatures, loaded, bare),
        impedance_ohm=loaded.closed.impedance_ohm,
        resistances=loaded.resistances,
        port_current=loaded.closed.port_current,
        inductance_h=np.diagonal(network.loop_inductance_h),
        sweep_impedance_ohm=_sweep(network, reply, dressed, loaded.capacitance_f, sweep_frequencies_hz(network)),
        temperatures=temperatures,
        notes=_notes(loaded),
    )


def _state(network: PortNetwork, reply: BodyReply | None, dressed: DressedLayout) -> _State:
    """Tune the array with this body, or with none, and split its resistance."""
    nothing = np.zeros((len(network.port_element),) * 2, dtype=np.complex128)
    body_ohm = nothing if reply is None else reply.impedance_ohm
    noise_ohm = nothing if reply is None else reply.noise_resistance_ohm
    per_port = nothing if reply is None else reply.source_per_port_current
    f0 = network.frequency_hz
    ports_ohm = network.at(f0) + body_port_impedance_ohm(body_ohm, per_port)
    capacitance_f = np.array(
        [
            tuned_capacitance_f(
                ports_ohm[np.ix_(own, own)],
                frequency_hz=f0,
                capacitor_q=q,
                other_series_resistance_ohm=dressed.other_series_resistance_ohm,
            )
            for own, q in zip(_own_ports(network), dressed.capacitor_qualities.tolist(), strict=True)
        ]
    )
    closed = _closed(network, ports_ohm, dressed, capacitance_f, f0)
    capacitor_ohm = capacitor_impedance_ohm(capacitance_f, quality_factor=dressed.capacitor_qualities, frequency_hz=f0)
    other_ohm = np.zeros(len(network.port_element))
    other_ohm[first_ports(network.port_element)] = dressed.other_series_resistance_ohm
    open_gaps = port_resistances(
        node_current=network.node_current,
        loss_matrix_ohm=network.loss_matrix_ohm,
        radiation_matrix_ohm=network.radiation_matrix_ohm,
        source_per_port_current=per_port,
        body_impedance_ohm=body_ohm,
        body_noise_resistance_ohm=noise_ohm,
    )
    resistances = refer_resistances(
        open_gaps, closed.port_current, capacitor_ohm=capacitor_ohm.real[network.port_element], other_ohm=other_ohm
    )
    return _State(capacitance_f=capacitance_f, closed=closed, resistances=resistances)


def _own_ports(network: PortNetwork) -> list[NDArray[np.intp]]:
    return [np.flatnonzero(network.port_element == e) for e in range(len(network.mean_loop_current))]


def _closed(
    network: PortNetwork,
    ports_ohm: NDArray[np.complexfloating],
    dressed: DressedLayout,
    capacitance_f: NDArray[np.float64],
    frequency_hz: float,
) -> ClosedGaps:
    """Close the gaps by their capacitors at one frequency."""
    capacitor = capacitor_impedance_ohm(
        capacitance_f, quality_factor=dressed.capacitor_qualities, frequency_hz=frequency_hz
    )
    loads = gap_loads_ohm(
        capacitor,
        port_element=network.port_element,
        other_series_resistance_ohm=dressed.other_series_resistance_ohm,
    )
    return close_gaps(ports_ohm, loads, port_element=network.port_element)


def _sweep(
    network: PortNetwork,
    reply: BodyReply,
    dressed: DressedLayout,
    capacitance_f: NDArray[np.float64],
    frequencies_hz: NDArray[np.float64],
) -> NDArray[np.complex128]:
    """Impedance between the element ports over the band, the body's part held constant."""
    body_ohm = body_port_impedance_ohm(reply.impedance_ohm, reply.source_per_port_current)
    return np.stack(
        [
            _closed(network, network.at(f) + body_ohm, dressed, capacitance_f, f).impedance_ohm
            for f in frequencies_hz.tolist()
        ]
    )


def _shift_hz(
    network: PortNetwork, dressed: DressedLayout, element: int, capacitance_f: float, own: NDArray[np.intp]
) -> float:
    """How far one element's resonance moves when the body is taken away."""
    own_ohm = network.impedance_ohm[:, own[:, None], own]

    def reactance_ohm(frequency_hz: float) -> float:
        return element_port_impedance_ohm(
            interpolate(network.frequencies_hz, own_ohm, frequency_hz),
            capacitance_f,
            frequency_hz=frequency_hz,
            capacitor_q=float(dressed.capacitor_qualities[element]),
            other_series_resistance_ohm=dressed.other_series_resistance_ohm,
        ).imag

    band_hz = (float(network.frequencies_hz[0]), float(network.frequencies_hz[-1]))
    return resonant_frequency_hz(reactance_ohm, near_hz=network.frequency_hz, band_hz=band_hz) - network.frequency_hz


def _figures(
    network: PortNetwork,
    dressed: DressedLayout,
    temperatures: NoiseTemperatures,
    loaded: _State,
    bare: _State,
) -> tuple[ElementFigures, ...]:
    """Collect the figures of every element."""
    f0 = network.frequency_hz
    inductance_h = np.diagonal(network.loop_inductance_h)
    on, off = loaded.resistances, bare.resistances
    body, coil = np.diagonal(on.body_ohm).real, np.diagonal(on.coil_ohm).real
    coil_off = np.diagonal(off.coil_ohm).real
    q_loaded = quality_factor(inductance_h, body + coil, frequency_hz=f0)
    q_unloaded = quality_factor(inductance_h, coil_off, frequency_hz=f0)
    q_loaded_open = quality_factor(inductance_h, np.diagonal(on.total_ohm).real, frequency_hz=f0)
    q_unloaded_open = quality_factor(inductance_h, np.diagonal(off.total_ohm).real, frequency_hz=f0)
    figure_db = coil_noise_figure_db(
        body,
        coil,
        body_temperature_k=temperatures.body_temperature_k,
        coil_temperature_k=temperatures.coil_temperature_k,
    )
    retained = snr_retained(q_loaded, q_unloaded)
    return tuple(
        ElementFigures(
            name=element.name,
            inductance_h=float(inductance_h[e]),
            capacitance_f=float(loaded.capacitance_f[e]),
            capacitor_q=float(dressed.capacitor_qualities[e]),
            gaps=len(own),
            body_ohm=float(body[e]),
            conductor_ohm=float(on.conductor_ohm[e, e].real),
            capacitor_ohm=float(on.capacitor_ohm[e, e].real),
            other_ohm=float(on.other_ohm[e, e].real),
            radiation_ohm=float(on.radiation_ohm[e, e].real),
            q_unloaded=float(q_unloaded[e]),
            q_loaded=float(q_loaded[e]),
            q_unloaded_with_radiation=float(q_unloaded_open[e]),
            q_loaded_with_radiation=float(q_loaded_open[e]),
            noise_figure_db=float(figure_db[e]),
            snr_retained=float(retained[e]),
            frequency_shift_hz=_shift_hz(network, dressed, e, float(loaded.capacitance_f[e]), own),
        )
        for e, (element, own) in enumerate(zip(dressed.layout.elements, _own_ports(network), strict=True))
    )


def _notes(loaded: _State) -> tuple[str, ...]:
    """Say what a reader should know about this array."""
    unassigned = unassigned_resistance(loaded.closed.impedance_ohm, loaded.resistances)
    notes = []
    if unassigned > 1e-6:
        notes.append(f"the split of the resistance leaves {unassigned:.1e} of it without a mechanism")
    lowest = float(np.min(np.diagonal(loaded.resistances.radiation_ohm).real))
    if lowest < 0:
        notes.append(f"the body takes up more than the bare element radiates: {lowest:.2e} ohm under radiation")
    return tuple(notes)
