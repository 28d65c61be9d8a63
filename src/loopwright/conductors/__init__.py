"""What is the array made of, and what does a metre of it lose?

From a layout and a requested conductor to a dressed layout: the cross section, its resistance per metre at radio
frequency (round wire and liquid metal: Kelvin's Bessel functions, exact; flat, printed and stretched strip: the
two-faced skin-effect formula times an edge-crowding factor fitted to two-dimensional solutions; thread: as measured,
times its lay), its radius as a thin wire or its bundle of filaments, and the quality of its parts. What was measured
wins over what is computed. Films round the conductor have mass and may show in an image; they are no part of the
fields.
From a wanted capacitance to a printed one: plates on a film with their fringe, loss and spread, and the tabs that trim
them; sets of plates that bridges choose from; lumped parts.
"""

from loopwright.conductors.bridged_plates import BridgedPlates, Setting, setting_for, settings_of, widest_gap
from loopwright.conductors.cross_section import (
    CrossSection,
    FlatStrip,
    PrintedStrip,
    RoundWire,
    computed_resistance_ohm_per_m,
    conducting_area_m2,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    half_height_m,
    inner_reactance_ohm_per_m,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.conductors.dressed_layout import DressedLayout, capacitor_series_resistance_ohm
from loopwright.conductors.dressing import cross_section_of, dress
from loopwright.conductors.elastomer import ElastomerStrip, incompressible_resistance_ratio, tabled_resistance_ratio
from loopwright.conductors.films import Film, conducting_material, film_mass_kg, stack_of
from loopwright.conductors.gap_quality import GapCapacitors, with_gap_qualities
from loopwright.conductors.heating import resistance_ratio
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.lumped_capacitor import (
    GivenQ,
    GivenResistance,
    LumpedLoss,
    lumped_q,
    lumped_resistance_ohm,
)
from loopwright.conductors.plate_capacitance import film_share, fringed_capacitance_f, strip_capacitance_f_per_m
from loopwright.conductors.print_tolerance import (
    PrintSpreads,
    Share,
    Sheets,
    capacitance_limits_f,
    draw_edges_m,
    draw_sheets,
    drawn_capacitance_f,
    expected_spread,
    spread_shares,
)
from loopwright.conductors.printed_capacitor import (
    AIR_DISCHARGE_V,
    Feed,
    Plate,
    PrintStack,
    plate_capacitance_f,
    plate_for,
    plate_resistance_ohm,
    printed_q,
    printing_limits,
    withstand_v,
)
from loopwright.conductors.printing import PrintedGap, print_spreads_of, print_stack_of, printed_gap
from loopwright.conductors.skin_effect import round_wire_impedance_ohm_per_m, skin_depth_m, surface_resistance_ohm
from loopwright.conductors.strip_bundle import (
    FILAMENTS,
    filament_offsets_m,
    filament_radii_m,
    filament_resistances_ohm_per_m,
    is_strip,
)
from loopwright.conductors.strip_loss import (
    edge_crowding_factor,
    strip_resistance_ohm_per_m,
    uniform_strip_resistance_ohm_per_m,
)
from loopwright.conductors.thread import Helix, Thread, helix_inductance_h_per_m, helix_length_ratio
from loopwright.conductors.trimming import (
    CuttingPlan,
    Stage,
    Trimmed,
    capacitance_from_resonance_f,
    cutting_plan,
    cutting_plan_for_resonance,
    resonance_from_capacitance_hz,
    trim_draws,
)
from loopwright.conductors.trimming_ladder import (
    Ladder,
    LadderRequest,
    Tab,
    TabKind,
    design_ladder,
    finest_printable_step,
)
from loopwright.conductors.validity import limits, thickness_over_depth, what_limits
from loopwright.conductors.worn_stack import worn_stack

__all__ = [
    "AIR_DISCHARGE_V",
    "FILAMENTS",
    "BridgedPlates",
    "CrossSection",
    "CuttingPlan",
    "DressedLayout",
    "ElastomerStrip",
    "Feed",
    "Film",
    "FlatStrip",
    "GapCapacitors",
    "GivenQ",
    "GivenResistance",
    "Helix",
    "Ladder",
    "LadderRequest",
    "LiquidMetalTube",
    "LumpedLoss",
    "Plate",
    "PrintSpreads",
    "PrintStack",
    "PrintedGap",
    "PrintedStrip",
    "RoundWire",
    "Setting",
    "Share",
    "Sheets",
    "Stage",
    "Tab",
    "TabKind",
    "Thread",
    "Trimmed",
    "capacitance_from_resonance_f",
    "capacitance_limits_f",
    "capacitor_series_resistance_ohm",
    "computed_resistance_ohm_per_m",
    "conducting_area_m2",
    "conducting_material",
    "cross_section_of",
    "cutting_plan",
    "cutting_plan_for_resonance",
    "design_ladder",
    "direct_resistance_ohm_per_m",
    "draw_edges_m",
    "draw_sheets",
    "drawn_capacitance_f",
    "dress",
    "edge_crowding_factor",
    "equivalent_radius_m",
    "expected_spread",
    "filament_offsets_m",
    "filament_radii_m",
    "filament_resistances_ohm_per_m",
    "film_mass_kg",
    "film_share",
    "finest_printable_step",
    "fringed_capacitance_f",
    "half_height_m",
    "helix_inductance_h_per_m",
    "helix_length_ratio",
    "incompressible_resistance_ratio",
    "inner_reactance_ohm_per_m",
    "is_strip",
    "limits",
    "lumped_q",
    "lumped_resistance_ohm",
    "outline_width_m",
    "plate_capacitance_f",
    "plate_for",
    "plate_resistance_ohm",
    "print_spreads_of",
    "print_stack_of",
    "printed_gap",
    "printed_q",
    "printing_limits",
    "resistance_ohm_per_m",
    "resistance_ratio",
    "resonance_from_capacitance_hz",
    "round_wire_impedance_ohm_per_m",
    "setting_for",
    "settings_of",
    "skin_depth_m",
    "spread_shares",
    "stack_of",
    "strip_capacitance_f_per_m",
    "strip_resistance_ohm_per_m",
    "surface_resistance_ohm",
    "tabled_resistance_ratio",
    "thickness_over_depth",
    "trim_draws",
    "uniform_strip_resistance_ohm_per_m",
    "what_limits",
    "widest_gap",
    "with_gap_qualities",
    "withstand_v",
    "worn_stack",
]
