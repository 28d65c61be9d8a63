"""Liquid metal in a tube: a round rod of metal in an insulating wall."""

from dataclasses import dataclass

from loopwright.conductors.refusals import refuse_unless_measured, refuse_unless_positive

__all__ = ["LiquidMetalTube"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiquidMetalTube:
    """A bore filled with liquid metal. The wall takes room and has mass; it carries no current."""

    bore_m: float
    wall_m: float
    conductivity_s_per_m: float
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a tube that could not be filled."""
        refuse_unless_positive(bore_m=self.bore_m, wall_m=self.wall_m, conductivity_s_per_m=self.conductivity_s_per_m)
        refuse_unless_measured(self.measured_ohm_per_m)

    @property
    def outer_diameter_m(self) -> float:
        """Diameter over the wall. [m]"""
        return self.bore_m + 2 * self.wall_m
