r"""What a uniform transmit field induces along the wires of an array, segment by segment and at its gaps.

A uniform transverse B does not say which electric field goes with it: any with the curl :math:`-j\omega B` will do,
and a closed loop cannot tell. The charges at its gaps, and open wires, can.
"""

from enum import Enum
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.fields import PortNetwork
from loopwright.fields.rotating import Precession

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


class ElectricField(Enum):
    """Electric field that goes with a uniform transverse magnetic field, both without curl beyond it.

    ``AXIAL`` is along z only, as in the middle of a long resonator, and agrees with what cables see. ``SYMMETRIC`` is
    -j omega B x r / 2, which grows alike in all directions from the origin.
    """

    AXIAL = "along z, as in a long resonator"
    SYMMETRIC = "half of B x r about the origin"


def rotating_field_t(b1_plus_t: ArrayLike, *, sense: Precession = Precession.CLOCKWISE) -> Complexes:
    """Uniform field that is nothing but B1+.

    Parameters
    ----------
    b1_plus_t : array_like, shape (...)
        Peak amplitude of B1+. [T]
    sense : Precession
        Sense of precession of the spins.

    Returns
    -------
    ndarray, shape (..., 3)
        Peak phasors of Bx, By, Bz: B1+ (1, +-j, 0). Its component in any transverse direction has the amplitude B1+.
        [T]
    """
    return np.asarray(np.asarray(b1_plus_t)[..., None] * np.array([1, 1j * sense, 0]), dtype=np.complex128)


def electric_field_v_per_m(
    points_m: ArrayLike, field_t: ArrayLike, *, frequency_hz: float, electric: ElectricField
) -> Complexes:
    """Electric field of a uniform transverse magnetic field.

    Parameters
    ----------
    points_m : array_like, shape (..., 3)
        Places in the body frame, from the axis of the transmit coil. [m]
    field_t : array_like, shape (3,)
        Peak phasors of the field; Bz has to be zero for an axial electric field. [T]
    frequency_hz : float
        Frequency. [Hz]
    electric : ElectricField
        Which of the possible fields.

    Returns
    -------
    ndarray, shape (..., 3)
        Peak phasors, curl E = -j omega B. [V/m]

    Raises
    ------
    ValueError
        For an axial electric field with Bz.
    """
    r, b = np.asarray(points_m, dtype=np.float64), np.asarray(field_t, dtype=np.complex128)
    w = 2 * pi * frequency_hz
    match electric:
        case ElectricField.SYMMETRIC:
            return np.asarray(-0.5j * w * np.cross(b, r))
        case ElectricField.AXIAL:
            if b[2] != 0:
                raise ValueError("an electric field along z goes with no Bz; take ElectricField.SYMMETRIC")
            along_z = -1j * w * (b[0] * r[..., 1] - b[1] * r[..., 0])
            return np.asarray(along_z[..., None] * np.array([0, 0, 1]))


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
