"""Heat that is switched: scans and pauses, how warm it gets meanwhile, and when a limit is reached."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.modes import StepResponse

__all__ = ["PowerStep", "mean_share", "repeated", "rise_under_k", "settling_s", "time_to_limit_s"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerStep:
    """A time of constant mean power, as one scan or one pause; pulses within it are averaged over its duty.

    Attributes
    ----------
    share : float
        Power over that for which the response was found; 0 in a pause.
    duration_s : float
        [s]
    """

    share: float
    duration_s: float


def repeated(steps: tuple[PowerStep, ...], times: int) -> tuple[PowerStep, ...]:
    """Return the steps so many times one after another."""
    return steps * times


def mean_share(steps: tuple[PowerStep, ...]) -> float:
    """Mean power of the steps over that of the response, over all their time."""
    whole_s = _whole_s(steps)
    return math.fsum(step.share * step.duration_s for step in steps) / whole_s


def rise_under_k(response: StepResponse, steps: tuple[PowerStep, ...], times_s: ArrayLike) -> Array:
    """Rise while the steps are played one after another, and while it cools behind the last.

    Parameters
    ----------
    response : StepResponse
    steps : tuple of PowerStep
        The first begins at t = 0.
    times_s : array_like, shape (times,)
        [s]

    Returns
    -------
    ndarray, shape (places, times)
        [K]

    Raises
    ------
    OutsideModelError
        If there are no steps, or one has no duration.
    """
    _whole_s(steps)
    times = np.atleast_1d(np.asarray(times_s, dtype=np.float64))
    starts_s = np.cumsum([0.0, *(step.duration_s for step in steps)])
    jumps = np.diff([0.0, *(step.share for step in steps), 0.0])
    rise = np.zeros((response.weights_k_per_s.shape[0], times.size))
    for start_s, jump in zip(starts_s, jumps, strict=True):
        if jump:
            rise += jump * response.rise_k(times - start_s)
    return rise


def time_to_limit_s(response: StepResponse, *, start_c: float, limit_c: float) -> float:
    """Time until one place reaches a limit under constant power; infinite where it never does.

    Parameters
    ----------
    response : StepResponse
        Of one place, rising all the time, as any place does under heat alone.
    start_c, limit_c : float
        Temperature before, and the limit. [degC]

    Returns
    -------
    float
        0 where the limit is reached before any power is on. [s]

    Raises
    ------
    OutsideModelError
        If the response has more than one place.
    """
    allowed_k = limit_c - start_c
    final_k = _one_place(response)
    if allowed_k <= 0:
        return 0.0
    if final_k <= allowed_k:
        return math.inf
    return _time_of_s(response, allowed_k)


def settling_s(response: StepResponse) -> float:
    """Time until one place has come 1 - 1/e of its way; infinite where nothing cools. [s]

    Raises
    ------
    OutsideModelError
        If the response has more than one place, or it does not rise.
    """
    final_k = _one_place(response)
    if not final_k > 0:
        raise OutsideModelError("nothing warms here")
    return math.inf if math.isinf(final_k) else _time_of_s(response, (1 - math.exp(-1)) * final_k)


def _one_place(response: StepResponse) -> float:
    if response.weights_k_per_s.shape[0] != 1:
        raise OutsideModelError("one place at a time: take it with StepResponse.at")
    return float(response.final_rise_k()[0])


def _time_of_s(response: StepResponse, rise_k: float) -> float:
    def short_k(log_time: float) -> float:
        return float(response.rise_k(math.exp(log_time))[0, 0]) - rise_k

    late = 0.0
    while short_k(late) < 0:
        late += 2.0
        if late > 100:  # the final rise itself is short by rounding alone
            return math.inf
    early = min(late - 2.0, 0.0)
    while short_k(early) > 0:
        early -= 2.0
    return math.exp(float(brentq(short_k, early, late, xtol=1e-12)))


def _whole_s(steps: tuple[PowerStep, ...]) -> float:
    if not steps or any(step.duration_s <= 0 for step in steps):
        raise OutsideModelError("steps of power are needed, each with a duration above 0")
    return math.fsum(step.duration_s for step in steps)
