"""Evidence of an invented run: the shapes and signs of a real one, and numbers that anybody can follow by hand."""

from dataclasses import replace

import numpy as np

from loopwright.designs import CoilLoss, conductor_choice
from loopwright.dossier import (
    AcceleratedFraction,
    AccelerationEvidence,
    AskedLine,
    BodyEvidence,
    ChoiceEvidence,
    ConductorEvidence,
    ConductorLine,
    ConstantLine,
    DefaultLine,
    ElementLine,
    Evidence,
    GridComparison,
    LayoutEvidence,
    MapKind,
    MapSet,
    MaterialValueLine,
    NeighbourLine,
    NetworkEvidence,
    NoiseEvidence,
    PartLine,
    PlateauLine,
    ScalarMap,
    SettingLine,
    ShellEvidence,
    TissueLine,
    UltimateEvidence,
)
from loopwright.dossier.circuit_images import kept_maps
from loopwright.fields import Excitation
from loopwright.imaging import CircuitCost, Settling
from loopwright.imaging.quality import distribution

F0_HZ = 123.2e6
HALF_AXES_M = (0.097, 0.0735, 0.09)


def synthetic_evidence(*, count=16):
    """Rings of circular elements round an elliptic body."""
    elements = _elements(count)
    maps = _maps(elements)
    return Evidence(
        title="Sixteen elements round an invented trunk",
        tool_version="0.0.0",
        asked=(
            AskedLine(field="scanner.proton_frequency", value="123.2 MHz"),
            AskedLine(field="body.shape", value="elliptic cylinder"),
            AskedLine(field="array.tiling.count", value=str(count)),
        ),
        defaults=(
            DefaultLine(field="conductor.capacitor_q", value="1000", source="common practice"),
            DefaultLine(field="computation.segments_per_element", value="24", source="computed here"),
        ),
        frequency_hz=F0_HZ,
        field_t=2.8936,
        nucleus="1H",
        b0_direction="+z",
        frequency_convention="“3 T” was taken as 123.2 MHz, one of the two conventions in use.",
        body=BodyEvidence(
            name="invented elliptic body",
            sentences=("An elliptic body with one layer of fat, invented for this test.",),
            voxel_m=0.006,
            shape=(len(maps.x_m), len(maps.y_m), len(maps.z_m)),
            tissues=(
                TissueLine(name="Muscle", eps_r=63.9, sigma_s_per_m=0.7166, volume_m3=2.1e-3, note="fit, read"),
                TissueLine(name="Fat", eps_r=5.95, sigma_s_per_m=0.0368, volume_m3=0.7e-3, note="fit, read"),
            ),
            cautions=("The shape is invented; no person has it.",),
        ),
        layout=LayoutEvidence(
            elements=elements,
            neighbours=_neighbours(elements),
            notes=("Rings with alternating offset.",),
            coupling_left=_coupling_left(elements),
            coupling_includes="the wires alone, currents uniform along each element",
        ),
        conductor=ConductorEvidence(
            name="printed strip, 5 mm wide, 20 µm thick",
            resistance_ohm_per_m=2.37,
            equivalent_radius_m=1.25e-3,
            sentences=("Silver print of a seventh of the conductivity of copper.",),
            limits=("The fit of the edge factor holds to 4 % up to a thickness of 1.8 skin depths.",),
            method="coth formula times an edge factor fitted to 2-D solutions",
            direct_resistance_ohm_per_m=1.21,
            skin_depth_m=15.8e-6,
            depths=1.27,
            mass_kg=0.021,
            lines=tuple(
                ConductorLine(element=element.name, length_m=0.25, resistance_ohm=0.59, direct_ohm=0.30)
                for element in elements
            ),
            parts=(
                PartLine(
                    part="conductor",
                    material="printed strip",
                    mass_kg=0.021,
                    short_echo="not known",
                    t2_star_s=None,
                    source="nobody has told: scan a sample",
                ),
                PartLine(
                    part="substrate 1",
                    material="PVC",
                    mass_kg=0.012,
                    short_echo="seen",
                    t2_star_s=792e-6,
                    source="[springer2008] 792 +- 7 us at 3 T (read in the source named)",
                ),
            ),
            values=(
                MaterialValueLine(material="PVC", quantity="density", value="1390 kg/m^3", source="handbook value"),
            ),
        ),
        network=_network(elements),
        noise=_noise(elements),
        maps=maps,
        constants=(
            ConstantLine(name="temperature of the body", value=310.15, unit="K", source="the brief"),
            ConstantLine(name="volume of an image voxel", value=8e-9, unit="m^3", source="the brief"),
            ConstantLine(name="bandwidth of a voxel", value=200.0, unit="Hz", source="the brief"),
        ),
        accelerations=(
            AccelerationEvidence(
                name="left-right 3",
                pattern="3 along x",
                field_of_view="240 mm",
                reduction=3.0,
                inverse_g_map="inverse_g_left_right_3",
                snr_map="snr_left_right_3",
                g_mean=1.09,
            ),
        ),
        conductor_choice=ChoiceEvidence(choice=_choice(), rigid_name="round wire", names=("printed strip", "thread")),
        ultimate=UltimateEvidence(
            definition="SNR over the closed form of a uniform sphere",
            fraction_map="ultimate_fraction",
            fraction_centre=0.83,
        ),
        grids=GridComparison(
            fine_voxel_m=0.006,
            coarse_voxel_m=0.009,
            body_resistance_relative=np.full(count, 0.031),
            snr_relative=0.018,
            inverse_g_absolute={"left-right 3": 0.012},
        ),
        settings=(
            SettingLine(name="relative residual", value="0.001", remark="largest seen 0.00097"),
            SettingLine(name="products with the body operator", value="58"),
        ),
        methods=("proton frequency", "tissue dispersion", "optimum combination", "geometry factor"),
        excitation=Excitation.LOOP_MODE,
    )


def _choice():
    """Two close conductors against a rigid coil: the first breaks even between places, the second beyond the last."""
    further_out_m = np.array([0.0, 0.01, 0.02])

    def loss(name, conductor_ohm):
        return CoilLoss(name=name, conductor_ohm=conductor_ohm, capacitor_ohm=0.1, other_ohm=0.1)

    return conductor_choice(
        element="E1",
        further_out_m=further_out_m,
        depths_m=np.array([0.02, 0.04]),
        body_ohm=4 * np.exp(-further_out_m / 0.02),
        field_t_per_a=2e-6 * np.exp(-further_out_m[:, None] / 0.015 - np.array([0.02, 0.04]) / 0.03),
        rigid=loss("rigid", 0.2),
        candidates=(loss("own", 1.0), loss("other 1", 30.0)),
        body_temperature_k=310.15,
        coil_temperature_k=293.15,
    )


def synthetic_shell(coverage="complete"):
    """Invented fractions on a grid of ten voxels a side."""
    axis = 0.02 * (np.arange(10) - 4.5)
    x, y, z = np.meshgrid(axis, axis, axis, indexing="ij")
    depth = 0.1 - np.sqrt(x**2 + y**2 + z**2)
    region = depth > 0.03
    values = np.where(region, 0.3 + 6 * depth, np.nan)
    return ShellEvidence(
        coverage=coverage,
        against=f"best of 100 combinations {'all round' if coverage == 'complete' else 'on the covered area'}",
        maps=MapSet(
            x_m=axis, y_m=axis, z_m=axis, body_fraction=(depth > 0).astype(float), region=region, depth_m=depth,
            slices_m=(0.0, 0.0, 0.0), tissue=np.where(depth > 0, 0, -1), tissue_names=("gel",),
            scalars=(
                ScalarMap(
                    name=f"shell_{coverage}_fraction", title="SNR as a fraction of the ultimate", definition="d",
                    kind=MapKind.FRACTION, values=values,
                ),
            ),
        ),
        fraction_map=f"shell_{coverage}_fraction", fraction_deepest=0.8,
        settling=Settling(median=0.012, largest=0.04, left_out=0.25),
        accelerated_fractions=(
            AcceleratedFraction(
                name="left-right 3", largest=0.61, settling=Settling(median=0.02, largest=0.05, left_out=0.5)
            ),
        ),
        voxel_m=0.02, sources=900, modes=100, array_sources=4,
        part_modes=0, dropped=3, stand_off_m=0.02, spacing_m=0.02,
        margin_m=0.02, without_array=1.004, mode_counts=(25, 50, 100),
        plateau=(PlateauLine(place="deepest", at_m=(0.01, 0.01, 0.01), depth_m=0.08, values=(9e-7, 9.9e-7, 1e-6)),),
        change_deepest=0.01,
    )  # fmt: skip


def _elements(count):
    rows, radius = max(1, count // 8), 0.038
    made = []
    for index in range(count):
        row, place = index % rows, index // rows
        angle = 2 * np.pi * (place + 0.5 * (row % 2)) / (count // rows)
        normal = np.array([np.sin(angle) / HALF_AXES_M[0], -np.cos(angle) / HALF_AXES_M[1], 0.0])
        normal /= np.linalg.norm(normal)
        centre = np.array([HALF_AXES_M[0] * np.sin(angle), -HALF_AXES_M[1] * np.cos(angle), 0.0])
        centre = centre + 0.01 * normal + np.array([0, 0, (row - (rows - 1) / 2) * 0.06])
        turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)[:, None]
        along = np.cross([0.0, 0.0, 1.0], normal)
        ring = centre + radius * (np.cos(turn) * along + np.sin(turn) * np.array([0.0, 0.0, 1.0]))
        made.append(
            ElementLine(
                name=f"{'ABCD'[row]}{place + 1}",
                shape="circle",
                size_m=2 * radius,
                centre_m=tuple(float(c) for c in centre),
                normal=tuple(float(n) for n in normal),
                gaps=4,
                layer=row,
                vertices_m=ring,
            )
        )
    return tuple(made)


def _distances(elements):
    centres = np.array([e.centre_m for e in elements])
    return np.linalg.norm(centres[:, None] - centres[None], axis=-1)


def _neighbours(elements):
    distance = _distances(elements)
    return tuple((i, j) for i in range(len(elements)) for j in range(i + 1, len(elements)) if distance[i, j] < 0.07)


def _coupling_left(elements):
    pairs, draw = _neighbours(elements), np.random.default_rng(11)
    return tuple(
        NeighbourLine(pair=pair, overlap=0.74 + 0.04 * draw.random(), coefficient=0.02 * draw.standard_normal())
        for pair in pairs
    )


def _network(elements):
    count, draw = len(elements), np.random.default_rng(7)
    inductance = 1.75e-7 * (1 + 0.02 * draw.standard_normal(count))
    resistance = {
        "body": 3.2 + 0.6 * draw.random(count),
        "conductor": np.full(count, 0.57),
        "capacitors": np.full(count, 0.14),
        "other": np.full(count, 0.10),
        "radiation": np.full(count, 0.02),
    }
    coil = resistance["conductor"] + resistance["capacitors"] + resistance["other"]
    coupling = 0.06 * np.exp(-_distances(elements) / 0.05) * np.sign(draw.standard_normal((count, count)))
    coupling = np.triu(coupling, 1) + np.triu(coupling, 1).T
    frequencies = F0_HZ * np.linspace(0.98, 1.02, 41)
    omega, omega0 = 2 * np.pi * frequencies, 2 * np.pi * F0_HZ
    own = coil + resistance["body"] + 1j * inductance * (omega[:, None] - omega0**2 / omega[:, None])
    impedance = np.zeros((len(omega), count, count), complex)
    impedance[:, np.arange(count), np.arange(count)] = own
    impedance += 1j * omega[:, None, None] * 1.75e-7 * coupling + 0.3 * np.exp(-_distances(elements) / 0.08)
    return NetworkEvidence(
        frequency_hz=F0_HZ,
        inductance_h=inductance,
        gap_capacitance_f=4 / (omega0**2 * inductance),
        resistance_ohm=resistance,
        quality_unloaded=omega0 * inductance / coil,
        quality_loaded=omega0 * inductance / (coil + resistance["body"]),
        coil_noise_figure_db=10 * np.log10(1 + coil / resistance["body"]),
        snr_retained=np.sqrt(resistance["body"] / (coil + resistance["body"])),
        frequency_shift_hz=np.full(count, 4.1e5),
        mutual_reactance_ohm=omega0 * 1.75e-7 * coupling,
        coupling_coefficient=coupling,
        frequencies_hz=frequencies,
        impedance_ohm=impedance,
        port_names=tuple(element.name for element in elements),
        sentences=("Each element alone is resonant at the frequency of the run, loaded by this body.",),
        body_change_over_band=0.08,
        quality_unloaded_open_room=np.full(len(elements), 400.0),
        quality_loaded_open_room=np.full(len(elements), 23.0),
        matched_scattering=0.1 * np.exp(0.3j) * np.exp(-_distances(elements) / 0.08),
    )


def _noise(elements):
    decay = np.exp(-_distances(elements) / 0.08)
    phase = np.exp(0.2j * np.subtract.outer(np.arange(len(elements)), np.arange(len(elements))))
    return NoiseEvidence(
        body_noise_resistance_ohm=3.5 * decay * phase,
        correlation=0.8 * decay * phase + 0.2 * np.eye(len(elements)),
        body_temperature_k=310.15,
        coil_temperature_k=293.15,
        forms_differ=3e-12,
        open_circuit_v2_per_hz=1e-19 * (decay * phase),
        matched_w_per_hz=4e-21 * (decay * phase),
        sentences=("Noise of body and coil, each at its own temperature; radiation is outside the noise.",),
    )


def _maps(elements):
    x, y, z = (0.006 * (np.arange(n) - (n - 1) / 2) for n in (36, 28, 34))
    inside = (x[:, None, None] / HALF_AXES_M[0]) ** 2 + (y[None, :, None] / HALF_AXES_M[1]) ** 2 + 0 * z[None, None, :]
    ends = np.abs(z) <= HALF_AXES_M[2]
    body = np.clip(0.5 + (1 - np.sqrt(inside)) / 0.07, 0, 1) * ends
    depth = np.clip((1 - np.sqrt(inside)) * 0.085, 0, None) * (body > 0.5)
    region = (depth > 0.012) & (body >= 1)
    points = np.stack(np.meshgrid(x, y, z, indexing="ij"), axis=-1)
    power, field = np.zeros(body.shape), np.zeros((len(elements), *body.shape), complex)
    for index, element in enumerate(elements):
        distance = np.linalg.norm(points - np.array(element.centre_m), axis=-1)
        size = element.size_m**2 / (element.size_m**2 + distance**2) ** 1.5
        power += size**2
        field[index] = 1e-6 * size * np.exp(1j * points[..., 0] / 0.1)
    snr = 9 * np.sqrt(power)
    inverse_g = np.clip(0.97 - 0.25 * np.exp(-(points[..., 0] ** 2) / 0.0012), 0, 1)
    fraction = 0.55 + 0.28 * (depth / depth.max())

    def masked(values):
        return np.where(region, values, np.nan)

    return MapSet(
        x_m=x,
        y_m=y,
        z_m=z,
        body_fraction=body,
        region=region,
        depth_m=depth,
        tissue=np.where(body > 0, (depth < 0.02).astype(int), -1),
        tissue_names=("Muscle", "Fat"),
        scalars=(
            ScalarMap(
                name="snr_optimum",
                title="SNR, optimum combination",
                definition="peak signal over the standard deviation of one real channel, sqrt(s^H Ψ^-1 s).",
                kind=MapKind.SNR,
                values=masked(snr),
            ),
            ScalarMap(
                name="snr_root_sum_of_squares",
                title="SNR, root sum of squares",
                definition="s^H s / sqrt(s^H Ψ s), at high signal.",
                kind=MapKind.SNR,
                values=masked(0.88 * snr),
            ),
            ScalarMap(
                name="ultimate_fraction",
                title="fraction of the ultimate SNR",
                definition="optimum SNR over that of a complete basis.",
                kind=MapKind.FRACTION,
                values=masked(fraction),
            ),
            ScalarMap(
                name="inverse_g_left_right_3",
                title="1/g, left-right 3",
                definition="1/g of a linear reconstruction with known sensitivities and noise covariance.",
                kind=MapKind.INVERSE_G,
                values=masked(inverse_g),
            ),
            ScalarMap(
                name="snr_left_right_3",
                title="SNR, left-right 3",
                definition="optimum SNR over g sqrt(R).",
                kind=MapKind.SNR,
                values=masked(snr * inverse_g / np.sqrt(3)),
            ),
        ),
        slices_m=(0.0, 0.0, 0.0),
        receive_field_t_per_a=field,
    )


def synthetic_circuit_cost(maps):
    """Nine tenths of the SNR are kept everywhere, less on one side."""
    kept = np.where(maps.body_fraction > 0, 0.9 + 0.2 * maps.x_m[:, None, None], np.nan)
    inside = distribution(kept[maps.region])
    return CircuitCost(
        definition="SNR with circuits over SNR without",
        kept=kept,
        kept_in_region=inside,
        worst_at=(0, 0, 0),
        kept_by_sum_of_squares=0.95 * kept,
        kept_by_sum_of_squares_in_region=distribution(0.95 * kept[maps.region]),
        kept_accelerated_in_region=(("2 left-right", inside),),
    )


def with_circuit(evidence, outcome):
    """The same evidence with a circuit, and images through it."""
    cost = synthetic_circuit_cost(evidence.maps)
    maps = replace(evidence.maps, scalars=(*evidence.maps.scalars, *kept_maps(cost)))
    return replace(evidence, circuit=outcome, circuit_cost=cost, maps=maps)
