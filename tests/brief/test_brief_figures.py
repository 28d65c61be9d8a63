"""What a brief knows of the stylised figures: where all of them lies, and which tissues they hold."""

import numpy as np
import pytest

from brief.base_brief import TRUNK, brief_with
from loopwright.bodies import solid_of
from loopwright.brief.topics.facts import body_box_m
from loopwright.ground.errors import BriefError

HEAD = {"shape": "head", "age": "adult male", "voxel": "8 mm"}
WRIST = {"shape": "limb", "part": "wrist", "age": "newborn", "length": "120 mm", "voxel": "1.5 mm"}
PATCH = {
    "pattern": "hexagonal", "shape": "circle", "count": "8", "rows": "2", "size": "40 mm", "overlap": "0.76",
    "span": "patch", "stand_off": "8 mm", "gaps": "4",
}  # fmt: skip
SLAB_IN_THE_NECK = {
    "kind": "simultaneous slices",
    "name": "2 slices",
    "slices": "2",
    "normal": "z",
    "slice_distance": "20 mm",
    "slab_centre": "-170 mm",
    "direction": "y",
    "field_of_view": "220 mm",
}


def test_neck_and_arms_are_part_of_the_body():
    """A ball in the neck, a slab and a slice through it, a box in an arm beside the trunk."""
    neck = {"kind": "sphere", "centre": ["0 mm", "0 mm", "-150 mm"], "radius": "25 mm"}
    brief = brief_with(
        body=HEAD,
        array={"tiling": PATCH},
        imaging__region=neck,
        imaging__accelerations=[SLAB_IN_THE_NECK],
        imaging__slices=[{"plane": "axial", "at": "-150 mm"}],
    )
    assert brief.imaging.region.centre_m[2] == pytest.approx(-0.15)
    arm = {"kind": "box", "min": ["140 mm", "-20 mm", "-50 mm"], "max": ["160 mm", "20 mm", "50 mm"]}
    beside = brief_with(body={**TRUNK, "arms": "beside"}, array={"tiling": PATCH}, imaging__region=arm)
    assert beside.imaging.region.min_m[0] == pytest.approx(0.14)
    with pytest.raises(BriefError, match="a region beside the body"):
        brief_with(body=TRUNK, array={"tiling": PATCH}, imaging__region=arm)


@pytest.mark.parametrize("body", [HEAD, {**HEAD, "age": "newborn"}, {**TRUNK, "arms": "beside"}, WRIST])
def test_what_a_brief_knows_of_a_figure_is_the_bodys_own(body):
    """Corners and tissues that the rules use are those of the solid that the job builds."""
    values = {key: text for key, text in body.items() if key not in ("length", "voxel")}
    if "length" in body:
        values["length"] = 0.12
    lower, upper = body_box_m(body["shape"], values)
    tiling = {**PATCH, "size": "15 mm"}
    solid = solid_of(brief_with(body=body, array={"tiling": tiling}, conductor__width="3 mm").body)
    assert np.array([lower, upper]) == pytest.approx(np.array(solid.box_m), abs=1e-12)
    with pytest.raises(BriefError) as refusal:
        brief_with(
            body=body,
            array={"tiling": tiling},
            conductor__width="3 mm",
            imaging__region={"kind": "tissue", "tissue": "Liver"},
        )
    (complaint,) = refusal.value.complaints
    assert complaint.allowed == "a tissue of the body: " + ", ".join(solid.tissue_names)
