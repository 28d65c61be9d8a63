"""One bias line of the scanner interface, and the diode in it."""

from loopwright.brief import defaults
from loopwright.brief.forms import Form
from loopwright.brief.keys import Choice, Count, Words
from loopwright.brief.lists import WordOrWords
from loopwright.brief.parts import Part
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import BiasDiodeRequest, BiasLineRequest

__all__ = ["BIAS_LINE", "MOST_LINES"]

MOST_LINES = 64

_DIODE = Form(
    title="diode",
    keys=(
        Quantity(name="voltage", field="voltage_v", unit="V", low="0.2 V", high="3 V", default=defaults.DIODE_VOLTAGE,
                 meaning="Forward voltage at `forward_current`."),
        Quantity(name="voltage_spread", field="voltage_spread_v", unit="V", low="0 V", high="1 V",
                 default=defaults.DIODE_SPREAD, meaning="By how much one diode of the lot may differ, either way."),
        Quantity(name="resistance", field="resistance_ohm", unit="ohm", low="0.01 ohm", high="50 ohm",
                 default=defaults.DIODE_RESISTANCE, meaning="Radio-frequency resistance at `forward_current`."),
        Quantity(name="carrier_lifetime", field="carrier_lifetime_s", unit="s", low="1 ns", high="1 ms",
                 default=defaults.DIODE_LIFETIME, meaning="Lifetime of its carriers."),
        Quantity(name="layer", field="layer_m", unit="m", low="1 um", high="1 mm", default=defaults.DIODE_LAYER,
                 meaning="Width of its undoped layer."),
        Quantity(name="off_resistance", field="off_resistance_ohm", unit="ohm", low="10 ohm", high="10000 kohm",
                 default=defaults.DIODE_OFF_RESISTANCE, meaning="Parallel resistance under reverse bias."),
        Quantity(name="off_capacitance", field="off_capacitance_f", unit="F", low="0.01 pF", high="100 pF",
                 default=defaults.DIODE_OFF_CAPACITANCE, meaning="Parallel capacitance under reverse bias."),
    ),
    build=BiasDiodeRequest,
    strangers={"forward_voltage": "write `voltage`", "lifetime": "write `carrier_lifetime`"},
)  # fmt: skip

#: One item of ``interface.bias_lines``.
BIAS_LINE = Form(
    title="bias line",
    keys=(
        Words(name="name", longest=30, sample="B1", meaning="Name of the line."),
        Words(name="switches", longest=60, default=defaults.SWITCHES, meaning="What it switches."),
        WordOrWords(name="elements", most=256, sample="[A1, A2]", default=defaults.LINE_ELEMENTS,
                    meaning="Elements that it serves, or `all`."),
        Count(name="branches", low=1, high=256, default=defaults.LINE_BRANCHES,
              meaning="Equal branches in parallel. The current divides between them."),
        Count(name="diodes", low=1, high=32, default=defaults.LINE_DIODES,
              meaning="Diodes in series in each branch."),
        Part(name="diode", of=_DIODE, default=defaults.DIODE, meaning="One of the diodes."),
        Count(name="chokes", low=0, high=64, default=defaults.LINE_CHOKES, meaning="Chokes in series in each branch."),
        Quantity(name="choke_resistance", field="choke_resistance_ohm", unit="ohm", low="0 ohm", high="100 ohm",
                 default=defaults.CHOKE_RESISTANCE, meaning="Direct-current resistance of one choke."),
        Quantity(name="cable_resistance", field="cable_resistance_ohm", unit="ohm", low="0 ohm", high="100 ohm",
                 default=defaults.CABLE_RESISTANCE, meaning="Direct-current resistance of the cable, there and back."),
        Choice(name="protection", options=("none", "fuse", "resettable fuse"), default=defaults.LINE_PROTECTION,
               meaning="Part that protects the line."),
        Quantity(name="protection_resistance", field="protection_resistance_ohm", unit="ohm", low="0 ohm",
                 high="100 ohm", default=defaults.PROTECTION_RESISTANCE, meaning="Its direct-current resistance."),
    ),
    build=BiasLineRequest,
    strangers={
        "current": "write `forward_current` in `interface`: the driver sends the same through every line",
        "element": "write `elements`",
    },
)  # fmt: skip
