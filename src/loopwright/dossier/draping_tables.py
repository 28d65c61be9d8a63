"""Tables of how the array lies: its layers, each element, its neighbours, and the ways of slitting its film."""

from collections.abc import Iterator

from loopwright.designs import Cuts, DrapedArray, DrapedFilm
from loopwright.dossier.findings import Cell, Column, Table
from loopwright.layouts import SlitPlan

__all__ = ["draping_tables"]

#: Rows that the page shows; the CSV files have all.
_ROWS = 32
_NOTHING = "–"
_STRAINS = (Column(title="least strain [%]", decimals=2), Column(title="greatest strain [%]", decimals=2))


def draping_tables(draped: DrapedArray, names: tuple[str, ...]) -> tuple[Table, ...]:
    """Layers and cuts of a film, then elements, then neighbours, as far as the array has them."""
    film = () if draped.film is None else (_layers(draped.film), _ways_of_cutting(draped.film))
    return (*film, _elements(draped, names), *((_neighbours(draped, names),) if draped.bends else ()))


def _layers(film: DrapedFilm) -> Table:
    stack = film.stack
    return Table(
        name="draping_layers",
        caption="From the centre-line of the conductor down to the underside, where the gap begins.",
        columns=(Column(title="layer"), Column(title="thickness", unit="m", decimals=3)),
        rows=(
            ("half of the conductor", stack.conductor_thickness_m / 2),
            *((layer.name, layer.thickness_m) for layer in stack.layers),
            ("stand-off where the film touches", stack.stand_off_m),
        ),
    )


def _ways_of_cutting(film: DrapedFilm) -> Table:
    limit = 100 * film.request.compression_limit
    return Table(
        name="draping_cuts",
        caption=f"What it takes for the film to follow the skin with its edges shortened by less than {limit:g} %.",
        columns=(
            Column(title="way"),
            Column(title="number"),
            Column(title="largest shortening left", digits=2),
            Column(title="shortened without", digits=2),
            Column(title="area removed", unit="m^2", digits=2),
            Column(title="conductors cut"),
        ),
        rows=(tuple(_cut("radial slits", film.slits)), tuple(_cut("parallel gores", film.gores))),
    )


def _cut(way: str, cuts: Cuts) -> Iterator[Cell]:
    yield way
    plan = cuts.plan
    if plan is None:
        yield from ("none found", _NOTHING, _NOTHING, _NOTHING, _NOTHING)
        return
    yield plan.number
    yield plan.compression[plan.number]
    yield plan.compression[min(plan.compression)]
    yield plan.removed_area_m2
    yield (" ".join(cuts.conductors) or "none") if isinstance(plan, SlitPlan) else "not judged"


def _elements(draped: DrapedArray, names: tuple[str, ...]) -> Table:
    film = draped.film
    of_carrier = (
        "strain along it" if film is None else "median gap under its conductor; along a film nothing is strained"
    )
    return Table(
        name="draping_elements",
        caption="Each element as it lies: least and largest distance of its line from the skin, and what bending does "
        f"to it alone; {of_carrier}.",
        columns=(
            Column(title="element"),
            Column(title="least distance", unit="m", decimals=1),
            Column(title="largest distance", unit="m", decimals=1),
            *(_STRAINS if film is None else (Column(title="gap", unit="m", decimals=1),)),
            Column(title="inductance flat", unit="H"),
            Column(title="inductance laid", unit="H"),
            Column(title="resonance moves by [%]", decimals=2),
        ),
        rows=tuple(
            (
                name,
                float(draped.skin_distance_m[k, 0]),
                float(draped.skin_distance_m[k, 2]),
                *_of_carrier(draped, k),
                float(draped.shift.flat_h[k]),
                float(draped.shift.laid_h[k]),
                100 * float(draped.shift.relative[k]),
            )
            for k, name in enumerate(names)
        ),
        rows_on_page=_ROWS,
    )


def _of_carrier(draped: DrapedArray, element: int) -> tuple[float, ...]:
    """Gap under one element of a film; least and greatest strain along one of a cloth, in per cent."""
    if draped.film is None:
        return 100 * float(draped.conductor_strain[element, 0]), 100 * float(draped.conductor_strain[element, 2])
    return (tuple(draped.film.gaps.of_elements_m.values())[element],)


def _neighbours(draped: DrapedArray, names: tuple[str, ...]) -> Table:
    bends = sorted(draped.bends, key=lambda one: -abs(one.coefficient))
    return Table(
        name="draping_neighbours",
        caption="Neighbours as laid against the same pair in the flat drawing, the strongest first: distance of "
        "centres over size, and coupling coefficient without the body.",
        columns=(
            Column(title="pair"),
            Column(title="distance over size, flat", decimals=3),
            Column(title="as laid", decimals=3),
            Column(title="coupling, flat", decimals=4),
            Column(title="coupling, as laid", decimals=4),
        ),
        rows=tuple(
            (
                f"{names[one.pair[0]]} {names[one.pair[1]]}",
                one.flat_overlap,
                one.overlap,
                one.flat_coefficient,
                one.coefficient,
            )
            for one in bends
        ),
        rows_on_page=_ROWS,
    )
