"""Whatever the text, the reader returns a brief or complains; it never breaks."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from brief.base_brief import (
    BASE,
    CYLINDER,
    ELASTOMER,
    ELEMENT,
    INTERFACE,
    SHIFTED,
    SLICES,
    THREAD,
    TRANSMITTING,
    TRUNK,
    TUBE,
    Tree,
    changed,
    text_of,
)
from loopwright.brief import Brief, read_brief
from loopwright.ground.errors import BriefError

STARTS: tuple[Tree, ...] = (
    BASE,
    changed(BASE, body=CYLINDER, array__tiling__rows="2"),
    changed(BASE, body=TRUNK, array={"elements": [ELEMENT, {**ELEMENT, "name": "A2"}]}),
    changed(
        BASE,
        body__layers=[{"thickness": "2 mm", "material": "Skin (Dry)"}],
        conductor={"kind": "printed strip", "width": "3 mm", "thickness": "20 um", "conductivity": "8 MS/m"},
        imaging__region={"kind": "box", "min": ["-1 mm"] * 3, "max": ["9 mm"] * 3},
        imaging__accelerations=[
            {"name": "2", "factors": ["2"], "directions": ["x"], "field_of_view": ["170 mm"]},
            {**SHIFTED, "name": "3"},
            SLICES,
        ],
        imaging__slices=[{"plane": "axial", "at": "3 mm"}],
        computation={"frequencies": "7"},
    ),
    changed(BASE, imaging__region={"kind": "tissue", "tissue": ["Muscle"]}),
    changed(BASE, interface=INTERFACE),
    changed(BASE, **TRANSMITTING),
    changed(
        BASE,
        circuit={"wiring": "capacitive match"},
        tolerances={"parts": [{"name": "film", "kind": "capacitors", "spread": "4 %", "shared_by": "array"}]},
        family={"loads": ["0.5", "2"], "stretches": ["5 %"], "bends": ["60 mm"], "robust": "yes"},
    ),
    *(changed(BASE, conductor=conductor) for conductor in (TUBE, ELASTOMER, THREAD)),
)
TEXTS = tuple(text_of(tree) for tree in STARTS)
ODDITIES = st.one_of(
    st.text(max_size=12),
    st.sampled_from(
        [
            "",
            "0",
            "-1",
            "nan",
            "1e999",
            "3 T",
            "80 mm",
            "-80 mm",
            "0 mm",
            "1e30 m",
            "4 voxels",
            "whole",
            "patch",
            "x",
            "1H",
            "1/3",
            "1/0",
            "shifted",
            "sphere",
        ]
    ),
    st.lists(st.sampled_from(["0", "1", "1 mm", "x", "", "y"]), max_size=4),
    st.dictionaries(st.sampled_from(["kind", "shape", "name", "radius", "span", "size", "rows"]), st.text(max_size=5)),
    st.lists(st.dictionaries(st.sampled_from(["name", "shape"]), st.sampled_from(["A", "circle"])), max_size=2),
)


def read_or_refuse(text: str) -> None:
    try:
        outcome: Brief | BriefError = read_brief(text, "fuzz.yaml")
    except BriefError as refusal:
        outcome = refusal
    if isinstance(outcome, BriefError):
        assert outcome.complaints
        assert all(complaint.line >= 1 and str(complaint) for complaint in outcome.complaints)


def places_of(tree, path=()):
    """Paths of everything in a tree that could be something else."""
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in pairs:
        yield (*path, key)
        yield from places_of(value, (*path, key))


@given(text=st.text(max_size=200))
def test_any_text(text):
    read_or_refuse(text)


@given(text=st.text(alphabet=" \n\t:-[]{},'\"#&*!|>%@abx019.\\?", max_size=60))
def test_any_yaml_like_text(text):
    read_or_refuse(text)


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_anything_in_any_place(data):
    tree = changed(data.draw(st.sampled_from(STARTS)))
    for _ in range(data.draw(st.integers(1, 3))):
        *parents, last = data.draw(st.sampled_from(sorted(places_of(tree), key=str)))
        place = tree
        for parent in parents:
            place = place[parent]
        if data.draw(st.booleans()):
            place[last] = data.draw(ODDITIES)
        elif isinstance(place, dict):
            del place[last]
    read_or_refuse(text_of(tree))


@settings(max_examples=150, deadline=None)
@given(start=st.sampled_from(TEXTS), seed=st.integers(0, 2**32 - 1), cuts=st.integers(1, 6))
def test_any_damage_to_the_text(start, seed, cuts):
    """Characters lost, doubled, exchanged or replaced, as by a slip of the hand."""
    draw = random.Random(seed)  # noqa: S311 - no secret
    text = start
    for _ in range(cuts):
        at = draw.randrange(len(text))
        text = text[:at] + draw.choice(["", text[at] * 2, "\t", ":", "-", "0", '"', "\n"]) + text[at + 1 :]
    read_or_refuse(text)
