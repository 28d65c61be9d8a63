"""What is the array made of, and what does a metre of it lose?

From a layout and a requested conductor to a dressed layout: the cross section, its resistance per metre at radio
frequency (round wire: Kelvin's Bessel functions, exact; flat and printed strip: the two-faced skin-effect formula times
an edge-crowding factor fitted to two-dimensional solutions), its radius as a thin wire, and the quality of its parts.
From a wanted capacitance to a printed one: plates on a film with their fringe, loss and spread, and the tabs that trim
them; sets of plates that bridges choose from; lumped parts.
"""

from loopwright.conductors.bridged_plates import BridgedPlates, Setting, setting_for, settings_of, widest_gap
from loopwright.conductors.cross_section import (
    CrossSection,
    FlatStrip,
    PrintedStrip,
    RoundWire,
    equivalent_radius_m,
    limits,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.conductors.dressed_layout import DressedLayout, capacitor_series_resistance_ohm
from loopwright.conductors.dressing import cross_section_of, dress
from loopwright.conductors.lumped_capacitor import (
    LUMPED_CLASSES,
    GivenQ,
    GivenResistance,
    LumpedClass,
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
from loopwright.conductors.strip_loss import (
    edge_crowding_factor,
    strip_resistance_ohm_per_m,
    uniform_strip_resistance_ohm_per_m,
)
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

__all__ = [
    "AIR_DISCHARGE_V",
    "LUMPED_CLASSES",
    "BridgedPlates",
    "CrossSection",
    "CuttingPlan",
    "DressedLayout",
    "Feed",
    "FlatStrip",
    "GivenQ",
    "GivenResistance",
    "Ladder",
    "LadderRequest",
    "LumpedClass",
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
    "Trimmed",
    "capacitance_from_resonance_f",
    "capacitance_limits_f",
    "capacitor_series_resistance_ohm",
    "cross_section_of",
    "cutting_plan",
    "cutting_plan_for_resonance",
    "design_ladder",
    "draw_edges_m",
    "draw_sheets",
    "drawn_capacitance_f",
    "dress",
    "edge_crowding_factor",
    "equivalent_radius_m",
    "expected_spread",
    "film_share",
    "finest_printable_step",
    "fringed_capacitance_f",
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
    "resonance_from_capacitance_hz",
    "round_wire_impedance_ohm_per_m",
    "setting_for",
    "settings_of",
    "skin_depth_m",
    "spread_shares",
    "strip_capacitance_f_per_m",
    "strip_resistance_ohm_per_m",
    "surface_resistance_ohm",
    "trim_draws",
    "uniform_strip_resistance_ohm_per_m",
    "widest_gap",
    "withstand_v",
]
