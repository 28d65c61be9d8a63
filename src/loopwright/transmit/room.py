"""Whether an array finds room in the resonator."""

from collections.abc import Sequence

import numpy as np

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element

__all__ = ["refuse_array_outside"]


def refuse_array_outside(elements: Sequence[Element], *, middle_m: tuple[float, float, float], radius_m: float) -> None:
    """Refuse an array that reaches through the conductors of the resonator, where its field is not that of the bore.

    Parameters
    ----------
    elements : sequence of Element
        As they lie.
    middle_m : tuple of 3 floats
        Middle of the resonator, whose axis runs along z. [m]
    radius_m : float
        Of the cylinder of its conductors. [m]

    Raises
    ------
    OutsideModelError
        If a conductor of the array lies on that cylinder or beyond.
    """
    points = np.concatenate([element.vertices_m for element in elements])
    reach_m = float(np.hypot(points[:, 0] - middle_m[0], points[:, 1] - middle_m[1]).max())
    if reach_m >= radius_m:
        raise OutsideModelError(
            f"transmit: the array reaches {reach_m * 1e3:.0f} mm from the axis of the resonator, whose conductors lie "
            f"at {radius_m * 1e3:.0f} mm. Move `middle`, or write the radius of the scanner's resonator."
        )
