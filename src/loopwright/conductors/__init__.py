"""What is the array made of, and what does a metre of it lose?

From a layout and a requested conductor to a dressed layout: the cross section, its resistance per metre at radio
frequency (round wire: Kelvin's Bessel functions, exact; flat and printed strip: the two-faced skin-effect formula times
an edge-crowding factor fitted to two-dimensional solutions), its radius as a thin wire or its bundle of filaments, and
the quality of its parts.
"""

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
from loopwright.conductors.skin_effect import round_wire_impedance_ohm_per_m, skin_depth_m, surface_resistance_ohm
from loopwright.conductors.strip_bundle import (
    FILAMENTS,
    filament_offsets_m,
    filament_radii_m,
    filament_resistances_ohm_per_m,
)
from loopwright.conductors.strip_loss import (
    edge_crowding_factor,
    strip_resistance_ohm_per_m,
    uniform_strip_resistance_ohm_per_m,
)

__all__ = [
    "FILAMENTS",
    "CrossSection",
    "DressedLayout",
    "FlatStrip",
    "PrintedStrip",
    "RoundWire",
    "capacitor_series_resistance_ohm",
    "cross_section_of",
    "dress",
    "edge_crowding_factor",
    "equivalent_radius_m",
    "filament_offsets_m",
    "filament_radii_m",
    "filament_resistances_ohm_per_m",
    "limits",
    "outline_width_m",
    "resistance_ohm_per_m",
    "round_wire_impedance_ohm_per_m",
    "skin_depth_m",
    "strip_resistance_ohm_per_m",
    "surface_resistance_ohm",
    "uniform_strip_resistance_ohm_per_m",
]
