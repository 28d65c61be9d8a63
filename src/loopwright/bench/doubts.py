"""Where a fit should not be believed: more is left than an analyser errs, or something had to stray too far."""

from collections.abc import Iterator, Sequence

import numpy as np

from loopwright.bench.fitting import BenchFit
from loopwright.bench.measured import MeasuredNetwork
from loopwright.bench.model import Difference, Kind

__all__ = ["FAR_WIDTHS", "doubts_about", "named"]

#: A calibrated analyser errs by less, per real number of S (common practice).
_ERROR_ALLOWED = 0.01
#: From here on what is left is no noise, unless it is too small to matter.
_ALIKE = 0.5
_TOO_SMALL = 1e-3
#: A difference that ends further away is worth a look at the coil, and at the circuit of the brief.
FAR_WIDTHS = 3.0

_LOOK = {
    Kind.PART: "another value may be fitted, or a stray beside it is not in the circuit",
    Kind.INDUCTANCE: "the loop may have another shape, or strays across its gaps are not in the circuit",
    Kind.RESISTANCE: "the load may differ, a joint be bad, or a lossy part be missing from the circuit",
    Kind.MUTUAL: "the elements may lie otherwise to each other, or their cables couple",
    Kind.LENGTH: "the plane of calibration may lie elsewhere, or a cable is not in the circuit",
}


def doubts_about(fit: BenchFit, measured: MeasuredNetwork, element_names: Sequence[str]) -> tuple[str, ...]:
    """Say where the circuit of the brief does not describe what was measured.

    Parameters
    ----------
    fit : BenchFit
    measured : MeasuredNetwork
        What it was fitted to.
    element_names : sequence of str
        In the order of the ports.

    Returns
    -------
    tuple of str
        Sentences; empty where nothing is to be doubted.
    """
    return (*_left(fit, measured, element_names), *_far(fit, element_names))


def named(one: Difference, element_names: Sequence[str]) -> str:
    """Name a difference by its elements and what it is."""
    return f"{' and '.join(element_names[element] for element in one.elements)}, {one.part or one.kind.value}"


def _left(fit: BenchFit, measured: MeasuredNetwork, element_names: Sequence[str]) -> Iterator[str]:
    size = np.abs(fit.scattering - measured.scattering)
    at, i, j = (int(n) for n in np.unravel_index(int(np.argmax(size)), size.shape))
    where = (
        f"most, {size[at, i, j]:.3f}, in S of {element_names[i]}{'' if i == j else f' from {element_names[j]}'} "
        f"at {measured.frequencies_hz[at] / 1e6:.2f} MHz"
    )
    if fit.error > _ERROR_ALLOWED:
        yield (
            f"The fit misses the measurement by {fit.error:.3f}, {where}; a calibrated analyser errs by less than "
            f"{_ERROR_ALLOWED:g} (common practice). The circuit lacks something that the coil has: its parts as fitted "
            "carry that error."
        )
    elif fit.alikeness > _ALIKE and fit.error > _TOO_SMALL:
        yield (
            f"What the fit leaves goes on from point to point and is no noise ({where}): calibration, or something "
            "that the circuit lacks. The points count as fewer in the standard deviations."
        )


def _far(fit: BenchFit, element_names: Sequence[str]) -> Iterator[str]:
    for one, value in zip(fit.model.differences, fit.values.tolist(), strict=True):
        if abs(value) > FAR_WIDTHS:
            yield (
                f"{named(one, element_names)}: {abs(value):.1f} times as far from the design as such things stray. "
                f"Look at it first: {_LOOK[one.kind]}."
            )
