"""What elements are laid on: the skin of a body, or a flat plate beside it."""

from dataclasses import replace
from functools import lru_cache
from itertools import product
from typing import Protocol, runtime_checkable

import numpy as np

from loopwright.bodies import Block, Dome, Ellipsoid, EllipticColumn, MeshShape, Solid
from loopwright.bodies.shapes import Shape
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin
from loopwright.layouts.layout import Triple
from loopwright.layouts.mesh_skin import MeshSkin, mesh_skin
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin

#: Carriers are made as far as a multiple of this, so that arrays at like stand-offs share one. [m]
_REACH_STEP_M = 5e-3


@runtime_checkable
class Triangulated(Protocol):
    """A shape bounded by a closed surface of triangles, cut by the box from ``lower_m`` to ``upper_m``."""

    @property
    def surface(self) -> Surface:
        """All of the surface."""

    @property
    def lower_m(self) -> Triple:
        """Lower corner of the box. [m]"""

    @property
    def upper_m(self) -> Triple:
        """Upper corner of the box. [m]"""


def skin_of(solid: Solid, *, reach_m: float = 0.03) -> Skin:
    """The surface of a body on which elements can be laid; of a slab, its front face.

    Parameters
    ----------
    solid : Solid
        The body.
    reach_m : float
        Furthest stand-off of a carrier; only bodies of triangles ask. [m]

    Raises
    ------
    OutsideModelError
        If the body's surface is neither a formula on which elements can be laid nor triangles.
    """
    match solid.skin:
        case Ellipsoid(semi_axes_m=semi_axes):
            return EllipsoidSkin(semi_axes_m=semi_axes)
        case Dome(semi_axes_m=semi_axes, height_m=height):
            return DomeSkin(semi_axes_m=semi_axes, height_m=height)
        case EllipticColumn(semi_axes_m=column_axes, height_m=height):
            return ColumnSkin(semi_axes_m=column_axes, height_m=height)
        case Block(semi_axes_m=(a, b, c)):
            return FlatSkin(middle_m=(0.0, -b, 0.0), normal=(0.0, -1.0, 0.0), reach_m=(a, c))
        case Triangulated(surface=surface, lower_m=lower, upper_m=upper):
            return _mesh_skin(surface, lower, upper, float(_REACH_STEP_M * np.ceil(reach_m / _REACH_STEP_M - 1e-9)))
        case _:
            raise OutsideModelError(
                f"Elements cannot be laid on {solid.name}: its surface is no ellipsoid, dome, column, block or mesh. "
                "Lay them on a flat plate beside it."
            )


@lru_cache(maxsize=4)
def _mesh_skin(surface: Surface, lower_m: Triple, upper_m: Triple, reach_m: float) -> MeshSkin:
    """The skin of a surface, kept: it takes seconds to make, and one run lays arrays on it many times. [m]

    Rays start at the origin where it lies inside, otherwise at the middle of the vertices that the cuts leave.
    """
    skin = mesh_skin(surface, reach_m=reach_m, lower_m=lower_m, upper_m=upper_m)
    if skin.heights_m(np.zeros((1, 3)))[0] < 0:
        return skin
    left = np.all((surface.vertices_m >= lower_m) & (surface.vertices_m <= upper_m), axis=1)
    x, y, z = surface.vertices_m[left].mean(axis=0).tolist()
    return replace(skin, inner_m=(x, y, z))


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
