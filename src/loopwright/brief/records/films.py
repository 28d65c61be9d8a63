"""Films, foams and textiles that carry, insulate and cover the conductor."""

from typing import Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["FilmRequest"]


class FilmRequest(Record):
    """One layer of the stack.

    Attributes
    ----------
    material
        Its name: one of the table, or any other.
    thickness_m
        Its thickness. [m]
    width_m
        Width of a band that follows every conductor. [m]
    area_m2
        Area of a sheet, all of it together. [m^2]
    eps_r, loss_tangent, density_kg_per_m3, short_echo, t2_star_s
        What is known better than the table has it; None takes the table. [kg/m^3], [s]
    """

    material: str
    thickness_m: Positive
    width_m: Positive | None = None
    area_m2: Positive | None = None
    eps_r: float | None = Field(default=None, ge=1)
    loss_tangent: float | None = Field(default=None, ge=0)
    density_kg_per_m3: Positive | None = None
    short_echo: Literal["seen", "not seen", "no hydrogen"] | None = None
    t2_star_s: Positive | None = None
