"""What the circuits and the receivers take from the image: one array with them against the same array without."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.quality import Distribution, ImageQuality, distribution

__all__ = ["CircuitCost", "circuit_cost"]

_DEFINITION = (
    "SNR of the optimum combination through the circuits, preamplifiers and their noise included, over that of the "
    "tuned elements with body and coil noise alone"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitCost:
    """SNR that is left once the array is received through its circuits.

    Attributes
    ----------
    definition : str
    kept : ndarray, shape (x, y, z)
        SNR with circuits over SNR without, NaN outside the body.
    kept_in_region : Distribution
    worst_at : tuple of int
        Voxel of the region that keeps least.
    kept_by_sum_of_squares : ndarray, shape (x, y, z)
        The same of the root-sum-of-squares combination, with circuits at the scale of the receivers' voltages.
    kept_by_sum_of_squares_in_region : Distribution
    kept_accelerated_in_region : tuple of (str, Distribution)
        The same for every acceleration by name, g-factors of either array included.
    """

    definition: str
    kept: NDArray[np.float64]
    kept_in_region: Distribution
    worst_at: tuple[int, ...]
    kept_by_sum_of_squares: NDArray[np.float64]
    kept_by_sum_of_squares_in_region: Distribution
    kept_accelerated_in_region: tuple[tuple[str, Distribution], ...]

    @property
    def median_db(self) -> float:
        """Noise that circuits and receivers add at the median voxel of the region, as a noise figure. [dB]"""
        return float(-20 * np.log10(self.kept_in_region.median))


def circuit_cost(ideal: ImageQuality, received: ImageQuality) -> CircuitCost:
    """Compare the images of one array with and without its circuits.

    Parameters
    ----------
    ideal : ImageQuality
        Of the tuned array, no circuit but its capacitors.
    received : ImageQuality
        Of the receiving array on the same body, asked for the same.

    Returns
    -------
    CircuitCost

    Raises
    ------
    OutsideModelError
        If the two were not found on the same voxels.
    """
    if ideal.region_mask.shape != received.region_mask.shape or np.any(ideal.region_mask != received.region_mask):
        raise OutsideModelError("SNR with and without circuits must be found on the same voxels of the same region")
    region = ideal.region_mask
    kept = received.sensitivity_t_per_a_sqrt_ohm / ideal.sensitivity_t_per_a_sqrt_ohm
    squares = received.root_sum_of_squares_t_per_a_sqrt_ohm / ideal.root_sum_of_squares_t_per_a_sqrt_ohm
    least = int(np.nanargmin(np.where(region, kept, np.nan)))
    return CircuitCost(
        definition=_DEFINITION,
        kept=kept,
        kept_in_region=distribution(kept[region]),
        worst_at=tuple(int(i) for i in np.unravel_index(least, kept.shape)),
        kept_by_sum_of_squares=squares,
        kept_by_sum_of_squares_in_region=distribution(squares[region]),
        kept_accelerated_in_region=tuple(
            (was.request.name, _accelerated(was.sensitivity_t_per_a_sqrt_ohm, now.sensitivity_t_per_a_sqrt_ohm, region))
            for was, now in zip(ideal.accelerations, received.accelerations, strict=True)
        ),
    )


def _accelerated(ideal: NDArray[np.float64], received: NDArray[np.float64], region: NDArray[np.bool_]) -> Distribution:
    # Outside a slab there is no value; where a set cannot be unfolded there is no SNR in either array.
    known = region & (ideal > 0)
    return distribution(received[known] / ideal[known])
