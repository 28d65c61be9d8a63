"""A good brief becomes the record that was meant, in SI units."""

import json
import math

import pytest
from pydantic import ValidationError
from scipy.special import ellipe

from brief.base_brief import BASE, CYLINDER, ELEMENT, SHIFTED, SLICES, TRUNK, brief_with, text_of
from loopwright.brief import (
    ArrayRequest,
    BoxRegion,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    PrintedStripRequest,
    RegularAcceleration,
    RoundWireRequest,
    ShiftedAcceleration,
    SimultaneousSlices,
    SphereRegion,
    SphereRequest,
    TissueByName,
    TissueRegion,
    TrunkRequest,
    WholeBodyRegion,
    read_brief,
)
from loopwright.brief.records import NoUltimate, SourceShellRequest
from loopwright.brief.topics.facts import ring_perimeter_m
from loopwright.ground.sources import Flag


def test_a_field_gives_the_proton_frequency():
    scanner = brief_with(scanner__field="3 T").scanner
    assert scanner.proton_frequency_hz == pytest.approx(127.729e6, rel=1e-5)  # 42.576385 MHz/T
    assert scanner.frequency_hz == scanner.proton_frequency_hz
    assert "127.729 MHz" in scanner.frequency_convention
    assert "proton_frequency: 123.2 MHz" in scanner.frequency_convention


def test_a_frequency_gives_the_field():
    scanner = brief_with(scanner__field=None, scanner__proton_frequency="123.2 MHz").scanner
    assert scanner.field_t == pytest.approx(2.8936, abs=5e-5)
    assert "proton_frequency: 127.73 MHz" in scanner.frequency_convention
    assert "higher" in scanner.frequency_convention


def test_both_may_be_written_when_they_agree():
    scanner = brief_with(scanner__proton_frequency="127.74 MHz").scanner
    assert scanner.proton_frequency_hz == 127.74e6


@pytest.mark.parametrize("field", ["1.5 T", "7 T"])
def test_other_fields_have_one_convention(field):
    assert "3 T" not in brief_with(scanner__field=field).scanner.frequency_convention


@pytest.mark.parametrize(
    ("nucleus", "frequency_hz"),
    [("13C", 32.118e6), ("19F", 120.185e6), ("23Na", 33.79e6), ("31P", 51.706e6), ("129Xe", 35.33e6)],
)
def test_larmor_frequencies_at_3_tesla(nucleus, frequency_hz):
    """Ratios of the public IUPAC and NMR tables, to the figures printed there."""
    assert brief_with(scanner__nucleus=nucleus).scanner.frequency_hz == pytest.approx(frequency_hz, rel=5e-4)


@pytest.mark.parametrize(
    ("nucleus", "b0_direction", "sign"),
    [("1H", "+z", 1), ("1H", "-z", -1), ("129Xe", "+z", -1), ("129Xe", "-z", 1), ("31P", "+z", 1)],
)
def test_reversed_field_and_negative_ratio_swap_the_pair(nucleus, b0_direction, sign):
    scanner = brief_with(scanner__nucleus=nucleus, scanner__b0_direction=b0_direction).scanner
    assert scanner.reception_sign == sign


def test_bodies():
    layers = [
        {"thickness": "2 mm", "material": "skin (dry)"},
        {"thickness": "8 mm", "material": "Fat (Not Infiltrated)"},
    ]
    gel = {"name": "gel", "permittivity": "63", "conductivity": "0.5 S/m"}
    sphere = brief_with(body__material=gel, body__layers=layers).body
    assert isinstance(sphere, SphereRequest)
    assert sphere.radius_m == 0.084
    assert sphere.material == ExplicitMaterial(name="gel", eps_r=63, sigma_s_per_m=0.5)
    assert [layer.thickness_m for layer in sphere.layers] == [2e-3, 8e-3]
    assert sphere.layers[0].material == TissueByName(tissue="Skin (Dry)")

    egg = brief_with(body__shape="ellipsoid", body__radius=None, body__semi_axes=["75 mm", "95 mm", "90 mm"]).body
    assert isinstance(egg, EllipsoidRequest)
    assert egg.semi_axes_m == (0.075, 0.095, 0.09)

    tube = brief_with(body=CYLINDER, array__tiling__rows="2").body
    assert isinstance(tube, EllipticCylinderRequest)
    assert (tube.semi_axes_m, tube.height_m) == ((0.15, 0.1), 0.4)

    trunk = brief_with(body=TRUNK, array__tiling__rows="2").body
    assert trunk == TrunkRequest(age="5 years", voxel_m=0.006)


def test_explicit_elements():
    square = {**ELEMENT, "name": "A2", "shape": "square", "side": "70 mm"}
    square.pop("diameter")
    array = brief_with(array={"elements": [ELEMENT, square]}).array
    assert array.count == 2
    assert array.tiling is None
    assert [element.size_m for element in array.elements] == [0.08, 0.07]
    assert array.elements[0].normal == (0, -1, 0)  # made one long
    assert array.elements[0].centre_m == (0, -0.095, 0)


def test_a_tiling():
    tiling = brief_with(array__tiling__facing=["3", "0", "4"]).array.tiling
    assert (tiling.count, tiling.rows, tiling.size_m, tiling.overlap, tiling.gaps) == (16, None, None, 0.76, 4)
    assert tiling.facing == pytest.approx((0.6, 0, 0.8), rel=1e-15)
    assert (tiling.stand_off_m, tiling.crossing_separation_m) == (0.009, 1e-3)


@pytest.mark.parametrize(
    ("conductor", "separation_m"),
    [
        ({"kind": "round wire", "wire_diameter": "0.5 mm"}, 1e-3),
        ({"kind": "round wire", "wire_diameter": "1 mm"}, 1.3e-3),
        ({"kind": "round wire", "wire_diameter": "2.05 mm"}, 2.35e-3),
        ({"kind": "flat strip", "width": "5 mm", "thickness": "1 mm"}, 1.3e-3),
    ],
)
def test_crossings_leave_room_for_the_conductor_and_its_insulation(conductor, separation_m):
    brief = brief_with(conductor=conductor)
    assert brief.array.tiling.crossing_separation_m == pytest.approx(separation_m, rel=1e-9)
    (told,) = [used for used in brief.defaults_used if used.field == "array.tiling.crossing_separation"]
    assert "insulation" in told.source.where


def test_conductors():
    wire = brief_with(
        array__tiling__crossing_separation="2 mm",
        conductor={"kind": "round wire", "wire_diameter": "1.5 mm", "material": "silver"},
    ).conductor
    assert isinstance(wire, RoundWireRequest)
    assert (wire.material, wire.conductivity_s_per_m) == ("silver", 6.3e7)
    ink = {"kind": "printed strip", "width": "5 mm", "thickness": "20 um", "conductivity": "8.3e6 S/m"}
    print_ = brief_with(conductor=ink).conductor
    assert isinstance(print_, PrintedStripRequest)
    assert (print_.material, print_.conductivity_s_per_m, print_.thickness_m) == ("given", 8.3e6, 20e-6)


def test_a_conductivity_stands_in_for_the_default_metal():
    brief = brief_with(conductor__conductivity="40 MS/m")
    assert brief.conductor.conductivity_s_per_m == 4e7
    assert "conductor.material" not in {default.field for default in brief.defaults_used}


def test_regions():
    assert brief_with().imaging.region == WholeBodyRegion(least_depth_m=0.01)  # two voxels of 5 mm
    ball = {"kind": "sphere", "centre": ["0 mm", "0 mm", "40 mm"], "radius": "30 mm", "least_depth": "12 mm"}
    region = brief_with(imaging__region=ball).imaging.region
    assert region == SphereRegion(centre_m=(0, 0, 0.04), radius_m=0.03, least_depth_m=0.012)
    box = {"kind": "box", "min": ["-40 mm", "-30 mm", "-50 mm"], "max": ["40 mm", "30 mm", "50 mm"]}
    region = brief_with(imaging__region={**box, "least_depth": "1.5 voxels"}).imaging.region
    assert isinstance(region, BoxRegion)
    assert (region.min_m, region.max_m, region.least_depth_m) == ((-0.04, -0.03, -0.05), (0.04, 0.03, 0.05), 0.0075)


def test_ultimate():
    assert brief_with().imaging.ultimate == NoUltimate()
    asked = brief_with(imaging__ultimate={"kind": "source shell", "coverage": "both", "modes": "60"}).imaging.ultimate
    assert asked == SourceShellRequest(coverage="both", modes=60)
    assert asked.coverages == ("complete", "covered")
    assert brief_with(imaging__ultimate={"kind": "source shell"}).imaging.ultimate.coverages == ("complete",)


def test_accelerations_and_slices():
    twice = {"name": "3 x 2", "factors": ["3", "2"], "directions": ["x", "z"], "field_of_view": ["180 mm", "200 mm"]}
    imaging = brief_with(imaging__accelerations=[twice], imaging__slices=[{"plane": "coronal", "at": "-20 mm"}]).imaging
    (acceleration,) = imaging.accelerations
    assert acceleration.reduction == 6
    assert acceleration.field_of_view_m == (0.18, 0.2)
    assert (imaging.slices[0].normal, imaging.slices[0].at_m) == ("y", -0.02)
    assert imaging.voxel_volume_m3 == 8e-9


def test_shifted_lines_and_simultaneous_slices():
    shifted, slices, fast = brief_with(
        imaging__accelerations=[
            SHIFTED,
            SLICES,
            {**SLICES, "name": "more", "factor": "2", "shift": "0.25", "slab_centre": "-10 mm"},
        ]
    ).imaging.accelerations
    assert isinstance(shifted, ShiftedAcceleration)
    assert (shifted.factors, shifted.shift, shifted.reduction) == ((2, 3), 2, 6.0)
    assert isinstance(slices, SimultaneousSlices)
    assert (slices.slices, slices.slice_distance_m, slices.field_of_view_m) == (3, 0.06, 0.18)
    assert slices.shift_fraction == pytest.approx(1 / 3)
    assert (slices.factor, slices.slab_centre_m, slices.reduction) == (1.0, 0.0, 1.0)
    assert (fast.factor, fast.slab_centre_m, fast.shift_fraction, fast.reduction) == (2.0, -0.01, 0.25, 2.0)


def test_an_acceleration_without_kind_is_regular_and_the_default_is_told():
    brief = brief_with(imaging__accelerations=[{"name": "2", "factors": ["2"], "directions": ["x"],
                                                "field_of_view": ["180 mm"]}])  # fmt: skip
    assert isinstance(brief.imaging.accelerations[0], RegularAcceleration)
    assert "imaging.accelerations[1].kind" in {default.field for default in brief.defaults_used}


@pytest.mark.parametrize(("written", "read"), [("Muscle", ("Muscle",)), (["muscle"], ("muscle",))])
def test_a_region_of_tissue(written, read):
    region = brief_with(imaging__region={"kind": "tissue", "tissue": written}).imaging.region
    assert region == TissueRegion(tissues=read, least_depth_m=0.01)


def test_a_region_may_name_any_tissue_of_a_figure_though_the_brief_does_not_spell_them_out():
    region = {"kind": "tissue", "tissue": "lung (inflated)"}
    trunk = brief_with(body=TRUNK, array__tiling__rows="2", imaging__region=region)
    assert trunk.imaging.region.tissues == ("lung (inflated)",)


def test_computation_takes_its_defaults_with_or_without_the_key():
    silent, spoken = brief_with(), brief_with(computation={})
    assert silent.computation == spoken.computation
    assert silent.computation.segments_per_element == 24
    assert silent.computation.frequencies == 5


def test_every_default_is_told_with_its_source():
    brief = brief_with()
    told = {default.field: default for default in brief.defaults_used}
    assert set(told) == {
        "scanner.nucleus",
        "scanner.b0_direction",
        "array.tiling.facing",
        "array.tiling.crossing_separation",
        "conductor.material",
        "conductor.capacitor_q",
        "conductor.other_series_resistance",
        "conductor.body_temperature",
        "conductor.coil_temperature",
        "imaging.region",
        "imaging.region.least_depth",
        "imaging.accelerations",
        "imaging.bandwidth",
        "imaging.slices",
        "imaging.ultimate",
        "computation.segments_per_element",
        "computation.relative_residual",
        "computation.coarse_voxel_ratio",
        "computation.band_fraction",
        "computation.frequencies",
        "computation.excitation",
        "computation.face_rule",
    }
    assert all(default.source.where for default in told.values())
    assert told["conductor.capacitor_q"].source.flag is Flag.MEMORY
    assert told["conductor.body_temperature"].value == "37 degC"


def test_what_is_written_is_no_default():
    brief = brief_with(conductor__capacitor_q="900", imaging__bandwidth="2 Hz", scanner__nucleus="1H")
    told = {default.field for default in brief.defaults_used}
    assert told.isdisjoint({"conductor.capacitor_q", "imaging.bandwidth", "scanner.nucleus"})


def test_other_words_for_the_same_thing_are_one_canonical_text():
    one = brief_with(title="One")
    other = brief_with(
        title="Another",
        body__radius="8.4 cm",
        conductor__thickness="0.035 mm",
        conductor__body_temperature="310.15 K",
        imaging__region={"kind": "Whole Body", "least_depth": "10 mm"},
        array__tiling__facing=["-0", "-7", "0"],
    )
    assert one.canonical() == other.canonical()
    assert json.loads(one.canonical())["body"]["radius_m"] == 0.084


def test_anything_that_changes_a_result_changes_the_canonical_text():
    texts = {
        brief_with(**change).canonical()
        for change in (
            {},
            {"scanner__b0_direction": "-z"},
            {"body__voxel": "4 mm"},
            {"body__material": "Blood"},
            {"array__tiling__gaps": "3"},
            {"conductor__capacitor_q": "1000"},
            {"conductor__coil_temperature": "21 degC"},
            {"imaging__bandwidth": "2 Hz"},
            {"computation__relative_residual": "1e-3"},
        )
    }
    assert len(texts) == 9


def test_records_cannot_be_changed():
    with pytest.raises(ValidationError):
        brief_with().body.radius_m = 1.0


def test_records_made_in_code_keep_to_their_own_rules():
    with pytest.raises(ValidationError):
        SphereRequest(radius_m=-1.0, voxel_m=1e-3, material=TissueByName(tissue="Muscle"))
    with pytest.raises(ValidationError):
        ArrayRequest()


def test_a_byte_order_mark_and_windows_lines_are_no_matter():
    text = text_of(BASE)
    assert read_brief("\ufeff" + text.replace("\n", "\r\n"), "w.yaml") == read_brief(text, "w.yaml")


@pytest.mark.parametrize("ratio", [1.0, 0.75, 0.5, 0.2])
def test_perimeter_of_an_ellipse(ratio):
    exact = 4 * 0.1 * ellipe(1 - ratio**2)  # complete elliptic integral of the second kind
    assert ring_perimeter_m(0.1, 0.1 * ratio) == pytest.approx(exact, rel=1e-4)
    assert ring_perimeter_m(0.1, 0.1) == pytest.approx(2 * math.pi * 0.1, rel=1e-14)
