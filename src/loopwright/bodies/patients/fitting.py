"""A body of stated sex and age, fitted to its tape measures.

Nine girths, the fatness of the artists' shapes and one scale are sought by least squares. Length, mass and head
circumference are met closely, and so is every measure that was given; what is only the middle of the growth table pulls
gently, each by how far it can be trusted, and every part resists to be stretched otherwise than the rest.
"""

from dataclasses import asdict, astuple, dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.patients.family import Points, blended
from loopwright.bodies.patients.girths import Girths, with_girths
from loopwright.bodies.patients.measures import measured

__all__ = ["Fit", "Target", "fitted"]

Real = NDArray[np.float64]

_GIRTHS = len(astuple(Girths()))
_STEP = 1e-3
_ROUNDS = 20
_SETTLED = 3e-5

#: What one standard deviation is worth where a part is stretched: against the artists' shape, and against the others.
_AGAINST_SHAPE = 0.3
_AGAINST_OTHERS = 0.12
_FATNESS = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A measure to be met, in metres, kilograms or as a pure ratio, and the relative deviation that counts as one."""

    value: float
    deviation: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A fitted body, its measures by name, and the factors that led to it."""

    body: Points
    measures: MappingProxyType[str, float]
    girths: Girths
    fatness: float

    @property
    def logs(self) -> dict[str, float]:
        """Natural logarithms of the factors across, by part, against the shape before it was fitted."""
        return asdict(self.girths)


def fitted(sex: str, *, blend_length_m: float, targets: dict[str, Target]) -> Fit:
    """The body of a sex, of the shape of an age with this middle length [m], that meets these measures best."""
    found = np.zeros(_GIRTHS + 2)
    start = measured(blended(sex, length_m=blend_length_m, fatness=0.0))
    found[0] = np.log(targets["length"].value / start["length"])
    names = list(targets)
    values, deviations = (np.array([getattr(targets[name], key) for name in names]) for key in ("value", "deviation"))

    def misfit(unknowns: Real) -> Real:
        measures = measured(_body(sex, blend_length_m, unknowns))
        logs = np.log([measures[name] for name in names]) - np.log(values)
        return np.concatenate([logs / deviations, _resistance(unknowns)])

    here = misfit(found)
    slopes = np.stack([(misfit(found + _STEP * unit) - here) / _STEP for unit in np.eye(len(found))], axis=1)
    for _ in range(_ROUNDS):
        step = np.linalg.lstsq(slopes, -here, rcond=None)[0]
        step[-1] = np.clip(found[-1] + step[-1], -1, 1) - found[-1]
        found, before = found + step, here
        here = misfit(found)
        if np.abs(step).max() < _SETTLED:
            break
        # [broyden1965]: the slopes learn from what the step did, without being taken anew.
        slopes += np.outer(here - before - slopes @ step, step) / (step @ step)
    body = _body(sex, blend_length_m, found)
    girths = Girths(**dict(zip(Girths.__dataclass_fields__, found[1:-1].tolist(), strict=True)))
    return Fit(body=body, measures=MappingProxyType(measured(body)), girths=girths, fatness=float(found[-1]))


def _body(sex: str, blend_length_m: float, unknowns: Real) -> Points:
    girths = Girths(**dict(zip(Girths.__dataclass_fields__, unknowns[1:-1].tolist(), strict=True)))
    shape = with_girths(blended(sex, length_m=blend_length_m, fatness=float(unknowns[-1])), girths)
    return Points(points_m=shape.points_m * np.exp(unknowns[0]))


def _resistance(unknowns: Real) -> Real:
    """What keeps a part from being stretched for itself; the head is free of its body."""
    below = unknowns[3:-1]
    against_others = (below - below.mean()) / _AGAINST_OTHERS
    return np.concatenate([below / _AGAINST_SHAPE, against_others, unknowns[1:3], [unknowns[-1] / _FATNESS]])
