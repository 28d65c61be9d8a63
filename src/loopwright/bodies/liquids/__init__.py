"""Liquids of phantoms: what a solution of salts conducts and how it polarises, and what to weigh for a wanted one."""

from loopwright.bodies.liquids.electrolytes import Conduction, conduction
from loopwright.bodies.liquids.recipes import Recipe, recipe_for
from loopwright.bodies.liquids.solutions import SolutionAt, solution_at
from loopwright.bodies.liquids.water import static_permittivity, viscosity_pa_s, water_permittivity

__all__ = [
    "Conduction",
    "Recipe",
    "SolutionAt",
    "conduction",
    "recipe_for",
    "solution_at",
    "static_permittivity",
    "viscosity_pa_s",
    "water_permittivity",
]
