"""Preferred values of parts: the series of IEC 60063, and steps of a printed trimming ladder.

References
----------
IEC 60063, Preferred number series for resistors and capacitors. E24 as read; that 9.20 stands in E192 where rounding
gives 9.19 is from memory.
"""

from dataclasses import dataclass
from enum import Enum
from math import floor, log10

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["Ladder", "Series", "allowed_values", "decade", "nearest", "nearest_fixed"]

#: E24 is older than its rule: eight of its values are not the rounded powers of ten.
_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


class Series(Enum):
    """Series by how many values they have in a decade."""

    E3 = 3
    E6 = 6
    E12 = 12
    E24 = 24
    E48 = 48
    E96 = 96
    E192 = 192


@dataclass(frozen=True, slots=True, kw_only=True)
class Ladder:
    """Equal steps, such as those that tabs of a printed capacitor allow; in the unit of the part's main value.

    Attributes
    ----------
    least, most, step : float
        From, to, and by how much.
    """

    least: float
    most: float
    step: float

    def __post_init__(self) -> None:
        """Refuse a ladder without rungs."""
        if not (0 < self.least <= self.most and self.step > 0):
            raise OutsideModelError(
                f"a ladder from {self.least:g} to {self.most:g} by {self.step:g} has no rungs: least and step must be "
                "positive, and most no smaller than least"
            )


def decade(series: Series) -> tuple[float, ...]:
    """Values of a series from 1 to below 10."""
    if series.value <= len(_E24):
        return tuple(value / 10 for value in _E24[:: len(_E24) // series.value])
    rounded = [round(100 * 10 ** (n / series.value)) for n in range(series.value)]
    return tuple((920 if value == 919 else value) / 100 for value in rounded)


def allowed_values(choice: Series | Ladder, *, least: float, most: float) -> NDArray[np.float64]:
    """Values of a series or ladder within a range.

    Parameters
    ----------
    choice : Series or Ladder
        What can be had.
    least, most : float
        Ends of the range, in the unit of the part's main value, positive.

    Returns
    -------
    ndarray, shape (N,)
        Rising.

    Raises
    ------
    OutsideModelError
        If nothing lies in the range.
    """
    if isinstance(choice, Ladder):
        values = np.arange(choice.least, choice.most + choice.step / 2, choice.step)
    else:
        powers = 10.0 ** np.arange(floor(log10(least)), floor(log10(most)) + 1)
        values = np.multiply.outer(powers, decade(choice)).ravel()
    kept = values[(values >= least * (1 - 1e-9)) & (values <= most * (1 + 1e-9))]
    if not kept.size:
        raise OutsideModelError(f"no value of {_said(choice)} lies between {least:g} and {most:g}")
    return np.asarray(kept)


def nearest(value: float, choice: Series | Ladder, *, count: int = 1) -> NDArray[np.float64]:
    """Values next to a given one, by ratio.

    Parameters
    ----------
    value : float
        Positive.
    choice : Series or Ladder
        What can be had.
    count : int
        How many; fewer where a ladder ends.

    Returns
    -------
    ndarray, shape (count,)
        The nearest first.
    """
    if isinstance(choice, Ladder):
        values = allowed_values(choice, least=choice.least, most=choice.most)
    else:
        values = allowed_values(choice, least=value / 100, most=value * 100)
    order = np.argsort(np.abs(np.log(values / value)), kind="stable")
    return np.asarray(values[order[:count]])


def _said(choice: Series | Ladder) -> str:
    return choice.name if isinstance(choice, Series) else f"the ladder {choice.least:g} to {choice.most:g}"


def nearest_fixed(value: float, values: str) -> float:
    """Value of a fixed part that is nearest by ratio.

    Parameters
    ----------
    value : float
        Positive, in any unit.
    values : str
        Name of a series of IEC 60063.
    """
    return float(f"{nearest(value, Series[values])[0]:.6g}")
