"""A round bottle with rounded shoulders: half an ellipsoid on a column, and the same within it by its wall."""

from collections.abc import Sequence

from loopwright.bodies.quadrics import Dome
from loopwright.bodies.solids import Solid, nested
from loopwright.brief.records import BottleRequest

__all__ = ["bottle"]


def bottle(request: BottleRequest, *, tissue_names: Sequence[str]) -> Solid:
    """The wall of a bottle and what fills it, to the top.

    Parameters
    ----------
    request : BottleRequest
        Its sizes.
    tissue_names : sequence of str
        Of the wall and of the filling.

    Notes
    -----
    The wall has its thickness on the axes and at the bottom; on the shoulders it is a little thinner or thicker. Neck,
    cap, label and any bubble are left out.
    """
    radius, shoulder, height, wall = request.radius_m, request.shoulder_m, request.height_m, request.wall_m
    outer = Dome(semi_axes_m=(radius, radius, shoulder), height_m=height)
    inner = Dome(semi_axes_m=(radius - wall, radius - wall, shoulder - wall), height_m=height - wall)
    litres = 1e3 * inner.volume_m3
    return Solid(
        name="bottle",
        regions=nested((outer, inner)),
        tissue_names=tuple(tissue_names),
        notes=(
            (
                f"A round bottle of {2e3 * radius:g} mm diameter and {1e3 * (height + shoulder):g} mm height without "
                f"its neck holds {litres:.3g} L, filled to the top: a bubble takes up loss where it lies."
            ),
        ),
    )
