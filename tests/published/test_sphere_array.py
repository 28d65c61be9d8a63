"""Thirty-two elements closely round a uniform sphere at 3 T, against exact multipoles and the ultimate SNR.

The example brief, carried out on its own grid. H.-H. Lee, D. K. Sodickson, R. Lattanzi, Magn. Reson. Med. 80, 2256
(2018): one mode reaches the centre, so a closed array of loops comes close to the ultimate there; R. Lattanzi et al.,
NMR Biomed. 23, 142 (2010): farther out it cannot.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from exact.loops import Polygon
from exact.spheres import LayeredSphere
from exact.spheres import noise_resistance_ohm as exact_noise_resistance_ohm
from exact.ultimate import accelerated_snr, full_wave_modes, optimum_snr, reception_of_loops
from loopwright import bodies, circuits, conductors, fields, imaging, layouts
from loopwright.brief import Brief, read_brief
from loopwright.ground.progress import Forgetful, Silent
from loopwright.imaging.reception import reception_field_t_per_a

EXAMPLE = Path(__file__).parents[2] / "examples" / "head-sphere-32.yaml"


@dataclass(frozen=True)
class Solved:
    brief: Brief
    body: bodies.Body
    dressed: conductors.DressedLayout
    reply: fields.BodyReply
    array: circuits.TunedArray
    quality: imaging.ImageQuality
    ultimate: np.ndarray

    @property
    def frequency_hz(self):
        return self.body.frequency_hz

    @property
    def deep(self):
        """Voxels deeper than two voxels."""
        distance = np.linalg.norm(self.body.grid.centre_points_m(), axis=-1)
        return distance < self.brief.body.radius_m - 2 * self.body.grid.spacing_m

    @property
    def sphere(self):
        material = self.brief.body.material
        return LayeredSphere.uniform(self.brief.body.radius_m, material.eps_r, material.sigma_s_per_m)


@pytest.fixture(scope="module")
def solved():
    brief = read_brief(EXAMPLE.read_text("utf-8"), EXAMPLE.name)
    frequency_hz = brief.scanner.frequency_hz
    body = bodies.place(brief.body, frequency_hz=frequency_hz)
    layout = layouts.arrange(brief.array, body, segments_per_element=brief.computation.segments_per_element)
    dressed = conductors.dress(brief.conductor, layout)
    network = fields.solve_network(dressed, frequency_hz, band_fraction=0.04, frequency_count=5)
    reply = fields.reply_to_sources(
        body,
        fields.array_sources(fields.Excitation.LOOP_MODE, dressed, network),
        relative_residual=brief.computation.relative_residual,
        progress=Silent(),
        store=Forgetful(),
    )
    temperatures = circuits.NoiseTemperatures(
        body_temperature_k=brief.conductor.body_temperature_k, coil_temperature_k=brief.conductor.coil_temperature_k
    )
    array = circuits.tune(network, reply, dressed=dressed, temperatures=temperatures)
    ultimate = fields.ultimate_map(body)
    quality = imaging.predict(
        brief.imaging, brief.scanner, array=array, reply=reply, body=body, ultimate_t_per_a_sqrt_ohm=ultimate
    )
    return Solved(brief, body, dressed, reply, array, quality, ultimate)


def lossless_snr(solved, where):
    """Optimum of the bare loops, noise from the body alone, at some voxels. [T A^-1 ohm^-1/2]"""
    reception = reception_field_t_per_a(
        solved.reply.magnetic_field_t_per_a[..., where], reception_sign=solved.brief.scanner.reception_sign
    )
    return optimum_snr(reception, solved.reply.noise_resistance_ohm)


def test_impedance_of_the_body_is_reciprocal_as_it_comes(solved):
    assert solved.reply.asymmetry <= 1e-4


def test_lossless_array_reaches_the_ultimate_at_the_centre(solved):
    distance = np.linalg.norm(solved.body.grid.centre_points_m(), axis=-1)
    centre = distance < solved.body.grid.spacing_m
    fraction = lossless_snr(solved, centre) / solved.ultimate[centre]
    assert np.all(fraction >= 0.98)
    assert np.all(fraction <= 1.005)


def test_lossless_array_nowhere_exceeds_the_ultimate(solved):
    fraction = lossless_snr(solved, solved.deep) / solved.ultimate[solved.deep]
    assert fraction.max() <= 1.01


def losses_ohm(solved):
    """Series resistance of every element by hand: metres of strip, four capacitors that tune, joints."""
    omega = 2 * np.pi * solved.frequency_hz
    per_metre = conductors.resistance_ohm_per_m(solved.dressed.cross_section, solved.frequency_hz)
    length = [
        np.sum(np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1))
        for element in solved.dressed.layout.elements
    ]
    inductance = np.array([element.inductance_h for element in solved.array.elements])
    capacitors = omega * inductance / solved.dressed.capacitor_q  # n of n C each: their reactance is the loop's
    return per_metre * np.array(length) + capacitors + solved.dressed.other_series_resistance_ohm


def test_array_with_its_conductor_against_an_independent_multipole_sum(solved):
    rng = np.random.default_rng(5)
    voxels = np.argwhere(solved.deep)[rng.choice(np.count_nonzero(solved.deep), 300, replace=False)]
    points = solved.body.grid.centre_points_m()[tuple(voxels.T)]
    loops = [Polygon(vertices_m=element.vertices_m) for element in solved.dressed.layout.elements]
    temperatures = solved.array.temperatures
    warmth = temperatures.coil_temperature_k / temperatures.body_temperature_k
    noise = exact_noise_resistance_ohm(loops, solved.sphere, solved.frequency_hz)
    noise = noise + warmth * np.diag(losses_ohm(solved))
    reception = reception_of_loops(loops, solved.sphere, solved.frequency_hz, points, sense=1)
    exact = optimum_snr(reception, noise)
    found = solved.quality.sensitivity_t_per_a_sqrt_ohm[tuple(voxels.T)]
    assert np.max(np.abs(found / exact - 1)) < 0.02


@pytest.mark.parametrize("number", [0, 1])
def test_accelerated_snr_stays_below_the_accelerated_ultimate(solved, number):
    """Full-wave basis over the voxels that fold together; the field of view holds a whole number of voxels per fold."""
    accelerated = solved.quality.accelerations[number]
    grid = solved.body.grid
    (factor,), (field_of_view_m,) = accelerated.request.factors, accelerated.request.field_of_view_m
    fold = field_of_view_m / factor / grid.spacing_m
    assert fold == pytest.approx(round(fold))
    rng = np.random.default_rng(number)
    lossless = 0
    for voxel in np.argwhere(solved.deep)[rng.choice(np.count_nonzero(solved.deep), 40, replace=False)]:
        x = np.arange(voxel[0] % round(fold), grid.shape[0], round(fold))
        together = [(i, voxel[1], voxel[2]) for i in x if solved.quality.body_mask[i, voxel[1], voxel[2]]]
        points = np.array([grid.centre_points_m()[v] for v in together])
        points = points[np.linalg.norm(points, axis=1) < solved.sphere.radius_m - 1e-3]
        S = full_wave_modes(
            points,
            radius_m=solved.sphere.radius_m,
            eps_r=solved.sphere.eps_r[0],
            sigma_s_per_m=solved.sphere.sigma_s_per_m[0],
            frequency_hz=solved.frequency_hz,
            degree_max=50,
            sense=1,
        )
        own = int(np.argmin(np.linalg.norm(points - grid.centre_points_m()[tuple(voxel)], axis=1)))
        bound = accelerated_snr(S)[own] / np.sqrt(factor)
        found = accelerated.sensitivity_t_per_a_sqrt_ohm[tuple(voxel)]
        assert found <= 1.01 * bound
        lossless = max(lossless, found / bound)
    assert lossless > 0.3  # the bound is near enough to mean something
