"""What does a patient of this sex, age and tape measures look like from outside?

From the packaged shapes of artists and the growth table to a closed skin with named parts and landmarks, by own least
squares. It is a fit of sizes: no shape is from a scan.
"""

from loopwright.bodies.patients.measures import DENSITY_KG_PER_M3
from loopwright.bodies.patients.patient import FittedMeasure, FittedSurface, patient_surface

__all__ = ["DENSITY_KG_PER_M3", "FittedMeasure", "FittedSurface", "patient_surface"]
