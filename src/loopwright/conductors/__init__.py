"""What is the array made of, and what does a metre of it lose?

From a layout and a requested conductor to a dressed layout: the cross section, its resistance per metre at radio
frequency (round wire and liquid metal: Kelvin's Bessel functions, exact; flat, printed and stretched strip: the
two-faced skin-effect formula times an edge-crowding factor fitted to two-dimensional solutions; thread: as measured,
times its lay), its radius as a thin wire, and the quality of its parts. What was measured wins over what is computed.
Films round the conductor have mass and may show in an image; they are no part of the fields.
"""

from loopwright.conductors.cross_section import (
    CrossSection,
    FlatStrip,
    PrintedStrip,
    RoundWire,
    computed_resistance_ohm_per_m,
    conducting_area_m2,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    inner_reactance_ohm_per_m,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.conductors.dressed_layout import DressedLayout, capacitor_series_resistance_ohm
from loopwright.conductors.dressing import cross_section_of, dress
from loopwright.conductors.elastomer import ElastomerStrip, incompressible_resistance_ratio, tabled_resistance_ratio
from loopwright.conductors.films import Film, conducting_material, film_mass_kg, stack_of
from loopwright.conductors.liquid_metal import LiquidMetalTube
from loopwright.conductors.skin_effect import round_wire_impedance_ohm_per_m, skin_depth_m, surface_resistance_ohm
from loopwright.conductors.strip_loss import (
    edge_crowding_factor,
    strip_resistance_ohm_per_m,
    uniform_strip_resistance_ohm_per_m,
)
from loopwright.conductors.thread import Helix, Thread, helix_inductance_h_per_m, helix_length_ratio
from loopwright.conductors.validity import limits, thickness_over_depth, what_limits

__all__ = [
    "CrossSection",
    "DressedLayout",
    "ElastomerStrip",
    "Film",
    "FlatStrip",
    "Helix",
    "LiquidMetalTube",
    "PrintedStrip",
    "RoundWire",
    "Thread",
    "capacitor_series_resistance_ohm",
    "computed_resistance_ohm_per_m",
    "conducting_area_m2",
    "conducting_material",
    "cross_section_of",
    "direct_resistance_ohm_per_m",
    "dress",
    "edge_crowding_factor",
    "equivalent_radius_m",
    "film_mass_kg",
    "helix_inductance_h_per_m",
    "helix_length_ratio",
    "incompressible_resistance_ratio",
    "inner_reactance_ohm_per_m",
    "limits",
    "outline_width_m",
    "resistance_ohm_per_m",
    "round_wire_impedance_ohm_per_m",
    "skin_depth_m",
    "stack_of",
    "strip_resistance_ohm_per_m",
    "surface_resistance_ohm",
    "tabled_resistance_ratio",
    "thickness_over_depth",
    "uniform_strip_resistance_ohm_per_m",
    "what_limits",
]
