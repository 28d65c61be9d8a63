"""Every value that is taken where a brief is silent, with where it comes from.

A default is written as the engineer would write it and read by the same reader, so it obeys the same rules.
"""

from dataclasses import dataclass, replace

from loopwright.ground.sources import Flag, Source
from loopwright.ground.units import engineering_text

__all__ = ["Default", "crossing_separation"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A value as YAML text, and its source."""

    value: str
    source: Source


def _practice(value: str, why: str) -> Default:
    return Default(value=value, source=Source(key="", where=why, flag=Flag.COMMON_PRACTICE))


def _memory(value: str, why: str) -> Default:
    return Default(value=value, source=Source(key="", where=why, flag=Flag.MEMORY))


def _computed(value: str, why: str) -> Default:
    return Default(value=value, source=Source(key="", where=why, flag=Flag.COMPUTED))


NUCLEUS = _practice("1H", "most imaging is of water protons")
B0_DIRECTION = _practice("+z", "head-first in a magnet whose field points out of the bore towards the head")

LIQUID_BASE = _practice("water", "salts in plain water, unless something thickens it")
BOTTLE_WALL_PERMITTIVITY = _memory("2.3", "polyethylene")
FILE_AXES = _practice("[left, posterior, head]", "the patient frame in which medical images and scans are kept")
FILE_ORIGIN = _practice("middle of the box", "the origin of a scan says nothing of the body")
SURFACE_PARTS = _practice("one", "a body is one closed surface")
ARMS = _practice("none", "arms are kept out of the coil where they can be, raised or behind it")

PATIENT_ARMS = _practice("down", "arms lie beside the trunk unless they are brought up")
PATIENT_PART = _practice("whole body", "the whole body, where no part is named")
PATIENT_MARGIN = _computed(
    "100 mm",
    "more body past the part changes resistance and SNR of an element of 50 to 80 mm at its edge by less than 1 %, "
    "of one of 100 mm before the chin of an adult by 2 to 4 %",
)
STRAIGHT = _practice("0 deg", "limbs lie straight")
NO_KEYS_OF_POSE = _practice("", "on the back, limbs straight")

CROSSING_SEPARATION = _practice(
    "1 mm", "at least; a wire's diameter, or a strip's thickness, and 0.3 mm of insulation where that is more"
)
_INSULATION_M = 0.3e-3
FILM_FORM = _practice("cone", "a cylinder among them, where it lies closer")
FILM_TURNED = _practice("0 deg", "rows run across the direction to the head")
FILM_MARGIN = _practice("10 mm", "half a wide conductor, and room for a seam")
FILM_SIDE = _practice("substrate", "the film lies between conductor and skin")
GAP_LIMIT = _practice("8 mm", "beyond it a patch of palm-sized elements loses much of what it gains by lying close")
COMPRESSION_LIMIT = _practice("3 %", "a thin film on foam takes a few per cent before folds are seen; try your own")
STRETCH_LIMIT = _practice("10 %", "knitted carriers take it without pressing; try your own")
FACING = _practice("[0, -1, 0]", "anterior: a patch lies on the front of the body")

MATERIAL = _practice("copper", "wire and strip are copper unless said otherwise")
LIQUID_METAL = _practice("eutectic gallium-indium", "the alloy that most liquid-metal coils are filled with")
RESISTANCE_AGAINST_STRETCH = _computed("[]", "(1 + stretch)^2: a piece keeps volume and conductivity")
LENGTH_RATIO = _practice("1", "a thread that follows the centre-line")
CAPACITOR_Q = _memory("1500", "high-grade non-magnetic ceramic capacitors near 128 MHz")
OTHER_SERIES_RESISTANCE = _practice("0.1 ohm", "solder joints, fuse and chokes of one element; measure your own")
CABLE_CONDUCTIVITY = _practice("58 MS/m", "copper, at the temperature of the room")
BRAID_FACTOR = _memory("2", "a braid loses about 1.5 to 3 times as much as a smooth tube; measure yours")
TUNING_Q = _memory("200", "a wound inductor near 128 MHz; a capacitor has 1000 and more")
BODY_TEMPERATURE = _practice("37 degC", "a living body; a phantom has the temperature of its room")
COIL_TEMPERATURE = _practice("20 degC", "conductors at the temperature of the scanner room")

CAPACITOR_RATING = _memory("500 V", "larger ceramic parts for loops, 500 V to 1.5 kV; smaller ones for match bear less")
CAPACITOR_TOLERANCE = _practice("0.05", "5 % and a trimmer for tuning, 1 to 2 % in a match")
CAPACITOR_SERIES = _practice("E24", "5 % parts")
FILM_THICKNESS_SPREAD = _practice("0.05", "film is bought to 3 to 5 % of its thickness")
PERMITTIVITY_SPREAD = _practice("0.03", "from lot to lot and with moisture; measure a roll")
EDGE_SPREAD = _practice("50 um", "screen print; ink spreads by a mesh opening")
REGISTRATION = _practice("0.2 mm", "second face printed after turning the sheet")
PLATE_MARGIN = _practice("0.3 mm", "a little more than the usual registration, so that a shift costs nothing")
PLATE_WIDTH_LEAST = _practice("1 mm", "narrower plates lose too much to their edges")
PLATE_WIDTH_MOST = _practice(
    "8 mm", "about the width of a wide trace, so that the plate does not stand out of the loop"
)
SMALLEST_TAB = _practice("0.5 mm", "the smallest that screen print holds and a knife finds")
FINEST_STEP = _practice("0.01", "tabs of 0.5 to 2 % are usual")
CAPACITANCE_READING = _practice("0.002", "a bridge or an analyser after calibration, against its own repeat")
FINE_TABS = _computed("2", "one more than is needed, for a slip")
BRIDGES = _computed("2", "one for prints that come out low, one for a cut too many")
BREAKDOWN_DERATING = _memory(
    "0.05",
    "polystyrene and polyethylene break down near 100 MHz at about a tenth of their field at mains frequency; half of "
    "it for pinholes, edges and years; test your own at the frequency",
)

REGION = _practice("{kind: whole body}", "all of the body counts unless a region is named")
LEAST_DEPTH = _computed("2 voxels", "closer to the skin the grid's own steps show in the field")
ACCELERATIONS = _practice("[]", "fully sampled imaging only")
ACCELERATION_KIND = _practice("regular", "every R-th line, unless another pattern is named")
SLAB_CENTRE = _practice("0 mm", "a slab about the origin of the body frame")
IN_PLANE_FACTOR = _practice("1", "slices excited at once, fully sampled in their plane")
IN_PLANE_SHIFT = _practice("0", "slices that fall straight upon each other")
BANDWIDTH = _practice("1 Hz", "one second of sampling in all; SNR grows with the root of the sampling time")
SLICES = _practice(
    "[{plane: axial, at: 0 mm}, {plane: coronal, at: 0 mm}, {plane: sagittal, at: 0 mm}]",
    "the three planes through the origin of the body frame",
)

ULTIMATE = _practice("{kind: none}", "a source shell takes longer than the array itself: ask for it")
ULTIMATE_COVERAGE = _practice("complete", "the ultimate bounds every array, wherever its elements lie")
ULTIMATE_MODES = _computed(
    "200", "a sphere's bound settles within 5 % to 0.6 of its radius; fewer leave out more, more need finer voxels"
)


def crossing_separation(conductor_height_m: float | None) -> Default:
    """Separation for a conductor that takes so much room where it is crossed [m]; None where that is not known."""
    needed_m = 0.0 if conductor_height_m is None else conductor_height_m + _INSULATION_M
    return (
        replace(CROSSING_SEPARATION, value=engineering_text(needed_m, "m")) if needed_m > 1e-3 else CROSSING_SEPARATION
    )


def film_stand_off(layers_m: float) -> Default:
    """Stand-off that the layers under a film make. [m]"""
    return _computed(f"{layers_m * 1e3:.6g} mm", "the layers from the skin to the conductor's centre-line")


SEGMENTS_PER_ELEMENT = _computed("24", "inductance of an element in the loop mode within 0.1 %")
RELATIVE_RESIDUAL = _computed("0.0001", "keeps the impedance that the body adds reciprocal to 1e-4")
COARSE_VOXEL_RATIO = _computed("1.5", "far enough apart to show the order of convergence, and cheap")
BAND_FRACTION = _computed(
    "0.04", "4 % to either side hold the loaded resonance; interpolated to 1e-6 by five frequencies"
)
EXCITATION = _computed("automatic", "loop mode wherever it was measured to give the body's resistance within 1 %")
FACE_RULE = _computed("area mean", "nearest the exact series for every loop beside every layered sphere")
FREQUENCIES = _computed("5", "a fourth-order polynomial in frequency leaves 1e-6 of the impedance over the band")

_BELOW = "each of its keys takes the default that is told for it"
PREAMPLIFIER = _practice("{}", _BELOW)
PIN_DIODE = _practice("{}", _BELOW)
CROSSED_DIODES = _practice("{}", _BELOW)
FUSE = _practice("{}", _BELOW)
INPUT_RESISTANCE = _memory("2 ohm", "low-input preamplifiers show 1.5 to 3 ohm; measure yours, its lead included")
HIGH_INPUT_RESISTANCE = _memory("1 kohm", "order of magnitude of an input stage without feedback; measure yours")
INPUT_REACTANCE = _practice("0 ohm", "taken as a pure resistance; measure yours")
LEAST_NOISE_FIGURE = _memory("0.5 dB", "preamplifiers for MRI reach 0.3 to 0.6 dB; take that of the data sheet")
NOISE_RESISTANCE = _memory("5 ohm", "seldom measured below 400 MHz: an order of magnitude")
BEST_SOURCE_RESISTANCE = _practice("50 ohm", "most preamplifiers are made for a source of 50 ohm real")
BEST_SOURCE_REACTANCE = _practice("0 ohm", "most preamplifiers are made for a source of 50 ohm real")
INDUCTOR_Q = _memory("150", "small air-core inductors near 128 MHz reach 100 to 200")
PART_TOLERANCE = _practice("2 %", "capacitors of the match are bought to 1 or 2 %")
RESISTOR_TOLERANCE = _practice("1 %", "film resistors")
INDUCTOR_TOLERANCE = _practice("5 %", "wound inductors, which are bent to their value")
TRANSMIT_FIELD = _memory(
    "20 uT", "common practice near the peak of what body coils give at 3 T; take the peak B1+ of your scanner"
)
VALUE_SERIES = _practice("E24", "24 values a decade of IEC 60063")
ESR = _practice("0 ohm", "all loss is in the quality factor")
CHOKE_Q = _memory("40", "wound chokes are lossy near their self-resonance: measure every one")
FORWARD_RESISTANCE = _memory("0.35 ohm", "PIN diodes at 100 mA near 128 MHz")
REVERSE_RESISTANCE = _memory("5 kohm", "of the order of what PIN diodes show without bias; measure yours")
REVERSE_CAPACITANCE = _memory("0.3 pF", "small PIN diodes reach 0.2 to 1 pF; measure yours")
BIAS_CURRENT = _practice("100 mA", "usual forward current of a detuning circuit")
RATED_BIAS = _memory("500 mA", "forward current of small PIN diodes; take that of the data sheet")
CONDUCTING_RESISTANCE = _memory("0.5 ohm", "a pair of small switching diodes once they conduct fully")
BLOCKING_RESISTANCE = _memory("5 kohm", "of the order of a blocking pair; measure yours")
BLOCKING_CAPACITANCE = _memory("3 pF", "small switching diodes back to back have 2 to 4 pF")
FUSE_RESISTANCE = _memory("0.3 ohm", "radio-frequency fuses of these ratings have 0.2 to 0.5 ohm")
FUSE_OPEN_CAPACITANCE = _memory("0.2 pF", "pads of a small open fuse")
FUSE_RATING = _memory("500 mA", "ratings in use lie between 0.3 and 0.6 A")
PROTECTION = _practice("[PIN trap, crossed-diode trap]", "an active trap, and a passive one for the unplugged coil")
LINE_CHARACTERISTIC = _practice("50 ohm", "usual coaxial line")
LINE_VELOCITY = _memory("0.7", "solid fluoropolymer; foamed 0.8")
LINE_LOSS = _memory("0.4 dB/m", "thin flexible coaxial line at 100 MHz; take that of the data sheet")
SEEN_REACTANCE = _practice("0 ohm", "a real source")
PLUGS = _practice("1", "one plug unless said otherwise")
FORWARD_CURRENT = _practice("100 mA", "what most drivers send through a bias line; ask for your scanner's sheet")
REVERSE_CURRENT = _practice("50 mA", "half of the forward current where the driver's sheet is silent; ask for it")
REVERSE_VOLTAGE = _practice("15 V", "lower end of the 15 V to 30 V in use; ask for your scanner's sheet")
FORWARD_WINDOW = _memory("[0.4 V, 2.6 V]", "what one site's driver accepts, one to three diodes; ask for your own")
TURN_OFF = _memory("100 us", "what one family of scanners allows a driver; ultra-short echoes need far less")
PREAMPLIFIER_SUPPLY = _practice("10 V", "up the coaxial cable; 3.3 V, 5 V and 15 V are in use too")
PREAMPLIFIER_CURRENT = _practice("25 mA", "upper end of what one channel's supply gives")

SWITCHES = _practice("PIN-diode traps", "the usual use of a bias line")
LINE_ELEMENTS = _practice("all", "one line for all elements unless said otherwise")
LINE_BRANCHES = _practice("1", "one string of diodes")
LINE_DIODES = _practice("1", "one trap for each branch")
LINE_CHOKES = _practice("2", "one choke on either side of the trap")
CHOKE_RESISTANCE = _memory("1 ohm", "order of size of small wound chokes; measure your lot")
CABLE_RESISTANCE = _memory("1 ohm", "thin wire of a few metres, there and back; measure yours")
LINE_PROTECTION = _practice("none", "nothing in the line unless said otherwise")
PROTECTION_RESISTANCE = _practice("0 ohm", "no part, no resistance; a resettable fuse has an ohm or more")
DIODE = _practice("{}", "a PIN diode of generic values, each flagged by itself")
DIODE_VOLTAGE = _memory("0.85 V", "silicon at 100 mA; measure your lot")
DIODE_SPREAD = _memory("0.1 V", "between lots and over temperature")
DIODE_RESISTANCE = _memory("0.35 ohm", "switching diodes at 100 mA")
DIODE_LIFETIME = _memory("1.5 us", "switching diodes for large signals; a factor of two between lots")
DIODE_LAYER = _memory("50 um", "switching diodes for large signals")
DIODE_OFF_RESISTANCE = _memory("5 kohm", "near 128 MHz; it falls with frequency")
DIODE_OFF_CAPACITANCE = _memory("0.3 pF", "small switching diodes under reverse bias")

DRAWS = _computed("2000", "a yield of 90 % is told to 0.7 %")
SEED = _practice("1", "any number: it makes the figures come out the same again")
OWN_TOLERANCES = _practice("counted", "parts are bought to a tolerance")
SPREAD_SHAPE = _practice("uniform", "parts are sorted to their tolerance")
SPREAD_SHARED = _practice("nothing", "each part from a lot of its own, or an unsorted one")
PLACEMENT = _practice("1 mm", "elements laid by hand to a drawing; printed ones hold much closer")
HEIGHT = _practice("0.5 mm", "layers of film and cloth settle by about half of what a hand is off in the plane")
CONDUCTOR_SPREAD = _practice("10 %", "printed ink, from print to print; foil and wire hold closer")
NOISE_LOSS = _practice("0.2 dB", "about 2 % of the SNR")
LOADS = _practice("[0.5, 1, 2]", "half and twice the load of the body that was computed, child to large adult")
FLEX_AXIS = _practice("[0, 0, 1]", "the long axis of the body")
NEIGHBOURS = _practice("kept", "the array is worn as a whole")
TEMPERATURE_COEFFICIENT = _memory("0.0039", "copper near 20 degC; silver and gold are within a tenth of it")
ROBUST = _practice("no", "the search takes longer than all the rest")

NO_KEYS = _practice("", "every key of it has a default or may be left out")
GIVE = _practice("0 mm", "padding that is as thin as it can be does not give")
OUTER_LAYER = _practice("20 mm", "the cortex and what lies above it, where close arrays gain most")
CENTRE_RADIUS = _practice("10 mm", "a small ball about the middle")
REST = _practice("back", "patients lie on their back in a shell, or on its lower half")
MOST_MASS = _memory("500 g", "on a sedated infant less than 0.5 kg (common practice)")
MOST_MASS_PER_AREA = _memory("20 kg/m^2", "1 to 2 g/cm^2 on a sedated infant (common practice)")

RESONATOR = _practice("{kind: idealised resonator}", "no scanner's resonator is known until the brief describes it")
RESONATOR_RADIUS = _practice("300 mm", "invented, of the size of body resonators in a bore of 600 to 700 mm")
RESONATOR_LENGTH = _practice("500 mm", "invented, of the size of body resonators")
CAGE_LENGTH = _computed(
    "750 mm",
    "at 123.2 MHz its B1+ is even to 3 % over a sphere of 0.2 m; shorter ones, as many scanners have, are less so",
)
CAGE_RUNGS = _practice("16", "usual number for a body resonator")
CAGE_CONDUCTOR = _practice("40 mm", "invented, of the size of strips of body resonators")
CAGE_SHIELD_RADIUS = _practice("340 mm", "invented, a few centimetres outside the rungs")
CAGE_SHIELD_LENGTH = _practice("1.2 m", "invented, longer than the resonator, as the gradient coil is")
CAGE_CAPACITORS = _memory("end rings", "most body resonators at 1.5 T and 3 T, called high-pass")
LEVEL = _practice("{kind: b1 rms}", "the figure that scanners print, and by which implants are rated")
B1_RMS = _memory("3 uT", "of the order of sequences of large SAR at 3 T; take the largest that your scanner allows")
EXPOSURE = _memory(
    "60 min", "heating tests in the manner of NEMA MS 14 run 15 to 60 min, or until nothing rises any more"
)
SCANNER_LIMITS = _practice("{}", _BELOW)
OPERATING_MODE = _practice("normal", "first level needs medical supervision; arrays for children are meant for normal")
PULSE_COUNT = _practice("1", "one pulse in a repetition time")
TIME_BANDWIDTH = _memory("4", "excitation pulses of slices have 2 to 8")
WORST_STATES = _practice(
    "6", "few states stand out, and each takes minutes; the bound by which others were left is told"
)
STIFF_WORN = _practice("[]", "a stiff array neither folds nor stretches, and cannot be turned inside out")
FILM_WORN = _practice("[folded, wet, inside out]", "what may happen to a film, which does not stretch")
CLOTH_WORN = _practice("[folded, stretched, wet, inside out]", "what may happen to a cloth that stretches")
WORN_STRETCH = _practice("20 %", "a fifth, about where a knitted carrier pulls hard; try your own")

AMBIENT = _practice(
    "24 degC",
    "scanner rooms are held near 20 to 24 degC; IEC 60601-1 judges at the highest ambient temperature that the array "
    "is rated for, so write yours",
)
AIRFLOW = _practice("none", "the bore's fan may be off")
TO_SKIN = _practice(
    "[{material: polyimide, thickness: 50 um}, {material: polyurethane foam}, "
    "{material: polyester textile, thickness: 0.5 mm}, {material: air, thickness: 0.2 mm}]",
    "invented: film, foam as thick as the stand-off leaves, fabric, and the little air under it",
)
COVER = _practice(
    "[{material: polyurethane foam, thickness: 3 mm}, {material: polyester textile, thickness: 0.5 mm}]",
    "invented: a padded cover",
)
TISSUE_LAYERS = _practice("{}", _BELOW)
SKIN_LAYER = _memory("1.5 mm", "skin of the trunk has 1 to 2 mm, that of a newborn less")
FAT_LAYER = _memory("5 mm", "a child's trunk has 3 to 10 mm; less fat carries heat away better")
MUSCLE_LAYER = _practice("30 mm", "deep enough that its far side is as warm as the core")
PREAMPLIFIER_HEAT = _practice("0.25 W", "10 V and 25 mA, the upper end of what one channel's supply gives")
PART_SIZE = _practice("1111", "2.8 mm by 2.8 mm, the usual ceramic capacitor for loops")
PROBES = _practice("4", "the fewest that heating tests of coils use; most thermometers have four channels")
