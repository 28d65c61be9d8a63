"""What the stages found, gathered for the dossier: plain arrays, names and sentences.

The job fills one :class:`Evidence`; :func:`loopwright.dossier.compile_dossier` turns it into sections, and the
writers in ``formats`` turn both into files. Arrays keep the axis order of the project: (element, x, y, z) for maps,
(element, element) for matrices, frequency first when present.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits import (
    ArrayUnderField,
    BuiltSpread,
    CircuitOutcome,
    CoaxialOutcome,
    InterfaceCheck,
    WornFamily,
)
from loopwright.designs import ConductorChoice, DrapedArray, LoadingEquivalence
from loopwright.dossier.gap_evidence import CapacitorEvidence
from loopwright.fields import Excitation
from loopwright.imaging import CircuitCost, Settling
from loopwright.limits import WhileTransmitting

__all__ = [
    "AccelerationEvidence",
    "AskedLine",
    "BodyEvidence",
    "ChoiceEvidence",
    "ConductorEvidence",
    "ConductorLine",
    "ConstantLine",
    "DefaultLine",
    "ElementLine",
    "Evidence",
    "GridComparison",
    "LayoutEvidence",
    "MapKind",
    "MapSet",
    "MaterialValueLine",
    "NeighbourLine",
    "NetworkEvidence",
    "NoiseEvidence",
    "PartLine",
    "ScalarMap",
    "SettingLine",
    "TissueLine",
    "UltimateEvidence",
]

Real = NDArray[np.floating]
Complex = NDArray[np.complexfloating]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedLine:
    """One thing that the brief says, as the engineer would say it."""

    field: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultLine:
    """One thing that the brief left open, what was taken, and on whose authority."""

    field: str
    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TissueLine:
    """A tissue at the frequency of the run; ``note`` tells where its properties were read and what to mind."""

    name: str
    eps_r: float
    sigma_s_per_m: float
    volume_m3: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyEvidence:
    """The body as it was solved."""

    name: str
    sentences: tuple[str, ...]
    voxel_m: float
    shape: tuple[int, int, int]
    tissues: tuple[TissueLine, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementLine:
    """An element of the array; ``vertices_m`` (vertices, 3) is its closed centre-line in the body frame. [m]"""

    name: str
    shape: str
    size_m: float
    centre_m: tuple[float, float, float]
    normal: tuple[float, float, float]
    gaps: int
    layer: int
    vertices_m: Real


@dataclass(frozen=True, slots=True, kw_only=True)
class NeighbourLine:
    """Two neighbours by number, their centre distance over mean size, and the coupling coefficient between them."""

    pair: tuple[int, int]
    overlap: float
    coefficient: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutEvidence:
    """The array as it was laid out, neighbours as pairs of element numbers.

    ``coupling_left`` is empty where nobody told how neighbours couple; ``coupling_includes`` tells what its
    coefficients hold, as the end of a sentence.
    """

    elements: tuple[ElementLine, ...]
    neighbours: tuple[tuple[int, int], ...]
    notes: tuple[str, ...] = ()
    coupling_left: tuple[NeighbourLine, ...] = ()
    coupling_includes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorLine:
    """One element's centre-line [m] and the resistance of its straight conductor [ohm], for direct current too."""

    element: str
    length_m: float
    resistance_ohm: float
    direct_ohm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One part of the stack: mass [kg] and what an ultra-short-echo scan shows of it, T2* in seconds. [s]"""

    part: str
    material: str
    mass_kg: float | None
    short_echo: str
    t2_star_s: float | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialValueLine:
    """One property of a material of the stack, as the engineer would write it."""

    material: str
    quantity: str
    value: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorEvidence:
    """The conductor, and where its models stop.

    ``resistance_source`` says where the resistance of a metre comes from; ``depths`` is how many skin depths [m] thick
    the conductor is. What is None is not known of this kind.
    """

    name: str
    resistance_ohm_per_m: float
    equivalent_radius_m: float
    sentences: tuple[str, ...]
    limits: tuple[str, ...]
    method: str
    cautions: tuple[str, ...] = ()
    resistance_source: str = "computed here"
    direct_resistance_ohm_per_m: float | None = None
    skin_depth_m: float | None = None
    depths: float | None = None
    mass_kg: float | None = None
    lines: tuple[ConductorLine, ...] = ()
    parts: tuple[PartLine, ...] = ()
    values: tuple[MaterialValueLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkEvidence:
    """The array as a network, body included.

    ``snr_retained`` is the part of each element's own SNR that the coil's noise leaves, ``frequency_shift_hz`` the
    shift of each element's resonance when the body is taken away.

    ``gap_capacitance_f`` is None where no capacitors bridge the gaps. ``resistance_ohm`` maps each mechanism ("body",
    "conductor", "capacitors", "other", "radiation"; of coaxial line "line" and "terminal" for the two in the middle) to
    one value per element (elements,), in series with the loop current. ``impedance_ohm`` (frequencies, elements,
    elements) is what the element ports show before matching, ``matched_scattering`` (elements, elements) what they show
    after it. The two ``_open_room`` qualities count radiation, the other two leave it out.
    """

    frequency_hz: float
    inductance_h: Real
    gap_capacitance_f: Real | None
    resistance_ohm: Mapping[str, Real]
    quality_unloaded: Real
    quality_loaded: Real
    coil_noise_figure_db: Real
    snr_retained: Real
    frequency_shift_hz: Real
    mutual_reactance_ohm: Real
    coupling_coefficient: Real
    frequencies_hz: Real
    impedance_ohm: Complex
    port_names: tuple[str, ...]
    sentences: tuple[str, ...] = ()
    body_change_over_band: float | None = None
    quality_unloaded_open_room: Real | None = None
    quality_loaded_open_room: Real | None = None
    matched_scattering: Complex | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseEvidence:
    """Noise of the array: the body's noise resistance (Hermitian) and the correlation of the whole covariance.

    ``forms_differ`` is the largest relative difference of the optimum SNR between the open-circuit and the matched
    form.
    """

    body_noise_resistance_ohm: Complex
    correlation: Complex
    body_temperature_k: float
    coil_temperature_k: float
    forms_differ: float | None = None
    open_circuit_v2_per_hz: Complex | None = None
    matched_w_per_hz: Complex | None = None
    sentences: tuple[str, ...] = ()


class MapKind(Enum):
    """What a map shows, which fixes its colours and its range."""

    SNR = "signal-to-noise ratio"
    INVERSE_G = "inverse geometry factor"
    FRACTION = "fraction of the bound"
    KEPT = "part of the SNR that is kept"
    TRANSMIT = "ratio of B1+"
    LOCAL_SAR = "SAR, 10 g average"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalarMap:
    """A map (x, y, z) with its named definition; NaN where it has no value. ``name`` is its name in maps.nc."""

    name: str
    title: str
    definition: str
    kind: MapKind
    values: Real
    unit: str = "1"

    @property
    def quantity(self) -> str:
        """What a map of SNR holds: with a unit it lacks the signal's scale and is a sensitivity."""
        return "SNR" if self.unit == "1" else "sensitivity"


@dataclass(frozen=True, slots=True, kw_only=True)
class MapSet:
    """Maps on the voxel grid. Axes are voxel centres in the body frame; [m] for every length.

    ``body_fraction`` (x, y, z) is the share of each voxel that is body, ``region`` (x, y, z) marks the voxels of the
    statistics, ``depth_m`` (x, y, z) is the distance below the skin, ``tissue`` (x, y, z) the number in
    ``tissue_names`` of the tissue that fills most of a voxel, -1 for none, ``receive_field_t_per_a`` (element, x, y,
    z) the complex reception field per ampere (peak) of element-port current, the other element ports open. [T/A]
    """

    x_m: Real
    y_m: Real
    z_m: Real
    body_fraction: Real
    region: NDArray[np.bool_]
    depth_m: Real
    tissue: NDArray[np.integer]
    tissue_names: tuple[str, ...]
    scalars: tuple[ScalarMap, ...]
    slices_m: tuple[float, float, float]
    receive_field_t_per_a: Complex | None = None
    remarks: tuple[str, ...] = ()

    def named(self, name: str) -> ScalarMap:
        """Return the map of this name.

        Raises
        ------
        KeyError
            If there is no such map.
        """
        for scalar in self.scalars:
            if scalar.name == name:
                return scalar
        raise KeyError(f"no map named {name!r}; there are {', '.join(s.name for s in self.scalars)}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantLine:
    """A constant or a choice that turns the arrays into printed numbers. ``unit`` is SI."""

    name: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AccelerationEvidence:
    """One acceleration; the two names are maps of the set.

    ``pattern`` and ``field_of_view`` tell its sampling in words, ``reduction`` is by how much the sampling of a voxel
    is shortened, ``g_mean`` the mean of g over the region, infinite where a voxel cannot be unfolded.
    """

    name: str
    pattern: str
    field_of_view: str
    reduction: float
    inverse_g_map: str
    snr_map: str
    g_mean: float
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UltimateEvidence:
    """How near the array comes to the best that Maxwell's equations allow, where a closed form exists."""

    definition: str
    fraction_map: str
    fraction_centre: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateauLine:
    """The bound of a source shell at one place for growing numbers of modes. [m], [T A^-1 ohm^-1/2]"""

    place: str
    at_m: tuple[float, float, float]
    depth_m: float
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceleratedFraction:
    """Largest accelerated fraction of one acceleration, and how far its bound has settled."""

    name: str
    largest: float
    settling: Settling


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellEvidence:
    """How near the array comes to the best of a shell's sources that were solved.

    ``maps`` lies on the grid on which both were solved, its region the voxels deep enough for a fraction, of which
    those have one where the bound has settled; ``without_array`` is the largest fraction of the modes alone, over all
    of the region; ``array_sources`` and ``part_modes``, modes of the covered part, join them;
    ``mode_counts`` are those of the plateau; ``margin_m`` is how far the covered part reaches beyond the projected
    outlines of the elements.
    """

    coverage: str
    against: str
    maps: MapSet
    fraction_map: str
    fraction_deepest: float
    settling: Settling
    accelerated_fractions: tuple[AcceleratedFraction, ...]
    voxel_m: float
    sources: int
    modes: int
    array_sources: int
    part_modes: int
    dropped: int
    stand_off_m: float
    spacing_m: float
    margin_m: float
    without_array: float
    mode_counts: tuple[int, ...]
    plateau: tuple[PlateauLine, ...]
    change_deepest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GridComparison:
    """What a second, coarser grid gave; each entry is |fine - coarse|.

    ``body_resistance_relative`` (elements,) is relative to the fine grid's own value, ``snr_relative`` the 95th
    percentile of the relative change of the optimum SNR in the region, ``inverse_g_absolute`` that of 1/g by name.
    """

    fine_voxel_m: float
    coarse_voxel_m: float
    body_resistance_relative: Real
    snr_relative: float
    inverse_g_absolute: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingLine:
    """One numerical setting of the run, or what a solver reported, in words."""

    name: str
    value: str
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceEvidence:
    """Conductors held against a rigid coil, and the names of all: the rigid coil's, then those of the lines."""

    choice: ConductorChoice
    rigid_name: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All that the dossier of one run is written from."""

    title: str
    tool_version: str
    asked: tuple[AskedLine, ...]
    defaults: tuple[DefaultLine, ...]
    frequency_hz: float
    field_t: float
    nucleus: str
    b0_direction: str
    frequency_convention: str
    body: BodyEvidence
    layout: LayoutEvidence
    conductor: ConductorEvidence
    network: NetworkEvidence
    noise: NoiseEvidence
    maps: MapSet
    constants: tuple[ConstantLine, ...]
    accelerations: tuple[AccelerationEvidence, ...]
    ultimate: UltimateEvidence | None
    grids: GridComparison | None
    settings: tuple[SettingLine, ...]
    methods: tuple[str, ...]
    excitation: Excitation
    shells: tuple[ShellEvidence, ...] = ()
    circuit: CircuitOutcome | None = None
    coaxial: CoaxialOutcome | None = None
    circuit_cost: CircuitCost | None = None
    under_field: ArrayUnderField | None = None
    conductor_choice: ChoiceEvidence | None = None
    capacitors: CapacitorEvidence | None = None
    interface: InterfaceCheck | None = None
    built: BuiltSpread | None = None
    worn: WornFamily | None = None
    loading: LoadingEquivalence | None = None
    draped: DrapedArray | None = None
    while_transmitting: WhileTransmitting | None = None

    @property
    def element_names(self) -> tuple[str, ...]:
        """Names of the elements, in the order of every array."""
        return tuple(element.name for element in self.layout.elements)
