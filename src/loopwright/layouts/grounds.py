"""What elements are laid on: the skin of a body, or a flat plate beside it."""

from itertools import product

import numpy as np

from loopwright.bodies import Block, Dome, Ellipsoid, EllipticColumn, MeshShape, Solid
from loopwright.bodies.shapes import Shape
from loopwright.ground.errors import OutsideModelError
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
        case _:
            raise OutsideModelError(
                f"Elements cannot be laid on {solid.name}: its surface is no ellipsoid, dome, column or block. "
                "Lay them on a flat plate beside it."
            )


def plate_of(solid: Solid, facing: Triple) -> FlatSkin:
    """The plane square to a direction that touches the body from outside."""
    direction = np.asarray(facing) / np.linalg.norm(facing)
    reach = max(_reach_m(shape, direction) for shape in (solid.skin, *solid.beside))
    x, y, z = (reach * direction).tolist()
    u, v, w = direction.tolist()
    return FlatSkin(middle_m=(x, y, z), normal=(u, v, w))


def _reach_m(shape: Shape, direction: np.ndarray) -> float:
    """How far a shape reaches from the origin along a unit vector; of any other one, its box. [m]"""
    x, y, z = direction.tolist()
    match shape:
        case Ellipsoid(semi_axes_m=(a, b, c), centre_m=centre):
            beyond = float(np.linalg.norm([a * x, b * y, c * z]))
        case EllipticColumn(semi_axes_m=(a, b), height_m=height, centre_m=centre):
            beyond = float(np.hypot(a * x, b * y)) + height / 2 * abs(z)
        case Dome(semi_axes_m=(a, b, c), height_m=height, centre_m=centre):
            up = float(np.linalg.norm([a * x, b * y, c * z]))
            beyond = up if z > 0 else float(np.hypot(a * x, b * y)) + height * abs(z)
        case Block(semi_axes_m=(a, b, c), centre_m=centre):
            beyond = a * abs(x) + b * abs(y) + c * abs(z)
        case MeshShape(outline_m=points):
            return float((points @ direction).max())
        case _:
            return float(max(np.dot(corner, direction) for corner in product(*zip(*shape.box_m, strict=True))))
    return float(np.dot(centre, direction)) + beyond
