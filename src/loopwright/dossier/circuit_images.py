"""Images through the circuit: what circuits and preamplifiers cost in SNR, and where."""

import numpy as np

from loopwright.circuits import CircuitOutcome
from loopwright.dossier.evidence import Evidence, MapKind, ScalarMap
from loopwright.dossier.findings import Answer, Column, Finding, FindingValue, Section, Table, computed
from loopwright.dossier.numbers import printed_position
from loopwright.dossier.statistics import weakest_voxel
from loopwright.imaging import CircuitCost, Distribution

__all__ = ["CORRELATIONS", "KEPT", "KEPT_BY_SQUARES", "circuit_cost_answer", "circuit_cost_section", "kept_maps"]

#: Names of the two maps.
KEPT, KEPT_BY_SQUARES = "snr_kept_by_circuit", "snr_kept_by_circuit_root_sum_of_squares"

#: Names of the two pictures of noise correlation.
CORRELATIONS = ("noise_correlation_circuit", "noise_correlation_circuit_without_receivers")

_HOW = "noise of all parts and preamplifiers, coupled through the array, values as found"
_NOT_STUDIED = "how far strays and tolerances move it was not studied in this run"
_LIMITS = (
    "Cables behind the preamplifiers, their gain and what follows are outside the model: a high gain hides them.",
    (
        "The root-sum-of-squares combination takes the voltages at the receivers as they come, so its ratio also holds "
        "the other weights that the circuits give the elements; it may exceed one."
    ),
)


def kept_maps(cost: CircuitCost | None) -> tuple[ScalarMap, ...]:
    """Both ratios as maps of the run; none where there is no circuit."""
    if cost is None:
        return ()
    return (
        ScalarMap(
            name=KEPT,
            title="SNR kept by circuit and preamplifiers, optimum combination",
            definition=f"{cost.definition}.",
            kind=MapKind.KEPT,
            values=cost.kept,
        ),
        ScalarMap(
            name=KEPT_BY_SQUARES,
            title="SNR kept by circuit and preamplifiers, root-sum-of-squares combination",
            definition="The same of the root-sum-of-squares combination, with circuits at the receivers' voltages.",
            kind=MapKind.KEPT,
            values=cost.kept_by_sum_of_squares,
        ),
    )


def circuit_cost_section(evidence: Evidence, cost: CircuitCost, outcome: CircuitOutcome) -> Section:
    """Tell what of the SNR is kept, by combination and acceleration, and where least is.

    Parameters
    ----------
    evidence : Evidence
        Whose maps hold the two ratios.
    cost : CircuitCost
        Images with circuits against images without.
    outcome : CircuitOutcome
        The circuits.
    """
    maps = tuple(evidence.maps.named(name) for name in (KEPT, KEPT_BY_SQUARES))
    return Section(
        anchor="circuit_cost",
        title="What circuit and preamplifiers cost in SNR",
        prose=(*(f"{one.title}: {one.definition}" for one in maps), *_LIMITS),
        findings=(*_kept(cost), *_least(evidence), *_correlation(outcome)),
        tables=(_by_combination(cost),),
        pictures=(KEPT, KEPT_BY_SQUARES, *CORRELATIONS),
    )


def circuit_cost_answer(evidence: Evidence, cost: CircuitCost) -> Answer:
    """Answer in one sentence what circuits and preamplifiers cost, and where."""
    kept = cost.kept_in_region
    weakest = weakest_voxel(evidence.maps.named(KEPT), evidence.maps)
    where = "" if weakest is None else f", and {100 * weakest.value:.1f} % in the worst, at {weakest.place}"
    return Answer(
        question="What do circuit and preamplifiers cost in SNR, and where?",
        answer=f"{cost.median_db:.2f} dB in the median voxel of the region: the optimum combination keeps "
        f"{100 * kept.median:.1f} % there{where}.",
        section="circuit_cost",
    )


def _figure(key: str, label: str, value: FindingValue, unit: str) -> Finding:
    return computed(f"circuit_cost.{key}", label, value, unit, how=_HOW, because=_NOT_STUDIED)


def _kept(cost: CircuitCost) -> tuple[Finding, ...]:
    optimum, squares = cost.kept_in_region, cost.kept_by_sum_of_squares_in_region
    return (
        _figure("median_db", "cost in SNR in the median voxel of the region, as a noise figure", cost.median_db, "dB"),
        _figure("kept_median", "SNR kept, optimum combination, median in the region", optimum.median, "1"),
        _figure("kept_percentile_5", "SNR kept, optimum combination, 5th percentile", optimum.percentile_5, "1"),
        _figure("kept_least", "SNR kept, optimum combination, least in the region", optimum.minimum, "1"),
        _figure("kept_root_sum_of_squares_median", "SNR kept, root-sum-of-squares, median in the region",
                squares.median, "1"),
    )  # fmt: skip


def _least(evidence: Evidence) -> tuple[Finding, ...]:
    weakest = weakest_voxel(evidence.maps.named(KEPT), evidence.maps)
    if weakest is None:
        return ()
    label = f"where circuit and preamplifiers cost most, {printed_position(weakest.at_m)}"
    return (_figure("kept_least_at_m", label, weakest.at_m, "m"),)


def _correlation(outcome: CircuitOutcome) -> tuple[Finding, ...]:
    with_them = np.abs(outcome.received.correlation)
    without = np.abs(outcome.received.correlation_without_receivers)
    return (
        _figure("correlation_largest", "noise correlation at the receivers, largest", _largest(with_them), "1"),
        _figure("correlation_largest_without_receivers", "the same without the noise of the preamplifiers",
                _largest(without), "1"),
    )  # fmt: skip


def _largest(size: np.ndarray) -> float:
    return float((size * ~np.eye(len(size), dtype=np.bool_)).max(initial=0.0))


def _by_combination(cost: CircuitCost) -> Table:
    rows = (
        ("optimum", cost.kept_in_region),
        ("root-sum-of-squares", cost.kept_by_sum_of_squares_in_region),
        *((f"optimum, {name}", found) for name, found in cost.kept_accelerated_in_region),
    )
    return Table(
        name="circuit_cost",
        caption="SNR through the circuits over SNR of the array matched without loss, in the region; an accelerated "
        "image holds the g-factors of either array. Cost: of the median, as a noise figure.",
        columns=(
            Column(title="combination"),
            Column(title="least", decimals=3),
            Column(title="5th percentile", decimals=3),
            Column(title="median", decimals=3),
            Column(title="95th percentile", decimals=3),
            Column(title="cost", unit="dB", decimals=2),
        ),
        rows=tuple((name, *_cells(found)) for name, found in rows),
    )


def _cells(found: Distribution) -> tuple[float, float, float, float, float]:
    cost_db = float(-20 * np.log10(found.median))
    return found.minimum, found.percentile_5, found.median, found.percentile_95, cost_db
