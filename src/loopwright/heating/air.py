"""How a surface gives heat to the air and the walls round it: convection and radiation, made linear."""

from enum import Enum

from scipy.constants import sigma as STEFAN_BOLTZMANN_W_PER_M2_K4

from loopwright.ground.errors import NotConvergedError, OutsideModelError
from loopwright.heating.layers import Outside
from loopwright.heating.slab import SteadyState, steady_state
from loopwright.heating.stack import Heat, Stack

__all__ = [
    "EMISSIVITY",
    "Facing",
    "air_outside",
    "blown_transfer_w_per_m2_k",
    "natural_transfer_w_per_m2_k",
    "radiated_transfer_w_per_m2_k",
    "steady_in_air",
]

#: Textiles, plastics, skin; common practice. Bare metal has 0.1 and less.
EMISSIVITY = 0.9


class Facing(Enum):
    """Where a warm surface looks."""

    UP = "up"
    VERTICAL = "to the side"
    DOWN = "down"


#: h = c (dT / L)^(1/4), laminar, in air of room temperature [cengel2003]
_NATURAL = {Facing.UP: 1.32, Facing.VERTICAL: 1.42, Facing.DOWN: 0.59}

_TURNED = {Facing.UP: Facing.DOWN, Facing.VERTICAL: Facing.VERTICAL, Facing.DOWN: Facing.UP}

#: Below this difference the body's own warmth and draughts keep the air moving; common practice. [K]
LEAST_DIFFERENCE_K = 1.0

# Air at 300 K, handbook values from memory.
_AIR_CONDUCTIVITY_W_PER_M_K = 0.0263
_AIR_VISCOSITY_M2_PER_S = 15.9e-6
_AIR_PRANDTL = 0.71


def natural_transfer_w_per_m2_k(difference_k: float, length_m: float, facing: Facing) -> float:
    """Transfer by natural convection from a warm plate. [W/(m^2 K)]

    Parameters
    ----------
    difference_k : float
        Surface above air; less than 1 K counts as 1 K. [K]
    length_m : float
        Height of a vertical plate; of a horizontal one four times its area over its rim. [m]
    facing : Facing

    Raises
    ------
    OutsideModelError
        If the length is not positive.

    Notes
    -----
    Simplified relations for laminar flow in air at one bar, 10^4 < Ra < 10^9; a mean over the plate, within 15 % or so.

    References
    ----------
    [cengel2003], table of simplified relations; the coefficients were read as repeated on a public page.
    """
    if length_m <= 0:
        raise OutsideModelError("the length of a plate must be positive")
    return float(_NATURAL[facing] * (max(difference_k, LEAST_DIFFERENCE_K) / length_m) ** 0.25)


def blown_transfer_w_per_m2_k(velocity_m_per_s: float, length_m: float) -> float:
    """Transfer from a plate along which air is blown, as by the fan of a bore. [W/(m^2 K)]

    Parameters
    ----------
    velocity_m_per_s : float
        Of the air along the surface. [m/s]
    length_m : float
        Along the flow. [m]

    Raises
    ------
    OutsideModelError
        If velocity or length is not positive, or the flow is no longer laminar (Re > 5e5).

    Notes
    -----
    Nu = 0.664 Re^(1/2) Pr^(1/3), the mean over a plate in smooth laminar flow; a turbulent draught carries more.

    References
    ----------
    [cengel2003], from memory.
    """
    if velocity_m_per_s <= 0 or length_m <= 0:
        raise OutsideModelError("velocity and length must be positive")
    reynolds = velocity_m_per_s * length_m / _AIR_VISCOSITY_M2_PER_S
    if reynolds > 5e5:
        raise OutsideModelError(f"the flow along {length_m:g} m at {velocity_m_per_s:g} m/s is not laminar")
    return float(0.664 * reynolds**0.5 * _AIR_PRANDTL ** (1 / 3) * _AIR_CONDUCTIVITY_W_PER_M_K / length_m)


def radiated_transfer_w_per_m2_k(surface_c: float, walls_c: float, emissivity: float = EMISSIVITY) -> float:
    """Transfer by radiation to walls all round, exact at these temperatures. [W/(m^2 K)]

    Parameters
    ----------
    surface_c, walls_c : float
        [degC]
    emissivity : float
        Of the surface; walls far larger than it act as black.

    Raises
    ------
    OutsideModelError
        If the emissivity is not between 0 and 1.
    """
    if not 0 <= emissivity <= 1:
        raise OutsideModelError("an emissivity lies between 0 and 1")
    warm, cold = surface_c + 273.15, walls_c + 273.15
    return float(emissivity * STEFAN_BOLTZMANN_W_PER_M2_K4 * (warm**2 + cold**2) * (warm + cold))


def air_outside(
    *, ambient_c: float, surface_c: float, length_m: float, facing: Facing, emissivity: float = EMISSIVITY
) -> Outside:
    """Return still air and walls at one temperature, as a surface sees them that is at ``surface_c``.

    Parameters
    ----------
    ambient_c, surface_c : float
        [degC]
    length_m : float
        See :func:`natural_transfer_w_per_m2_k`. [m]
    facing : Facing
    emissivity : float
    """
    # air that is cooled sinks as air that is warmed rises, so a cool surface acts as a warm one turned over
    turned = facing if surface_c >= ambient_c else _TURNED[facing]
    transfer = natural_transfer_w_per_m2_k(abs(surface_c - ambient_c), length_m, turned)
    radiated = radiated_transfer_w_per_m2_k(surface_c, ambient_c, emissivity)
    return Outside(temperature_c=ambient_c, transfer_w_per_m2_k=transfer + radiated)


def steady_in_air(
    stack: Stack, heat: Heat, *, length_m: float, facing: Facing, emissivity: float = EMISSIVITY
) -> SteadyState:
    """Steady state of a stack whose first face is in still air, with the transfer that its own temperature gives.

    Parameters
    ----------
    stack : Stack
        The temperature of its first surroundings counts, their transfer is only where the search starts.
    heat : Heat
    length_m : float
        See :func:`natural_transfer_w_per_m2_k`. [m]
    facing : Facing
    emissivity : float

    Returns
    -------
    SteadyState
        Its ``stack`` has the transfer that was found, which warming may go on with.

    Raises
    ------
    NotConvergedError
        If the temperature of the surface does not settle to 1e-6 K.
    """
    ambient_c = stack.first.temperature_c
    surface_c = float(steady_state(stack, heat).faces_c[0, 0])
    for _ in range(60):
        outside = air_outside(
            ambient_c=ambient_c, surface_c=surface_c, length_m=length_m, facing=facing, emissivity=emissivity
        )
        found = steady_state(stack.facing(outside), heat)
        moved_k, surface_c = float(found.faces_c[0, 0]) - surface_c, float(found.faces_c[0, 0])
        if abs(moved_k) < 1e-6:
            return found
    raise NotConvergedError(f"the surface still moves by {moved_k:g} K a round")
