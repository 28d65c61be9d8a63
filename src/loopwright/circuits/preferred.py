"""Preferred values of parts: the series of IEC 60063."""

import numpy as np

from loopwright.ground.errors import OutsideModelError

__all__ = ["nearest_preferred", "series_values"]

#: E24 departs from rounded powers in eight places, E12 is every second of it (IEC 60063, values from memory).
_E24 = (1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5,
        8.2, 9.1)  # fmt: skip


def series_values(series: str) -> tuple[float, ...]:
    """Values of a series within a decade, from 1 to below 10.

    Parameters
    ----------
    series : str
        E12, E24, E48 or E96.

    Raises
    ------
    OutsideModelError
        If there is no such series here.
    """
    match series:
        case "E12":
            return _E24[::2]
        case "E24":
            return _E24
        case "E48" | "E96":
            count = int(series[1:])
            return tuple(float(np.round(10 ** (n / count), 2)) for n in range(count))
        case _:
            raise OutsideModelError(f"no series is called {series}; there are E12, E24, E48, E96")


def nearest_preferred(value: float, series: str) -> float:
    """Return the value of a series that is nearest by ratio.

    Parameters
    ----------
    value : float
        Any positive value, in any unit.
    series : str
        E12, E24, E48 or E96.
    """
    exponent = float(np.floor(np.log10(value)))
    candidates = [v * 10.0 ** (exponent + shift) for shift in (0, 1) for v in series_values(series)]
    best = min(candidates, key=lambda candidate: abs(np.log(candidate / value)))
    return float(f"{best:.6g}")
