"""Conduction round a hot spot as sparse equations: bricks with trilinear temperature, the conductor as a sheet."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.heating.layers import Layer
from loopwright.heating.spot import Part, Side, SpotStack, Stretch, Trace
from loopwright.heating.spot_mesh import SpotPlanes

__all__ = ["SpotSystem", "spot_system"]

#: The whole is four times the quarter that is solved.
QUARTERS = 4

#: Points closer than this lie on the same plane. [m]
TOUCHING_M = 1e-10


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotSystem:
    """capacity dT/dt + conduction T = base + power heat, T = core temperature at fixed nodes; all of one quarter.

    Attributes
    ----------
    points_m : ndarray, shape (nodes, 3)
        [m]
    conduction : sparse matrix, shape (nodes, nodes)
        Conduction, convection and perfusion. [W/K]
    capacity_j_per_k : ndarray, shape (nodes,)
        Heat capacities. [J] per [K]
    heat : ndarray, shape (nodes,)
        Where one watt of the whole spot arises in the quarter; sums to a quarter.
    base_w : ndarray, shape (nodes,)
        What air, blood, core and the tissue's own heat bring. [W]
    convected_w_per_k, perfused_w_per_k, cored_w_per_k : ndarray, shape (nodes,)
        Heat that leaves into air, blood and a core with finite transfer, per kelvin. [W] per [K]
    fixed : ndarray of bool, shape (nodes,)
        Nodes held at the temperature of the core.
    hot : ndarray of bool, shape (nodes,)
        Nodes of the part, or of the heated piece of the conductor.
    exposed : ndarray of bool, shape (nodes,)
        Nodes that touch the air.
    """

    points_m: NDArray[np.float64]
    conduction: Any
    capacity_j_per_k: NDArray[np.float64]
    heat: NDArray[np.float64]
    base_w: NDArray[np.float64]
    convected_w_per_k: NDArray[np.float64]
    perfused_w_per_k: NDArray[np.float64]
    cored_w_per_k: NDArray[np.float64]
    fixed: NDArray[np.bool_]
    hot: NDArray[np.bool_]
    exposed: NDArray[np.bool_]


def spot_system(heat: Part | Stretch, trace: Trace, stack: SpotStack, planes: SpotPlanes) -> SpotSystem:
    """Equations of one quarter of a hot spot.

    Notes
    -----
    Integrals are taken by the corners of each brick: second order like the usual rule, and the matrix keeps the sign
    pattern by which no temperature overshoots and by which multigrid works on flat bricks. The metal has no thickness
    of its own: it carries heat along its plane and stores it.
    """
    mesh = _bricks(heat, stack, planes)
    values = _Values.of(heat, stack, _middles(mesh))
    air, core, metal, heated = _facets(mesh, planes, heat, trace)
    bricks = _basis(mesh)
    perfused, capacity = _lumped(bricks, values.perfusion), _lumped(bricks, values.capacity)
    conduction = _conduction(bricks, values.conductivity)
    if len(metal):
        sheet = _basis(mesh, metal)
        conduction = conduction + _sheet(sheet, trace.conductivity_w_per_m_k * trace.thickness_m)
        capacity += _lumped(sheet, trace.density_kg_per_m3 * trace.heat_capacity_j_per_kg_k * trace.thickness_m)
    convected = _lumped(_basis(mesh, air), stack.air.transfer_w_per_m2_k)
    held = math.isinf(stack.core.transfer_w_per_m2_k)
    cored = _lumped(_basis(mesh, core), 0.0 if held else stack.core.transfer_w_per_m2_k)
    made = (
        _lumped(bricks, values.in_part.astype(np.float64))
        if isinstance(heat, Part)
        else _lumped(_basis(mesh, heated), 1.0)
    )
    return SpotSystem(
        points_m=mesh.p.T.copy(),
        conduction=_plus_diagonal(conduction, perfused + convected + cored),
        capacity_j_per_k=capacity,
        heat=made / made.sum() / QUARTERS,
        base_w=_lumped(bricks, values.metabolic)
        + perfused * stack.blood_c
        + cored * stack.core.temperature_c
        + convected * stack.air.temperature_c,
        convected_w_per_k=convected,
        perfused_w_per_k=perfused,
        cored_w_per_k=cored,
        fixed=_nodes_of(mesh, core) & held,
        hot=made > 0,
        exposed=_nodes_of(mesh, air),
    )


def _bricks(heat: Part | Stretch, stack: SpotStack, planes: SpotPlanes) -> Any:
    """Mesh of the layers, and of the part where it stands out of them."""
    from skfem import MeshHex  # noqa: PLC0415 - slow to import, seldom needed

    mesh = MeshHex.init_tensor(planes.x_m, planes.y_m, planes.z_m)
    middles = _middles(mesh)
    return mesh.restrict(np.flatnonzero((middles[2] < stack.outer_m) | _in_part(heat, middles)))


def _middles(mesh: Any) -> NDArray[np.float64]:
    return np.asarray(mesh.p[:, mesh.t].mean(axis=1))


def _nodes_of(mesh: Any, facets: NDArray[np.int64]) -> NDArray[np.bool_]:
    found = np.zeros(mesh.p.shape[1], dtype=np.bool_)
    found[mesh.facets[:, facets]] = True
    return found


def _basis(mesh: Any, facets: NDArray[np.int64] | None = None) -> Any:
    """Trilinear temperatures in all bricks, or on facets, integrated by their corners."""
    from skfem import Basis, ElementHex1, FacetBasis  # noqa: PLC0415
    from skfem.refdom import RefHex, RefQuad  # noqa: PLC0415

    if facets is None:
        return Basis(mesh, ElementHex1(), quadrature=(RefHex.p, np.full(8, 1 / 8)))
    return FacetBasis(mesh, ElementHex1(), facets=facets, quadrature=(RefQuad.p, np.full(4, 1 / 4)))


@dataclass(frozen=True, slots=True)
class _Values:
    """What each brick is made of."""

    conductivity: NDArray[np.float64]
    capacity: NDArray[np.float64]
    perfusion: NDArray[np.float64]
    metabolic: NDArray[np.float64]
    in_part: NDArray[np.bool_]

    @classmethod
    def of(cls, heat: Part | Stretch, stack: SpotStack, middles: NDArray[np.float64]) -> "_Values":
        """Layer by layer, then the part in their place; above all layers there is only the part."""
        z = middles[2]
        found = np.zeros((4, z.size))
        for layers, depth in ((stack.outer, z), (stack.below, -z)):
            start = 0.0
            for layer in layers:
                found[:, (depth > start) & (depth < start + layer.thickness_m)] = _of_layer(layer)[:, np.newaxis]
                start += layer.thickness_m
        in_part = _in_part(heat, middles)
        if isinstance(heat, Part):
            capacity = heat.density_kg_per_m3 * heat.heat_capacity_j_per_kg_k
            found[:, in_part] = np.array([[heat.conductivity_w_per_m_k], [capacity], [0.0], [0.0]])
        return cls(found[0], found[1], found[2], found[3], in_part)


def _of_layer(layer: Layer) -> NDArray[np.float64]:
    return np.array([
        layer.conductivity_w_per_m_k,
        layer.density_kg_per_m3 * layer.heat_capacity_j_per_kg_k,
        layer.perfusion_w_per_m3_k,
        layer.metabolic_w_per_m3,
    ])  # fmt: skip


def _in_part(heat: Part | Stretch, middles: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether bricks belong to the part."""
    if isinstance(heat, Stretch):
        return np.zeros(middles.shape[1], dtype=np.bool_)
    height = middles[2] if heat.side is Side.OUTER else -middles[2]
    return np.asarray(
        (middles[0] < heat.length_m / 2) & (middles[1] < heat.width_m / 2) & (height > 0) & (height < heat.height_m)
    )


def _facets(
    mesh: Any, planes: SpotPlanes, heat: Part | Stretch, trace: Trace
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Facets that touch the air and the core, that are metal, and that are heated metal."""
    x, y, z = mesh.p[:, mesh.facets].mean(axis=1)
    flat = np.ptp(mesh.p[2][mesh.facets], axis=0) < TOUCHING_M
    boundary = mesh.boundary_facets()
    side = (x < TOUCHING_M) | (y < TOUCHING_M) | (x > planes.x_m[-1] - TOUCHING_M) | (y > planes.y_m[-1] - TOUCHING_M)
    bottom = z < planes.z_m[0] + TOUCHING_M
    gap = heat.gap_m if isinstance(heat, Part) else 0.0
    strip = flat & (np.abs(z) < TOUCHING_M) & (y < trace.width_m / 2) & (x < trace.length_m / 2)
    metal = np.flatnonzero(strip & (x > gap / 2))
    heated = np.flatnonzero(strip & (x < heat.length_m / 2))
    return boundary[~side[boundary] & ~bottom[boundary]], boundary[bottom[boundary]], metal, heated


def _lumped(basis: Any, value: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """Integral of a value times the shape of each node."""
    from skfem import LinearForm  # noqa: PLC0415

    weight = np.broadcast_to(np.asarray(value, dtype=np.float64).reshape(-1, 1), basis.dx.shape)
    return np.asarray(LinearForm(lambda v, w: w.weight * v).assemble(basis, weight=weight))


def _conduction(basis: Any, conductivity: NDArray[np.float64]) -> Any:
    """Conduction in the bricks."""
    from skfem import BilinearForm  # noqa: PLC0415
    from skfem.helpers import dot, grad  # noqa: PLC0415

    weight = np.broadcast_to(conductivity[:, np.newaxis], basis.dx.shape)
    return BilinearForm(lambda u, v, w: w.weight * dot(grad(u), grad(v))).assemble(basis, weight=weight)


def _sheet(basis: Any, sheet_w_per_k: float) -> Any:
    """Conduction along the metal."""
    from skfem import BilinearForm  # noqa: PLC0415

    return BilinearForm(lambda u, v, _: sheet_w_per_k * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])).assemble(basis)


def _plus_diagonal(matrix: Any, diagonal: NDArray[np.float64]) -> Any:
    """Add to the diagonal, and drop what rounding left where the corner rule gives nothing."""
    from scipy.sparse import coo_array, csr_array, diags_array  # noqa: PLC0415

    whole = coo_array(matrix + diags_array(diagonal))
    own = whole.tocsr().diagonal()
    kept = np.abs(whole.data) > 1e-13 * np.sqrt(own[whole.row] * own[whole.col])
    return csr_array((whole.data[kept], (whole.row[kept], whole.col[kept])), shape=whole.shape)
