"""Fields and power of any states of the array, recombined from one solution, few states in memory at a time."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.bodies import Body
from loopwright.fields.body.voxel_fields import electric_field_at_voxels
from loopwright.fields.rotating import transmit_component
from loopwright.fields.transmit.reply import RowsInBody, TransmitReply
from loopwright.ground.errors import OutsideModelError

__all__ = ["absorbed_power_w", "amplitudes", "b1_plus_by_case_t", "electric_field_by_case_v_per_m"]

Complexes = NDArray[np.complex128]

# Numbers of one result that are held at once: some tens of megabytes.
_HELD = 4_000_000


def amplitudes(reply: TransmitReply, port_current_a_per_t: ArrayLike) -> Complexes:
    """Amplitudes of the rows of a reply for currents in the ports.

    Parameters
    ----------
    reply : TransmitReply
        Body and array in the field.
    port_current_a_per_t : array_like, shape (cases, P)
        Currents in the ports; P is nought without array. [A/T]

    Returns
    -------
    ndarray, shape (cases, S + 1)
        The array's sources, and one for the transmit field: all per tesla of peak B1+ of the unloaded resonator.
    """
    ports = np.asarray(port_current_a_per_t, dtype=np.complex128)
    return np.concatenate([ports @ reply.source_per_port_current.T, np.ones((len(ports), 1))], axis=1)


def absorbed_power_w(reply: TransmitReply, amplitude: ArrayLike) -> NDArray[np.float64]:
    """Power that the body absorbs, mean over a period.

    Parameters
    ----------
    reply : TransmitReply
        With a body.
    amplitude : array_like, shape (cases, S + 1)
        Peak amplitudes of the rows, scaled to a field or per tesla.

    Returns
    -------
    ndarray, shape (cases,)
        x^H A x / 2. [W]
    """
    x = np.asarray(amplitude, dtype=np.complex128)
    return np.asarray(np.einsum("ci,ci->c", x.conj(), x @ _rows(reply).absorption_ohm.T).real / 2)


def b1_plus_by_case_t(reply: TransmitReply, amplitude: ArrayLike) -> Iterator[NDArray[np.complex64]]:
    """B1+ in the voxels of the body, case after case.

    Parameters
    ----------
    reply : TransmitReply
        With a body.
    amplitude : array_like, shape (cases, S + 1)
        Peak amplitudes of the rows, scaled to a field or per tesla.

    Yields
    ------
    ndarray, shape (V,)
        Peak phasor at the centres of ``reply.body.voxels``, in the order of the grid. [T]
    """
    field = _rows(reply).magnetic_field_t
    rows = transmit_component(field[:, 0], field[:, 1], sense=reply.sense)
    x = np.asarray(amplitude).astype(np.complex64)
    for some in _batches(len(x), rows.shape[1]):
        yield from x[some] @ rows


def electric_field_by_case_v_per_m(
    reply: TransmitReply, body: Body, amplitude: ArrayLike
) -> Iterator[NDArray[np.complex64]]:
    """Electric field in the voxels of the body, case after case.

    Parameters
    ----------
    reply : TransmitReply
        With a body.
    body : Body
        That body.
    amplitude : array_like, shape (cases, S + 1)
        Peak amplitudes of the rows, scaled to a field or per tesla.

    Yields
    ------
    ndarray, shape (3, V)
        Peak phasors in ``reply.body.voxels``, in the order of the grid. [V/m]

    Notes
    -----
    Good for means over some voxels, not for the peak in one: see
    :func:`~loopwright.fields.body.voxel_fields.electric_field_at_voxels`.
    """
    rows = _rows(reply)
    x = np.asarray(amplitude).astype(np.complex64)
    per_row = 1 / (rows.faces.permittivity - 1)
    for some in _batches(len(x), 3 * rows.voxels.size):
        on_faces = (x[some] @ rows.current_v_per_m) * per_row
        for field in electric_field_at_voxels(body, rows.faces, on_faces):
            yield field[:, rows.voxels]


def _rows(reply: TransmitReply) -> RowsInBody:
    if reply.body is None:
        raise OutsideModelError("fields and power in the body were asked for, but the reply was computed without one")
    return reply.body


def _batches(cases: int, numbers: int) -> Iterator[slice]:
    """Slices of cases of which so many numbers each may be held at once."""
    together = max(1, _HELD // max(1, numbers))
    for start in range(0, cases, together):
        yield slice(start, start + together)
