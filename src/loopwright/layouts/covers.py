"""Surfaces covered by equal elements without rows, each where neighbours couple least."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress
from loopwright.layouts.cells import Cells
from loopwright.layouts.coupling import Pairs
from loopwright.layouts.cover_grounds import CoverGround
from loopwright.layouts.crossings import coloured
from loopwright.layouts.curved import Feet
from loopwright.layouts.decoupling import ROUGH_SEGMENTS, ROUNDS, STEP, Drawing, drawn_crossings
from loopwright.layouts.tiling import Tiling, what
from loopwright.layouts.tilings import NEAR_ZERO_COUPLING, mean_nearest_distance_m

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: On a closed surface: starts besides the even one, colourings looked at, orders searched from in each
#: of two rounds, and the seed.
_STARTS, _COLOURINGS, _ORDERS, _LAYER_ROUNDS, _SEED = 7, 4000, 16, 2, 20
#: A spot further from all centres than half the size is bare, which counts with this weight.
_HALF, _BARE_WEIGHT = 0.5, 10.0


def decoupled_cover(drawing: Drawing, *, progress: Progress) -> Tiling:
    """A closed surface covered by equal elements, each where neighbours couple least; outlines fine in the end."""
    return polished_cover(drawing, searched_cover(drawing, progress=progress)[0])


def searched_cover(drawing: Drawing, *, progress: Progress) -> tuple[Tiling, float]:
    """The best cover of a closed surface that rough outlines find, and the sum of squares that is left.

    Notes
    -----
    Searched from the even spread and from seven relaxed random ones, always the same; the best of them again with the
    layers that promise most. Neighbours are elements whose cells touch (edges of the convex hull of the directions),
    three for each element less six in all, so that starts compare. Every spot of the surface has to lie inside an
    element: small elements, or clusters with gaps between them, couple less but leave the body bare.
    """
    in_turn, starts = np.arange(drawing.request.count), _cover_starts(drawing)
    progress.begin("search for zero coupling", len(starts) + _LAYER_ROUNDS * _ORDERS)

    def settled(start: Tiling, order: Integers) -> tuple[Tiling, float]:
        found = settled_cover(drawing, start, order)
        progress.advance()
        return found

    best = min((settled(start, in_turn) for start in starts), key=lambda entry: entry[1])
    for _ in range(_LAYER_ROUNDS):
        again = [settled(best[0], order) for order in _promising_orders(drawing, best[0])]
        best = min([best, *again], key=lambda entry: entry[1])
    return best


def _promising_orders(drawing: Drawing, tiling: Tiling) -> list[Integers]:
    """Orders whose layers leave least when elements move a little, the most promising first.

    Every pair is looked at once on every two layers. What small moves can undo then drops out by projection on the
    slopes, so thousands of colourings are judged without a search.
    """
    count, pairs = drawing.request.count, np.array(tiling.pairs)
    crossing = drawn_crossings(drawing.skin, drawing.request, tiling.feet, tiling.sizes_m, segments=drawing.segments)
    rng = np.random.default_rng(_SEED)
    colourings = {coloured(crossing, order=rng.permutation(count).tolist()) for _ in range(_COLOURINGS)}
    table = _coefficients_by_layers(drawing, tiling, highest=max(max(layers) for layers in colourings))
    cover = _Cover(drawing=drawing, base=tiling, segments=ROUGH_SEGMENTS)
    left, sizes, _ = np.linalg.svd(cover.slopes(cover.nothing_moved)[: len(pairs)], full_matrices=False)
    reached = left[:, sizes > 1e-6 * sizes[0]]

    def what_is_left(layers: tuple[int, ...]) -> float:
        on = np.array(layers)
        k = table[np.arange(len(pairs)), on[pairs[:, 0]], on[pairs[:, 1]]]
        return float(np.sum((k - reached @ (reached.T @ k)) ** 2))

    ranked = sorted((what_is_left(layers), layers) for layers in colourings)
    return [np.argsort(layers, kind="stable") for _, layers in ranked[:_ORDERS]]


def _coefficients_by_layers(drawing: Drawing, tiling: Tiling, *, highest: int) -> Real:
    """Coefficient of every pair on every two layers, shape (pairs, layers, layers)."""
    count, pairs, levels = drawing.request.count, np.array(tiling.pairs), highest + 1
    outlines = np.concatenate(
        [
            drawing.outlines_m(tiling.feet, tiling.sizes_m, (level,) * count, segments=ROUGH_SEGMENTS)
            for level in range(levels)
        ]
    )
    first, second = (axis.ravel() for axis in np.meshgrid(range(levels), range(levels), indexing="ij"))
    asked = [pairs + count * np.array([here, there]) for here, there in zip(first, second, strict=True)]
    found = drawing.coefficients(outlines, np.concatenate(asked))
    return np.moveaxis(found.reshape(levels, levels, len(pairs)), 2, 0)


def settled_cover(drawing: Drawing, start: Tiling, order: Integers) -> tuple[Tiling, float]:
    """Search from one start with rough outlines, elements taking their layers in one order.

    Gives the tiling, and the sum of squares that is left.
    """
    pairs = _ground(drawing).cells(start.feet).pairs
    tiling = replace(start, pairs=pairs, layers=drawing.layers(start.feet, start.sizes_m, order))
    for _ in range(ROUNDS):
        before = tiling.pairs, tiling.layers
        tiling = _Cover(drawing=drawing, base=tiling, segments=ROUGH_SEGMENTS).settled(order)
        if (tiling.pairs, tiling.layers) == before:
            break
    return tiling, cover_cost(drawing, tiling)


def polished_cover(drawing: Drawing, tiling: Tiling) -> Tiling:
    """Search on from a tiling with fine outlines, its layers kept where they still part all that cross."""
    order = np.argsort(np.array(tiling.layers), kind="stable")
    return _Cover(drawing=drawing, base=tiling, segments=drawing.segments).settled(order)


def cover_cost(drawing: Drawing, tiling: Tiling) -> float:
    """Sum of squared coefficients, and of what keeps the surface from being bare; rough outlines."""
    cover = _Cover(drawing=drawing, base=tiling, segments=ROUGH_SEGMENTS)
    return float(np.sum(cover.residuals(cover.nothing_moved) ** 2))


def again_from(drawing: Drawing, start: Tiling) -> Tiling:
    """Search once more from a tiling that was found before, its layers kept: for another part of the body."""
    if start.layers is None:
        raise OutsideModelError("only a tiling that was searched for can be searched for again.")
    order = np.argsort(np.array(start.layers), kind="stable")
    return polished_cover(drawing, settled_cover(drawing, start, order)[0])


def cover_start(drawing: Drawing, feet: Feet) -> Tiling:
    """Elements at these feet, of the size that overlaps best when they are spread evenly."""
    even = _ground(drawing).even(drawing.request.count)
    return _start(drawing, feet, size_m=_even_size_m(drawing, even))


def _cover_starts(drawing: Drawing) -> list[Tiling]:
    count, rng, ground = drawing.request.count, np.random.default_rng(_SEED), _ground(drawing)
    feet = [ground.even(count), *(ground.scattered(count, rng) for _ in range(_STARTS))]
    size = _even_size_m(drawing, feet[0])
    return [_start(drawing, one, size_m=size) for one in feet]


def _start(drawing: Drawing, feet: Feet, *, size_m: float) -> Tiling:
    return Tiling(feet=feet, sizes_m=np.full(drawing.request.count, size_m), notes=())


def _even_size_m(drawing: Drawing, even: Feet) -> float:
    """Size that overlaps best when elements are spread evenly. [m]"""
    near = mean_nearest_distance_m(drawing.skin, even, stand_off_m=drawing.request.stand_off_m)
    return near / NEAR_ZERO_COUPLING[drawing.request.shape]


def _ground(drawing: Drawing) -> CoverGround:
    assert drawing.ground is not None  # noqa: S101 - the caller tells surfaces apart
    return drawing.ground


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cover:
    """One least-squares problem on a closed surface, with the neighbours and layers of the base.

    Unknowns: a step along and across for each element, and the change of the common size, all over the size at the
    base; shape (2 * elements + 1,).
    """

    drawing: Drawing
    base: Tiling
    segments: int

    @property
    def pairs(self) -> Pairs:
        return self.base.pairs or ()

    @property
    def _cells(self) -> Cells:
        return _ground(self.drawing).cells(self.base.feet)

    @property
    def layers(self) -> tuple[int, ...]:
        return self.base.layers or ()

    @property
    def nothing_moved(self) -> Real:
        return np.zeros(2 * len(self.base.sizes_m) + 1)

    def settled(self, order: Integers) -> Tiling:
        """The tiling at the least sum of squares near the base, its neighbours and layers found anew."""
        bound = np.full(len(self.nothing_moved), 0.6)
        bound[-1] = 0.3
        found = least_squares(
            self.residuals,
            self.nothing_moved,
            jac=self.slopes,
            bounds=(-bound, bound),
            xtol=1e-5,
            ftol=1e-4,
            max_nfev=40,
        )
        feet, sizes = self.moved(found.x)
        layers = self.drawing.layers(feet, sizes, order)
        return replace(
            self.base, feet=feet, sizes_m=sizes, pairs=_ground(self.drawing).cells(feet).pairs, layers=layers
        )

    def moved(self, unknowns: Real) -> tuple[Feet, Real]:
        """Feet and sizes with these unknowns."""
        base, size = self.base.feet, self.base.sizes_m[0]
        step = size * unknowns[:-1].reshape(-1, 2)
        return _ground(self.drawing).stepped(base, step), self.base.sizes_m * (1 + unknowns[-1])

    def residuals(self, unknowns: Real) -> Real:
        """Coefficients (pairs,), bareness of triangles (triangles,); on cut ground what is past it and what moved."""
        feet, sizes = self.moved(unknowns)
        outlines = self.drawing.outlines_m(feet, sizes, self.layers, segments=self.segments)
        chosen = np.array(self.pairs)
        coefficients = self.drawing.coefficients(outlines, chosen)
        bareness = self._bareness(self._points_m(feet), sizes[0], self._cells.triangles)
        return np.concatenate([coefficients, bareness, self._past(outlines), self._holding @ unknowns])

    def slopes(self, unknowns: Real) -> Real:
        """Differences of the residuals: a step of one element touches its own pairs only."""
        count, chosen = len(self.base.sizes_m), np.array(self.pairs)
        variants = [self.moved(unknowns + change) for change in self._changes()]
        outlines = np.concatenate(
            [self.drawing.outlines_m(feet, sizes, self.layers, segments=self.segments) for feet, sizes in variants]
        )
        i, j = chosen.T
        asked = [(i, j), (i + count, j), (i, j + count), (i + 2 * count, j), (i, j + 2 * count)]
        asked.append((i + 3 * count, j + 3 * count))
        found = self.drawing.coefficients(outlines, np.concatenate([np.stack(pair, axis=1) for pair in asked]))
        _, i_u, j_u, i_v, j_v, grown = (found.reshape(len(asked), -1) - found[: len(i)]) / STEP
        row = np.arange(len(i))
        slopes = np.zeros((len(i), 2 * count + 1))
        slopes[row, 2 * i], slopes[row, 2 * j] = i_u, j_u
        slopes[row, 2 * i + 1], slopes[row, 2 * j + 1] = i_v, j_v
        slopes[row, -1] = grown
        return np.concatenate([slopes, self._bareness_slopes(unknowns), self._past_slopes(outlines), self._holding])

    def _past(self, outlines_m: Real) -> Real:
        """How far outlines reach past a cut over the size at the base, weighed like bare spots; (elements or 0,)."""
        return np.asarray(_BARE_WEIGHT * _ground(self.drawing).past_m(outlines_m) / self.base.sizes_m[0])

    def _past_slopes(self, variants_m: Real) -> Real:
        """Differences of that, from the outlines where all elements are, step along and across, and grow."""
        here, along, across, grown = np.split(self._past(variants_m), 4)
        slopes, own = np.zeros((len(here), len(self.nothing_moved))), np.arange(len(here))
        slopes[own, 2 * own], slopes[own, 2 * own + 1], slopes[:, -1] = along - here, across - here, grown - here
        return slopes / STEP

    @property
    def _holding(self) -> Real:
        """Weights that hold elements and their size where nothing else does, shape (unknowns or 0, unknowns)."""
        weight, each = _ground(self.drawing).holding, np.eye(len(self.nothing_moved))
        return weight * each if weight > 0 else each[:0]

    def _changes(self) -> list[Real]:
        """No step, all elements along, all across, all larger."""
        change = np.zeros((4, len(self.nothing_moved)))
        change[1, :-1:2] = change[2, 1:-1:2] = change[3, -1] = STEP
        return list(change)

    def _bareness(self, points_m: Real, size_m: float, triangles: Integers) -> Real:
        """How far the barest spots lie outside all elements, weighed; zero where each lies in one, (triangles,)."""
        barest = _ground(self.drawing).barest_m(points_m, triangles)
        return np.asarray(_BARE_WEIGHT * np.maximum(0, barest / size_m - _HALF))

    def _points_m(self, feet: Feet) -> Real:
        return np.asarray(feet.points_m + self.drawing.request.stand_off_m * feet.normal)

    def _bareness_slopes(self, unknowns: Real) -> Real:
        """Differences of the bareness: one element steps at a time, in the end all grow."""
        here, along, across, grown = (self.moved(unknowns + change) for change in self._changes())
        points, size, triangles = self._points_m(here[0]), here[1][0], self._cells.triangles
        bare = self._bareness(points, size, triangles)
        if not bare.any():
            return np.zeros((len(bare), len(unknowns)))
        columns = []
        for element in range(len(points)):
            for stepped in (along, across):
                moved = points.copy()
                moved[element] = self._points_m(stepped[0])[element]
                columns.append(self._bareness(moved, size, triangles))
        columns.append(self._bareness(points, grown[1][0], triangles))
        return (np.stack(columns, axis=1) - bare[:, None]) / STEP


def described_cover(drawing: Drawing, tiling: Tiling) -> tuple[str, ...]:
    """What was chosen, in sentences."""
    elements = what(drawing.request.shape, tiling.sizes_m)
    orders = _LAYER_ROUNDS * _ORDERS + 1
    starts = f"Searched from the even spread and {_STARTS} scattered ones, and in {orders} orders of the layers"
    return (
        f"{elements}, over the surface at the places that leave the least coupling.",
        f"{starts}; every spot of the surface had to lie inside an element.",
    )
