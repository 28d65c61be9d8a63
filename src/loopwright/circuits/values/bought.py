"""The value of a fixed part that can be bought."""

from loopwright.circuits.values.preferred_values import Series, nearest

__all__ = ["nearest_fixed"]


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
