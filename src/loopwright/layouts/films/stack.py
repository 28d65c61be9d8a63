"""What lies between the conductor's centre-line and the skin where a film touches the body."""

from collections.abc import Sequence
from dataclasses import dataclass

from loopwright.ground.errors import OutsideModelError

__all__ = ["FilmStack", "StackLayer"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StackLayer:
    """A film, encapsulation, foam or fabric under the conductor, and how thick it is as worn. [m]"""

    name: str
    thickness_m: float

    def __post_init__(self) -> None:
        """Refuse a layer of negative thickness."""
        if not self.thickness_m >= 0:
            raise OutsideModelError(f"thickness_m = {self.thickness_m:g} of {self.name} must be 0 or more")


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmStack:
    """Layers from the conductor down to the skin, and the conductor itself, ``conductor_thickness_m`` [m] thick."""

    layers: Sequence[StackLayer]
    conductor_thickness_m: float

    @property
    def stand_off_m(self) -> float:
        """From the underside of the lowest layer to the centre-line of the conductor. [m]"""
        return self.conductor_thickness_m / 2 + sum(layer.thickness_m for layer in self.layers)
