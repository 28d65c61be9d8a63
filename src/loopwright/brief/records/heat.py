"""What lies between a hot part and its surroundings, and how many places to measure."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record
from loopwright.ground.errors import OutsideModelError

__all__ = ["Airflow", "HeatLayerRequest", "HeatRequest", "PartSize", "PartSizeRequest", "TissueLayersRequest"]

Airflow = Literal["none", "gentle"]
#: Outline of a part, length and width in hundredths of an inch: 0805 is 2.0 mm by 1.25 mm.
PartSize = Literal["0402", "0603", "0805", "1111", "1206", "1210", "2225"]


class HeatLayerRequest(Record):
    """One layer; a thickness of None fills what the others leave of the stand-off. [m]"""

    material: str
    thickness_m: Positive | None = None


class TissueLayersRequest(Record):
    """Tissue below the hot spot, from outside inwards. [m]"""

    skin_m: Positive
    fat_m: Positive
    muscle_m: Positive


class PartSizeRequest(Record):
    """The size of parts of one name, in every element."""

    part: str
    size: PartSize


class HeatRequest(Record):
    """How hot it gets.

    Attributes
    ----------
    ambient_temperature_k
        Highest temperature of the room for which the array is rated. [K]
    airflow
        Of the bore's fan, along the cover.
    to_skin
        Layers from the conductor to the skin, in this order.
    cover
        Layers from the conductor to the air.
    tissue
    core_temperature_k
        Of the patient, and of arterial blood. [K]
    preamplifier_power_w
        Heat of one preamplifier. [W]
    part_size
        Of parts of which nothing else is told.
    part_sizes
    probes
        How many places of measurement are named.
    """

    ambient_temperature_k: Positive
    airflow: Airflow
    to_skin: tuple[HeatLayerRequest, ...]
    cover: tuple[HeatLayerRequest, ...] = ()
    tissue: TissueLayersRequest
    core_temperature_k: Positive
    preamplifier_power_w: Annotated[float, Field(ge=0)]
    part_size: PartSize
    part_sizes: tuple[PartSizeRequest, ...] = ()
    probes: Annotated[int, Field(ge=1)]

    def thicknesses_to_skin_m(self, stand_off_m: float) -> tuple[float, ...]:
        """Thickness of each layer of ``to_skin``, where so much lies between conductor and skin. [m]

        Parameters
        ----------
        stand_off_m : float
            From the conductor's own surface to the skin. [m]

        Raises
        ------
        OutsideModelError
            If the layers that have a thickness leave nothing to the one that has none.
        """
        told_m = sum(layer.thickness_m or 0.0 for layer in self.to_skin)
        filling = [layer.material for layer in self.to_skin if layer.thickness_m is None]
        if filling and told_m >= stand_off_m:
            raise OutsideModelError(
                f"the layers of `heat.to_skin` come to {told_m * 1e3:.3g} mm and the conductor lies "
                f"{stand_off_m * 1e3:.3g} mm off the skin: nothing is left for {filling[0]}"
            )
        return tuple(layer.thickness_m or stand_off_m - told_m for layer in self.to_skin)
