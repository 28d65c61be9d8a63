"""Bodies: an outer shape, and regions of tissue that lie inside one another."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.closest import depth_in_ellipsoid_m
from loopwright.bodies.meshes import MeshShape
from loopwright.bodies.offsets import layer_surfaces
from loopwright.bodies.quadrics import Block, Ellipsoid, EllipticColumn
from loopwright.bodies.shapes import Shape
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

AIR = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """A piece of the body, filled with one tissue except where a region lies inside it.

    ``within`` is the index of the region that it lies in, None for an outermost one. What pokes out of that one does
    not count, nor what an earlier region within the same one already fills.
    """

    shape: Shape
    tissue: int
    within: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A body about the origin of the body frame; regions in an order in which later ones lie in earlier ones.

    The first region is the part on which elements can be laid. ``beside`` are further outer shapes, where the body has
    any: together with the first region's uncut shape they cover the body, and they may reach into it, so that no
    distance is measured from a surface where two parts of the body meet.
    """

    name: str
    regions: tuple[Region, ...]
    tissue_names: tuple[str, ...]
    beside: tuple[Shape, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def skin(self) -> Shape:
        """The outermost surface, on which elements are laid."""
        return self.regions[0].shape

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of a box that holds the body. [m]"""
        boxes = np.array([shape.box_m for shape in (self.skin, *self.beside)])
        lower, upper = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
        return (lower[0], lower[1], lower[2]), (upper[0], upper[1], upper[2])

    @property
    def volumes_m3(self) -> tuple[float, ...]:
        """Volume of each tissue, shape (tissues,), where regions lie wholly within theirs and none overlap. [m^3]"""
        volume = np.zeros(len(self.tissue_names))
        for region in self.regions:
            volume[region.tissue] += region.shape.volume_m3
            if region.within is not None:
                volume[self.regions[region.within].tissue] -= region.shape.volume_m3
        return tuple(volume.tolist())

    def label(self, points_m: Real) -> NDArray[np.int64]:
        """Index of the tissue at points (n, 3) [m], -1 in air; shape (n,)."""
        innermost = np.full(len(points_m), AIR)
        for index, region in enumerate(self.regions):
            around = np.flatnonzero(innermost == (AIR if region.within is None else region.within))
            innermost[around[region.shape.contains(points_m[around])]] = index
        return np.array([*(region.tissue for region in self.regions), AIR])[innermost]

    def clearance_m(self, points_m: Real) -> Real:
        """Lower bound of the distance from points (n, 3) [m] to the nearest interface; shape (n,). [m]

        Exact for concentric spheres.
        """
        return np.asarray(np.min([region.shape.clearance_m(points_m) for region in self.regions], axis=0))

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the outer surface, positive inside; shape (n,). [m]

        Exact inside a body of one part, a lower bound where parts meet. The flat ends of a column and every face of a
        block count as surface: near them the fields are those of a cut body. Outside a column it is minus a lower bound
        of the distance.
        """
        depths = [shape.depth_m(points_m) for shape in (self.skin, *self.beside)]
        return np.asarray(np.max(depths, axis=0))


def layered_sphere(
    radius_m: float, *, tissue_names: Sequence[str], thicknesses_m: Sequence[float] = (), name: str = "sphere"
) -> Solid:
    """A sphere of concentric layers.

    Parameters
    ----------
    radius_m : float
        Outer radius. [m]
    tissue_names : sequence of str
        From outside inwards, the core last: one more than there are layers.
    thicknesses_m : sequence of float
        Thickness of each layer, from outside inwards. [m]
    name : str
        What the body is called.

    Raises
    ------
    OutsideModelError
        If the layers leave no core.
    """
    return _layered_ellipsoid(
        (radius_m, radius_m, radius_m), tissue_names=tissue_names, thicknesses_m=thicknesses_m, name=name, notes=()
    )


def layered_ellipsoid(
    semi_axes_m: tuple[float, float, float],
    *,
    tissue_names: Sequence[str],
    thicknesses_m: Sequence[float] = (),
    name: str = "ellipsoid",
) -> Solid:
    """An ellipsoid with axes along x, y, z whose layers are bounded by ellipsoids with semi-axes less the thickness.

    Parameters as for :func:`layered_sphere`, with the three outer semi-axes in place of the radius [m]. A layer has
    its thickness on the axes only; elsewhere it is a little thinner or thicker.
    """
    notes = _axes_only(semi_axes_m, thicknesses_m, name=name)
    return _layered_ellipsoid(
        semi_axes_m, tissue_names=tissue_names, thicknesses_m=thicknesses_m, name=name, notes=notes
    )


def layered_elliptic_cylinder(
    semi_axes_m: tuple[float, float],
    height_m: float,
    *,
    tissue_names: Sequence[str],
    thicknesses_m: Sequence[float] = (),
    name: str = "elliptic cylinder",
) -> Solid:
    """An elliptic cylinder about z whose layers lie on its side only; its ends are flat cuts through all layers.

    Parameters as for :func:`layered_sphere`, with the outer semi-axes along x and y, and the height, in place of the
    radius [m]. A layer has its thickness on the axes only.
    """
    shapes = [
        EllipticColumn(semi_axes_m=(a, b), height_m=height_m) for a, b in _inset(semi_axes_m, thicknesses_m, name=name)
    ]
    uneven = _axes_only(semi_axes_m, thicknesses_m, name=name)
    notes = ("The ends are flat cuts; layers lie on the side only.", *uneven)
    return Solid(name=name, regions=nested(shapes), tissue_names=tuple(tissue_names), notes=notes)


def layered_slab(
    size_m: tuple[float, float, float],
    *,
    tissue_names: Sequence[str],
    thicknesses_m: Sequence[float] = (),
    name: str = "slab",
) -> Solid:
    """A rectangular block whose layers lie on its front face, the one that looks to -y, and reach to its other faces.

    Parameters as for :func:`layered_sphere`, with the sizes along x, y, z in place of the radius [m]; the layers count
    from the front face inwards, and the core is what they leave behind them.
    """
    x, y, z = size_m
    blocks = [
        Block(semi_axes_m=(x / 2, left / 2, z / 2), centre_m=(0.0, (y - left) / 2, 0.0))
        for (left,) in _inset((y,), thicknesses_m, name=name)
    ]
    notes = ("The layers of a slab lie on its front face, which looks to -y; its other faces are flat cuts.",)
    return Solid(name=name, regions=nested(blocks), tissue_names=tuple(tissue_names), notes=notes)


def layered_surface(
    surface: Surface,
    *,
    tissue_names: Sequence[str],
    thicknesses_m: Sequence[float] = (),
    name: str = "surface",
    lower_m: Triple = (-inf, -inf, -inf),
    upper_m: Triple = (inf, inf, inf),
) -> Solid:
    """A body bounded by triangles whose layers follow its surface; what lies outside a box is cut away.

    Parameters
    ----------
    surface : Surface
        The skin: closed, looking outwards.
    tissue_names, thicknesses_m, name
        As for :func:`layered_sphere`; thickness along the normals, less where the body is thinner. [m]
    lower_m, upper_m : tuples of 3 floats
        Corners of the box; no layer covers a cut. [m]

    Raises
    ------
    OutsideModelError
        If the surface bounds nothing, or most of the body is too thin for the layers.
    """
    surfaces, notes = layer_surfaces(surface, thicknesses_m, tissue_names=tissue_names, name=name)
    shapes = [MeshShape(surface=each, lower_m=lower_m, upper_m=upper_m) for each in surfaces]
    return Solid(name=name, regions=nested(shapes), tissue_names=tuple(tissue_names), notes=notes)


def nested(shapes: Sequence[Shape]) -> tuple[Region, ...]:
    """Regions of concentric shapes, each with a tissue of its own, from outside inwards."""
    return tuple(Region(shape=shape, tissue=i, within=None if i == 0 else i - 1) for i, shape in enumerate(shapes))


def thickness_range_m(outer_m: Sequence[float], inner_m: Sequence[float]) -> tuple[float, float]:
    """Least and greatest thickness of the shell between two concentric ellipses or ellipsoids.

    Parameters
    ----------
    outer_m, inner_m : sequences of 2 or 3 floats
        Semi-axes along the coordinates. [m]

    Returns
    -------
    tuple of 2 floats
        Of the distances from points of the inner surface, 4 degrees and less apart, to the outer one. [m]
    """
    turn, rise = np.linspace(0, np.pi / 2, 25), np.linspace(0, np.pi / 2, 25 if len(outer_m) == 3 else 1)
    t, r = (part.ravel() for part in np.meshgrid(turn, rise))
    unit = np.stack([np.cos(t) * np.cos(r), np.sin(t) * np.cos(r), np.sin(r)][: len(outer_m)], axis=1)
    depth = depth_in_ellipsoid_m(unit * np.asarray(inner_m), tuple(outer_m))
    return float(depth.min()), float(depth.max())


def thicknesses_told(surfaces_m: Sequence[Sequence[float]]) -> list[str]:
    """Range of thickness of each shell between surfaces with these semi-axes [m], from outside inwards, in words."""
    ranges = [thickness_range_m(outer, inner) for outer, inner in pairwise(surfaces_m)]
    told = [(f"{least * 1e3:.3g}", f"{most * 1e3:.3g}") for least, most in ranges]
    return [f"{most} mm" if least == most else f"{least} to {most} mm" for least, most in told]


def _axes_only(semi_axes_m: Sequence[float], thicknesses_m: Sequence[float], *, name: str) -> tuple[str, ...]:
    """How even the layers of a body are that is no sphere and no round column."""
    if not thicknesses_m or len(set(semi_axes_m)) == 1:
        return ()
    told = ", ".join(thicknesses_told(_inset(semi_axes_m, thicknesses_m, name=name)))
    note = (
        "Layers are bounded by the outer surface with its semi-axes reduced: their thickness is exact on the axes "
        f"only; from outside inwards it is {told}."
    )
    return (note,)


def _layered_ellipsoid(
    semi_axes_m: tuple[float, float, float],
    *,
    tissue_names: Sequence[str],
    thicknesses_m: Sequence[float],
    name: str,
    notes: tuple[str, ...],
) -> Solid:
    shapes = [Ellipsoid(semi_axes_m=(a, b, c)) for a, b, c in _inset(semi_axes_m, thicknesses_m, name=name)]
    return Solid(name=name, regions=nested(shapes), tissue_names=tuple(tissue_names), notes=notes)


def _inset(semi_axes_m: Sequence[float], thicknesses_m: Sequence[float], *, name: str) -> list[list[float]]:
    """Semi-axes of every surface from outside inwards, shape (layers + 1, axes)."""
    depths = np.concatenate([[0.0], np.cumsum(thicknesses_m)])
    if depths[-1] >= min(semi_axes_m):
        raise OutsideModelError(
            f"{name}: layers of {depths[-1] * 1e3:g} mm in all leave no core within "
            f"{min(semi_axes_m) * 1e3:g} mm. Make the layers thinner."
        )
    return [[float(a - depth) for a in semi_axes_m] for depth in depths]
