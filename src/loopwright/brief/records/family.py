"""All who wear one array, and all ways in which it is worn."""

from typing import Literal

from loopwright.brief.records.record import Positive, Record

__all__ = ["FamilyRequest"]


class FamilyRequest(Record):
    """States that one fixed network has to serve.

    Attributes
    ----------
    loads
        What multiplies the body's part of the impedance.
    stretches, girths
        Strain of lengths along the axis, and round it.
    bends_m
        Radii of the cylinder about the axis to which an array of one side is bent. [m]
    axis
        Direction of the axis in the body frame.
    neighbours
        Whether each element is also looked at without the others.
    coil_temperatures_k
        Temperatures of the conductors. [K]
    temperature_coefficient
        Relative change of resistivity for one kelvin.
    robust
        Whether values are sought that make the worst state as good as it gets.
    robust_parts
        Parts that may change for it; where none is named the tuning capacitor of a ready wiring, or all free ones.
    """

    loads: tuple[Positive, ...]
    stretches: tuple[float, ...] = ()
    girths: tuple[float, ...] = ()
    bends_m: tuple[Positive, ...] = ()
    axis: tuple[float, float, float]
    neighbours: Literal["kept", "away too"]
    coil_temperatures_k: tuple[Positive, ...] = ()
    temperature_coefficient: Positive
    robust: Literal["no", "yes"]
    robust_parts: tuple[str, ...] = ()
