"""How long one product with the body's operator takes beside the transforms alone, and how a solve grows with voxels.

Ratios in one run; seconds are of this machine only. Usage: python benchmarks/body_products.py
"""

import time
from collections.abc import Callable

import numpy as np
import scipy.fft

from loopwright.fields.body.convolution import convolve, reply_multiplier, spectral_kernel

FREQUENCY_WAVENUMBER_PER_M = 2.68  # 128 MHz


def median_s(work: Callable[[], object], repeats: int = 7) -> float:
    """Median time of a piece of work. [s]"""
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return float(np.median(times))


def bare_transform_s(padded: tuple[int, int, int]) -> float:
    """Three components forward and back, every axis padded from the start. [s]"""
    field = np.zeros((3, *padded), dtype=np.complex64)
    return median_s(lambda: scipy.fft.ifftn(scipy.fft.fftn(field, axes=(1, 2, 3)), axes=(1, 2, 3)))


def main() -> None:
    """Print one row for each grid."""
    print("voxels      padded          product_s  bare_fft_s  product/bare")
    for voxels in ((20, 20, 20), (33, 25, 68), (40, 40, 40), (62, 62, 62)):
        kernel = spectral_kernel(voxels, FREQUENCY_WAVENUMBER_PER_M, 0.005)
        faces = np.ones((3, *kernel.face_shape), dtype=np.complex64)
        product = median_s(lambda f=faces, k=kernel: convolve(f, k, reply_multiplier))
        bare = bare_transform_s(kernel.padded_shape)
        print(f"{voxels!s:11} {kernel.padded_shape!s:15} {product:9.4f}  {bare:10.4f}  {product / bare:12.2f}")


if __name__ == "__main__":
    main()
