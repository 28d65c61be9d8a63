"""The model fitted to a measurement: what differs from the design, and how well that is known.

Least squares with priors: every difference is weighed by how far such things stray, so what a measurement cannot tell
stays where it was, with the width of its prior. Standard deviations are those of the linearised posterior; where what
is left goes on from point to point, as it does where the circuit lacks something, the points count as so many fewer.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from loopwright.bench.measured import MeasuredNetwork
from loopwright.bench.model import BenchModel
from loopwright.bench.slopes import scattering_slopes
from loopwright.ground.errors import NotConvergedError

__all__ = ["BenchFit", "fit"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Errors that are assumed in turn: a resonance that lies beside the measured one is drawn to it while the residual
#: still counts little, and does not stay behind in a fit of its own flank.
_ERRORS = (0.3, 0.1, 0.03, 0.01)
#: Below this no residual is trusted as the error of a calibrated measurement (common practice).
_LEAST_ERROR = 5e-4
#: The error is then taken from the residual, and the fit made again, so many times.
_TURNS = 2
#: Neighbouring points are taken as alike as this at most, or nothing would be left of the measurement.
_MOST_ALIKE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchFit:
    """What a measurement says about the circuit.

    Attributes
    ----------
    model : BenchModel
    values : ndarray, shape (D,)
        Differences, in widths of their priors.
    covariance : ndarray, shape (D, D)
        Of the values; the unit matrix where nothing was learnt.
    scattering : ndarray, shape (F, N, N)
        Of the model at these values.
    error : float
        Root mean square of what is left, per real number of S.
    alikeness : float
        Correlation of what is left at neighbouring frequencies: near 0 noise, near 1 something that the circuit lacks.
    design_error : float
        The same for the design as it was drawn.
    """

    model: BenchModel
    values: Floats
    covariance: Floats
    scattering: Complexes
    error: float
    alikeness: float
    design_error: float

    @property
    def learnt(self) -> Floats:
        """Part of each prior's width that the measurement took away: 0 nothing, near 1 all, shape (D,)."""
        return np.asarray(1 - np.sqrt(np.diagonal(self.covariance)))

    @property
    def deviation(self) -> Floats:
        """Standard deviation of each value, in widths of its prior, shape (D,)."""
        return np.asarray(np.sqrt(np.diagonal(self.covariance)))


def fit(model: BenchModel, measured: MeasuredNetwork) -> BenchFit:
    """Fit the model to a measurement.

    Parameters
    ----------
    model : BenchModel
        At the frequencies of the measurement, elements in the order of its ports.
    measured : MeasuredNetwork
        One that has no complaints; both directions of transmission are averaged.

    Returns
    -------
    BenchFit

    Raises
    ------
    NotConvergedError
        If least squares does not settle.
    """
    wanted = (measured.scattering + np.swapaxes(measured.scattering, -1, -2)) / 2
    upper = np.triu_indices(measured.ports)

    def misses(values: Floats) -> Floats:
        return _real((model.scattering_with(values) - wanted)[:, upper[0], upper[1]])

    def slopes(values: Floats) -> Floats:
        found = scattering_slopes(model, values)[:, :, upper[0], upper[1]]
        return np.stack([_real(slope) for slope in found], axis=1)

    values, own = np.zeros(len(model.differences)), np.eye(len(model.differences))
    for error in (*_ERRORS, *(None,) * _TURNS):
        weight = 1 / (error or _counted(misses(values), len(wanted)))
        found = least_squares(
            lambda trial, weight=weight: np.concatenate((weight * misses(trial), trial)),
            values,
            jac=lambda trial, weight=weight: np.concatenate((weight * slopes(trial), own)),
        )
        if not found.success:
            raise NotConvergedError(f"the fit to {measured.name} does not settle: {found.message}")
        values = found.x
    jacobian = found.jac
    return BenchFit(
        model=model,
        values=values,
        covariance=np.linalg.inv(jacobian.T @ jacobian),
        scattering=model.scattering_with(values),
        error=_root_mean_square(misses(values)),
        alikeness=_alikeness(misses(values), len(wanted)),
        design_error=_root_mean_square(misses(np.zeros(len(values)))),
    )


def _real(left: Complexes) -> Floats:
    """Real and imaginary parts in a row, the frequency first."""
    return np.concatenate((left.real.ravel(), left.imag.ravel()))


def _counted(left: Floats, points: int) -> float:
    """Error with which a point is counted: larger where neighbours repeat each other."""
    alike = float(np.clip(_alikeness(left, points), 0, _MOST_ALIKE))
    return max(_root_mean_square(left), _LEAST_ERROR) * float(np.sqrt((1 + alike) / (1 - alike)))


def _alikeness(left: Floats, points: int) -> float:
    curves = left.reshape(2, points, -1)
    power = float(np.sum(curves**2))
    return float(np.sum(curves[:, 1:] * curves[:, :-1]) / power) if power > 0 else 0.0


def _root_mean_square(left: Floats) -> float:
    return float(np.sqrt(np.mean(left**2)))
