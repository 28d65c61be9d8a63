"""Whole bodies, each at one temperature, tied to one another and to the air: the coil as a whole, traps, boxes.

    C_i dT_i/dt = P_i - A_i T_i - sum over j of G_ij (T_i - T_j)

with the rise T over the air. Solved by its modes, so exact at any time.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.layers import Outside
from loopwright.heating.modes import StepResponse, modes_of_network

__all__ = [
    "Bodies",
    "Body",
    "Joint",
    "bodies_response",
    "box_body",
    "preamplifier_power_w",
    "steady_rise_k",
    "warmed_outside",
]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Something that is warm throughout: a box, a trap in its filling, a carrier.

    Attributes
    ----------
    name : str
    heat_capacity_j_per_k : float
        [J/K]
    to_air_w_per_k : float
        Its surface times the transfer there. [W/K]
    """

    name: str
    heat_capacity_j_per_k: float
    to_air_w_per_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A way for heat between two bodies, by name: a cable, a wall, a strap.

    Attributes
    ----------
    first, second : str
    conductance_w_per_k : float
        [W/K]
    """

    first: str
    second: str
    conductance_w_per_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bodies:
    """Bodies and the joints between them."""

    bodies: tuple[Body, ...]
    joints: tuple[Joint, ...] = ()

    def __post_init__(self) -> None:
        """Refuse bodies that could not be, and joints to none."""
        names = [body.name for body in self.bodies]
        if not names or len(set(names)) < len(names):
            raise OutsideModelError("bodies are needed, each with a name of its own")
        for body in self.bodies:
            if body.heat_capacity_j_per_k <= 0 or body.to_air_w_per_k < 0:
                raise OutsideModelError(
                    f"{body.name!r}: the heat capacity must be positive, the way to the air not < 0"
                )
        for joint in self.joints:
            if joint.first == joint.second or not {joint.first, joint.second} <= set(names):
                raise OutsideModelError(f"no joint {joint.first!r} to {joint.second!r}; there are {', '.join(names)}")
            if joint.conductance_w_per_k < 0:
                raise OutsideModelError(f"the joint from {joint.first!r} to {joint.second!r} must not be negative")


def box_body(
    name: str, *, area_m2: float, mass_kg: float, heat_capacity_j_per_kg_k: float, transfer_w_per_m2_k: float
) -> Body:
    """Return a box or pad that gives its heat to the air: rise P / (h A), time constant m c / (h A).

    Parameters
    ----------
    name : str
    area_m2 : float
        That sees the air; what lies on the patient or the table does not count. [m^2]
    mass_kg : float
        [kg]
    heat_capacity_j_per_kg_k : float
        [J/(kg K)]
    transfer_w_per_m2_k : float
        Convection and radiation together. [W/(m^2 K)]
    """
    return Body(
        name=name,
        heat_capacity_j_per_k=mass_kg * heat_capacity_j_per_kg_k,
        to_air_w_per_k=area_m2 * transfer_w_per_m2_k,
    )


def preamplifier_power_w(count: int, *, supply_v: float, supply_a: float) -> float:
    """Heat of preamplifiers, all that their supply gives; direct voltage [V] and current [A] of each. [W]"""
    return count * supply_v * supply_a


def bodies_response(bodies: Bodies, powers_w: Mapping[str, float]) -> StepResponse:
    """Rise of every body over the air after constant power is switched on in some of them.

    Parameters
    ----------
    bodies : Bodies
    powers_w : mapping of str to float
        By body; those not named make no heat. [W]

    Returns
    -------
    StepResponse
        Places are the bodies in their order.

    Raises
    ------
    OutsideModelError
        If power is given to a body that is not there.
    """
    masses = np.array([body.heat_capacity_j_per_k for body in bodies.bodies])
    return modes_of_network(_conductances(bodies), masses, _powers(bodies, powers_w))


def steady_rise_k(bodies: Bodies, powers_w: Mapping[str, float]) -> dict[str, float]:
    """Rise of every body over the air in the end. [K]

    Parameters
    ----------
    bodies : Bodies
    powers_w : mapping of str to float
        As in :func:`bodies_response`. [W]

    Raises
    ------
    OutsideModelError
        If power is given to a body that is not there, or some bodies have no way to the air.
    """
    conductances, powers = _conductances(bodies), _powers(bodies, powers_w)
    try:
        np.linalg.cholesky(conductances)
    except np.linalg.LinAlgError as error:
        raise OutsideModelError("some bodies have no way to the air, so they warm without end") from error
    rises = np.linalg.solve(conductances, powers)
    return {body.name: float(rise) for body, rise in zip(bodies.bodies, rises, strict=True)}


def warmed_outside(outside: Outside, rise_k: float) -> Outside:
    """Return the surroundings of a local model inside a coil that is warmer than the air by a rise [K]."""
    return replace(outside, temperature_c=outside.temperature_c + rise_k)


def _conductances(bodies: Bodies) -> Array:
    place = {body.name: at for at, body in enumerate(bodies.bodies)}
    matrix = np.diag([body.to_air_w_per_k for body in bodies.bodies])
    for joint in bodies.joints:
        both = [place[joint.first], place[joint.second]]
        matrix[np.ix_(both, both)] += joint.conductance_w_per_k * np.array([[1.0, -1.0], [-1.0, 1.0]])
    return matrix


def _powers(bodies: Bodies, powers_w: Mapping[str, float]) -> Array:
    names = [body.name for body in bodies.bodies]
    if unknown := set(powers_w) - set(names):
        raise OutsideModelError(f"no body {', '.join(sorted(unknown))}; there are {', '.join(names)}")
    return np.array([powers_w.get(name, 0.0) for name in names])
