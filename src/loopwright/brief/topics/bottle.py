"""Bottle: a round body with shoulders and a wall."""

from collections.abc import Iterator, Mapping

from loopwright.brief.defaults import BOTTLE_WALL_PERMITTIVITY
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Key, Number
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import BottleRequest
from loopwright.brief.topics.material import MaterialPart
from loopwright.ground.units import engineering_text

__all__ = ["bottle_form"]


def _wall_leaves_room(draft: Draft) -> Iterator[Trouble]:
    wall, sizes = draft.get("wall"), [draft.get(key) for key in ("radius", "height", "shoulder")]
    if wall is None or None in sizes or wall < min(sizes):
        return
    yield Trouble(
        key="wall",
        found=f"a wall of {engineering_text(wall, 'm')}",
        allowed=f"less than {engineering_text(min(sizes), 'm')}, the least of radius, height and shoulder",
        remedy="make the wall thinner, or the bottle larger",
    )


def _length(name: str, low: str, high: str, sample: str, meaning: str) -> Quantity:
    return Quantity(name=name, field=f"{name}_m", unit="m", low=low, high=high, sample=sample, meaning=meaning)


def bottle_form(voxel: Key, *, rules: tuple[Rule, ...], strangers: Mapping[str, str]) -> Form:
    """Form of a bottle.

    Parameters
    ----------
    voxel
        The key of the voxel, as all bodies have it.
    rules
        What has to hold for all bodies.
    strangers
        Keys of other bodies, each with the remedy.
    """
    return Form(
        title="bottle",
        keys=(
            _length("radius", "10 mm", "300 mm", "60 mm", "Outer radius."),
            _length("height", "20 mm", "1 m", "180 mm", "Length of the straight side, outside, below the shoulders."),
            _length("shoulder", "10 mm", "300 mm", "40 mm", "Height of the rounded shoulders above it, outside."),
            _length("wall", "0.2 mm", "20 mm", "2 mm", "Thickness of the wall."),
            Number(
                name="wall_permittivity",
                field="wall_eps_r",
                low=1,
                high=10,
                sample="2.3",
                default=BOTTLE_WALL_PERMITTIVITY,
                meaning="Relative permittivity of the wall, which loses nothing.",
            ),
            voxel,
            MaterialPart(meaning="What it is filled with, to the top."),
        ),
        rules=(_wall_leaves_room, *rules),
        build=BottleRequest,
        strangers={
            **strangers,
            "diameter": "write the outer `radius`",
            "layers": "a bottle has a `wall`",
            "size": "write `radius`, `height` and `shoulder`",
        },
        notes="A round bottle about z without its neck. The middle of the plane where the shoulders begin is the "
        "origin: the straight side lies at negative z, and `facing: [0, -1, -0.9]` lays a patch 0.9 radii below the "
        "shoulders.",
    )
