"""The stage's answer: maps of SNR and g, and their figures in the region."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records.imaging import AccelerationRequest
from loopwright.ground.sources import Published

__all__ = ["AcceleratedQuality", "Distribution", "ImageQuality", "distribution", "scaled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """How a map is spread over the voxels of the region."""

    voxels: int
    minimum: float
    percentile_5: float
    median: float
    mean: float
    percentile_95: float
    maximum: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceleratedQuality:
    """Image quality under one acceleration.

    Attributes
    ----------
    request : AccelerationRequest
    reduction : float
        R, by how much the sampling of a voxel is shortened; with simultaneous slices that in the plane.
    inverse_g : ndarray, shape (x, y, z)
        1/g, NaN outside the body and outside the slab of simultaneous slices.
    sensitivity_t_per_a_sqrt_ohm : ndarray, shape (x, y, z)
        Optimum sensitivity over g sqrt(R). [T A^-1 ohm^-1/2]
    snr : ndarray, shape (x, y, z), or None
        Accelerated absolute SNR, where the magnetisation is known.
    inverse_g_in_region : Distribution
    worst_inverse_g_at_m : tuple of float
        Centre of the voxel with the least 1/g in the region. [m]
    mean_g_in_region : float
        Mean of g, infinite where a set cannot be unfolded.
    most_folded : int
        Largest number of body positions that fold onto one voxel of the region.
    notes : tuple of str
    """

    request: AccelerationRequest
    reduction: float
    inverse_g: NDArray[np.float64]
    sensitivity_t_per_a_sqrt_ohm: NDArray[np.float64]
    snr: NDArray[np.float64] | None
    inverse_g_in_region: Distribution
    worst_inverse_g_at_m: tuple[float, float, float]
    mean_g_in_region: float
    most_folded: int
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageQuality:
    """SNR, noise and g of the array on this body. Maps have the axes (x, y, z) and are NaN outside the body.

    Attributes
    ----------
    body_mask, region_mask : ndarray of bool, shape (x, y, z)
        Voxels of the body, and those in which the image is judged.
    depth_m : ndarray, shape (x, y, z)
        Depth below the skin as the voxels tell it. [m]
    reception_t_per_a : ndarray, shape (element, x, y, z)
        Reception field per unit element-port current, the other ports open; NaN outside the body. [T/A]
    sensitivity_t_per_a_sqrt_ohm, root_sum_of_squares_t_per_a_sqrt_ohm : ndarray, shape (x, y, z)
        Optimum and root-sum-of-squares combination, SNR before the signal's scale. [T A^-1 ohm^-1/2]
    absolute_factor : float or None
        Absolute SNR over sensitivity; None where the nucleus' magnetisation is not known. [A ohm^1/2 T^-1]
    magnetisation_a_per_m : float or None
        Equilibrium magnetisation taken. [A/m]
    noise_correlation : ndarray, shape (element, element)
    mean_correlation, largest_correlation : float
        Of the magnitudes off the diagonal; 0 for one element.
    noise_forms_differ : float
        Largest relative difference of the optimum between the open-circuit and the matched form.
    sensitivity_in_region : Distribution
    accelerations : tuple of AcceleratedQuality
    ultimate_fraction : ndarray, shape (x, y, z), or None
        Optimum over ultimate sensitivity.
    constants : mapping of str to Published
        What turned arrays into printed numbers.
    notes : tuple of str
    """

    body_mask: NDArray[np.bool_]
    region_mask: NDArray[np.bool_]
    depth_m: NDArray[np.float64]
    reception_t_per_a: NDArray[np.complex64]
    sensitivity_t_per_a_sqrt_ohm: NDArray[np.float64]
    root_sum_of_squares_t_per_a_sqrt_ohm: NDArray[np.float64]
    absolute_factor: float | None
    magnetisation_a_per_m: float | None
    noise_correlation: NDArray[np.complex128]
    mean_correlation: float
    largest_correlation: float
    noise_forms_differ: float
    sensitivity_in_region: Distribution
    accelerations: tuple[AcceleratedQuality, ...]
    ultimate_fraction: NDArray[np.float64] | None
    constants: Mapping[str, Published]
    notes: tuple[str, ...]

    @property
    def snr(self) -> NDArray[np.float64] | None:
        """Absolute SNR of the optimum combination (x, y, z), where the magnetisation is known."""
        return scaled(self.sensitivity_t_per_a_sqrt_ohm, self.absolute_factor)

    @property
    def root_sum_of_squares_snr(self) -> NDArray[np.float64] | None:
        """Absolute SNR of the root-sum-of-squares combination (x, y, z), where the magnetisation is known."""
        return scaled(self.root_sum_of_squares_t_per_a_sqrt_ohm, self.absolute_factor)


def scaled(sensitivity: NDArray[np.float64], factor: float | None) -> NDArray[np.float64] | None:
    """Absolute SNR from sensitivity, where the factor is known. [T A^-1 ohm^-1/2 -> 1]"""
    return None if factor is None else sensitivity * factor


def distribution(values: NDArray[np.float64]) -> Distribution:
    """Tell how values are spread.

    Parameters
    ----------
    values : ndarray, shape (voxel,)
        At least one.

    Returns
    -------
    Distribution
        Extremes, mean and percentiles, in the unit of the values.
    """
    low, middle, high = np.percentile(values, [5, 50, 95])
    return Distribution(
        voxels=values.size,
        minimum=float(values.min()),
        percentile_5=float(low),
        median=float(middle),
        mean=float(values.mean()),
        percentile_95=float(high),
        maximum=float(values.max()),
    )
