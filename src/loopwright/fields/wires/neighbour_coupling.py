r"""How strongly neighbours of a layout couple, fast enough to be asked thousands of times in a search.

.. math:: k_{ij} = \frac{X_{ij}}{\omega\sqrt{L_i L_j}}, \qquad
          X_{ij} + jR_{ij}\ \text{from}\ j\omega\mu_0\oint\oint\frac{e^{-jkR}}{4\pi R}\,
          \mathrm{d}\mathbf{l}\cdot\mathrm{d}\mathbf{l}' + Z^\mathrm{body}_{ij}

Currents are uniform along each element ("loop mode"), so they leave no charge and the magnetic part is all there is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.kernel_numba import loop_lengths_m
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = ["LoopCoupling", "loop_reactances_ohm"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


def loop_reactances_ohm(
    outlines_m: Sequence[Floats], pairs: Integers, *, conductor_radius_m: float, frequency_hz: float
) -> Floats:
    """Reactance between uniform currents on pairs of closed wires in free space, retardation included.

    Parameters
    ----------
    outlines_m : sequence of ndarray, each of shape (segments, 3)
        Corners of the closed wires, first not repeated. [m]
    pairs : ndarray of int, shape (pairs, 2)
        Two wires each; the same one twice for its own reactance.
    conductor_radius_m : float
        Radius of the round wire that stands for the conductor, used for a wire's own reactance only. [m]
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (pairs,)
        Reactance, equal to the imaginary part of the loop-mode impedance of the port network. [ohm]
    """
    omega = 2 * pi * frequency_hz
    lengths_m = loop_lengths_m(
        np.concatenate(outlines_m),
        np.cumsum([0, *map(len, outlines_m)]),
        pairs,
        pair_radius_m=np.where(pairs[:, 0] == pairs[:, 1], conductor_radius_m, 0.0),
        wavenumber_per_m=omega / SPEED_OF_LIGHT_M_PER_S,
    )
    return np.asarray(omega * MU_0_H_PER_M * lengths_m.real)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopCoupling:
    """Coupling coefficients of pairs of elements; the body's part is held fixed while the layout is searched for.

    ``body_reactance_ohm`` (elements, elements) is that of a body solution for a layout close by; None leaves it out.
    ``inner_reactance_ohm_per_m`` is what a metre of conductor adds to its own loop, such as the turns of a thread.
    """

    conductor_radius_m: float
    frequency_hz: float
    inner_reactance_ohm_per_m: float = 0.0
    body_reactance_ohm: Floats | None = None

    @property
    def includes(self) -> str:
        """What the coefficients hold, as the end of a sentence."""
        free = f"the wires alone at {self.frequency_hz / 1e6:.2f} MHz, currents uniform along each element"
        if self.body_reactance_ohm is None:
            return free
        return f"{free}, and the body's part, solved on the coarse grid for the layout that the search before found"

    def __call__(self, outlines_m: Sequence[Floats], pairs: Integers, *, elements: Integers) -> Floats:
        """Coupling coefficients with their signs.

        Parameters
        ----------
        outlines_m : sequence of ndarray, each of shape (segments, 3)
            Closed centre-lines; several may be variants of one element. [m]
        pairs : ndarray of int, shape (pairs, 2)
            Two outlines each.
        elements : ndarray of int, shape (outlines,)
            Element that each outline belongs to.

        Returns
        -------
        ndarray, shape (pairs,)
        """
        members, place = np.unique(pairs, return_inverse=True)
        asked = np.concatenate([pairs, np.stack([members, members], axis=1)])
        reactance = loop_reactances_ohm(
            outlines_m, asked, conductor_radius_m=self.conductor_radius_m, frequency_hz=self.frequency_hz
        )
        reactance[len(pairs) :] += [self.inner_reactance_ohm_per_m * _perimeter_m(outlines_m[n]) for n in members]
        if self.body_reactance_ohm is not None:
            reactance = reactance + self.body_reactance_ohm[elements[asked[:, 0]], elements[asked[:, 1]]]
        own = reactance[len(pairs) :][place.reshape(-1, 2)]
        return np.asarray(reactance[: len(pairs)] / np.sqrt(own[:, 0] * own[:, 1]))


def _perimeter_m(outline_m: Floats) -> float:
    return float(np.linalg.norm(np.roll(outline_m, -1, axis=0) - outline_m, axis=1).sum())
