"""Currents that impressed fields drive in the body, solved in batches, kept in a store as finished pieces of four."""

import hashlib
from dataclasses import dataclass

import numpy as np
from numba import get_num_threads
from numpy.typing import NDArray

from loopwright import __version__
from loopwright.fields.body.solver import VolumeProblem, reply_currents
from loopwright.ground.progress import PieceStore, Progress

#: Fields stored as one piece; fixed, so that a resumed run meets the same pieces, whichever device made them.
FIELDS_TOGETHER = 4

# Part of every piece's key: raised whenever the same inputs would give other currents.
_CURRENTS_OF = f"body currents 4, loopwright {__version__}"


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
    slices = [slice(start, start + FIELDS_TOGETHER) for start in range(0, len(impressed_v_per_m), FIELDS_TOGETHER)]
    keys = [_digest(operator, np.ascontiguousarray(impressed_v_per_m[rows]).tobytes()) for rows in slices]
    found = [store.load(key) for key in keys]
    missing = [number for number, piece in enumerate(found) if piece is None]
    progress.advance(sum(len(piece["products"]) for piece in found if piece is not None))
    together = max(1, max(problem.rows_together, get_num_threads()) // FIELDS_TOGETHER)
    for start in range(0, len(missing), together):
        numbers = missing[start : start + together]
        batch = [impressed_v_per_m[slices[number]] for number in numbers]
        for number, piece in zip(numbers, _solved(problem, batch, relative_residual), strict=True):
            found[number] = piece
            store.save(keys[number], piece)
        progress.advance(sum(len(part) for part in batch))
    pieces = [piece for piece in found if piece is not None]
    return SolvedCurrents(
        currents_v_per_m=np.concatenate([piece["currents_v_per_m"] for piece in pieces]),
        products=np.concatenate([piece["products"] for piece in pieces]),
        relative_residuals=np.concatenate([piece["relative_residuals"] for piece in pieces]),
    )


def _solved(
    problem: VolumeProblem, parts: list[NDArray[np.complex64]], relative_residual: float
) -> list[dict[str, NDArray[np.generic]]]:
    """Solve all parts at once, and cut the solution into pieces again."""
    solution = reply_currents(
        problem, np.concatenate(parts), relative_residual=relative_residual, on_product=lambda _count: None
    )
    cuts = np.cumsum([len(part) for part in parts])[:-1]
    columns = (solution.solutions, solution.products, solution.relative_residuals)
    names = ("currents_v_per_m", "products", "relative_residuals")
    return [
        dict(zip(names, piece, strict=True))
        for piece in zip(*(np.split(column, cuts) for column in columns), strict=True)
    ]


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
