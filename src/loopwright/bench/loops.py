"""The loops that a fit has found: inductance, resistance, quality, coupling, each with its standard deviation."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bench.fitting import BenchFit
from loopwright.bench.model import BenchModel

__all__ = ["FittedLoops", "LoopFigures", "fitted_loops"]

Floats = NDArray[np.float64]

#: Step of the differences, in widths of a prior.
_STEP = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopFigures:
    """Loops at equal currents in all their gaps, without capacitors, at the operating frequency.

    Attributes
    ----------
    inductance_h : ndarray, shape (N,)
        [H]
    resistance_ohm : ndarray, shape (N,)
        [ohm]
    quality : ndarray, shape (N,)
        Reactance over resistance.
    coupling : ndarray, shape (N, N)
        Mutual reactance over the root of the product of the loops' reactances; ones on the diagonal.
    """

    inductance_h: Floats
    resistance_ohm: Floats
    quality: Floats
    coupling: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedLoops:
    """Figures of the design, as fitted, and the standard deviations of these to first order."""

    design: LoopFigures
    fitted: LoopFigures
    deviation: LoopFigures


def fitted_loops(fit: BenchFit) -> FittedLoops:
    """Tell the loops of a fit.

    Parameters
    ----------
    fit : BenchFit
        What a measurement says.

    Returns
    -------
    FittedLoops
        Standard deviations by the covariance of the fit.
    """
    model, count = fit.model, len(fit.model.circuits)
    middle = _row(model, fit.values)
    slopes = np.stack(
        [(_row(model, fit.values + step) - _row(model, fit.values - step)) for step in _STEP * np.eye(len(fit.values))],
        axis=1,
    ) / (2 * _STEP)
    spread = np.sqrt(np.maximum(np.einsum("rd,de,re->r", slopes, fit.covariance, slopes), 0))
    design = _row(model, np.zeros(len(fit.values)))
    return FittedLoops(
        design=_figures(design, count), fitted=_figures(middle, count), deviation=_figures(spread, count)
    )


def _row(model: BenchModel, values: Floats) -> Floats:
    loops_ohm = model.loops_ohm(values)
    own = np.diagonal(loops_ohm)
    coupling = loops_ohm.imag / np.sqrt(np.outer(own.imag, own.imag))
    return np.concatenate(
        (own.imag / (2 * np.pi * model.frequency_hz), own.real, own.imag / own.real, coupling.ravel())
    )


def _figures(row: Floats, count: int) -> LoopFigures:
    return LoopFigures(
        inductance_h=row[:count],
        resistance_ohm=row[count : 2 * count],
        quality=row[2 * count : 3 * count],
        coupling=row[3 * count :].reshape(count, count),
    )
