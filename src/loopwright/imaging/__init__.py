"""What images can this array make of this body?

From the tuned array (:mod:`loopwright.circuits`) and the fields per unit current (:mod:`loopwright.fields`) to maps of
the signal-to-noise ratio and of SENSE's g-factor. By reciprocity: the reception field per unit port current is the
signal, the resistances times their temperatures are the noise. Combined at the optimum and by root sum of squares, in
absolute units where the magnetisation is known.
"""

from loopwright.imaging.circuit_cost import CircuitCost, circuit_cost
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m
from loopwright.imaging.prediction import predict
from loopwright.imaging.quality import AcceleratedQuality, Distribution, ImageQuality
from loopwright.imaging.region import check_region
from loopwright.imaging.sense import g_factor
from loopwright.imaging.settling import Settling
from loopwright.imaging.snr import absolute_snr_factor, optimum_sensitivity, root_sum_of_squares_sensitivity
from loopwright.imaging.ultimate import UltimateQuality, ultimate_quality

__all__ = [
    "AcceleratedQuality",
    "CircuitCost",
    "Distribution",
    "ImageQuality",
    "Settling",
    "UltimateQuality",
    "absolute_snr_factor",
    "check_region",
    "circuit_cost",
    "g_factor",
    "optimum_sensitivity",
    "predict",
    "root_sum_of_squares_sensitivity",
    "ultimate_quality",
    "water_magnetisation_a_per_m",
]
