"""The packaged limits: values and flags as they were read, and what a brief puts in their place."""

import re

import pytest

from brief.base_brief import INTERFACE, brief_with
from loopwright.brief.records import LimitRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag
from loopwright.limits import CAUTIONS, LimitKind, LimitName, edited, packaged_limits

SET = packaged_limits()


def edit(name, value, unit, **others):
    return LimitRequest(name=name, value=value, unit=unit, edition="house rule 7", why="stricter", **others)


@pytest.mark.parametrize(
    ("name", "kind", "value", "unit", "flag"),
    [
        (LimitName.SURFACE, "at most", 41.0, "degC", Flag.READ),  # decision sheet DSH 422
        (LimitName.SURFACE_LONG, "at most", 43.0, "degC", Flag.MEMORY),
        (LimitName.WHOLE_BODY_NORMAL, "at most", 2.0, "W/kg", Flag.READ),  # JIS Z 4951:2017, and the next five
        (LimitName.WHOLE_BODY_FIRST, "at most", 4.0, "W/kg", Flag.READ),
        (LimitName.HEAD, "at most", 3.2, "W/kg", Flag.READ),
        (LimitName.PARTIAL_NORMAL, "at most", 2.0, "W/kg", Flag.READ),
        (LimitName.PARTIAL_FIRST, "at most", 4.0, "W/kg", Flag.READ),
        (LimitName.SPACING, "at least", 4.0, "mm", Flag.COMMON_PRACTICE),
        (LimitName.MEAN_B1, "at most", 5.0, "%", Flag.COMMON_PRACTICE),
        (LimitName.LEAST_B1, "at least", 0.9, "1", Flag.COMMON_PRACTICE),
        (LimitName.GREATEST_B1, "at most", 1.1, "1", Flag.COMMON_PRACTICE),
        (LimitName.REFERENCE, "at most", 5.0, "%", Flag.COMMON_PRACTICE),
        (LimitName.RATING, "at least", 2.0, "1", Flag.COMMON_PRACTICE),
    ],
)
def test_values_are_those_of_their_sources(name, kind, value, unit, flag):
    limit = SET.named(name)
    assert (limit.kind.value, limit.value, limit.unit, limit.source.flag) == (kind, value, unit, flag)
    assert limit.edition


def test_every_packaged_limit_has_a_name_in_the_program():
    assert [limit.name for limit in SET.limits] == [name.value for name in LimitName]


def test_temperatures_say_for_whose_skin_they_hold():
    for name in (LimitName.SURFACE, LimitName.SURFACE_LONG):
        assert "a child's" in SET.named(name).note
        assert "disclosed" in SET.named(name).note


@pytest.mark.parametrize(
    ("mode", "share", "value"),
    [("normal", 0.5, 6.0), ("first level", 0.5, 7.0), ("normal", 1.0, 2.0), ("first level", 1.0, 4.0)],
)
def test_partial_body_falls_with_the_mass_that_is_exposed(mode, share, value):
    """Limits 10 - 8 m/M and 10 - 6 m/M in W/kg, IEC 60601-2-33 as in JIS Z 4951:2017 [jis2017]."""
    assert SET.partial_body(mode, exposed_share=share).value == pytest.approx(value)


def test_a_share_of_mass_is_a_share():
    for share in (0.0, 1.1, float("nan")):
        with pytest.raises(OutsideModelError, match="exposed_share"):
            SET.partial_body("normal", exposed_share=share)


@pytest.mark.parametrize(("ambient", "value"), [(22.0, 4.0), (25.0, 4.0), (27.0, 3.5), (33.0, 2.0), (40.0, 2.0)])
def test_first_level_falls_in_a_warm_room(ambient, value):
    """A quarter of a W/kg for each kelvin above 25 degC, down to 2 W/kg."""
    assert SET.whole_body("first level", ambient_temperature_c=ambient).value == pytest.approx(value)
    assert SET.whole_body("normal", ambient_temperature_c=ambient).value == 2.0


def test_an_edit_takes_the_place_and_says_of_what():
    changed = edited(SET, [edit("conductor to patient", 6.0, "mm"), edit("surface temperature", 39.0, "degC")])
    assert [limit.name for limit in changed.limits] == [limit.name for limit in SET.limits]
    spacing, surface = changed.named(LimitName.SPACING), changed.named(LimitName.SURFACE)
    assert (spacing.value, spacing.kind, spacing.edition) == (6.0, LimitKind.AT_LEAST, "house rule 7")
    assert spacing.source.flag is Flag.ASKED
    assert "4 mm" in spacing.note
    assert "a child's" in surface.note
    assert [limit.value for limit in changed.replaced] == [4.0, 41.0]
    assert SET.named(LimitName.SPACING).value == 4.0


def test_an_edited_sar_holds_for_every_share_and_room():
    changed = edited(SET, [edit(LimitName.PARTIAL_NORMAL, 3.0, "W/kg"), edit(LimitName.WHOLE_BODY_FIRST, 3.0, "W/kg")])
    assert changed.partial_body("normal", exposed_share=0.2).value == 3.0
    assert changed.whole_body("first level", ambient_temperature_c=40.0).value == 3.0


def test_the_time_to_turn_off_is_that_of_the_scanners_plugs():
    interface = brief_with(interface={**INTERFACE, "turn_off": "20 us"}).interface
    assert SET.turn_off(None).value == 100.0
    assert SET.turn_off(interface).value == pytest.approx(20.0)
    assert SET.turn_off(interface).source.flag is Flag.ASKED
    assert edited(SET, [edit(LimitName.TURN_OFF, 7.0, "us")]).turn_off(interface).value == 7.0


def test_a_new_limit_stands_behind_the_others():
    changed = edited(SET, [edit("mass", 0.4, "kg", quantity="mass of the array", kind="at most")])
    assert changed.limits[:-1] == SET.limits
    assert changed.limits[-1].kind is LimitKind.AT_MOST
    assert changed.replaced == ()


@pytest.mark.parametrize("request_", [edit("conductor to patient", 0.004, "m"), edit("mass", 0.4, "kg")])
def test_edits_that_make_no_limit_are_refused(request_):
    with pytest.raises(OutsideModelError):
        edited(SET, [request_])


def test_an_unknown_name_is_told_with_those_there_are():
    with pytest.raises(OutsideModelError, match="conductor to patient"):
        SET.named("spacing")


def test_cautions_name_who_decides_and_what_is_left_out():
    text = " ".join(caution.sentence for caution in CAUTIONS)
    for words in ("standards", "maker of the scanner", "MR safety expert", "regulator", "ethics board", "licensed",
                  "cables", "gradients", "ratio", "Two at once", "child's"):  # fmt: skip
        assert words in text
    assert all(caution.why.endswith(".") and caution.sentence.endswith(".") for caution in CAUTIONS)
    assert len({caution.sentence for caution in CAUTIONS}) == len(CAUTIONS)


def test_nothing_that_is_printed_passes_a_verdict_on_harm():
    printed = [limit.note + limit.quantity for limit in SET.limits]
    printed += [caution.sentence + caution.why for caution in CAUTIONS]
    assert not [text for text in printed if re.search(r"\bsafe(ly)?\b", text, re.IGNORECASE)]
