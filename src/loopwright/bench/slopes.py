r"""What each difference does to the scattering, by reciprocity: one solution of the cluster serves all of them.

With H the voltage at the loaded channels per current put into them, X the currents into the conductors and A the gap
voltages (both per current into a channel), and Y, M, z of a circuit as in
:mod:`loopwright.circuits.array_circuit`:

.. math:: dH = X^T dZ X, \qquad dH = -A^T dY A + dM^T A + A^T dM + dz
"""

import numpy as np
from numpy.typing import NDArray

from loopwright.bench.model import BenchModel, Difference, Kind, turned
from loopwright.circuits.array_circuit import ArrayState
from loopwright.circuits.nodal import Reduced, reduced
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["scattering_slopes"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Step of a part's logarithm; the circuit of one element alone is differenced, the cluster is not.
_STEP = 1e-4


def scattering_slopes(model: BenchModel, values: Floats) -> Complexes:
    """Slope of what the bench would see by every difference.

    Parameters
    ----------
    model : BenchModel
    values : ndarray, shape (D,)
        In widths of the priors.

    Returns
    -------
    ndarray, shape (D, F, N, N)
        Per width of the prior.
    """
    state, turn, circuits = model.state_with(values), model.turn_to_plane(values), model.circuits_with(values)
    seen = turn[:, :, None] * (2 * state.channel_ohm / model.reference_ohm - np.eye(len(circuits))) * turn[:, None, :]
    found = np.empty((len(values), *seen.shape), dtype=np.complex128)
    for at, (one, value) in enumerate(zip(model.differences, values.tolist(), strict=True)):
        if one.kind is Kind.LENGTH:
            k_per_m = 2 * np.pi * model.frequencies_hz[:, None, None] / SPEED_OF_LIGHT_M_PER_S
            own = (np.arange(len(circuits)) == one.elements[0]).astype(np.float64)
            found[at] = -1j * one.width * k_per_m * (own[:, None] + own) * seen
        else:
            slope_ohm = (
                _by_part(model, state, circuits[one.elements[0]], one)
                if one.kind is Kind.PART
                else _by_loops(model, state, one, value)
            )
            found[at] = turn[:, :, None] * (2 / model.reference_ohm * slope_ohm) * turn[:, None, :]
    return found


def _by_loops(model: BenchModel, state: ArrayState, one: Difference, value: float) -> Complexes:
    """X^T dZ X."""
    gaps = [model.ports_of(element) for element in one.elements]
    current = [state.port_current[:, own, :] for own in gaps]
    if one.kind is Kind.MUTUAL:
        slope = 1j * one.width * (model.frequencies_hz / model.frequency_hz)[:, None, None]
        mean = [each.mean(axis=1) for each in current]
        across = mean[0][:, :, None] * mean[1][:, None, :]
        return np.asarray(slope * (across + np.swapaxes(across, -1, -2)))
    block = model.port_ohm[:, gaps[0][:, None], gaps[0]]
    part = 1j * block.imag if one.kind is Kind.INDUCTANCE else block.real
    slope_ohm = one.width * np.exp(one.width * value) * part
    return np.asarray(np.swapaxes(current[0], -1, -2) @ slope_ohm @ current[0])


def _by_part(model: BenchModel, state: ArrayState, circuit: ElementCircuit, one: Difference) -> Complexes:
    """-A^T dY A + dM^T A + A^T dM + dz."""
    (element,) = one.elements
    low, high = (_seen(model, turned(circuit, one.part, float(np.exp(step)))) for step in (-_STEP, _STEP))
    rate = one.width / (2 * _STEP)
    voltage = state.gap_voltage_ohm[:, model.ports_of(element), :]
    slope_siemens = rate * (high.gap_siemens - low.gap_siemens)
    found = -np.swapaxes(voltage, -1, -2) @ slope_siemens @ voltage
    to_channel = rate * ((high.channel_per_gap - low.channel_per_gap)[:, None, :] @ voltage)[:, 0, :]
    found[:, element, :] += to_channel
    found[:, :, element] += to_channel
    found[:, element, element] += rate * (high.channel_own_ohm - low.channel_own_ohm)
    return np.asarray(found)


def _seen(model: BenchModel, circuit: ElementCircuit) -> Reduced:
    return reduced(in_state(circuit, RECEIVING), model.frequencies_hz, 1 / model.reference_ohm)
