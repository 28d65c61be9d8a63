"""What lies between a hot part and its surroundings, and how many places to measure."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

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
