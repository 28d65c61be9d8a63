"""What every record of the brief has in common: it cannot be changed, and it knows nothing that it was not told."""

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

__all__ = ["Positive", "Record", "UnitVector", "Vector"]


class Record(BaseModel):
    """A frozen record in SI units."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def _of_unit_length(vector: tuple[float, float, float]) -> tuple[float, float, float]:
    length = sum(component**2 for component in vector) ** 0.5
    if length == 0:
        raise ValueError("a direction needs a length: (0, 0, 0) points nowhere")
    x, y, z = (component / length for component in vector)
    return x, y, z


Positive = Annotated[float, Field(gt=0)]
Vector = tuple[float, float, float]
UnitVector = Annotated[Vector, AfterValidator(_of_unit_length)]
