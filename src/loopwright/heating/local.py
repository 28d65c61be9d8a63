"""What one hot spot does to itself, to the surfaces and to the skin, per watt and for any power."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.heating.modes import StepResponse
from loopwright.heating.spot import Part, Place, SpotStack, Stretch, Trace
from loopwright.heating.spot_mesh import SpotPlanes, spot_planes
from loopwright.heating.spot_solution import SpotModes, base_temperature_c, rates_for, spot_modes
from loopwright.heating.spot_system import QUARTERS, SpotSystem, spot_system

__all__ = ["LIMITS", "SPOT_LIMITS", "HeatShares", "LocalResponse", "PlaceRise", "local_response"]

#: What the model of every spot leaves out, whatever is added to it.
SPOT_LIMITS = (
    "The trace is straight and the layers are flat, without contact resistance; heat arises evenly in a part.",
    "The coefficient of the outer face is constant and holds for all of it.",
    "Blood comes at one temperature, and its flow does not grow with warmth.",
)
#: The same of a spot by itself.
LIMITS = (
    "What its neighbours and the rest of the trace bring is to be added.",
    *SPOT_LIMITS,
    "The uncertainty is that of the grid; materials, gap and air flow add theirs.",
)

#: Fineness of the grid that is believed, and of the one that it is held against.
FINE, COARSE = 2, 1

#: The times between which temperatures are told. [s]
EARLIEST_S, LATEST_S = 1.0, 1e4


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRise:
    """Temperatures at the points of one place.

    Attributes
    ----------
    points_m : ndarray, shape (points, 3)
        Of one quarter: along the trace, across it, outwards from it. [m]
    base_c : ndarray, shape (points,)
        Settled temperature without power. [degC]
    steady_k_per_w : ndarray, shape (points,)
        [K/W]
    modes_k_per_w : ndarray, shape (points, modes)
        [K/W]
    rates_per_s : ndarray, shape (modes,)
        [1/s]
    """

    points_m: NDArray[np.float64]
    base_c: NDArray[np.float64]
    steady_k_per_w: NDArray[np.float64]
    modes_k_per_w: NDArray[np.float64]
    rates_per_s: NDArray[np.float64]

    def rises_k_per_w(self, time_s: float = math.inf) -> NDArray[np.float64]:
        """Rise at every point a time after a watt is switched on, time in [s], shape (points,). [K/W]"""
        return np.asarray(self.steady_k_per_w - self.modes_k_per_w @ np.exp(-self.rates_per_s * time_s))

    def hottest_k_per_w(self, time_s: float = math.inf) -> float:
        """Largest rise, time in [s]. [K/W]"""
        return float(self.rises_k_per_w(time_s).max())

    def hottest_c(self, power_w: float, time_s: float = math.inf) -> float:
        """Highest temperature at a power [W], a time [s] after it was switched on. [degC]"""
        return float((self.base_c + power_w * self.rises_k_per_w(time_s)).max())

    def step_response(self) -> StepResponse:
        """Rise per watt of all points as one record, places in the order of the points."""
        return StepResponse(rates_per_s=self.rates_per_s, weights_k_per_s=self.modes_k_per_w * self.rates_per_s)

    def beside_k_per_w(self, distance_m: float) -> float:
        """Largest steady rise at a distance [m] from the middle of the spot or further: a neighbour's share. [K/W]"""
        far = np.hypot(self.points_m[:, 0], self.points_m[:, 1]) >= distance_m
        return float(self.steady_k_per_w[far].max()) if far.any() else 0.0

    def time_constant_s(self) -> float:
        """Time after which the point that ends hottest has 1 - 1/e of its rise. [s]"""
        return self.time_to_s(1 - math.exp(-1))

    def time_to_s(self, share: float) -> float:
        """Time after which the point that ends hottest has a share of its final rise. [s]"""
        from scipy.optimize import brentq  # noqa: PLC0415

        hottest = int(self.steady_k_per_w.argmax())
        steady, modes = self.steady_k_per_w[hottest], self.modes_k_per_w[hottest]

        def missing(log_time: float) -> float:
            return float(modes @ np.exp(-self.rates_per_s * math.exp(log_time)) - (1 - share) * steady)

        return math.exp(brentq(missing, math.log(1e-6 / self.rates_per_s[-1]), math.log(50 / self.rates_per_s[0])))


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatShares:
    """Where a steady watt goes; the shares add up to 1 up to what the solution left over."""

    air: float
    blood: float
    core: float

    @property
    def total(self) -> float:
        """Sum of the shares."""
        return self.air + self.blood + self.core


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalResponse:
    """One hot spot by its answer to a watt.

    Attributes
    ----------
    fine, coarse : mapping of Place to PlaceRise
        On two grids; the second has planes twice as far apart. Places that the stack does not have are left out.
    shared : mapping of Place to ndarray, shape (coarse points,)
        Which fine points the coarse ones are.
    shares : HeatShares
    limits : tuple of str
    """

    fine: Mapping[Place, PlaceRise]
    coarse: Mapping[Place, PlaceRise]
    shared: Mapping[Place, NDArray[np.int64]]
    shares: HeatShares
    limits: tuple[str, ...] = LIMITS

    def rise_k_per_w(self, place: Place, time_s: float = math.inf) -> float:
        """Largest rise at a place, a time [s] after a watt is switched on. [K/W]"""
        return self.fine[place].hottest_k_per_w(time_s)

    def uncertainty_k_per_w(self, place: Place, time_s: float = math.inf) -> float:
        """Half-width that the grid leaves: most that any point moves when it is half as fine, time in [s]. [K/W]"""
        moved = self.fine[place].rises_k_per_w(time_s)[self.shared[place]] - self.coarse[place].rises_k_per_w(time_s)
        return float(np.abs(moved).max())

    def temperature_c(self, place: Place, power_w: float, time_s: float = math.inf) -> float:
        """Highest temperature of a place at a power [W], a time [s] after it was switched on. [degC]"""
        return self.fine[place].hottest_c(power_w, time_s)

    def time_constant_s(self, place: Place) -> float:
        """Time after which the hottest point of a place has 1 - 1/e of its rise. [s]"""
        return self.fine[place].time_constant_s()

    def time_constant_uncertainty_s(self, place: Place) -> float:
        """Half-width that the grid leaves. [s]"""
        return abs(self.time_constant_s(place) - self.coarse[place].time_constant_s())


def local_response(heat: Part | Stretch, trace: Trace, stack: SpotStack) -> LocalResponse:
    """Answer of a hot spot to a watt, with the temperatures that stand without any.

    Parameters
    ----------
    heat : Part or Stretch
        What makes the heat.
    trace : Trace
        The conductor that spreads it.
    stack : SpotStack

    Returns
    -------
    LocalResponse
        For times from 1 s to 3 h; earlier ones come out too warm or too cold by up to some percent.

    Raises
    ------
    OutsideModelError
        Where a part does not fit, or where the skin would not face the array.
    NotConvergedError
        Where the equations are not solved.

    Notes
    -----
    Conduction in bricks, the trace as a sheet that conducts along its plane, convection outside, perfusion by the
    bioheat equation of Pennes [pennes1948]_. Uncertainty is the change between two grids: at a part it falls about in
    proportion to the size of bricks (the edge of the metal is sharp), elsewhere with its square.
    """
    fine, shares = _on_grid(heat, trace, stack, spot_planes(heat, trace, stack, fineness=FINE))
    coarse, _ = _on_grid(heat, trace, stack, spot_planes(heat, trace, stack, fineness=COARSE))
    return LocalResponse(
        fine=fine,
        coarse=coarse,
        shared={place: _same_points(fine[place].points_m, coarse[place].points_m) for place in fine},
        shares=shares,
    )


def _on_grid(
    heat: Part | Stretch, trace: Trace, stack: SpotStack, planes: SpotPlanes
) -> tuple[Mapping[Place, PlaceRise], HeatShares]:
    """Temperatures at the places of one grid, and where the heat goes."""
    system = spot_system(heat, trace, stack, planes)
    base = base_temperature_c(system, core_c=stack.core.temperature_c)
    modes = spot_modes(system, rates_for(earliest_s=EARLIEST_S, latest_s=LATEST_S))
    places = {
        place: PlaceRise(
            points_m=system.points_m[there],
            base_c=base[there],
            steady_k_per_w=modes.steady_k_per_w[there],
            modes_k_per_w=modes.modes_k_per_w[there],
            rates_per_s=modes.rates_per_s,
        )
        for place, there in _places(system, stack).items()
    }
    return places, _shares(system, modes)


def _same_points(fine_m: NDArray[np.float64], coarse_m: NDArray[np.float64]) -> NDArray[np.int64]:
    """Which points of the fine grid those of the coarse one are; its planes are among the fine ones. [m]"""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    return np.asarray(cKDTree(fine_m).query(coarse_m)[1], dtype=np.int64)


def _places(system: SpotSystem, stack: SpotStack) -> dict[Place, NDArray[np.bool_]]:
    """Which nodes belong to which place."""
    z = system.points_m[:, 2]
    found = {
        Place.PART: system.hot,
        Place.OUTER_SURFACE: system.exposed,
        Place.APPLIED_SURFACE: np.isclose(z, -stack.applied_m, rtol=0, atol=1e-9),
    }
    if stack.tissue:
        found[Place.SKIN] = np.isclose(z, -stack.skin_m, rtol=0, atol=1e-9)
        found[Place.BELOW_SKIN] = z < -stack.skin_m - stack.tissue[0].thickness_m + 1e-9
    return found


def _shares(system: SpotSystem, modes: SpotModes) -> HeatShares:
    """Where a steady watt goes; heat to a core that is held is what its nodes are short of."""
    rise = modes.steady_k_per_w
    held = -(system.conduction @ rise)[system.fixed].sum()
    return HeatShares(
        air=QUARTERS * float(system.convected_w_per_k @ rise),
        blood=QUARTERS * float(system.perfused_w_per_k @ rise),
        core=QUARTERS * float(system.cored_w_per_k @ rise + held),
    )
