"""Sampling patterns in the words of the dossier."""

from fractions import Fraction
from typing import assert_never

from loopwright.brief.records import AccelerationRequest, RegularAcceleration, ShiftedAcceleration, SimultaneousSlices
from loopwright.dossier.numbers import printed_as_given

__all__ = ["field_of_view_words", "pattern_words"]


def pattern_words(request: AccelerationRequest) -> str:
    """Name a pattern so that it can stand in a sentence and in a table.

    >>> from loopwright.brief.records import ShiftedAcceleration
    >>> pattern_words(ShiftedAcceleration(
    ...     name="a", factors=(2, 3), directions=("x", "z"), field_of_view_m=(0.2, 0.3), shift=1))
    '2 × 3 along x and z, lines shifted by 1'
    """
    match request:
        case RegularAcceleration():
            return _factors(request.factors, request.directions)
        case ShiftedAcceleration():
            return f"{_factors(request.factors, request.directions)}, lines shifted by {request.shift}"
        case SimultaneousSlices():
            apart = printed_as_given(request.slice_distance_m, "m")
            return f"{request.slices} slices {apart} apart along {request.normal}{_in_plane(request)}"
    assert_never(request)


def field_of_view_words(request: AccelerationRequest) -> str:
    """Full field of view along the undersampled directions, before reduction."""
    lengths_m = request.field_of_view_m if isinstance(request.field_of_view_m, tuple) else (request.field_of_view_m,)
    return " × ".join(printed_as_given(length_m, "m") for length_m in lengths_m)


def _factors(factors: tuple[float, ...], directions: tuple[str, ...]) -> str:
    return f"{' × '.join(f'{factor:g}' for factor in factors)} along {' and '.join(directions)}"


def _in_plane(request: SimultaneousSlices) -> str:
    factor = f", {request.factor:g} along {request.direction}" if request.factor > 1 else ""
    if request.shift_fraction == 0:
        return f"{factor}, not shifted"
    # The brief's fractions have small denominators; a number such as 0.37 is printed as the number it is.
    fraction = Fraction(request.shift_fraction).limit_denominator(32)
    near = abs(float(fraction) - request.shift_fraction) < 1e-9
    return f"{factor}, shifted by {fraction if near else f'{request.shift_fraction:g}'} FOV along {request.direction}"
