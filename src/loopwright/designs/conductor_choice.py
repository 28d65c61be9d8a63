"""What each conductor costs in noise, and at which further stand-off a rigid coil is no better than a close one.

One element stands for the array: the one that the body loads least. Its loop is taken as it is, and moved outwards
along its own normal for the rigid coil, so that both see the same body; the field at a depth and the resistance of the
body are those of the field solution for a uniform current.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log10

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

__all__ = [
    "BUDGET_DB",
    "CoilLoss",
    "ConductorChoice",
    "ConductorLine",
    "break_even_m",
    "conductor_choice",
    "resistance_budget_ohm",
]

Real = NDArray[np.float64]

#: Losses for which the budget of resistance is told. [dB]
BUDGET_DB = (0.5, 1.0, 3.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilLoss:
    """Series resistance of one element's coil, by what makes it. [ohm]"""

    name: str
    conductor_ohm: float
    capacitor_ohm: float
    other_ohm: float

    @property
    def total_ohm(self) -> float:
        """Everything together. [ohm]"""
        return self.conductor_ohm + self.capacitor_ohm + self.other_ohm


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorLine:
    """One conductor.

    Attributes
    ----------
    loss : CoilLoss
    noise_figure_db : float
        Noise of body and coil over that of the body. [dB]
    snr_retained : float
        Part of the SNR that the coil's noise leaves.
    snr_over_rigid : ndarray, shape (further out, depths)
        SNR over that of the rigid coil at each place.
    break_even_m : ndarray, shape (depths,)
        How much further out the rigid coil is no better: zero where it is not even at the same place, infinite where
        it still is at the furthest place tried. [m]
    """

    loss: CoilLoss
    noise_figure_db: float
    snr_retained: float
    snr_over_rigid: Real
    break_even_m: Real


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorChoice:
    """Conductors held against a rigid coil.

    Attributes
    ----------
    element : str
        The element that stands for the array.
    body_ohm : ndarray, shape (further out,)
        Resistance of the body at each place, the first of which is that of the array. [ohm]
    further_out_m : ndarray, shape (further out,)
        Rising from zero. [m]
    depths_m : ndarray, shape (depths,)
        [m]
    rigid : CoilLoss
    rigid_noise_figure_db : ndarray, shape (further out,)
        Of the rigid coil at each place. [dB]
    lines : tuple of ConductorLine
        The array's own conductor first.
    budget_ohm : tuple of float
        Resistance of a coil that costs 0.5, 1 and 3 dB at the place of the array. [ohm]
    """

    element: str
    body_ohm: Real
    further_out_m: Real
    depths_m: Real
    rigid: CoilLoss
    rigid_noise_figure_db: Real
    lines: tuple[ConductorLine, ...]
    budget_ohm: tuple[float, ...]


def resistance_budget_ohm(
    loss_db: float, body_ohm: float, *, body_temperature_k: float, coil_temperature_k: float
) -> float:
    """Series resistance of a coil that costs so much noise.

    Parameters
    ----------
    loss_db : float
        Noise figure. [dB]
    body_ohm : float
        Resistance of the body. [ohm]
    body_temperature_k, coil_temperature_k : float
        [K]

    Returns
    -------
    float
        (10^(F/10) - 1) T_b R_b / T_c. [ohm]
    """
    return (10 ** (loss_db / 10) - 1) * body_temperature_k * body_ohm / coil_temperature_k


def break_even_m(further_out_m: Real, rigid_snr: Real, close_snr: float) -> float:
    """How much further out the rigid coil is no better.

    Parameters
    ----------
    further_out_m : ndarray, shape (places,)
        Rising from zero. [m]
    rigid_snr : ndarray, shape (places,)
        SNR of the rigid coil there.
    close_snr : float
        SNR of the close coil at the place of the array, in the same unit.

    Returns
    -------
    float
        First crossing of a monotone curve through the logarithms; zero or infinite outside. [m]
    """
    level = np.log(rigid_snr / close_snr)
    if level[0] <= 0:
        return 0.0
    below = np.flatnonzero(level <= 0)
    if not below.size:
        return inf
    crossings = PchipInterpolator(further_out_m, level).roots(extrapolate=False)
    return float(crossings[0])


def conductor_choice(
    *,
    element: str,
    further_out_m: Real,
    depths_m: Real,
    body_ohm: Real,
    field_t_per_a: Real,
    rigid: CoilLoss,
    candidates: Sequence[CoilLoss],
    body_temperature_k: float,
    coil_temperature_k: float,
) -> ConductorChoice:
    """Hold conductors against a rigid coil.

    Parameters
    ----------
    element : str
        Name of the element.
    further_out_m : ndarray, shape (places,)
        Rising from zero, the place of the array. [m]
    depths_m : ndarray, shape (depths,)
        [m]
    body_ohm : ndarray, shape (places,)
        Resistance of the body for unit current in the loop at each place. [ohm]
    field_t_per_a : ndarray, shape (places, depths)
        Size of the receive field there. [T/A]
    rigid : CoilLoss
        Losses of the rigid coil.
    candidates : sequence of CoilLoss
        Losses of the close ones.
    body_temperature_k, coil_temperature_k : float
        [K]

    Returns
    -------
    ConductorChoice
    """

    def noise_k_ohm(loss: CoilLoss) -> Real:
        return np.asarray(body_temperature_k * body_ohm + coil_temperature_k * loss.total_ohm)

    rigid_snr = field_t_per_a / np.sqrt(noise_k_ohm(rigid))[:, None]

    def line(loss: CoilLoss) -> ConductorLine:
        noise = noise_k_ohm(loss)[0]
        own = field_t_per_a[0] / np.sqrt(noise)
        ends = [break_even_m(further_out_m, rigid_snr[:, d], float(own[d])) for d in range(len(depths_m))]
        share = body_temperature_k * body_ohm[0] / noise
        return ConductorLine(
            loss=loss,
            noise_figure_db=-10 * log10(share),
            snr_retained=float(np.sqrt(share)),
            snr_over_rigid=own / rigid_snr,
            break_even_m=np.array(ends),
        )

    return ConductorChoice(
        element=element,
        body_ohm=body_ohm,
        further_out_m=further_out_m,
        depths_m=depths_m,
        rigid=rigid,
        rigid_noise_figure_db=10 * np.log10(noise_k_ohm(rigid) / (body_temperature_k * body_ohm)),
        lines=tuple(line(loss) for loss in candidates),
        budget_ohm=tuple(
            resistance_budget_ohm(
                loss_db,
                float(body_ohm[0]),
                body_temperature_k=body_temperature_k,
                coil_temperature_k=coil_temperature_k,
            )
            for loss_db in BUDGET_DB
        ),
    )
