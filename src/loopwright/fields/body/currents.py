"""Currents that impressed fields drive in the body, batch by batch, kept in a store as finished pieces."""

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright import __version__
from loopwright.fields.body.solver import VolumeProblem, reply_currents
from loopwright.ground.progress import PieceStore, Progress

#: Fields solved together and stored as one piece; fixed, so that a resumed run meets the same pieces.
FIELDS_TOGETHER = 4

# Part of every piece's key: raised whenever the same inputs would give other currents.
_CURRENTS_OF = f"body currents 2, loopwright {__version__}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvedCurrents:
    """Currents j = J/(j w eps0) that impressed fields drive on the current faces, one row for each field. [V/m]"""

    currents_v_per_m: NDArray[np.complex64]
    products: NDArray[np.int64]
    relative_residuals: NDArray[np.float64]


def solved_currents(
    problem: VolumeProblem,
    impressed_v_per_m: NDArray[np.complex64],
    *,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
) -> SolvedCurrents:
    """Solve for every impressed field, from the store where it has the piece.

    Parameters
    ----------
    problem : VolumeProblem
        Body, grid and frequency.
    impressed_v_per_m : ndarray, shape (rows, faces)
        Normal component of each impressed field on the current faces. [V/m]
    relative_residual : float
        Tolerance of the iterative solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Finished batches are kept here and found again.

    Raises
    ------
    NotConvergedError
        When the iteration stops short of its tolerance.
    """
    operator = _operator_key(problem, relative_residual)
    progress.begin("fields in the body", len(impressed_v_per_m))
    pieces = []
    for start in range(0, len(impressed_v_per_m), FIELDS_TOGETHER):
        batch = impressed_v_per_m[start : start + FIELDS_TOGETHER]
        pieces.append(_piece(problem, batch, operator, relative_residual, store))
        progress.advance(len(batch))
    return SolvedCurrents(
        currents_v_per_m=np.concatenate([piece["currents_v_per_m"] for piece in pieces]),
        products=np.concatenate([piece["products"] for piece in pieces]),
        relative_residuals=np.concatenate([piece["relative_residuals"] for piece in pieces]),
    )


def _piece(
    problem: VolumeProblem,
    batch: NDArray[np.complex64],
    operator: bytes,
    relative_residual: float,
    store: PieceStore,
) -> dict[str, NDArray[np.generic]]:
    """One batch, from the store or solved and kept there."""
    key = _digest(operator, np.ascontiguousarray(batch).tobytes())
    found = store.load(key)
    if found is not None:
        return dict(found)
    solution = reply_currents(problem, batch, relative_residual=relative_residual, on_product=lambda _count: None)
    piece = {
        "currents_v_per_m": solution.solutions,
        "products": solution.products,
        "relative_residuals": solution.relative_residuals,
    }
    store.save(key, piece)
    return piece


def _operator_key(problem: VolumeProblem, relative_residual: float) -> bytes:
    """Digest of everything that the operator and the tolerance depend on."""
    faces = problem.faces
    numbers = np.array([*faces.origin_m, faces.spacing_m, faces.frequency_hz, relative_residual])
    parts = (faces.index.tobytes(), faces.permittivity.tobytes(), np.array(faces.face_shape).tobytes())
    return _digest(_CURRENTS_OF.encode(), numbers.tobytes(), *parts).encode()


def _digest(*parts: bytes) -> str:
    digest = hashlib.sha256()
    for part in parts:
        digest.update(len(part).to_bytes(8, "little"))
        digest.update(part)
    return digest.hexdigest()
