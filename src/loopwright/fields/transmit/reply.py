r"""The body in the transmit field, array in place: one solution from which every state of the array is recombined.

Rows are the array's sources, per unit of each with all other gaps open, and after them the transmit field per tesla
with ALL gaps open. A state with port currents I has the amplitudes x = (S I, 1): any field of it is the sum of x times
that of the rows.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright.bodies import Body, VoxelGrid
from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.currents import solved_currents
from loopwright.fields.body.faces import CurrentFaces, FaceRule
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import (
    VolumeProblem,
    noise_resistance_ohm,
    reaction_impedance_ohm,
    reply_magnetic_field_in_t,
    volume_problem,
)
from loopwright.fields.body.sources import WireSources, impressed_rows_v_per_m, incident_magnetic_field_t
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit.open_currents import OpenArray
from loopwright.fields.transmit.source import TransmitSource
from loopwright.ground.device import Device
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import PieceStore, Progress

__all__ = ["RowsInBody", "TransmitReply", "transmit_reply"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class RowsInBody:
    """Fields in the body, one row for each of S sources of the array and a last one for the transmit field.

    Units are per ampere for the sources, per tesla of peak B1+ for the last row.

    Attributes
    ----------
    grid : VoxelGrid
        Grid of the solution.
    voxels : ndarray of bool, shape (nx, ny, nz)
        Those that hold body, V in all.
    faces : CurrentFaces
        Faces that carry current, F in all.
    current_v_per_m : ndarray, shape (S + 1, F)
        Currents j = J/(j w eps0) on the faces. [V/m]
    magnetic_field_t : ndarray, shape (S + 1, 3, V)
        Total field at the centres of the voxels, in the order of the grid. [T]
    absorption_ohm : ndarray, shape (S + 1, S + 1)
        Hermitian matrix A of integral sigma E_i^* E_j dV: amplitudes x absorb x^H A x / 2. [ohm]
    reaction_ohm : ndarray, shape (S + 1, S + 1)
        -integral E_inc,i . J_j dV: symmetric to the error of the solution. [ohm]
    products : ndarray, shape (S + 1,)
        Products with the operator that each row took.
    relative_residuals : ndarray, shape (S + 1,)
    """

    grid: VoxelGrid
    voxels: NDArray[np.bool_]
    faces: CurrentFaces
    current_v_per_m: NDArray[np.complex64]
    magnetic_field_t: NDArray[np.complex64]
    absorption_ohm: Complexes
    reaction_ohm: Complexes
    products: NDArray[np.int64]
    relative_residuals: NDArray[np.float64]

    @property
    def asymmetry(self) -> float:
        """Largest difference of a reaction from its reverse, over the geometric mean of what the two rows absorb.

        A rotating field's reaction with itself may vanish; what it absorbs does not, unless the body has no loss.
        """
        size = np.sqrt(np.diag(self.absorption_ohm).real)
        return float(np.max(np.abs(self.reaction_ohm - self.reaction_ohm.T) / np.outer(size, size)))


@dataclass(frozen=True, slots=True, kw_only=True)
class TransmitReply:
    """What a transmit field does in body and array.

    Attributes
    ----------
    source_name : str
        What transmits.
    limits : tuple of str
        Where field and solution end.
    frequency_hz : float
        [Hz]
    sense : Precession
        Sense of precession of the spins.
    array : OpenArray or None
        None without array.
    body : RowsInBody or None
        None without body.
    """

    source_name: str
    limits: tuple[str, ...]
    frequency_hz: float
    sense: Precession
    array: OpenArray | None
    body: RowsInBody | None

    @property
    def source_per_port_current(self) -> Complexes:
        """Amplitude of every source of the array per current in one port, shape (S, P). [A/A]"""
        if self.array is None:
            return np.zeros((0, 0), dtype=np.complex128)
        return self.array.sources.source_per_port_current

    @property
    def scattered_v_per_t(self) -> Complexes:
        """What the body's currents put across the open gaps, shape (P,). [V/T]"""
        ports = self.source_per_port_current
        if self.body is None:
            return np.zeros(ports.shape[1], dtype=np.complex128)
        return np.asarray(ports.T @ self.body.reaction_ohm[:-1, -1])

    @property
    def open_v_per_t(self) -> Complexes:
        """Voltages across the open gaps, from the transmit field and scattered by the body, shape (P,). [V/T]"""
        direct = 0 if self.array is None else self.array.open_v_per_t
        return direct + self.scattered_v_per_t

    @property
    def added_impedance_ohm(self) -> Complexes:
        """Impedance that the body adds between the ports, shape (P, P). [ohm]"""
        ports = self.source_per_port_current
        if self.body is None:
            return np.zeros((ports.shape[1],) * 2, dtype=np.complex128)
        return np.asarray(ports.T @ self.body.reaction_ohm[:-1, :-1] @ ports)


def transmit_reply(
    body: Body | None,
    source: TransmitSource,
    *,
    array: OpenArray | None,
    face_rule: FaceRule = FaceRule.AREA_MEAN,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> TransmitReply:
    """Solve a body in the transmit field, together with what an array adds.

    Parameters
    ----------
    body : Body or None
        Voxels and tissues, at the frequency of the field; None for the array alone.
    source : TransmitSource
        What transmits.
    array : OpenArray or None
        The array in the field of this source; None for the body alone.
    face_rule : FaceRule
        Permittivity of the faces inside the body.
    relative_residual : float
        Tolerance of the iterative solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Finished batches are kept here and found again; those of the array's sources by themselves, too.
    device : Device
        Where the solution is computed.

    Raises
    ------
    OutsideModelError
        If body and field are not at one frequency.
    DeviceError
        When the device is not there.
    NotConvergedError
        When the iteration stops short of its tolerance.

    Notes
    -----
    All is in to first order in the impedance that the body adds between the wires' nodes: left out is how the body
    itself changes the spread of currents while the gaps are open, for the array's sources as for the transmit row.
    Two loops of 30 mm, 9 mm and more from a ball of muscle at 128 MHz, against wires and body solved as one: port
    currents are good to 1e-3 behind a megohm and to 2e-5 where the loops resonate; the currents that are left along
    the wires of blocked loops miss up to 9 % of the largest of them.
    """
    reply = TransmitReply(
        source_name=source.name,
        limits=(*source.limits, *(_LIMITS if body is not None and array is not None else ())),
        frequency_hz=source.frequency_hz,
        sense=source.sense,
        array=array,
        body=None,
    )
    if body is None:
        return reply
    if not np.isclose(body.frequency_hz, source.frequency_hz, rtol=1e-9):
        raise OutsideModelError(
            f"the body's tissues are those at {body.frequency_hz:.6g} Hz, but the transmit field is at "
            f"{source.frequency_hz:.6g} Hz"
        )
    with threadpool_limits(limits=1, user_api="blas"):
        problem = volume_problem(faces_of(body, face_rule), array_library(device))
        impressed = _impressed_v_per_m(problem.faces, source, array)
        solved = solved_currents(
            problem, impressed, relative_residual=relative_residual, progress=progress, store=store
        )
        wide = solved.currents_v_per_m.astype(np.complex128)
        rows = RowsInBody(
            grid=body.grid,
            voxels=body.voxel_cover() > 0,
            faces=problem.faces,
            current_v_per_m=solved.currents_v_per_m,
            magnetic_field_t=_magnetic_field_t(problem, body, solved.currents_v_per_m, source, array),
            absorption_ohm=noise_resistance_ohm(problem, wide).conj(),
            reaction_ohm=reaction_impedance_ohm(problem, impressed.astype(np.complex128), wide),
            products=solved.products,
            relative_residuals=solved.relative_residuals,
        )
    return replace(reply, body=rows)


def _impressed_v_per_m(faces: CurrentFaces, source: TransmitSource, array: OpenArray | None) -> NDArray[np.complex64]:
    """Normal component on the faces of what meets the body, row by row, shape (S + 1, F). [V/m]

    The last row is the transmit field and what the array's currents with open gaps add to it.
    """
    along = source.electric_v_per_m_per_t(faces.centres_m())[np.arange(len(faces.index)), faces.families()]
    if array is None:
        return along[None].astype(np.complex64)
    rows = impressed_rows_v_per_m(faces, _with_open_currents(array))
    rows[-1] += along.astype(np.complex64)
    return rows


def _magnetic_field_t(
    problem: VolumeProblem,
    body: Body,
    currents: NDArray[np.complex64],
    source: TransmitSource,
    array: OpenArray | None,
) -> NDArray[np.complex64]:
    """Total field of every row at the centres of voxels that hold body, shape (S + 1, 3, V). [T]"""
    inside = body.voxel_cover() > 0
    points = body.grid.centre_points_m()[inside]
    total = reply_magnetic_field_in_t(problem, currents, inside)
    if array is not None:
        total += incident_magnetic_field_t(points, _with_open_currents(array), source.frequency_hz)
    total[-1] += source.magnetic_t_per_t(points).T.astype(np.complex64)
    return total


def _with_open_currents(array: OpenArray) -> WireSources:
    """The array's sources, and as a last one its currents with open gaps."""
    columns = np.concatenate([array.sources.node_current, array.open_current_a_per_t[:, None]], axis=1)
    return replace(array.sources, node_current=columns)


_LIMITS = (
    (
        "How the body changes the spread of currents along wires while all gaps are open is left out: of the small "
        "currents along an element whose gaps all block, up to a tenth; of currents through gaps, a thousandth."
    ),
)
