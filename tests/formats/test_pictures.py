"""Pictures: the right side of the patient stands on the right side of the picture, and scales can be compared."""

import dataclasses
import io
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import LogNorm
from PIL import Image

from loopwright.dossier import MapKind, compile_dossier
from loopwright.formats.pictures import draw_pictures
from loopwright.formats.pictures.curves import depth_picture
from loopwright.formats.pictures.layouts import views_of
from loopwright.formats.pictures.slices import colour_scale, slices_picture
from loopwright.formats.pictures.style import log_ticks, new_figure, quantity_label
from loopwright.formats.pictures.views import ABOVE, AXIAL, BEHIND, CORONAL, SAGITTAL
from synthetic_evidence import synthetic_evidence
from wired_rings import wired


@pytest.fixture(scope="module")
def evidence():
    return dataclasses.replace(synthetic_evidence(count=16), circuit=wired(elements=16))


@pytest.fixture(scope="module")
def pictures(evidence):
    return {picture.name: picture for picture in draw_pictures(evidence)}


def test_every_picture_that_a_section_names_is_drawn(evidence, pictures):
    named = {name for section in compile_dossier(evidence).sections for name in section.pictures}
    assert named <= set(pictures)


def test_a_cap_is_drawn_from_the_head_and_a_ring_from_the_feet(evidence):
    ring = evidence.layout.elements
    cap = tuple(dataclasses.replace(line, centre_m=(*line.centre_m[:2], 0.1)) for line in ring)
    assert views_of(ring, evidence.maps)[-1] is AXIAL
    assert views_of(cap, evidence.maps)[-1] is ABOVE
    assert ABOVE.nearness(np.array([[0.0, 0.0, 0.1]])) == pytest.approx([0.1])


def test_pictures_are_fit_for_print_and_not_blank(pictures):
    for picture in pictures.values():
        image = Image.open(io.BytesIO(picture.png))
        assert image.width == pytest.approx(7.4 * 150, abs=1), picture.name
        assert image.info["dpi"][0] == pytest.approx(150, abs=0.1), picture.name
        assert image.convert("L").getextrema()[0] < 80, picture.name
        assert picture.caption.endswith((".", "”.")), picture.name


def test_frames_keep_clear_of_the_edge(pictures):
    """Nothing is cut off: the outermost pixels are white."""
    for picture in pictures.values():
        pixels = np.asarray(Image.open(io.BytesIO(picture.png)).convert("L"))
        rim = np.concatenate([pixels[0], pixels[-1], pixels[:, 0], pixels[:, -1]])
        assert rim.min() == 255, picture.name


@pytest.mark.parametrize(
    ("view", "axis", "corner"),
    [
        (AXIAL, 0, (slice(None), -1)),  # patient's left on the reader's right
        (AXIAL, 1, (-1, slice(None))),  # posterior below
        (CORONAL, 0, (slice(None), -1)),
        (CORONAL, 2, (0, slice(None))),  # head above
        (SAGITTAL, 1, (slice(None), -1)),  # posterior on the reader's right
        (SAGITTAL, 2, (0, slice(None))),
        (BEHIND, 0, (slice(None), 0)),  # from behind, the patient's left is on the reader's left
    ],
)
def test_a_mark_at_the_positive_end_of_an_axis_lands_where_radiologists_look_for_it(view, axis, corner):
    cube = np.zeros((3, 4, 5))
    end = [slice(None)] * 3
    end[axis] = -1
    cube[tuple(end)] = 1
    picture = view.oriented(np.take(cube, 0, axis=view.along))
    assert np.all(picture[corner] == 1)
    assert picture.sum() == picture[corner].size


@pytest.mark.parametrize(
    ("view", "towards"),
    [(AXIAL, (0, 0, -1)), (CORONAL, (0, -1, 0)), (SAGITTAL, (1, 0, 0)), (BEHIND, (0, 1, 0))],
)
def test_near_is_the_side_that_the_title_names(view, towards):
    np.testing.assert_array_equal(view.nearness(np.eye(3)), towards)


def test_snr_maps_share_one_scale(evidence):
    maps = evidence.maps
    scale = colour_scale(MapKind.SNR, maps.scalars, maps.region)
    largest = max(np.nanmax(s.values) for s in maps.scalars if s.kind is MapKind.SNR)
    assert scale.vmin == 0
    assert 0.5 * largest < scale.vmax <= largest


@pytest.mark.parametrize(("least", "low"), [(0.83, 0.80), (0.99, 0.95), (1.0, 0.95), (0.04, 0.0), (0.0, 0.0)])
def test_inverse_g_runs_from_the_least_of_the_region_to_1(evidence, least, low):
    maps = evidence.maps
    inverse = next(s for s in maps.scalars if s.kind is MapKind.INVERSE_G)
    values = np.where(maps.region, 1.0, np.where(maps.body_fraction > 0, 0.01, np.nan))
    values[tuple(np.argwhere(maps.region)[0])] = least
    scale = colour_scale(MapKind.INVERSE_G, (dataclasses.replace(inverse, values=values),), maps.region)
    assert (scale.vmin, scale.vmax) == (pytest.approx(low), 1)


def test_fractions_run_from_0_to_1(evidence):
    scale = colour_scale(MapKind.FRACTION, evidence.maps.scalars, evidence.maps.region)
    assert (scale.vmin, scale.vmax) == (0, 1)


@pytest.mark.parametrize(
    ("low", "high", "labels"),
    [(400, 2400, [400, 500, 700, 1000, 1500, 2000]), (40, 2400, [50, 100, 200, 500, 1000, 2000])],
)
def test_a_logarithmic_axis_has_labels_enough(low, high, labels):
    axes = new_figure(height_in=3).subplots()
    axes.set_yscale("log")
    axes.set_ylim(low, high)
    log_ticks(axes.yaxis)
    shown = [tick for tick in axes.yaxis.get_majorticklocs() if low <= tick <= high]
    np.testing.assert_allclose(shown, labels)


def test_a_steep_snr_map_gets_logarithmic_colours(evidence):
    maps = evidence.maps
    optimum = maps.named("snr_optimum")
    steep = type(optimum)(
        name="s", title="t", definition="d", kind=MapKind.SNR, values=np.where(maps.depth_m > 0.03, 10.0, 1000.0)
    )
    assert isinstance(colour_scale(MapKind.SNR, (steep,), maps.region), LogNorm)


def test_grey_is_explained_only_where_there_is_grey(evidence, pictures):
    assert "Grey: body without a value" in pictures["inverse_g_left_right_3"].caption
    maps = evidence.maps
    optimum = maps.named("snr_optimum")
    full = dataclasses.replace(optimum, values=np.where(maps.body_fraction >= 0.5, 5.0, np.nan))
    assert "Grey" not in slices_picture(full, maps, colour_scale(MapKind.SNR, (full,), maps.region)).caption


def as_sensitivities(evidence):
    scalars = tuple(
        dataclasses.replace(
            s, title=s.title.replace("SNR", "sensitivity"), unit="T A^-1 ohm^-1/2", values=1e-6 * s.values
        )
        if s.kind is MapKind.SNR
        else s
        for s in evidence.maps.scalars
    )
    return dataclasses.replace(evidence.maps, scalars=scalars)


def test_a_sensitivity_is_not_called_snr(evidence):
    maps = as_sensitivities(evidence)
    assert quantity_label(maps.named("snr_optimum")) == "sensitivity [µT/(A √Ω)]"
    assert quantity_label(evidence.maps.named("snr_optimum")) == "signal-to-noise ratio"
    caption = depth_picture(maps).caption
    assert caption.startswith("Sensitivity against depth")
    assert "SNR" not in caption
    assert depth_picture(evidence.maps).caption.startswith("SNR against depth")


def test_numbers_on_axes_are_in_the_unit_that_the_axis_names(evidence):
    """Micro-tesla are named, so maps a millionth as large draw the very same picture as plain numbers."""
    drawn = {p.name: p for p in draw_pictures(dataclasses.replace(evidence, maps=as_sensitivities(evidence)))}
    scaled = as_sensitivities(evidence).named("snr_optimum")
    by_hand = dataclasses.replace(scaled, values=1e6 * scaled.values)
    others = tuple(s if s.kind is not MapKind.SNR else dataclasses.replace(s, values=1e6 * s.values)
                   for s in as_sensitivities(evidence).scalars)  # fmt: skip
    scale = colour_scale(MapKind.SNR, others, evidence.maps.region)
    assert drawn["snr_optimum"].png == slices_picture(by_hand, evidence.maps, scale).png


def test_no_global_plotting_state_is_used():
    folder = Path(__file__).parents[2] / "src" / "loopwright" / "formats" / "pictures"
    for path in folder.glob("*.py"):
        assert "pyplot" not in path.read_text("utf-8"), path
