"""A capacitor printed on both faces of a film: its plate for a wanted value, its loss and the voltage that it bears."""

from dataclasses import dataclass
from enum import Enum
from math import pi, sqrt

from scipy.optimize import brentq

from loopwright.conductors.plate_capacitance import WIDEST_FILM, film_share, fringed_capacitance_f
from loopwright.conductors.strip_loss import strip_resistance_ohm_per_m
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "AIR_DISCHARGE_V",
    "BREAKDOWN_FILM_M",
    "Feed",
    "Plate",
    "PrintStack",
    "plate_capacitance_f",
    "plate_for",
    "plate_resistance_ohm",
    "printed_q",
    "printing_limits",
    "withstand_v",
]

#: Least voltage that starts a discharge in air, whatever the gap: the minimum of Paschen's curve (from memory). [V]
AIR_DISCHARGE_V = 327.0

#: Film thickness for which breakdown fields are told; a thicker film bears less per metre. [m]
BREAKDOWN_FILM_M = 25e-6


class Feed(Enum):
    """From where the current enters and leaves the two plates; the value is the mean square current in each."""

    OPPOSITE_ENDS = 1 / 3
    MIDDLES = 1 / 12


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintStack:
    """Ink, film and ink.

    Lengths in metres. [m] ``margin_m`` is how far the lower plate reaches beyond the upper one on every side;
    ``breakdown_v_per_m`` is the breakdown field of a film 25 um thick, peak. [V/m] Ink conductivity in S/m.
    """

    film_m: float
    eps_r: float
    loss_tangent: float
    breakdown_v_per_m: float
    ink_m: float
    ink_conductivity_s_per_m: float
    margin_m: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what could not be printed."""
        positive = {
            name: getattr(self, name) for name in ("film_m", "breakdown_v_per_m", "ink_m", "ink_conductivity_s_per_m")
        }
        for name, value in positive.items():
            if not value > 0:
                raise OutsideModelError(f"{name} = {value:g} must be greater than 0")
        if not (self.eps_r >= 1 and self.loss_tangent >= 0 and self.margin_m >= 0):
            raise OutsideModelError(
                f"eps_r = {self.eps_r:g} must be 1 or more, loss_tangent = {self.loss_tangent:g} and "
                f"margin_m = {self.margin_m:g} must not be negative"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The smaller of the two plates. [m] Current runs along its length."""

    width_m: float
    length_m: float

    @property
    def area_m2(self) -> float:
        """Overlap with the other plate. [m^2]"""
        return self.width_m * self.length_m


def plate_capacitance_f(stack: PrintStack, plate: Plate) -> float:
    """Capacitance of one plate on this stack. [F]"""
    return float(
        fringed_capacitance_f(plate.width_m, plate.length_m, stack.film_m, eps_r=stack.eps_r, margin_m=stack.margin_m)
    )


def plate_for(stack: PrintStack, capacitance_f: float, *, narrowest_m: float, widest_m: float) -> Plate:
    """Plate that has this capacitance: a square, or as wide as may be and longer.

    Parameters
    ----------
    stack : PrintStack
        Ink and film.
    capacitance_f : float
        Wanted capacitance, fringe included. [F]
    narrowest_m, widest_m : float
        Least side that can be printed, and largest width. [m]

    Raises
    ------
    OutsideModelError
        If the plate would be smaller than can be printed, or longer than fifty widths.
    """
    least_m = max(narrowest_m, stack.film_m / WIDEST_FILM)
    least_f, widest_f = (plate_capacitance_f(stack, Plate(width_m=s, length_m=s)) for s in (least_m, widest_m))
    if capacitance_f < least_f:
        raise OutsideModelError(
            f"{1e12 * capacitance_f:.3g} pF needs a plate below {1e3 * least_m:.3g} mm, which alone has "
            f"{1e12 * least_f:.3g} pF. Use a thicker film, or a coarser step."
        )

    def missing_f(side_m: float) -> float:
        square = Plate(width_m=side_m, length_m=side_m)
        return (
            plate_capacitance_f(stack, square if widest_f > capacitance_f else Plate(width_m=widest_m, length_m=side_m))
            - capacitance_f
        )

    low_m, high_m = (least_m, widest_m) if widest_f > capacitance_f else (widest_m, 50 * widest_m)
    if missing_f(high_m) < 0:
        raise OutsideModelError(
            f"{1e12 * capacitance_f:.3g} pF needs a plate longer than 50 times its width of {1e3 * widest_m:.3g} mm. "
            "Use a thinner film, a wider plate, or more gaps."
        )
    side_m = float(brentq(missing_f, low_m, high_m, xtol=1e-12, rtol=1e-12))
    return Plate(width_m=min(side_m, widest_m) if widest_f > capacitance_f else widest_m, length_m=side_m)


def plate_resistance_ohm(
    stack: PrintStack, plate: Plate, frequency_hz: float, *, feed: Feed = Feed.OPPOSITE_ENDS
) -> float:
    """Series resistance of the ink of both plates.

    Parameters
    ----------
    stack : PrintStack
        Ink and film.
    plate : Plate
        The smaller plate; the other is taken as equal, which a margin makes slightly pessimistic.
    frequency_hz : float
        Frequency. [Hz]
    feed : Feed
        From where the current enters and leaves.

    Returns
    -------
    float
        Resistance in series with the capacitance. [ohm]

    Notes
    -----
    The displacement current leaves a plate evenly along its length, so a plate that is fed at one end carries
    I (1 - x/l), whose mean square is 1/3: R_sq l / (3 w) for each plate. Fed in its middle it carries half to either
    side, and the mean square is 1/12. R_sq / w is the resistance per metre of the ink as a strip of its own, skin
    effect and crowding at the edges included; holds while it is far below the reactance.
    """
    per_metre_ohm = float(
        strip_resistance_ohm_per_m(
            frequency_hz,
            width_m=plate.width_m,
            thickness_m=stack.ink_m,
            conductivity_s_per_m=stack.ink_conductivity_s_per_m,
        )
    )
    return 2 * feed.value * per_metre_ohm * plate.length_m


def printed_q(stack: PrintStack, plate: Plate, frequency_hz: float, *, feed: Feed = Feed.OPPOSITE_ENDS) -> float:
    """Quality factor of the capacitor: 1/Q = p tan(delta) + w C R, p the share of the energy in the film.

    Parameters
    ----------
    stack, plate
        Ink and film, and the smaller plate.
    frequency_hz : float
        Frequency. [Hz]
    feed : Feed
        From where the current enters and leaves.
    """
    share = film_share(plate.width_m, plate.length_m, stack.film_m, eps_r=stack.eps_r, margin_m=stack.margin_m)
    ink = (
        2
        * pi
        * frequency_hz
        * plate_capacitance_f(stack, plate)
        * plate_resistance_ohm(stack, plate, frequency_hz, feed=feed)
    )
    return 1 / (share * stack.loss_tangent + ink)


def withstand_v(stack: PrintStack, *, thickness_spread: float, derating: float) -> float:
    """Peak voltage that the thinnest film may bear by its breakdown field, derated.

    Parameters
    ----------
    stack : PrintStack
        Ink and film.
    thickness_spread : float
        Largest relative deviation of the film's thickness.
    derating : float
        Part of the breakdown field that is allowed, above 0 and up to 1.

    Returns
    -------
    float
        Voltage, peak. [V]

    Notes
    -----
    Beyond 25 um the breakdown field falls as the root of the thickness (common practice; a supplier's sheet for
    polyester read here: 115 V/um at 75 um, 85 at 150, 65 at 250). Below it is held constant. The field is that of a
    test at mains frequency: near 100 MHz polystyrene and polyethylene break down at about a tenth of it (from
    memory), for the film heats, and the derating has to hold that. Ends of plates concentrate the field, ink may
    bridge pinholes, and above :data:`AIR_DISCHARGE_V` air beside uncovered edges may discharge.
    """
    if not (0 < derating <= 1 and 0 <= thickness_spread < 1):
        raise OutsideModelError(
            f"derating = {derating:g} must be above 0 and at most 1, thickness_spread = {thickness_spread:g} from 0 to "
            "below 1"
        )
    thinnest_m = stack.film_m * (1 - thickness_spread)
    field = stack.breakdown_v_per_m * min(1.0, sqrt(BREAKDOWN_FILM_M / stack.film_m))
    return derating * field * thinnest_m


def printing_limits(stack: PrintStack, plate: Plate, frequency_hz: float) -> tuple[str, ...]:
    """Where the model of this capacitor stops, one sentence each.

    Parameters
    ----------
    stack, plate
        Ink and film, and the largest plate.
    frequency_hz : float
        Frequency. [Hz]
    """
    wavelength_m = 299792458.0 / frequency_hz / sqrt(stack.eps_r)
    sentences = (
        "The plate is flat and alone: neighbours, covers, adhesive and necks of tabs change its fringe.",
        "What a neck overlaps of the lower print after a shift, its width times the shift, is not counted.",
        "Permittivity and loss of the film are handbook values; moisture, stretch and age move them. Measure the film.",
        "Inductance of plates and leads is left out.",
    )
    if plate.length_m <= wavelength_m / 20:
        return sentences
    long = (
        f"A plate of {1e3 * plate.length_m:.3g} mm is longer than a twentieth of the wavelength in the film: current "
        "along it is no longer a straight line."
    )
    return (*sentences, long)
