"""A film of sweat or saline over the gaps: what it puts across each of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loopwright.bodies.liquids import solution_at
from loopwright.circuits.parts import OffGap
from loopwright.circuits.wiring import Branch, ElementCircuit, gap_node, return_node
from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import dissolved

__all__ = ["SALINE_FILM", "WET_LIMITS", "LiquidFilm", "film_across", "wet_circuits"]

#: Physiological saline, which conducts more than sweat does (common practice: nine grams in a litre). [kg/m^3]
_SALINE_KG_PER_M3 = 9.0

#: How a wet surface is modelled.
WET_LIMITS: tuple[str, ...] = (
    (
        "Wet: a film of even thickness lies across every gap, as wide as the trace and as long as the gap; it conducts "
        "and polarises as a plate between the trace's ends. Gaps are taken as bare: a sealed one sees less. Liquid "
        "beside the trace, between elements and under parts is left out, and what it adds to the capacitance and loss "
        "of conductors along their length."
    ),
    "Sweat conducts less than the saline that is taken, so the film is on the side of more current across the gaps.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LiquidFilm:
    """A film of sodium chloride in water on the surface of the array.

    Attributes
    ----------
    thickness_m : float
        [m]
    gap_length_m : float
        Between the trace's ends at a gap: the distance of the pads of a part. [m]
    salt_kg_per_m3 : float
        Sodium chloride in the liquid. [kg/m^3]
    temperature_k : float
        [K]
    """

    thickness_m: float = 0.2e-3
    gap_length_m: float = 2e-3
    salt_kg_per_m3: float = _SALINE_KG_PER_M3
    temperature_k: float = 310.15

    def __post_init__(self) -> None:
        """Refuse a film that is none."""
        if not min(self.thickness_m, self.gap_length_m, self.salt_kg_per_m3) > 0:
            raise OutsideModelError("a film of liquid needs a thickness, a gap and salt above 0")


#: A tenth of a millimetre runs off cloth and film, half a millimetre drips (common practice).
SALINE_FILM = LiquidFilm()


def film_across(film: LiquidFilm, *, width_m: float, frequency_hz: float) -> OffGap:
    """What a film of liquid is across one gap.

    Parameters
    ----------
    film : LiquidFilm
        The film.
    width_m : float
        Of the trace. [m]
    frequency_hz : float
        [Hz]

    Returns
    -------
    OffGap
        Conductance sigma w t / g and capacitance eps w t / g side by side.

    Raises
    ------
    OutsideModelError
        If the width is not positive, or the liquid's law does not reach so far.
    """
    if not width_m > 0:
        raise OutsideModelError(f"width_m = {width_m:g} of a trace under a film must be greater than 0")
    liquid = solution_at(
        [dissolved("sodium chloride", film.salt_kg_per_m3)], temperature_k=film.temperature_k, frequency_hz=frequency_hz
    )
    shape_m = width_m * film.thickness_m / film.gap_length_m
    return OffGap(
        resistance_ohm=1 / (liquid.sigma_s_per_m * shape_m),
        capacitance_f=liquid.eps_r * EPSILON_0_F_PER_M * shape_m,
    )


def wet_circuits(circuits: Sequence[ElementCircuit], film: OffGap) -> tuple[ElementCircuit, ...]:
    """Circuits with a film across every gap, their parts as they were.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element.
    film : OffGap
        What lies across one gap.

    Returns
    -------
    tuple of ElementCircuit
        The film is a part "film over gap k" of the element: what it turns into heat is told like that of any part.
    """
    return tuple(
        replace(
            circuit,
            branches=(
                *circuit.branches,
                *(
                    Branch(name=f"film over gap {gap}", part=film, between=(gap_node(gap), return_node(gap)))
                    for gap in range(1, circuit.gap_count + 1)
                ),
            ),
        )
        for circuit in circuits
    )
