r"""Match and loop currents of a state, and how they go with every part, by reciprocity.

With v_b the voltage across a part of admittance Y_b per current into channel c, and l_b the same per volt round the
loop of the channel's element:

.. math::
    dZ_{cc} = -v_b^2\,dY_b,\qquad dA_c = l_b^2\,dY_b,\qquad du_c = -v_b l_b\,dY_b

for the voltage Z_cc at the channel per current put in there, the loop's admittance A_c (mean of its gap currents per
volt induced round it, spread evenly over its gaps) and the voltage u_c at the receiver per volt round the loop. A
receiver changed from admittance y to y + d makes of A_c exactly A_c + d u_c^2 / (1 + d Z_cc).
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, CircuitGroup, gap_voltages_v
from loopwright.circuits.part_slopes import admittance_slopes_siemens, line_slopes_siemens
from loopwright.circuits.parts import CrossedDiodes, Fuse, PinDiode
from loopwright.circuits.wiring import Branch, Span, nodes_of
from loopwright.ground.errors import OutsideModelError

__all__ = ["LoopResponse", "Slopes", "decoupling_db", "frequency_slopes", "loop_response", "part_slopes"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopResponse:
    """A state of the array and what one volt round each loop does in it.

    Attributes
    ----------
    state : ArrayState
    matched_ohm : ndarray, shape (C,)
        Source for which a receiver would be power-matched: with such a receiver the loop currents are compared. [ohm]
    gap_voltage : ndarray, shape (..., P, C)
        Voltages across the gaps per volt round each loop.
    loop_siemens : ndarray, shape (..., C)
        A: mean current of a loop per volt round it. [S]
    at_receiver : ndarray, shape (..., C)
        u: voltage at a receiver per volt round its loop.
    matched_siemens : ndarray, shape (..., C)
        A with that element's receiver power-matched instead. [S]
    """

    state: ArrayState
    matched_ohm: Complexes
    gap_voltage: Complexes
    loop_siemens: Complexes
    at_receiver: Complexes
    matched_siemens: Complexes

    @property
    def own_ohm(self) -> Complexes:
        """Voltage at each channel per current put in there, shape (..., C). [ohm]"""
        return np.asarray(np.diagonal(self.state.channel_ohm, axis1=-2, axis2=-1))

    @property
    def load_change_siemens(self) -> Complexes:
        """Admittance that a power-matched receiver has more than the one in place, shape (..., C). [S]"""
        return np.asarray(1 / self.matched_ohm.conj() - self.state.receiver_siemens)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slopes:
    """Derivatives of a response by the logarithm of something, shape (..., C) or (..., E, C) for parts of E elements.

    Attributes
    ----------
    seen_ohm : ndarray
        Of what each receiver sees. [ohm]
    loop_siemens, matched_siemens : ndarray
        Of the loop's admittance with its receiver, and with a power-matched one. [S]
    """

    seen_ohm: Complexes
    loop_siemens: Complexes
    matched_siemens: Complexes


def loop_response(state: ArrayState, matched_ohm: ArrayLike) -> LoopResponse:
    """Drive every loop of a state by one volt.

    Parameters
    ----------
    state : ArrayState
        All receivers in place.
    matched_ohm : array_like, shape () or (C,)
        Source that a power-matched receiver would be matched to. [ohm]

    Returns
    -------
    LoopResponse
    """
    channels = state.receiver_siemens.shape[-1]
    emf = np.zeros((state.port_ohm.shape[-1], channels))
    for group in state.groups:
        emf[group.ports, group.elements[:, None]] = 1 / group.ports.shape[-1]
    voltage = gap_voltages_v(state, emf)
    loop = np.zeros((*voltage.shape[:-2], channels), dtype=np.complex128)
    received = np.zeros_like(loop)
    for group in state.groups:
        own = voltage[..., group.ports, group.elements[:, None]]  # (..., E, g)
        loop[..., group.elements] = (group.reduced.gap_siemens @ own[..., None])[..., 0].mean(axis=-1)
        received[..., group.elements] = np.sum(group.reduced.channel_per_gap * own, axis=-1)
    matched = np.broadcast_to(np.asarray(matched_ohm, dtype=np.complex128), (channels,))
    change = 1 / matched.conj() - state.receiver_siemens
    own_ohm = np.diagonal(state.channel_ohm, axis1=-2, axis2=-1)
    return LoopResponse(
        state=state,
        matched_ohm=matched,
        gap_voltage=voltage,
        loop_siemens=loop,
        at_receiver=received,
        matched_siemens=loop + change * received**2 / (1 + change * own_ohm),
    )


def decoupling_db(response: LoopResponse) -> NDArray[np.float64]:
    """Loop current with a power-matched receiver over that with the receiver in place, shape (..., C). [dB]"""
    return np.asarray(20 * np.log10(np.abs(response.matched_siemens / response.loop_siemens)))


def part_slopes(response: LoopResponse) -> Iterator[tuple[CircuitGroup, str, Slopes]]:
    """Go through all parts: group of elements, name, derivatives by the logarithm of the part's main value.

    Yields
    ------
    CircuitGroup, str, Slopes
        Derivatives of shape (..., elements of the group, C): what the part in one element does to every channel.
    """
    for group in response.state.groups:
        by_channel, by_loop = _node_voltages(response, group)
        for branch in group.circuit.branches:
            values, _ = _slopes_of(branch, response.state.frequency_hz)
            forms = _forms(branch, group, values, by_channel, by_loop)
            yield group, branch.name, _slopes(response, *forms)


def frequency_slopes(response: LoopResponse, port_slope_ohm: Complexes) -> Slopes:
    """Derivatives of the response by the logarithm of the frequency, receivers held constant.

    Parameters
    ----------
    response : LoopResponse
        At one frequency.
    port_slope_ohm : ndarray, shape (P, P)
        Derivative of the impedance between the open gaps by the logarithm of the frequency. [ohm]

    Returns
    -------
    Slopes
        Of shape (..., C).
    """
    current = response.state.port_current
    # Currents into the conductors per volt round the loops: minus those through the circuits, i = -Y v.
    driven = np.zeros_like(response.gap_voltage)
    for group in response.state.groups:
        driven[..., group.ports, :] = -group.reduced.gap_siemens @ response.gap_voltage[..., group.ports, :]
    own = np.sum(current * (port_slope_ohm @ current), axis=-2)
    loop = -np.sum(driven * (port_slope_ohm @ driven), axis=-2)
    received = np.sum(current * (port_slope_ohm @ driven), axis=-2)
    for group in response.state.groups:
        by_channel, by_loop = _node_voltages(response, group)
        for branch in group.circuit.branches:
            _, frequency = _slopes_of(branch, response.state.frequency_hz)
            forms = _forms(branch, group, frequency, by_channel, by_loop)
            own, loop, received = (
                total + form.sum(axis=-2) for total, form in zip((own, loop, received), forms, strict=True)
            )
    return _slopes(response, own, loop, received)


def _node_voltages(response: LoopResponse, group: CircuitGroup) -> tuple[Complexes, Complexes]:
    """Node voltages (..., E, n, C) per current into each channel, and per volt round each loop."""
    reduced, ports = group.reduced, group.ports
    by_channel = reduced.node_per_gap @ response.state.gap_voltage_ohm[..., ports, :]
    here = np.arange(len(group.elements))
    injected = np.broadcast_to(reduced.node_per_injection, by_channel.shape[:-1])
    by_channel[..., here, :, group.elements] += np.moveaxis(injected, -2, 0)
    return by_channel, np.asarray(reduced.node_per_gap @ response.gap_voltage[..., ports, :])


def _slopes_of(branch: Branch | Span, frequency_hz: ArrayLike) -> tuple[tuple[Complexes, ...], tuple[Complexes, ...]]:
    if isinstance(branch, Span):
        return line_slopes_siemens(branch.line, frequency_hz)
    if isinstance(branch.part, PinDiode | CrossedDiodes | Fuse):
        raise OutsideModelError(f"{branch.name} is not linear: choose a state for it first")
    by_value, by_frequency = admittance_slopes_siemens(branch.part, frequency_hz)
    return (by_value,), (by_frequency,)


def _forms(
    branch: Branch | Span,
    group: CircuitGroup,
    slopes_siemens: tuple[Complexes, ...],
    by_channel: Complexes,
    by_loop: Complexes,
) -> tuple[Complexes, Complexes, Complexes]:
    """Derivatives (..., E, C) of Z_cc, A and u by what changes the branch."""
    pairs = (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)
    v = [_across(group, pair, by_channel) for pair in pairs]
    u = [_across(group, pair, by_loop) for pair in pairs]
    slopes = [np.asarray(slope)[..., None] for slope in slopes_siemens]

    def form(one: list[Complexes], other: list[Complexes]) -> Complexes:
        own = slopes[0] * sum(a * b for a, b in zip(one, other, strict=True))
        if len(pairs) == 1:
            return np.asarray(own)
        return np.asarray(own + slopes[1] * (one[0] * other[1] + one[1] * other[0]))

    return -form(v, v), form(u, u), -form(v, u)


def _across(group: CircuitGroup, pair: tuple[str, str], voltages: Complexes) -> Complexes:
    """Voltage between two nodes, shape (..., E, C); a return has none."""
    nodes = nodes_of(group.circuit)
    one, other = (voltages[..., nodes.index(node), :] if node in nodes else 0.0 for node in pair)
    return np.asarray(one - other, dtype=np.complex128)


def _slopes(response: LoopResponse, own: Complexes, loop: Complexes, received: Complexes) -> Slopes:
    def per_part(values: Complexes) -> Complexes:
        """Room for the elements of a group, where there are any."""
        return np.asarray(values[..., None, :] if own.ndim > values.ndim else values)

    z, u = per_part(response.own_ohm), per_part(response.at_receiver)
    d = per_part(response.load_change_siemens)
    matched = loop + (2 * d * u * received * (1 + d * z) - d**2 * u**2 * own) / (1 + d * z) ** 2
    seen = per_part(response.state.seen_ohm)
    return Slopes(seen_ohm=(seen / z) ** 2 * own, loop_siemens=loop, matched_siemens=matched)
