"""A printed capacitor as a brief asks for it, and the evidence of a few elements that use it."""

from types import SimpleNamespace

from brief.base_brief import brief_with
from loopwright.circuits import ElementFigures, NoiseTemperatures
from loopwright.dossier.gap_evidence import capacitor_evidence

PRINTED = {
    "kind": "printed",
    "film": "polyimide",
    "film_thickness": "50 um",
    "ink_thickness": "15 um",
    "ink_conductivity": "8 MS/m",
}


def element(name, capacitance_f, *, gaps=4, capacitor_ohm=0.1):
    return ElementFigures(
        name=name, inductance_h=1.8e-7, capacitance_f=capacitance_f, capacitor_q=1500.0, gaps=gaps, body_ohm=4.0,
        conductor_ohm=0.5, capacitor_ohm=capacitor_ohm, other_ohm=0.1, radiation_ohm=0.02, q_unloaded=200.0,
        q_loaded=30.0, q_unloaded_with_radiation=195.0, q_loaded_with_radiation=29.9, noise_figure_db=0.7,
        snr_retained=0.92, frequency_shift_hz=1e5,
    )  # fmt: skip


def tuned(*capacitances_f):
    return SimpleNamespace(
        frequency_hz=123.2e6,
        elements=tuple(element(f"E{n:02d}", c) for n, c in enumerate(capacitances_f, start=1)),
        temperatures=NoiseTemperatures(body_temperature_k=310.15, coil_temperature_k=293.15),
    )


def printed_evidence(*capacitances_f, **changes):
    return capacitor_evidence(brief_with(capacitors={**PRINTED, **changes}), tuned(*capacitances_f))
