"""How far the resonance of a coaxial element moves with its cable and its size."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from loopwright.circuits.coaxial.coaxial_element import CoaxialElement
from loopwright.circuits.coaxial.coaxial_resonance import self_resonance
from loopwright.conductors.coaxial_line import CableFromDataSheet, CableFromDimensions

__all__ = ["resonance_sensitivities"]

#: Change of each quantity over which the resonance is differenced.
_STEP = 0.01

Changed = Callable[[float], CoaxialElement]


def resonance_sensitivities(element: CoaxialElement) -> dict[str, float]:
    """Relative change of the self-resonance per relative change of each quantity.

    Parameters
    ----------
    element : CoaxialElement

    Returns
    -------
    dict of str to float
        -0.7 means that one per cent more lowers the resonance by 0.7 per cent. ``size`` scales the whole centre-line.

    Notes
    -----
    By central differences over one per cent either way.
    """
    found = {}
    for name, changed in _quantities(element):
        above, below = (self_resonance(changed(factor)).frequency_hz for factor in (1 + _STEP, 1 - _STEP))
        found[name] = (above - below) / (above + below) / _STEP
    return found


def _quantities(element: CoaxialElement) -> Iterator[tuple[str, Changed]]:
    yield (
        "size",
        lambda factor: replace(element, vertices_m=element.vertices_m * factor, length_m=element.length_m * factor),
    )
    match element.cable:
        case CableFromDataSheet() as sheet:
            yield (
                "characteristic impedance",
                lambda factor: replace(
                    element, cable=replace(sheet, characteristic_ohm=sheet.characteristic_ohm * factor)
                ),
            )
            yield (
                "velocity factor",
                lambda factor: replace(element, cable=replace(sheet, velocity_factor=sheet.velocity_factor * factor)),
            )
            yield (
                "diameter over the shield",
                lambda factor: replace(
                    element, cable=replace(sheet, shield_outer_diameter_m=sheet.shield_outer_diameter_m * factor)
                ),
            )
        case CableFromDimensions() as made:
            yield (
                "diameter of the inner conductor",
                lambda factor: replace(element, cable=replace(made, inner_diameter_m=made.inner_diameter_m * factor)),
            )
            yield (
                "diameter over the dielectric",
                lambda factor: replace(
                    element, cable=replace(made, shield_inner_diameter_m=made.shield_inner_diameter_m * factor)
                ),
            )
            yield (
                "permittivity",
                lambda factor: replace(
                    element, cable=replace(made, relative_permittivity=made.relative_permittivity * factor)
                ),
            )
