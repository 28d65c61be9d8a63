"""Where the power goes: the resistance matrix of the element ports, split by mechanism.

All matrices stand in the order of the noise covariance, R_ij ~ integral of sigma E_i E_j*, with the conjugate on the
second index. (Power dissipated by currents i is 1/2 sum_ij R_ij i_i i_j*.)
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.element_ports import body_port_impedance_ohm

__all__ = ["Resistances", "port_resistances", "refer_resistances"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistances:
    """Hermitian resistance matrices (E, E) by mechanism, in the order of the noise covariance. [ohm]

    ``radiation_ohm`` holds the radiation of the bare conductors and the CHANGE that the body makes to it, so it may be
    smaller than in air, and even negative where the bare value is small.
    """

    body_ohm: NDArray[np.complex128]
    conductor_ohm: NDArray[np.complex128]
    capacitor_ohm: NDArray[np.complex128]
    other_ohm: NDArray[np.complex128]
    radiation_ohm: NDArray[np.complex128]

    @property
    def coil_ohm(self) -> NDArray[np.complex128]:
        """Conductors, capacitors and other parts together (E, E). [ohm]"""
        return self.conductor_ohm + self.capacitor_ohm + self.other_ohm

    @property
    def total_ohm(self) -> NDArray[np.complex128]:
        """All mechanisms together (E, E): the Hermitian part of the impedance. [ohm]"""
        return self.body_ohm + self.coil_ohm + self.radiation_ohm


def _hermitian(matrix: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    return np.asarray((matrix + matrix.conj().T) / 2, dtype=np.complex128)


def _form(matrix: NDArray[np.number], current: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """Quadratic form I^T M I*, in the order of the noise covariance."""
    return _hermitian(current.T @ matrix @ current.conj())


def port_resistances(
    *,
    node_current: NDArray[np.complexfloating],
    loss_matrix_ohm: NDArray[np.floating],
    radiation_matrix_ohm: NDArray[np.floating],
    source_per_port_current: NDArray[np.complexfloating],
    body_impedance_ohm: NDArray[np.complexfloating],
    body_noise_resistance_ohm: NDArray[np.complexfloating],
) -> Resistances:
    """Split the resistance between the open gaps by mechanism.

    Parameters
    ----------
    node_current : ndarray, shape (N, P)
        Current at every node per unit port current, the other ports open. [A/A]
    loss_matrix_ohm : ndarray, shape (N, N)
        Conductor loss as a quadratic form of the node currents, real symmetric. [ohm]
    radiation_matrix_ohm : ndarray, shape (N, N)
        Real part of the lossless conductors' impedance matrix, real symmetric. [ohm]
    source_per_port_current : ndarray, shape (S, P)
        Amplitude of each source of the body's fields per unit port current. [A/A]
    body_impedance_ohm : ndarray, shape (S, S)
        Reaction of the body per unit source, symmetric. [ohm]
    body_noise_resistance_ohm : ndarray, shape (S, S)
        Power absorbed in the body, integral of sigma E_i E_j* per unit sources, Hermitian. [ohm]

    Returns
    -------
    Resistances
        Matrices (P, P) [ohm]; ``capacitor_ohm`` and ``other_ohm`` are zero while the gaps stay open.

    Notes
    -----
    The real part of the body's reaction less the absorbed power is the change of radiated power; it is booked under
    radiation, so that the sum is the real part of the port impedance whatever the mechanism.
    """
    body = _form(_hermitian(body_noise_resistance_ohm), np.asarray(source_per_port_current, dtype=np.complex128))
    reaction = body_port_impedance_ohm(body_impedance_ohm, source_per_port_current).real
    none = np.zeros_like(body)
    return Resistances(
        body_ohm=body,
        conductor_ohm=_form(loss_matrix_ohm, node_current),
        capacitor_ohm=none,
        other_ohm=none,
        radiation_ohm=_form(radiation_matrix_ohm, node_current) + reaction - body,
    )


def refer_resistances(
    ports: Resistances,
    port_current: NDArray[np.complex128],
    *,
    capacitor_ohm: NDArray[np.floating],
    other_ohm: NDArray[np.floating],
) -> Resistances:
    """Refer the resistances of the gaps, and of what closes them, to the element ports.

    Parameters
    ----------
    ports : Resistances
        Matrices (P, P) between the open gaps. [ohm]
    port_current : ndarray, shape (P, E)
        Gap currents per unit element-port current, the other element ports open. [A/A]
    capacitor_ohm, other_ohm : ndarray, shape (P,)
        Series resistance of the capacitor, and of other parts, in each gap. [ohm]

    Returns
    -------
    Resistances
        Matrices (E, E). [ohm]
    """
    w = port_current
    return Resistances(
        body_ohm=_form(ports.body_ohm, w),
        conductor_ohm=_form(ports.conductor_ohm, w),
        capacitor_ohm=_form(np.diag(capacitor_ohm), w),
        other_ohm=_form(np.diag(other_ohm), w),
        radiation_ohm=_form(ports.radiation_ohm, w),
    )
