"""From the liquid that a brief states to a tissue at one frequency, prediction and measurement side by side."""

from loopwright.bodies.liquids import SolutionAt, solution_at
from loopwright.bodies.liquids.solutions import limits_of
from loopwright.bodies.tissues import Tissue
from loopwright.brief.records import LiquidMaterial
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import MOST_IONIC_STRENGTH_MOL_PER_M3, dissolved, ionic_strength_mol_per_m3

__all__ = ["liquid_tissue"]


def liquid_tissue(liquid: LiquidMaterial, *, frequency_hz: float) -> Tissue:
    """A liquid at one frequency; what was measured takes the place of what is predicted, and both are told.

    Parameters
    ----------
    liquid : LiquidMaterial
        Salts, temperature, measured values.
    frequency_hz : float
        [Hz]

    Raises
    ------
    OutsideModelError
        If a value that was not measured cannot be predicted.
    """
    measured = liquid.measured_conductivity_s_per_m, liquid.measured_eps_r
    salts = [dissolved(one.salt, one.concentration_kg_per_m3) for one in liquid.salts]
    too_strong = ionic_strength_mol_per_m3(salts) > MOST_IONIC_STRENGTH_MOL_PER_M3
    if liquid.base != "water" or (too_strong and None not in measured):
        return _as_measured(liquid)
    found = solution_at(salts, temperature_k=liquid.temperature_k, frequency_hz=frequency_hz)
    sigma, eps_r = measured
    told = [
        f"{_recipe(liquid)} at {liquid.temperature_k - 273.15:g} degC",
        _conductivity(found, sigma),
        _permittivity(found, eps_r),
        *(limit[0].lower() + limit[1:].rstrip(".") for limit in (limits_of(salts) if None in measured else ())),
        *(("measure a sample before the phantom is relied on",) if None in measured else ()),
    ]
    return Tissue(
        name=liquid.name,
        eps_r=found.eps_r if eps_r is None else eps_r,
        sigma_s_per_m=found.sigma_s_per_m if sigma is None else sigma,
        note="; ".join(told),
    )


def _recipe(liquid: LiquidMaterial) -> str:
    parts = [f"{one.concentration_kg_per_m3:g} g/L {one.salt}" for one in liquid.salts]
    return f"{' and '.join(parts) if parts else 'nothing'} in {liquid.base}"


def _as_measured(liquid: LiquidMaterial) -> Tissue:
    """A liquid of which nothing is predicted; the brief holds both measured values."""
    eps_r, sigma = liquid.measured_eps_r, liquid.measured_conductivity_s_per_m
    if eps_r is None or sigma is None:
        raise OutsideModelError(
            f"{liquid.name}: a liquid with {liquid.base} cannot be predicted from its recipe. Measure its permittivity "
            "and its conductivity."
        )
    return Tissue(
        name=liquid.name,
        eps_r=eps_r,
        sigma_s_per_m=sigma,
        note=f"{_recipe(liquid)} at {liquid.temperature_k - 273.15:g} degC; {sigma:.3g} S/m and "
        f"permittivity {eps_r:.3g} as measured; nothing is predicted of such a liquid",
    )


def _conductivity(found: SolutionAt, measured: float | None) -> str:
    predicted = (
        f"{found.sigma_s_per_m:.3g} S/m predicted, within {found.uncertainty_s_per_m:.1g} S/m apart from weighing and "
        f"temperature, {found.water_loss_s_per_m:.2g} S/m of it loss of the water, which a conductivity meter does not "
        "see"
    )
    if measured is None:
        return predicted
    return f"{measured:.3g} S/m as measured, {_difference(measured, found.sigma_s_per_m)} {predicted}"


def _permittivity(found: SolutionAt, measured: float | None) -> str:
    predicted = f"permittivity {found.eps_r:.3g} predicted, within {found.eps_uncertainty:g}"
    if measured is None:
        return predicted
    return f"permittivity {measured:.3g} as measured, {_difference(measured, found.eps_r)} {predicted}"


def _difference(measured: float, predicted: float) -> str:
    change = 100 * (measured / predicted - 1)
    return f"{abs(change):.2g} % {'above' if change > 0 else 'below'} the"
