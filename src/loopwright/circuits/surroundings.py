"""What the gaps of one element see: their own conductor, with all other elements and their circuits in place."""

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState

__all__ = ["surroundings_ohm"]

Complexes = NDArray[np.complex128]


def surroundings_ohm(state: ArrayState) -> tuple[Complexes, ...]:
    """Impedance between the gaps of every element alone, all others in place.

    Parameters
    ----------
    state : ArrayState
        State of the array.

    Returns
    -------
    tuple of ndarray, each of shape (..., g, g)
        For every element: (G_ee^-1 - Y_e)^-1 with G = (1 + ZY)^-1 Z, what its own circuit is wired to. [ohm]
    """
    ports = state.port_ohm.shape[-1]
    loop = np.broadcast_to(np.eye(ports), (*state.channel_ohm.shape[:-2], ports, ports)).astype(np.complex128)
    own: dict[int, tuple[NDArray[np.intp], Complexes]] = {}
    for group in state.groups:
        loop[..., group.ports, :] += group.reduced.gap_siemens @ state.port_ohm[..., group.ports, :]
        for at, element in enumerate(group.elements.tolist()):
            own[element] = (np.asarray(group.ports[at]), group.reduced.gap_siemens[..., at, :, :])
    whole = np.linalg.solve(np.swapaxes(loop, -1, -2), np.swapaxes(state.port_ohm, -1, -2))
    found: list[Complexes] = []
    for element in sorted(own):
        gaps, circuit = own[element]
        here = np.swapaxes(whole[..., gaps[:, None], gaps], -1, -2)
        found.append(np.asarray(np.linalg.inv(np.linalg.inv(here) - circuit), dtype=np.complex128))
    return tuple(found)
