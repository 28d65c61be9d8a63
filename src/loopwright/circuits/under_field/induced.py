r"""What a uniform transmit field induces along the wires of an array, segment by segment and at its gaps.

The electric fields that may go with it stand in :mod:`loopwright.fields.transmit`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.fields import PortNetwork
from loopwright.fields.transmit import ElectricField, electric_field_v_per_m, rotating_field_t

__all__ = [
    "ElectricField",
    "electric_field_v_per_m",
    "induced_emf_v",
    "node_emf_v",
    "port_emf_v",
    "rotating_field_t",
    "segment_emf_v",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


def segment_emf_v(
    vertices_m: ArrayLike, field_t: ArrayLike, *, frequency_hz: float, electric: ElectricField = ElectricField.AXIAL
) -> Complexes:
    """EMF in every segment of a closed polygon, from each corner to the next and from the last to the first.

    Parameters
    ----------
    vertices_m : array_like, shape (N, 3)
        Corners in the body frame. [m]
    field_t : array_like, shape (3,)
        Uniform magnetic field, peak phasors. [T]
    frequency_hz : float
        Frequency. [Hz]
    electric : ElectricField
        Which electric field; only the sum round the polygon does not depend on it.

    Returns
    -------
    ndarray, shape (N,)
        Peak phasors, exact: the field is linear along a segment. [V]
    """
    start = np.asarray(vertices_m, dtype=np.float64)
    end = np.roll(start, -1, axis=0)
    field = electric_field_v_per_m((start + end) / 2, field_t, frequency_hz=frequency_hz, electric=electric)
    return np.asarray(np.sum(field * (end - start), axis=-1))


def induced_emf_v(vertices_m: ArrayLike, field_t: ArrayLike, *, frequency_hz: float) -> complex:
    """EMF round a closed polygon in a uniform field.

    Parameters
    ----------
    vertices_m : array_like, shape (N, 3)
        Corners. [m]
    field_t : array_like, shape (3,)
        Uniform magnetic field, peak phasors. [T]
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    complex
        Peak phasor, -j omega B . A with the polygon's vector area A. [V]

    Notes
    -----
    A loop whose normal is transverse sees omega B1+ A, whichever transverse direction it faces. The reaction of the
    loop on the transmit field is left out.
    """
    emf_v = segment_emf_v(vertices_m, field_t, frequency_hz=frequency_hz, electric=ElectricField.SYMMETRIC)
    return complex(emf_v.sum())


def node_emf_v(
    vertices_m: ArrayLike, field_t: ArrayLike, *, frequency_hz: float, electric: ElectricField = ElectricField.AXIAL
) -> Complexes:
    """EMF that each rooftop current of a closed polygon meets.

    Parameters
    ----------
    vertices_m : array_like, shape (N, 3)
        Corners; the current of node n rises along the segment before it and falls along the one after. [m]
    field_t : array_like, shape (3,)
        Uniform magnetic field, peak phasors. [T]
    frequency_hz : float
        Frequency. [Hz]
    electric : ElectricField
        Which electric field.

    Returns
    -------
    ndarray, shape (N,)
        Integral of the electric field along the wire, weighted with the rooftop; exact. They add up to the EMF of the
        polygon. [V]
    """
    here = np.asarray(vertices_m, dtype=np.float64)
    step = np.roll(here, -1, axis=0) - here
    field = electric_field_v_per_m(here, field_t, frequency_hz=frequency_hz, electric=electric)
    along = np.roll(field, -1, axis=0)
    falling = np.sum((2 * field + along) * step, axis=-1) / 6
    rising = np.sum((field + 2 * along) * step, axis=-1) / 6
    return np.asarray(falling + np.roll(rising, 1))


def port_emf_v(
    network: PortNetwork,
    vertices_m: ArrayLike,
    field_t: ArrayLike,
    *,
    electric: ElectricField = ElectricField.AXIAL,
) -> Complexes:
    """EMF in series with the gaps of an array in a uniform field, at the network's middle frequency.

    Parameters
    ----------
    network : PortNetwork
        The wires.
    vertices_m : array_like, shape (N, 3)
        Nodes of all elements, one element after the other, as the network was solved with. [m]
    field_t : array_like, shape (3,)
        Uniform magnetic field, peak phasors. [T]
    electric : ElectricField
        Which electric field; it moves the currents of detuned elements by some per cent to tens of per cent.

    Returns
    -------
    ndarray, shape (P,)
        EMF in series with the port impedance, in the direction of the port currents: with loads Z the port currents are
        (Zp + Z)^-1 times it. The voltage across an open gap, which the circuits of :mod:`loopwright.circuits` are
        driven by, is its negative: what a current drives into the conductor falls across the gap. [V]

    Notes
    -----
    By reciprocity: the current at every node for 1 A in a port, the others open, times what the field induces there.
    It costs one product instead of another solution of the wires.
    """
    nodes_m = np.asarray(vertices_m, dtype=np.float64)
    owner = network.node_element
    if len(nodes_m) != len(owner):
        raise ValueError(f"{len(nodes_m)} vertices were given for {len(owner)} nodes of the network")
    induced = np.concatenate(
        [
            node_emf_v(nodes_m[owner == element], field_t, frequency_hz=network.frequency_hz, electric=electric)
            for element in np.unique(owner)
        ]
    )
    return np.asarray(network.node_current.T @ induced)
