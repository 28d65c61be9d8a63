"""A solution of salts at one frequency: permittivity, conductivity, how far they may be off, what was measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from loopwright.bodies.liquids.electrolytes import Conduction, conduction
from loopwright.bodies.liquids.water import static_permittivity, water_permittivity
from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import Dissolved

__all__ = ["SolutionAt", "limits_of", "solution_at"]

#: By how much a mole of ionic strength in a litre lowers the permittivity: NaCl up to half a mole, by R. Buchner,
#: G. T. Hefter, P. M. May, J. Phys. Chem. A 103, 1, 1999 [buchner1999], from memory. [m^3/mol]
_LOWERED_M3_PER_MOL = 15.45e-3
#: The line holds up to half a mole of ionic strength; at a mole it is some 4 too low, as the curve of the same source
#: bends upward there (from memory).
_EPS_OFF, _EPS_OFF_STRONG, _STRONG_MOL_PER_M3 = 2.0, 5.0, 500.0
_MOST_HZ = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class SolutionAt:
    """What is predicted of a solution at one frequency and temperature.

    Attributes
    ----------
    frequency_hz, temperature_k
        Where. [Hz], [K]
    eps_r, eps_uncertainty
        Relative permittivity.
    sigma_s_per_m
        With the loss of the water itself. [S/m]
    conduction
        What the ions conduct at low frequency, as a conductivity meter reads it.
    """

    frequency_hz: float
    temperature_k: float
    eps_r: float
    eps_uncertainty: float
    sigma_s_per_m: float
    conduction: Conduction

    @property
    def water_loss_s_per_m(self) -> float:
        """What the relaxation of water adds at this frequency, and a conductivity meter does not see. [S/m]"""
        return self.sigma_s_per_m - self.conduction.sigma_s_per_m

    @property
    def uncertainty_s_per_m(self) -> float:
        """How far the conductivity may be off, weighing and temperature apart. [S/m]"""
        return self.conduction.uncertainty_s_per_m


def solution_at(salts: Sequence[Dissolved], *, temperature_k: float, frequency_hz: float) -> SolutionAt:
    """Predict permittivity and conductivity of salts in water.

    Parameters
    ----------
    salts : sequence of Dissolved
        What is dissolved.
    temperature_k : float
        5 to 45 degC. [K]
    frequency_hz : float
        Below 1 GHz. [Hz]

    Raises
    ------
    OutsideModelError
        If the temperature or the ionic strength lies outside of what was compared with tables, or the frequency above
        1 GHz.

    Notes
    -----
    Conductivity of the ions at rest and one relaxation of the water, whose permittivity the ions lower.
    """
    if frequency_hz > _MOST_HZ:
        raise OutsideModelError(f"a liquid at {frequency_hz / 1e9:.3g} GHz: liquids are told up to 1 GHz")
    found = conduction(salts, temperature_k=temperature_k)
    at_rest = static_permittivity(temperature_k) - _LOWERED_M3_PER_MOL * found.ionic_strength_mol_per_m3
    eps = water_permittivity(frequency_hz, temperature_k, static=at_rest)
    return SolutionAt(
        frequency_hz=frequency_hz,
        temperature_k=temperature_k,
        eps_r=eps.real,
        eps_uncertainty=_EPS_OFF if found.ionic_strength_mol_per_m3 <= _STRONG_MOL_PER_M3 else _EPS_OFF_STRONG,
        sigma_s_per_m=found.sigma_s_per_m - 2 * pi * frequency_hz * EPSILON_0_F_PER_M * eps.imag,
        conduction=found,
    )


def limits_of(salts: Sequence[Dissolved]) -> tuple[str, ...]:
    """What has to be known of a prediction for these salts, as sentences."""
    limits = [
        (
            "Limiting conductivities of the ions from a handbook, Onsager's law with ions of finite size: sodium and "
            "potassium chloride within 1 % of tables up to 0.2 mol/L and within 3 % up to 1 mol/L."
        ),
    ]
    if any(one.salt.association_m3_per_mol for one in salts):
        limits.append(
            "Ions of copper sulphate pair and pairs carry nothing: its own part is within 10 % of tables up to "
            "0.05 mol/L. Pairs of sodium and sulphate are left out."
        )
    elif any(one.salt.cation.charge > 1 for one in salts):
        limits.append(
            "No table of this chloride was at hand: the law is within 2 % of the table of magnesium chloride up to "
            "0.05 mol/L, and 10 % is allowed for its own part."
        )
    return tuple(limits)
