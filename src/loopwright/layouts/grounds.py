"""What elements are laid on: the skin of a body, or a flat plate beside it."""

from typing import assert_never

import numpy as np

from loopwright.bodies import Block, Dome, Ellipsoid, EllipticColumn, Quadric, Solid
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin
from loopwright.layouts.layout import Triple
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin


def skin_of(solid: Solid) -> Skin:
    """The surface of a body on which elements can be laid; of a slab, its front face."""
    match solid.skin:
        case Ellipsoid(semi_axes_m=semi_axes):
            return EllipsoidSkin(semi_axes_m=semi_axes)
        case Dome(semi_axes_m=semi_axes, height_m=height):
            return DomeSkin(semi_axes_m=semi_axes, height_m=height)
        case EllipticColumn(semi_axes_m=column_axes, height_m=height):
            return ColumnSkin(semi_axes_m=column_axes, height_m=height)
        case Block(semi_axes_m=(a, b, c)):
            return FlatSkin(middle_m=(0.0, -b, 0.0), normal=(0.0, -1.0, 0.0), reach_m=(a, c))


def plate_of(solid: Solid, facing: Triple) -> FlatSkin:
    """The plane square to a direction that touches the body from outside."""
    direction = np.asarray(facing) / np.linalg.norm(facing)
    reach = max(_reach_m(shape, direction) for shape in (solid.skin, *solid.beside))
    x, y, z = (reach * direction).tolist()
    u, v, w = direction.tolist()
    return FlatSkin(middle_m=(x, y, z), normal=(u, v, w))


def _reach_m(shape: Quadric, direction: np.ndarray) -> float:
    """How far a shape reaches from the origin along a unit vector. [m]"""
    x, y, z = direction.tolist()
    middle = float(np.dot(shape.centre_m, direction))
    match shape:
        case Ellipsoid(semi_axes_m=(a, b, c)):
            return middle + float(np.linalg.norm([a * x, b * y, c * z]))
        case EllipticColumn(semi_axes_m=(a, b), height_m=height):
            return middle + float(np.hypot(a * x, b * y)) + height / 2 * abs(z)
        case Dome(semi_axes_m=(a, b, c), height_m=height):
            up = float(np.linalg.norm([a * x, b * y, c * z]))
            return middle + (up if z > 0 else float(np.hypot(a * x, b * y)) + height * abs(z))
        case Block(semi_axes_m=(a, b, c)):
            return middle + a * abs(x) + b * abs(y) + c * abs(z)
    assert_never(shape)
