"""A brief in which nothing is wrong, and ways to change one thing about it."""

import copy
from io import StringIO
from typing import Any

from ruamel.yaml import YAML

from loopwright.brief import Brief, read_brief

Tree = dict[str, Any]

BASE: Tree = {
    "title": "A sphere in a cap",
    "scanner": {"field": "3 T"},
    "body": {"shape": "sphere", "radius": "84 mm", "voxel": "5 mm", "material": "Muscle"},
    "array": {
        "tiling": {
            "pattern": "hexagonal",
            "shape": "circle",
            "count": "16",
            "overlap": "0.76",
            "span": "whole",
            "stand_off": "9 mm",
            "gaps": "4",
        }
    },
    "conductor": {"kind": "flat strip", "width": "5 mm", "thickness": "35 um"},
    "imaging": {"voxel_volume": "8 mm^3"},
}
TRUNK = {"shape": "trunk", "age": "5 years", "voxel": "6 mm"}
CYLINDER = {
    "shape": "elliptic cylinder",
    "semi_axes": ["150 mm", "100 mm"],
    "height": "400 mm",
    "voxel": "6 mm",
    "material": "Muscle",
}
ELEMENT = {
    "name": "A1",
    "shape": "circle",
    "diameter": "80 mm",
    "centre": ["0 mm", "-95 mm", "0 mm"],
    "normal": ["0", "-2", "0"],
    "gaps": "4",
}

TUBE = {
    "kind": "liquid metal tube",
    "bore": "0.4 mm",
    "wall": {"material": "silicone", "thickness": "0.2 mm"},
    "encapsulation": [{"material": "silicone", "thickness": "1 mm", "area": "900 cm^2", "t2_star": "20 ms"}],
}
ELASTOMER = {
    "kind": "elastomer strip",
    "width": "5 mm",
    "thickness": "100 um",
    "conductivity": "0.1 MS/m",
    "stretch": "0.2",
    "resistance_against_stretch": [{"stretch": "0.1", "ratio": "1.4"}, {"stretch": "0.3", "ratio": "3"}],
}
THREAD = {
    "kind": "thread",
    "outer_diameter": "1.5 mm",
    "thread_diameter": "0.3 mm",
    "coil_pitch": "2 mm",
    "thread_resistance": "8 ohm/m",
    "linear_density": "0.2 g/m",
    "substrate": [{"material": "Own cloth", "thickness": "0.5 mm", "width": "8 mm", "density": "300 kg/m^3"}],
}

SHIFTED = {
    "kind": "shifted",
    "name": "2 x 3 shifted",
    "factors": ["2", "3"],
    "directions": ["x", "z"],
    "field_of_view": ["180 mm", "200 mm"],
    "shift": "2",
}
SLICES = {
    "kind": "simultaneous slices",
    "name": "3 slices",
    "slices": "3",
    "normal": "z",
    "slice_distance": "60 mm",
    "direction": "y",
    "field_of_view": "180 mm",
    "shift": "1/3",
}

INTERFACE = {
    "channels_per_plug": "16",
    "forward_voltage": ["0.4 V", "2.6 V"],
    "sense_current": "60 mA",
    "trip_current": "300 mA",
    "driver_voltage": "5 V",
    "driver_resistance": "30 ohm",
    "preamplifier_draw": "12 mA",
    "identity": "A16 rev B",
    "cable": "1.2 m",
    "longest_cable": "2 m",
    "largest_b1_rms": "3.2 uT",
    "bias_lines": [
        {"name": "B1", "branches": "4", "diodes": "2", "diode": {"voltage": "0.9 V"}, "protection": "fuse"},
        {"name": "B2", "switches": "traps of the cable", "chokes": "0"},
    ],
}

TRANSMIT = {
    "resonator": {
        "kind": "birdcage",
        "radius": "310 mm",
        "length": "480 mm",
        "rungs": "16",
        "conductor_width": "30 mm",
        "capacitors_in": "rungs",
    },
    "middle": ["0 mm", "5 mm", "40 mm"],
    "level": {
        "kind": "pulses",
        "repetition_time": "500 ms",
        "pulses": [
            {"name": "excitation", "shape": "windowed sinc", "flip_angle": "90 deg", "duration": "2 ms"},
            {"name": "refocusing", "shape": "rectangle", "peak_b1": "12 uT", "duration": "1 ms", "count": "16"},
        ],
    },
    "duration": "15 min",
    "scanner_limits": {"largest_b1_rms": "3.2 uT", "operating_mode": "first level"},
    "region": {"kind": "sphere", "centre": ["0 mm", "0 mm", "0 mm"], "radius": "50 mm"},
    "worst_states": "4",
    "patient_mass": "20 kg",
    "wearing": ["folded", "stretched"],
    "stretch": "15 %",
}
HEAT = {
    "ambient_temperature": "26 degC",
    "airflow": "gentle",
    "to_skin": [{"material": "polyimide", "thickness": "50 um"}, {"material": "polyurethane foam"}],
    "cover": [],
    "tissue": {"fat": "8 mm"},
    "preamplifier_power": "120 mW",
    "part_sizes": [{"part": "C trap 1", "size": "0805"}],
    "probes": "6",
}
LIMITS = [
    {"name": "conductor to patient", "value": "5 mm", "edition": "house rule 7", "why": "our foam gives by 1 mm"},
    {
        "name": "mass on the chest",
        "quantity": "mass of the array",
        "kind": "at most",
        "value": "0.4 kg",
        "edition": "house rule 9",
        "why": "infants",
    },
]
#: Topics of transmission with the circuit that they need.
TRANSMITTING = {"circuit": {"wiring": "capacitive match"}, "transmit": TRANSMIT, "heat": HEAT, "limits": LIMITS}


def changed(tree: Tree, **changes: Any) -> Tree:
    """Return a copy in which keys such as ``scanner__field`` have other values; None takes the key out."""
    result = copy.deepcopy(tree)
    for path, value in changes.items():
        *parents, last = path.split("__")
        place = result
        for parent in parents:
            place = place.setdefault(parent, {})
        if value is None:
            place.pop(last, None)
        else:
            place[last] = value
    return result


def text_of(tree: Any) -> str:
    """Write a tree as YAML."""
    stream = StringIO()
    yaml = YAML(typ="safe", pure=True)
    yaml.representer.ignore_aliases = lambda _: True
    yaml.dump(tree, stream)
    return stream.getvalue()


def brief_with(**changes: Any) -> Brief:
    """Read the base with changes."""
    return read_brief(text_of(changed(BASE, **changes)), "base.yaml")
