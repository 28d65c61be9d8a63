"""Every example runs from brief to dossier, and what it says agrees with what can be known without it.

The default tests take coarse voxels; the long ones the examples as they are.
"""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy import constants

from exact.ultimate import full_snr, full_wave_modes
from loopwright import bodies, job
from loopwright.brief import read_brief
from loopwright.circuits.coaxial.coaxial_resonance import closed_form_resonance_hz
from loopwright.conductors.coaxial_line import generic_cables
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

EXAMPLES = Path(__file__).parents[2] / "examples"
#: Where the body is too small for the voxels of the others.
COARSEST = {
    "child-knee-film-8.yaml": "voxel: 9 mm",
    "coaxial-pair.yaml": "voxel: 12 mm",
    "head-1-year-16.yaml": "voxel: 11 mm",
    "one-element.yaml": "voxel: 10 mm",
}
VOXELS = ("voxel: 14 mm", pytest.param("as it is", marks=pytest.mark.long))
voxels = pytest.mark.parametrize("voxel", VOXELS)


@cache
def outcome(name, voxel):
    text = (EXAMPLES / name).read_text("utf-8")
    if voxel != "as it is":
        text, count = re.subn(r"voxel: \d+ mm", COARSEST.get(name, voxel), text)
        assert count == 1
    return job.carry_out(read_brief(text, name), Means(progress=Silent(), store=Forgetful()))


def values(found):
    return {finding.key: finding.value for finding in found.dossier.findings}


def water_magnetisation_a_per_m(field_t, temperature_k):
    """Curie's law; 993.3 kg/m^3 at 37 degrees Celsius and 18.015 g/mol, two protons a molecule."""
    protons_per_m3 = 2 * 993.3 / 18.015e-3 * constants.N_A
    gamma = constants.value("shielded proton gyromag. ratio")
    return protons_per_m3 * (gamma * constants.hbar) ** 2 * field_t / (4 * constants.k * temperature_k)


def test_every_example_is_tried_here():
    names = {path.name for path in EXAMPLES.glob("*.yaml") if not path.name.startswith(("compare-", "cohort-"))}
    assert names == {  # comparisons: tests/designs; studies over patients: tests/cohort
        "child-chest-16-no-passive-trap.yaml",  # both in test_transmit_examples.py
        "child-chest-16-transmit.yaml",
        "child-knee-film-8.yaml",
        "coaxial-pair.yaml",
        "child-trunk-16.yaml",
        "head-1-year-16.yaml",
        "head-sphere-32.yaml",
        "one-element.yaml",
    }


@pytest.mark.parametrize(
    ("region", "said"),
    [
        ("{kind: tissue, tissue: Skin (Dry)}", "holds no voxel of the body on the grid of 6 mm"),
        ("{kind: sphere, centre: [1 mm, 1 mm, 1 mm], radius: 1 mm}", "holds no voxel of the body on the grid of 6 mm"),
    ],
)
def test_a_region_that_cannot_be_judged_is_refused_before_anything_is_solved(region, said, monkeypatch):
    text = (EXAMPLES / "child-trunk-16.yaml").read_text("utf-8")
    text, count = re.subn(r"region:\n(    .*\n){3}", f"region: {region}\n", text)
    assert count == 1
    for stage, name in ((job.fields, "solve_network"), (job.fields, "reply_to_sources")):
        monkeypatch.setattr(stage, name, lambda *_, **__: pytest.fail("a field was solved"))
    with pytest.raises(OutsideModelError, match=said):
        job.carry_out(read_brief(text, "region.yaml"), Means(progress=Silent(), store=Forgetful()))


@voxels
def test_the_sphere_comes_near_the_ultimate_but_not_to_it(voxel):
    """32 elements with copper's and capacitors' losses: above 0.8, and below what any currents could reach."""
    found = outcome("head-sphere-32.yaml", voxel)
    assert 0.8 < values(found)["ultimate.fraction_centre"] < 1.0
    maps = found.evidence.maps
    assert np.nanmax(maps.named("ultimate_fraction").values[maps.region]) < 1.05


@voxels
def test_the_spheres_absolute_ultimate_is_that_of_all_modes(voxel):
    """SNR over its fraction of the ultimate is 2 w M0 V / sqrt(4kT df) times the norm over all modes of the sphere."""
    found = outcome("head-sphere-32.yaml", voxel)
    maps = found.evidence.maps
    x, y, z = (int(np.argmin(abs(axis - at))) for axis, at in ((maps.x_m, 0), (maps.y_m, 0), (maps.z_m, 0.03)))
    at_m = np.array([maps.x_m[x], maps.y_m[y], maps.z_m[z]])
    frequency_hz, temperature_k = found.evidence.frequency_hz, 293.15
    modes = full_wave_modes(at_m, radius_m=0.084, eps_r=63.0, sigma_s_per_m=0.5, frequency_hz=frequency_hz)
    signal = 4 * np.pi * frequency_hz * water_magnetisation_a_per_m(3.0, temperature_k) * 1e-9
    expected = signal / np.sqrt(4 * constants.k * temperature_k) * full_snr(modes)[0]
    ultimate = maps.named("snr_optimum").values[x, y, z] / maps.named("ultimate_fraction").values[x, y, z]
    assert ultimate == pytest.approx(expected, rel=1e-3)


@voxels
def test_the_trunks_tissues_have_the_volumes_of_its_solids(voxel):
    """Elliptic columns of 97 x 73.5 mm by 408 mm, less 0.66 mm and 6.26 mm; two half ellipsoids cut at 0.12 x 97 mm."""
    found = outcome("child-trunk-16.yaml", voxel)
    columns = [np.pi * (0.097 - d) * (0.0735 - d) * 0.408 for d in (0, 0.66e-3, 6.26e-3)]
    cut = (0.12 - 0.36) * 97 / 34.7  # medial plane in units of the lung's half-axis, seen from its centre
    kept = 0.5 - (3 * cut - cut**3) / 4
    lungs = 2 * kept * 2 / 3 * np.pi * 34.7e-3 * 56.3e-3 * 139.9e-3
    expected = [columns[0] - columns[1], columns[1] - columns[2], columns[2] - lungs, lungs]
    volumes = [tissue.volume_m3 for tissue in found.evidence.body.tissues]
    assert volumes == pytest.approx(expected, rel=0.01)


@voxels
def test_the_trunk_makes_the_noise_and_the_array_is_symmetric(voxel):
    """At 3 T the body makes most of the noise of a 100 mm element, and elements that are images of each other agree.

    The trunk has two planes of symmetry and so the half turn about z; the second ring alternates between two layers, so
    only the half turn maps every element onto another.
    """
    found = outcome("child-trunk-16.yaml", voxel)
    network = found.evidence.network
    assert np.all(network.coil_noise_figure_db < 1.0)
    centres_m = np.array([element.centre_m for element in found.evidence.layout.elements])
    body_ohm = network.resistance_ohm["body"]
    for turn, count in (([-1, 1, 1], 8), ([1, -1, 1], 8), ([-1, -1, 1], 16)):
        distance_m = np.linalg.norm(centres_m[:, None] - centres_m * turn, axis=-1)
        elements, images = np.nonzero(distance_m < 1e-6)
        assert elements.size == count
        np.testing.assert_allclose(body_ohm[images], body_ohm[elements], rtol=2e-3)


@voxels
def test_the_heads_brain_and_skin_have_the_volumes_of_their_solids(voxel):
    """Ellipsoid of 56.3 x 73.4 x 49.1 mm, four tenths of it white; scalp and neck keep 0.66 mm of skin in 11 mm."""
    found = outcome("head-1-year-16.yaml", voxel)
    volumes = {tissue.name: tissue.volume_m3 for tissue in found.evidence.body.tissues}
    brain = 4 / 3 * np.pi * 56.3e-3 * 73.4e-3 * 49.1e-3
    assert volumes["Brain (White Matter)"] == pytest.approx(0.4 * brain, rel=1e-4)
    assert volumes["Brain (Grey Matter)"] == pytest.approx(0.6 * brain, rel=1e-4)
    assert volumes["Skin (Dry)"] == pytest.approx(bodies.head("1 year").volumes_m3[0], rel=1e-4)
    assert any("no patient" in caution for caution in found.evidence.body.cautions)


@voxels
def test_the_heads_nearest_elements_hear_the_brain_best(voxel):
    """The cap lies on the vertex: SNR falls from the top of the brain to the neck, twentyfold and more."""
    maps = outcome("head-1-year-16.yaml", voxel).evidence.maps
    x, y = (int(np.argmin(abs(axis))) for axis in (maps.x_m, maps.y_m))
    top, neck = (int(np.argmin(abs(maps.z_m - at))) for at in (0.045, -0.1))
    snr = maps.named("snr_optimum").values[x, y]
    assert snr[top] > 20 * snr[neck] > 0


@voxels
def test_the_trunks_magnetisation_is_curies(voxel):
    constant = values(outcome("child-trunk-16.yaml", voxel))["constant.magnetisation"]
    field_t = 123.2e6 * 2 * np.pi / constants.value("shielded proton gyromag. ratio")
    assert constant == pytest.approx(water_magnetisation_a_per_m(field_t, 310.15), rel=2e-3)


@voxels
@pytest.mark.parametrize("name", ["child-trunk-16.yaml", "head-1-year-16.yaml", "head-sphere-32.yaml"])
def test_the_arithmetic_of_every_example_closes(name, voxel):
    """Both noise forms give one SNR, the mechanisms add up, and acceleration never gives SNR back."""
    found = outcome(name, voxel)
    assert values(found)["noise.forms_differ"] < 1e-10
    maps = found.evidence.maps
    full = maps.named("snr_optimum").values[maps.region]
    for accelerated in found.evidence.accelerations:
        left = maps.named(accelerated.snr_map).values[maps.region]
        assert np.all(left <= full / np.sqrt(accelerated.reduction) * (1 + 1e-6))
        assert accelerated.g_mean >= 1 - 1e-6


@voxels
def test_the_one_element_is_matched_and_blocked_as_far_as_its_preamplifier_can(voxel):
    """A lossless match to 50 ohm blocks by 20 log10((1 + 50 / Rp) / 2), 22.3 dB for 2 ohm (common practice)."""
    found = values(outcome("one-element.yaml", voxel))
    assert found["circuit.seen_resistance_ohm"] == pytest.approx([50.0], rel=3e-3)
    assert found["circuit.seen_reactance_ohm"] == pytest.approx([0.0], abs=0.2)
    (decoupling_db,) = found["circuit.decoupling_db"]
    assert 21 < decoupling_db < 20 * np.log10((1 + 50 / 2) / 2)
    assert min(*found["circuit.active_detuning_db"], *found["circuit.passive_detuning_db"]) > 40
    # Traps, match and diodes add loss, so the wired element has less Q than the bare one tuned on the same body.
    (wired,), (bare,) = found["circuit.quality_half_power"], found["element.quality_loaded_open_room"]
    assert 0.6 * bare < wired < bare


@voxels
def test_the_coaxial_pair_is_tuned_at_its_terminals(voxel):
    """80 mm of this cable with one gap resonate near 134.4 MHz in air (closed form within 4 %); a body adds little."""
    found = outcome("coaxial-pair.yaml", voxel)
    told = values(found)
    closed_hz = closed_form_resonance_hz(generic_cables()["50 ohm 1.7 mm fluoropolymer"], 0.08)
    assert told["coaxial.self_resonance_hz"] == pytest.approx([closed_hz] * 2, rel=0.04)
    assert all(0.3e-12 < capacitance < 1.2e-12 for capacitance in told["coaxial.terminal_capacitance_f"])
    assert "element.gap_capacitance_f" not in told
    # The line inside loses most of what the coil loses, and all of it is in the noise, at the coil's temperature.
    network = found.evidence.network.resistance_ohm
    coil = network["conductor"] + network["line"] + network["terminal"]
    assert np.all(network["line"] > 0.75 * coil)
    figure_db = 10 * np.log10(1 + 293.15 * coil / (310.15 * network["body"]))
    np.testing.assert_allclose(told["element.coil_noise_figure_db"], figure_db, rtol=1e-9)
    assert told["noise.forms_differ"] < 1e-10
    tables = {table.name: table for section in found.dossier.sections for table in section.tables}
    (pair,) = tables["coaxial_pairs"].rows
    coaxial, loops = pair[2:4]
    assert coaxial * loops > 0
    assert {row[3].split(",")[0] for row in tables["coaxial_terminals"].rows} == {"capacitor"}
    assert not {"two_frequencies", "capacitors", "circuit"} & {section.anchor for section in found.dossier.sections}


@voxels
def test_the_one_element_in_the_transmit_field_carries_its_emf_over_its_resistance(voxel):
    """Faraday: omega B1 A round 80 mm, over the bare loop's resistance times what wiring takes of its Q."""
    carried_out = outcome("one-element.yaml", voxel)
    found, frequency_hz = values(carried_out), carried_out.evidence.frequency_hz
    emf_v = 2 * np.pi * frequency_hz * found["states.transmit_field_t"] * np.pi * 0.04**2
    resistance_ohm = sum(part[0] for part in carried_out.evidence.network.resistance_ohm.values())
    (wired,), (bare,) = found["circuit.quality_half_power"], found["element.quality_loaded_open_room"]
    (tuned_a,) = found["states.tuned_current_a"]
    assert tuned_a == pytest.approx(emf_v / resistance_ohm * wired / bare, rel=0.05)
    assert found["states.intact_current_a"] == pytest.approx([tuned_a])
    # One trap of 1 kohm and more in a loop of a few ohm.
    assert min(*found["states.actively_detuned_below_tuned_db"], *found["states.passively_detuned_below_tuned_db"]) > 40
    assert found["states.worst_fault"].endswith("passively detuned, unplugged, E1")


@voxels
def test_the_film_on_the_knee_bends_lies_close_and_is_drawn(voxel):
    """Bent round a knee of some 50 mm radius, circles of 55 mm lose inductance; a taut film is not strained."""
    found = outcome("child-knee-film-8.yaml", voxel)
    told = values(found)
    assert told["draping.stand_off_m"] == pytest.approx(5e-3 + 0.5e-3 + 50e-6 + 10e-6)
    assert told["draping.film_strain_largest"] < 1e-4
    assert told["draping.gap_median_m"] < told["draping.gap_percentile_95_m"] < told["draping.gap_largest_m"] < 0.03
    assert all(0 < shift < 0.02 for shift in told["draping.frequency_shift_relative"])
    distance = np.array(told["draping.skin_distance_m"]) - told["draping.gap_of_elements_m"]
    assert np.all(distance > told["draping.stand_off_m"] - 0.5e-3)
    assert np.all(distance < told["draping.stand_off_m"] + 4e-3)  # the second layer, and what lies between medians
    assert found.evidence.draped.pattern.marks_m.keys() == {"widest gap"}
    assert "draping" in [section.anchor for section in found.dossier.sections]
