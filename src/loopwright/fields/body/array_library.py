"""Where the arrays of the body's solution live, and the few operations that each place has its own best way for."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.reply_product import Reply, reply_at_a_point, reply_in_a_loop, reply_on_arrays
from loopwright.fields.body.static_solution import static_solution
from loopwright.fields.body.transforms import (
    ColumnTransforms,
    LibraryLeaves,
    PlannedLeaves,
    Transforms,
    WholeTransforms,
)
from loopwright.ground.device import Device
from loopwright.ground.errors import DeviceError

Array = Any

# Share of the free memory that batches may fill; the rest is for the magnetic fields and the transforms' own work.
_SHARE_OF_MEMORY = 0.8

# Terms of a scalar product that are summed in single precision before they join the others in double: one long sum,
# term after term, loses the orthogonality on which GMRES rests (seen with 380 000 terms, on both kinds of processor).
_SUMMED_AT_ONCE = 4096

# At the same residual preconditioned currents have up to eight times the error in power (7e-4 at a residual of 1e-3, in
# skin, fat and muscle); at a third of it they are as good as the others, for one product more.
_STOP_PRECONDITIONED_AT = 0.3

#: Takes rows and returns, row by row, what nearly solves the equation for them.
Nearly = Callable[[Array], Array]

#: conj(block) . vectors for a block (rows, vectors, n) and vectors (rows, n), shape (rows, vectors).
Overlaps = Callable[[Array, Array], Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayLibrary:
    """One place for arrays.

    ``namespace`` has numpy's interface; ``reply`` applies the operator to lines of the spectrum and may overwrite
    them; ``nearly_solved`` prepares GMRES's preconditioner for a body, and ``stop_at`` is the part of the tolerance at
    which rows stop with it; ``memory_b`` is the memory that batches may fill [B], None where a row at a time is best,
    each in its thread.
    """

    namespace: Any
    transforms: Transforms
    overlaps: Overlaps
    reply: Reply
    nearly_solved: Callable[[CurrentFaces], Nearly]
    stop_at: float
    memory_b: int | None


def _overlaps_in_stretches(block: Array, vectors: Array) -> Array:
    """By matrix products; only the vectors are conjugated, the block may be large."""
    conjugate = vectors.conj()[:, :, None]
    starts = range(0, vectors.shape[1], _SUMMED_AT_ONCE)
    cuts = [slice(start, start + _SUMMED_AT_ONCE) for start in starts]
    return sum((block[:, :, cut] @ conjugate[:, cut])[:, :, 0].astype(np.complex128) for cut in cuts).conj()


def as_they_stand(rows: Array) -> Array:
    """No preconditioner."""
    return rows


def _without_sweeps(_faces: CurrentFaces) -> Nearly:
    """The static solution's sweeps run through the voxels one by one, which a GPU cannot."""
    return as_they_stand


def processor_library() -> ArrayLibrary:
    """NumPy and SciPy, row by row."""
    return ArrayLibrary(
        namespace=np,
        transforms=ColumnTransforms(),
        overlaps=_overlaps_in_stretches,
        reply=reply_in_a_loop,
        nearly_solved=static_solution,
        stop_at=_STOP_PRECONDITIONED_AT,
        memory_b=None,
    )


def plain_library(namespace: Any, *, memory_b: int) -> ArrayLibrary:
    """Any array library by its own means, in batches: what the GPU does, without its compiled pieces."""
    return ArrayLibrary(
        namespace=namespace,
        transforms=WholeTransforms(namespace=namespace, leaves=LibraryLeaves(namespace=namespace)),
        overlaps=_overlaps_in_stretches,
        reply=reply_on_arrays(reply_at_a_point),
        nearly_solved=_without_sweeps,
        stop_at=1.0,
        memory_b=memory_b,
    )


def _graphics_library() -> ArrayLibrary:
    """CuPy; the same source, with planned transforms, a fused product and a reduction for overlaps."""
    cupy = _cupy()
    # adds in pairs, as the library's matrix product does not
    dot = cupy.ReductionKernel("T x, T y", "T z", "conj(x) * y", "a + b", "z = a", "0", "overlaps")
    return ArrayLibrary(
        namespace=cupy,
        transforms=WholeTransforms(namespace=cupy, leaves=PlannedLeaves(cufft=cupy.cuda.cufft)),
        overlaps=lambda block, vectors: dot(block, vectors[:, None, :], axis=2),
        reply=reply_on_arrays(cupy.fuse(reply_at_a_point)),
        nearly_solved=_without_sweeps,
        stop_at=1.0,
        memory_b=int(_SHARE_OF_MEMORY * (cupy.cuda.Device().mem_info[0] + cupy.get_default_memory_pool().free_bytes())),
    )


def _cupy() -> Any:
    """CuPy with a GPU that answers."""
    try:
        import cupy  # noqa: PLC0415 - a dependency of those with a GPU only
    except ImportError as error:
        raise DeviceError(
            "--device gpu needs CuPy, which is not installed. "
            "Remedy: in the folder of the source, .venv/bin/pip install -e '.[gpu]'; or --device cpu."
        ) from error
    try:
        cupy.cuda.Device().compute_capability  # noqa: B018 - asks the driver
    except cupy.cuda.runtime.CUDARuntimeError as error:
        raise DeviceError(
            f"--device gpu found no GPU that answers ({error}). Remedy: look at the driver, or --device cpu."
        ) from error
    return cupy


def array_library(device: Device) -> ArrayLibrary:
    """Array library of a device.

    Raises
    ------
    DeviceError
        When CuPy or a GPU is missing.
    """
    match device:
        case Device.CPU:
            return processor_library()
        case Device.GPU:
            return _graphics_library()


def to_host(array: Array) -> NDArray[Any]:
    """Bring an array to the processor's memory."""
    return np.asarray(array.get() if hasattr(array, "get") else array)
