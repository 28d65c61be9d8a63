"""A stack of layers between two surroundings, and the heat that is put into it."""

import math
from dataclasses import dataclass, replace
from typing import Self

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.layers import Layer, Outside

__all__ = ["BLOOD_TEMPERATURE_C", "Heat", "Stack"]

#: What arterial blood brings to tissue; common practice for a resting person without fever. [degC]
BLOOD_TEMPERATURE_C = 37.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Layers one upon another; face 0 looks at the first surroundings, the last face at the last.

    Attributes
    ----------
    layers : tuple of Layer
    first, last : Outside
    blood_c : float
        Temperature of the blood that perfuses tissue. [degC]
    contacts_k_m2_per_w : tuple of float
        Thermal resistance between layer i and i + 1; empty where all layers touch perfectly. [K m^2/W]
    """

    layers: tuple[Layer, ...]
    first: Outside
    last: Outside
    blood_c: float = BLOOD_TEMPERATURE_C
    contacts_k_m2_per_w: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a stack that heat could not leave, or that is none."""
        if not self.layers:
            raise OutsideModelError("a stack needs at least one layer")
        if self.contacts_k_m2_per_w and len(self.contacts_k_m2_per_w) != len(self.layers) - 1:
            raise OutsideModelError(
                f"{len(self.layers)} layers have {len(self.layers) - 1} contacts, "
                f"but {len(self.contacts_k_m2_per_w)} were given"
            )
        for layer in self.layers:
            _check(layer)
        if min((*self.contacts_k_m2_per_w, self.first.transfer_w_per_m2_k, self.last.transfer_w_per_m2_k)) < 0:
            raise OutsideModelError("contacts and transfers must not be negative")
        ways = (self.first.transfer_w_per_m2_k, self.last.transfer_w_per_m2_k)
        if not any(ways) and not any(layer.perfusion_w_per_m3_k for layer in self.layers):
            raise OutsideModelError("no heat leaves this stack: both surroundings insulate, and no layer has perfusion")

    @property
    def thickness_m(self) -> float:
        """Of all layers together. [m]"""
        return math.fsum(layer.thickness_m for layer in self.layers)

    def place_of(self, name: str) -> int:
        """Place of the first layer of this name, counted from 0; face i lies before layer i."""
        for place, layer in enumerate(self.layers):
            if layer.name == name:
                return place
        raise OutsideModelError(f"no layer {name!r}; there are {', '.join(layer.name for layer in self.layers)}")

    def facing(self, first: Outside) -> Self:
        """Return the same stack before other first surroundings."""
        return replace(self, first=first)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """What is put into a stack beside the metabolism of its tissue; what is not named is nothing.

    Attributes
    ----------
    sheets_w_per_m2 : tuple of (int, float)
        Face, 0 to the number of layers, and heat. Where the face has a contact resistance the sheet lies on
        the side of the earlier layer. [W/m^2]
    volumes_w_per_m3 : tuple of (int, float)
        Layer and heat, uniform in it. [W/m^3]
    """

    sheets_w_per_m2: tuple[tuple[int, float], ...] = ()
    volumes_w_per_m3: tuple[tuple[int, float], ...] = ()


def _check(layer: Layer) -> None:
    positive = (
        layer.thickness_m,
        layer.conductivity_w_per_m_k,
        layer.density_kg_per_m3,
        layer.heat_capacity_j_per_kg_k,
    )
    if min(positive) <= 0 or not all(map(math.isfinite, positive)):
        raise OutsideModelError(
            f"layer {layer.name!r}: thickness, conductivity, density and heat capacity must be positive and finite"
        )
    if layer.perfusion_w_per_m3_k < 0:
        raise OutsideModelError(f"layer {layer.name!r}: perfusion must not be negative")
