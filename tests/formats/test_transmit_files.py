"""Pictures, tables and pages of the array while the scanner transmits."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from loopwright.dossier import MapKind, compile_dossier
from loopwright.dossier.transmit_maps import transmit_maps
from loopwright.formats.html import dossier_html
from loopwright.formats.maps import maps_dataset
from loopwright.formats.pdf import dossier_pdf
from loopwright.formats.pictures import draw_pictures
from loopwright.formats.pictures.slices import colour_scale
from loopwright.formats.pictures.style import quantity_label
from loopwright.formats.pictures.transmit_faults import faults_picture, onset_picture
from loopwright.formats.tables import table_csv
from made_transmit import made_transmit, with_transmit, without_heat
from synthetic_evidence import synthetic_evidence

PLAIN = synthetic_evidence(count=6)
TOLD = made_transmit(PLAIN.element_names, shape=PLAIN.maps.body_fraction.shape)


@pytest.fixture(scope="module")
def evidence():
    return with_transmit(PLAIN, TOLD)


@pytest.fixture(scope="module")
def pictures(evidence):
    return draw_pictures(evidence)


def test_every_picture_that_the_chapter_names_is_drawn_and_not_blank(evidence, pictures):
    drawn = {one.name: one for one in pictures}
    named = [name for one in compile_dossier(evidence).sections for name in one.pictures if name.startswith("transmit")]
    assert sorted(named) == sorted(name for name in drawn if name.startswith("transmit"))
    for name in named:
        grey = np.asarray(Image.open(io.BytesIO(drawn[name].png)).convert("L"))
        assert grey.min() < 100, name
        assert grey.max() > 250, name


def test_maps_carry_their_units_on_paper_and_in_the_file(evidence):
    ratio, _, without, _ = transmit_maps(TOLD)
    assert quantity_label(ratio) == "ratio of B1+ [1]"
    assert quantity_label(without) == "SAR, 10 g average [W/kg]"
    found = maps_dataset(evidence.maps, element_names=PLAIN.element_names, title="", tool_version="")
    assert found["transmit_sar_10g_worst"].attrs["units"] == "W/kg"
    np.testing.assert_allclose(found["transmit_b1_ratio_worst"], TOLD.maps[1].values)


def test_ratios_are_coloured_as_far_below_one_as_above_and_sar_from_nought():
    maps = transmit_maps(TOLD)
    ratio = colour_scale(MapKind.TRANSMIT, maps, PLAIN.maps.region)
    assert ratio.vmin + ratio.vmax == pytest.approx(2.0)
    assert ratio.vmax == pytest.approx(1 + np.nanquantile(np.abs(np.stack([m.values for m in maps[:2]]) - 1), 0.999))
    sar = colour_scale(MapKind.LOCAL_SAR, maps, PLAIN.maps.region)
    assert (sar.vmin, sar.vmax) == (0.0, pytest.approx(float(np.nanmax(TOLD.maps[3].values))))


def test_small_changes_are_not_blown_up():
    still = replace(TOLD, maps=TOLD.maps[:1])
    assert colour_scale(MapKind.TRANSMIT, transmit_maps(still), PLAIN.maps.region).vmax == pytest.approx(1.1)


def test_pictures_follow_the_record():
    def first_at(surface_c, uncertainty_k):
        row = replace(TOLD.ranked[0].row, surface_c=surface_c, surface_uncertainty_c=uncertainty_k)
        return faults_picture(replace(TOLD, ranked=(replace(TOLD.ranked[0], row=row), *TOLD.ranked[1:]))).png

    assert first_at(44.0, None) != first_at(40.0, None)
    assert first_at(40.0, None) != first_at(40.0, 0.5)
    assert "heat was not asked for" in faults_picture(without_heat(TOLD)).caption
    weaker = replace(TOLD, diodes=tuple(replace(one, b1_below=1.001) for one in TOLD.diodes))
    assert onset_picture(weaker).png != onset_picture(TOLD).png


def test_tables_have_all_rows_as_csv_with_units_in_the_header(evidence):
    tables = {one.name: table_csv(one).decode().splitlines() for one in compile_dossier(evidence).tables}
    assert {"transmit_states", "transmit_faults", "hot_spots", "probes", "limits"} <= set(tables)
    assert len(tables["transmit_faults"]) == 1 + len(TOLD.ranked)
    assert "surface [°C]" in tables["transmit_faults"][0]
    for lines in tables.values():
        assert not any("nan" in line.split(",") for line in lines)


def test_the_page_shows_twenty_faults_and_names_the_file_of_the_rest(evidence, pictures):
    page = dossier_html(compile_dossier(evidence), pictures=pictures, references=())
    assert f"The first 20 of {len(TOLD.ranked)} rows; all are in" in page
    assert "tables/transmit_faults.csv" in page


def test_long_names_are_set_in_pages(pictures):
    long = "a bias line of an uncommonly long name that nobody would write but somebody does, " * 3
    told = replace(TOLD, source=long, whole_coil=replace(TOLD.whole_coil, case=long))
    ranked = TOLD.ranked[0]
    case = replace(TOLD.named(ranked.row.name).case, name=long)
    told = replace(
        told,
        faults=(replace(TOLD.named(ranked.row.name), case=case), *TOLD.faults[1:]),
        ranked=(replace(ranked, row=replace(ranked.row, name=long)), *TOLD.ranked[2:]),
    )
    dossier = compile_dossier(with_transmit(PLAIN, told))
    assert dossier_pdf(dossier, pictures=pictures, references=()).startswith(b"%PDF")
    assert faults_picture(told).png
