"""The directions in which a body is looked at, and where its letters stand.

Body frame: x to the patient's left, y to posterior, z to the head. Slices and views follow radiological habit: the
patient's left is on the reader's right, seen from the feet or from the front.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from loopwright.formats.pictures.style import FONT_POINTS, INK

__all__ = ["ABOVE", "AXIAL", "BEHIND", "CORONAL", "SAGITTAL", "View", "frame_view", "outline", "whole_mm"]

_LETTERS = {(0, 1): "L", (0, -1): "R", (1, 1): "P", (1, -1): "A", (2, 1): "H", (2, -1): "F"}


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A way to look along one axis: which body axis runs across, which up, and their signs."""

    title: str
    across: int
    across_sign: int
    up: int
    up_sign: int

    @property
    def along(self) -> int:
        """The axis that is looked along."""
        return 3 - self.across - self.up

    def nearness(self, points_m: NDArray[np.floating]) -> NDArray[np.floating]:
        """Return the coordinate towards the reader, points (points, 3). [m]"""
        unit = np.eye(3)
        towards = np.cross(self.across_sign * unit[self.across], self.up_sign * unit[self.up])
        return np.asarray(points_m @ towards)

    def oriented(self, slab: NDArray[np.generic]) -> NDArray[np.generic]:
        """Turn a slice, axes (lower body axis, higher body axis), into rows from top to bottom."""
        picture = slab.T if self.across < self.up else slab  # rows: up axis, columns: across axis
        rows = picture if self.up_sign < 0 else picture[::-1]
        return rows if self.across_sign > 0 else rows[:, ::-1]


AXIAL = View(title="axial, seen from the feet", across=0, across_sign=1, up=1, up_sign=-1)
CORONAL = View(title="coronal, seen from the front", across=0, across_sign=1, up=2, up_sign=1)
SAGITTAL = View(title="sagittal, seen from the left", across=1, across_sign=1, up=2, up_sign=1)
ABOVE = View(title="axial, seen from the head", across=0, across_sign=-1, up=1, up_sign=-1)
BEHIND = View(title="coronal, seen from behind", across=0, across_sign=-1, up=2, up_sign=1)


def frame_view(axes: Axes, view: View, bounds_mm: NDArray[np.floating]) -> None:
    """Set range, direction, labels in mm and the letters of the patient's sides; bounds (axis, low and high)."""
    low, high = bounds_mm[view.across]
    axes.set_xlim((low, high) if view.across_sign > 0 else (high, low))
    low, high = bounds_mm[view.up]
    axes.set_ylim((low, high) if view.up_sign > 0 else (high, low))
    axes.set_aspect("equal")
    axes.set_xlabel(f"{'xyz'[view.across]} [mm]", labelpad=1)
    axes.set_ylabel(f"{'xyz'[view.up]} [mm]", labelpad=1)
    places = (
        (0.015, 0.5, "left", "center", _LETTERS[view.across, -view.across_sign]),
        (0.985, 0.5, "right", "center", _LETTERS[view.across, view.across_sign]),
        (0.5, 0.02, "center", "bottom", _LETTERS[view.up, -view.up_sign]),
        (0.5, 0.98, "center", "top", _LETTERS[view.up, view.up_sign]),
    )
    for x, y, across, up, letter in places:
        axes.text(
            x, y, letter, ha=across, va=up, transform=axes.transAxes, fontsize=FONT_POINTS, color=INK, weight="bold"
        )


def outline(
    axes: Axes, view: View, share: NDArray[np.floating], axes_mm: tuple[NDArray[np.floating], ...], *, colour: str
) -> None:
    """Draw where the body ends, from its share of each pixel, axes (lower body axis, higher body axis)."""
    picture = np.pad(share.T if view.across < view.up else share, 1)  # a body may fill its grid to the rim
    if picture.max() > 0.5:
        across, up = (_with_one_more_at_each_end(axes_mm[axis]) for axis in (view.across, view.up))
        axes.contour(across, up, picture, levels=[0.5], colors=[colour], linewidths=0.8)


def _with_one_more_at_each_end(axis_mm: NDArray[np.floating]) -> NDArray[np.floating]:
    step = axis_mm[1] - axis_mm[0]
    return np.concatenate([[axis_mm[0] - step], axis_mm, [axis_mm[-1] + step]])


def whole_mm(value_mm: float) -> str:
    """Print a coordinate to the millimetre, with a true minus sign.

    >>> whole_mm(-3.2)
    '−3 mm'
    """
    return f"{round(value_mm):d} mm".replace("-", "\N{MINUS SIGN}")
