"""From all gaps of all elements to one port per element.

An element's port is a break in series with its first gap: the capacitor of that gap and the element's other series
resistance stay in the loop. The other gaps are closed by their capacitors.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["ClosedGaps", "body_port_impedance_ohm", "close_gaps", "first_ports", "gap_loads_ohm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedGaps:
    """The array seen from its element ports.

    ``impedance_ohm`` (E, E) is the impedance between the element ports; ``port_current`` (P, E) is the current in
    every gap per unit current in one element port, the other element ports open.
    """

    impedance_ohm: NDArray[np.complex128]
    port_current: NDArray[np.complex128]


def first_ports(port_element: ArrayLike) -> NDArray[np.intp]:
    """Find the first gap of every element.

    Parameters
    ----------
    port_element : array_like of int, shape (P,)
        The element to which each port belongs, numbered from 0 without holes.

    Returns
    -------
    ndarray of int, shape (E,)
        Index of the first port of each element.

    Raises
    ------
    OutsideModelError
        If an element has no gap: a closed ring has no port.
    """
    owners = np.asarray(port_element)
    elements, first = np.unique(owners, return_index=True)
    if not np.array_equal(elements, np.arange(len(elements))):
        raise OutsideModelError(f"every element needs at least one gap; elements with gaps: {elements.tolist()}")
    return np.asarray(first, dtype=np.intp)


def body_port_impedance_ohm(
    body_impedance_ohm: NDArray[np.complexfloating], source_per_port_current: NDArray[np.complexfloating]
) -> NDArray[np.complex128]:
    """Impedance that the body adds between the gaps.

    Parameters
    ----------
    body_impedance_ohm : ndarray, shape (S, S)
        Reaction of the body per unit source, symmetric. [ohm]
    source_per_port_current : ndarray, shape (S, P)
        Amplitude of each source of the body's fields per unit port current, the other ports open. [A/A]

    Returns
    -------
    ndarray, shape (P, P)
        U^T Z U, without conjugate, as reciprocity asks. [ohm]

    Notes
    -----
    First order in the body's back-action on how the current is spread along a loop; the spread itself is that of the
    conductors in air.
    """
    u = np.asarray(source_per_port_current, dtype=np.complex128)
    z = np.asarray(body_impedance_ohm, dtype=np.complex128)
    return u.T @ ((z + z.T) / 2) @ u


def gap_loads_ohm(
    capacitor_ohm: NDArray[np.complexfloating],
    *,
    port_element: NDArray[np.integer],
    other_series_resistance_ohm: float,
) -> NDArray[np.complex128]:
    """Series impedance in every gap.

    Parameters
    ----------
    capacitor_ohm : ndarray, shape (..., E)
        Impedance of each element's capacitors, equal in all its gaps. [ohm]
    port_element : ndarray of int, shape (P,)
        The element to which each port belongs.
    other_series_resistance_ohm : float
        Further resistance of each element, placed in its first gap. [ohm]

    Returns
    -------
    ndarray, shape (..., P)
        Capacitor, plus the other resistance in first gaps. [ohm]
    """
    loads = np.array(np.asarray(capacitor_ohm)[..., port_element], dtype=np.complex128)
    loads[..., first_ports(port_element)] += other_series_resistance_ohm
    return loads


def close_gaps(
    impedance_ohm: NDArray[np.complexfloating],
    loads_ohm: NDArray[np.complexfloating],
    *,
    port_element: NDArray[np.integer],
) -> ClosedGaps:
    """Close every gap by its series impedance, leaving the element ports.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (..., P, P)
        Port impedance matrix, gaps open. [ohm]
    loads_ohm : ndarray, shape (..., P)
        Series impedance in each gap. [ohm]
    port_element : ndarray of int, shape (P,)
        The element to which each port belongs.

    Returns
    -------
    ClosedGaps
        Impedance (..., E, E) [ohm] and gap currents (..., P, E) [A/A]: the Schur complement on the first gaps, equal
        to the inverse of the first-gap block of (Z + Z_load)^-1.
    """
    kept = first_ports(port_element)
    closed = np.setdiff1d(np.arange(len(port_element)), kept)
    loop = np.array(impedance_ohm, dtype=np.complex128)
    diagonal = np.arange(len(port_element))
    loop[..., diagonal, diagonal] += loads_ohm
    rows = loop[..., closed, :]
    inner = -np.linalg.solve(rows[..., closed], rows[..., kept])
    port_current = np.zeros((*loop.shape[:-1], len(kept)), dtype=np.complex128)
    port_current[..., kept, np.arange(len(kept))] = 1
    port_current[..., closed, :] = inner
    return ClosedGaps(impedance_ohm=loop[..., kept, :] @ port_current, port_current=port_current)
