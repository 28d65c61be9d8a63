"""Where the arrays of the body's solution live, and the few operations that each place has its own best way for."""

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.reply_product import Reply, reply_at_a_point, reply_in_a_loop, reply_on_arrays
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

# Terms of a scalar product that a processor may sum in single precision before they join the others in double.
_SUMMED_AT_ONCE = 4096
_ALL = 2**62


class VectorAlgebra(Protocol):
    """What GMRES does with a block of its space, shape (rows, vectors, n), all rows at once."""

    def overlaps(self, block: Array, vectors: Array) -> Array:
        """conj(block) . vectors, shape (rows, vectors), for vectors of shape (rows, n)."""

    def combination(self, weights: Array, block: Array) -> Array:
        """Sum of the block's vectors by weights (rows, vectors), shape (rows, n)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayLibrary:
    """One place for arrays.

    ``namespace`` has numpy's interface; ``reply`` applies the operator to lines of the spectrum and may overwrite
    them; ``memory_b`` is the memory that batches may fill [B], None where a row at a time is best, each in its thread.
    """

    namespace: Any
    transforms: Transforms
    algebra: VectorAlgebra
    reply: Reply
    memory_b: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductAlgebra:
    """By the matrix products of any array library.

    ``summed_at_once`` terms of a scalar product are left to the library, in single precision; such parts are added in
    double. A processor adds one term after the other: long sums lose the orthogonality on which GMRES rests.
    """

    namespace: Any
    summed_at_once: int

    def overlaps(self, block: Array, vectors: Array) -> Array:
        """conj(block) . vectors; only the vectors are conjugated, the block may be large."""
        xp, step = self.namespace, self.summed_at_once
        conjugate = xp.conj(vectors)[:, :, None]
        cuts = [slice(start, start + step) for start in range(0, vectors.shape[1], step)]
        return xp.conj(sum((block[:, :, cut] @ conjugate[:, cut])[:, :, 0].astype(np.complex128) for cut in cuts))

    def combination(self, weights: Array, block: Array) -> Array:
        """Sum of the block's vectors by weights."""
        return (weights[:, None, :] @ block)[:, 0, :]


def processor_library() -> ArrayLibrary:
    """NumPy and SciPy, row by row."""
    return ArrayLibrary(
        namespace=np,
        transforms=ColumnTransforms(),
        algebra=ProductAlgebra(namespace=np, summed_at_once=_SUMMED_AT_ONCE),
        reply=reply_in_a_loop,
        memory_b=None,
    )


def plain_library(namespace: Any, *, memory_b: int) -> ArrayLibrary:
    """Any array library by its own means, in batches: what the GPU does, without its compiled pieces."""
    return ArrayLibrary(
        namespace=namespace,
        transforms=WholeTransforms(namespace=namespace, leaves=LibraryLeaves(namespace=namespace)),
        algebra=ProductAlgebra(namespace=namespace, summed_at_once=_ALL),
        reply=reply_on_arrays(reply_at_a_point),
        memory_b=memory_b,
    )


def _graphics_library() -> ArrayLibrary:
    """CuPy; the same source, with planned transforms and a fused product."""
    cupy = _cupy()
    return ArrayLibrary(
        namespace=cupy,
        transforms=WholeTransforms(namespace=cupy, leaves=PlannedLeaves(cufft=cupy.cuda.cufft)),
        algebra=ProductAlgebra(namespace=cupy, summed_at_once=_ALL),
        reply=reply_on_arrays(cupy.fuse(reply_at_a_point)),
        memory_b=int(_SHARE_OF_MEMORY * (cupy.cuda.Device().mem_info[0] + cupy.get_default_memory_pool().free_bytes())),
    )


def _cupy() -> Any:
    """CuPy with a GPU that answers."""
    try:
        import cupy  # noqa: PLC0415 - a dependency of those with a GPU only
    except ImportError as error:
        raise DeviceError(
            "--device gpu needs CuPy, which is not installed. Remedy: pip install 'loopwright[gpu]', or --device cpu."
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
