"""Scanner: field, nucleus, direction of B0."""

from collections.abc import Iterator
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.forms import NOTHING, Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import Scanner
from loopwright.ground.constants import NUCLEI
from loopwright.ground.three_tesla import HIGH_3_T_HZ, LOW_3_T_HZ, other_3_t_hz
from loopwright.ground.units import engineering_text

__all__ = ["SCANNER"]

_RATIO_HZ_PER_T = NUCLEI["1H"].gyromagnetic_ratio_hz_per_t
_AGREEMENT = 1e-3


def _one_of_the_two(draft: Draft) -> Iterator[Trouble]:
    if not draft.written & {"field", "proton_frequency"}:
        yield Trouble(
            key="field",
            found=NOTHING,
            allowed="`field` or `proton_frequency`",
            remedy="add `field: 3 T`, or `proton_frequency: 123.2 MHz` where the scanner's own frequency is known",
        )


def _they_agree(draft: Draft) -> Iterator[Trouble]:
    field_t, frequency_hz = draft.get("field"), draft.get("proton_frequency")
    if field_t is None or frequency_hz is None:
        return
    if abs(frequency_hz / (field_t * _RATIO_HZ_PER_T) - 1) > _AGREEMENT:
        yield Trouble(
            key="proton_frequency",
            found=f"{engineering_text(frequency_hz, 'Hz')} beside a field of {engineering_text(field_t, 'T')}",
            allowed=f"{engineering_text(field_t * _RATIO_HZ_PER_T, 'Hz')} within 0.1 % (42.576 MHz/T, water)",
            remedy="keep `proton_frequency` alone: it is what the scanner shows, and the field follows from it",
        )


def _scanner(*, field_t: float | None = None, proton_frequency_hz: float | None = None, **others: Any) -> Scanner:
    """Take the frequency as written, or from the field, and say which."""
    if proton_frequency_hz is not None:
        said = f"The brief gives the proton frequency {engineering_text(proton_frequency_hz, 'Hz', digits=6)}, "
        said += f"which is {engineering_text(proton_frequency_hz / _RATIO_HZ_PER_T, 'T')} by 42.576385 MHz/T of water."
    else:
        proton_frequency_hz = (field_t or 0.0) * _RATIO_HZ_PER_T
        said = f"The brief gives the field {engineering_text(field_t or 0.0, 'T')}, so the proton frequency was taken "
        said += f"as {engineering_text(proton_frequency_hz, 'Hz', digits=6)} by 42.576385 MHz/T of water."
    return Scanner(
        proton_frequency_hz=proton_frequency_hz,
        field_t=proton_frequency_hz / _RATIO_HZ_PER_T,
        frequency_convention=said + _the_other_3_t(proton_frequency_hz),
        **others,
    )


def _the_other_3_t(proton_frequency_hz: float) -> str:
    """Warn about the other scanner that is called by the same name, where there is one."""
    if not 0.99 * LOW_3_T_HZ < proton_frequency_hz < 1.01 * HIGH_3_T_HZ:
        return ""
    other_hz = other_3_t_hz(proton_frequency_hz)
    other, where = f"{other_hz / 1e6:g} MHz", "higher" if other_hz > proton_frequency_hz else "lower"
    return (
        f" Other scanners that are called 3 T run at {other}, about 3.6 % {where}: an array for one is detuned on the "
        f"other. To ask for the other write “proton_frequency: {other}”."
    )


SCANNER = Form(
    title="scanner",
    keys=(
        Quantity(
            name="field",
            field="field_t",
            unit="T",
            low="0.12 T",
            high="11.7 T",
            sample="3 T",
            meaning="Static field. The proton frequency is 42.576385 MHz/T times this.",
            absent=Absent.ALLOWED,
        ),
        Quantity(
            name="proton_frequency",
            field="proton_frequency_hz",
            unit="Hz",
            low="5 MHz",
            high="500 MHz",
            sample="123.2 MHz",
            meaning="Larmor frequency of water protons that the scanner really uses. It wins over `field`.",
            absent=Absent.ALLOWED,
        ),
        Choice(name="nucleus", options=tuple(NUCLEI), meaning="Nucleus that is imaged.", default=defaults.NUCLEUS),
        Choice(
            name="b0_direction",
            options=("+z", "-z"),
            meaning="Direction of the static field in the body frame, whose z points to the head.",
            default=defaults.B0_DIRECTION,
        ),
        Quantity(
            name="magnetisation",
            field="magnetisation_a_per_m",
            unit="A/m",
            low="1e-9 A/m",
            high="10 A/m",
            sample="9.3 mA/m",
            meaning="Magnetisation for absolute SNR. Left out: that of water protons for 1H; for any other nucleus no "
            "absolute SNR is given.",
            absent=Absent.ALLOWED,
        ),
    ),
    rules=(_one_of_the_two, _they_agree),
    build=_scanner,
    strangers={
        "frequency": "write `proton_frequency`, that of protons whatever the nucleus",
        "larmor_frequency": "write `proton_frequency`, that of protons whatever the nucleus",
        "b0": "write `field`",
    },
    notes="One of `field` and `proton_frequency` has to be written; when both are, they must agree within 0.1 %. Two "
    "kinds of scanner are called 3 T: one runs at 123.2 MHz (2.894 T), the other at 127.7 MHz. They lie 3.6 % apart, "
    "and an array for one is detuned on the other. `field: 3 T` takes 127.73 MHz.",
)
