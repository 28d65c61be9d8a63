"""Section 6 and 7: the array as a network, and its noise."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loopwright.dossier.evidence import Evidence, GridComparison, NetworkEvidence, NoiseEvidence
from loopwright.dossier.findings import Cell, Column, Finding, FindingValue, Section, Table
from loopwright.dossier.numbers import printed_as_given

Real = NDArray[np.floating]

__all__ = ["coil_noise_figure_phrase", "network_section", "noise_section", "worst_pair"]

_THIN_WIRE = "thin-wire moment method with the body's impedance added"
_Q_WITHOUT_BODY = "omega L over the coil's own resistances, tuned again without body"
_Q_WITH_BODY = "omega L over the resistances of coil and body"
_HERE = "computed here"
_NOT_STUDIED = "its convergence with segments and voxels was not studied in this run"
_NO_SECOND_GRID = "no second grid was solved in this run"
_RESISTANCE_LABELS = {
    "body": "resistance the body adds",
    "conductor": "resistance of the conductor",
    "capacitors": "resistance of the capacitors",
    "other": "other resistance in series",
    "terminal": "resistance of the part across the terminal",
    "line": "resistance of the line inside",
    "radiation": "radiation resistance, outside the noise",
}


def network_section(evidence: Evidence) -> Section:
    """Tell inductance, capacitance, resistance, Q and coupling of the elements."""
    network = evidence.network
    return Section(
        anchor="network",
        title="The network",
        prose=(*network.sentences, _BAND if network.body_change_over_band is None else _band(network)),
        findings=(*_per_element(network, evidence.grids), *_coupling(evidence), *_scattering(network)),
        tables=(_element_table(evidence), _quality_table(evidence), _matrix_table(evidence)),
        pictures=("resistance", "coupling", "frequency"),
    )


def noise_section(evidence: Evidence) -> Section:
    """Tell how the noise of the elements hangs together."""
    noise = evidence.noise
    off = _off_diagonal(np.abs(noise.correlation))
    real = noise.body_noise_resistance_ohm.real
    imaginary = noise.body_noise_resistance_ohm.imag
    how = "absorbed power of two unit-current fields, and the coil's own resistances at their own temperature"
    body_only = "absorbed power in the body of two unit element-port currents, the others open"
    return Section(
        anchor="noise",
        title="The noise",
        prose=(_temperatures(noise), *noise.sentences),
        findings=(
            _figure("noise.correlation_mean", "noise correlation, mean of all pairs", _mean(off), "1", how),
            _figure("noise.correlation_largest", "noise correlation, largest", _largest(off), "1", how),
            _figure(
                "matrix.body_noise_resistance_real_ohm", "body noise resistance, real", _rows(real), "ohm", body_only
            ),
            _figure(
                "matrix.body_noise_resistance_imaginary_ohm",
                "body noise resistance, imaginary",
                _rows(imaginary),
                "ohm",
                body_only,
            ),
            _figure("matrix.noise_correlation", "noise correlation, size", _rows(np.abs(noise.correlation)), "1", how),
            *_forms(noise),
        ),
        pictures=("noise_correlation",),
    )


def _temperatures(noise: NoiseEvidence) -> str:
    return (
        f"Thermal noise of the body at {printed_as_given(noise.body_temperature_k, 'K')} and of the coil's own "
        f"resistances at {printed_as_given(noise.coil_temperature_k, 'K')}; radiation resistance is outside the noise, "
        "for a bore is a shield. Two elements over the same tissue share its noise even where they do not couple."
    )


def worst_pair(matrix: NDArray[np.floating]) -> tuple[int, int]:
    """Return the pair of different elements with the largest entry by size.

    >>> worst_pair(np.array([[1.0, 0.1, -0.3], [0.1, 1.0, 0.2], [-0.3, 0.2, 1.0]]))
    (0, 2)
    """
    size = np.triu(np.abs(matrix), k=1)
    i, j = np.unravel_index(int(np.argmax(size)), size.shape)
    return int(i), int(j)


def coil_noise_figure_phrase(network: NetworkEvidence, names: tuple[str, ...]) -> str:
    """Answer whether the body makes most of the noise, in numbers rather than by a rule of thumb."""
    loss = network.coil_noise_figure_db
    worst = int(np.argmax(loss))
    share = 10 ** (-loss / 10)  # part of the noise power that the body makes
    whose = "every element" if bool(np.all(share > 0.5)) else f"{int(np.sum(share > 0.5))} of {share.size} elements"
    return (
        f"The body makes more than half of the noise power in {whose}: {100 * np.median(share):.0f} % in the median "
        f"element, {100 * share[worst]:.0f} % in {names[worst]}. The coil's own loss costs "
        f"{np.median(loss):.2f} dB in the median element and {loss[worst]:.2f} dB in {names[worst]}."
    )


_BAND = "The change of the body's impedance over the band was not computed."


def _band(network: NetworkEvidence) -> str:
    change = network.body_change_over_band or 0.0
    low, high = network.frequencies_hz.min() / 1e6, network.frequencies_hz.max() / 1e6
    return (
        f"The body was solved at {network.frequency_hz / 1e6:.2f} MHz only; towards {low:.1f} and {high:.1f} MHz the "
        f"resistance that it adds to the first element, with one uniform current in it, changes by up to "
        f"{100 * change:.0f} % (coarser grid), which network.s{len(network.port_names)}p leaves out."
    )


def _per_element(network: NetworkEvidence, grids: GridComparison | None) -> tuple[Finding, ...]:
    resistances = []
    for mechanism, values in network.resistance_ohm.items():
        key = f"element.resistance_{mechanism}_ohm"
        label = _RESISTANCE_LABELS.get(mechanism, mechanism)
        if mechanism == "body" and grids is not None:
            spread = tuple(float(u) for u in np.abs(values) * grids.body_resistance_relative)
            resistances.append(
                Finding(
                    key=key,
                    label=label,
                    value=_row(values),
                    unit="ohm",
                    uncertainty=spread,
                    how="volume integral equation; uncertainty: the change from the coarser grid",
                    source=_HERE,
                )
            )
        else:
            reason = _NO_SECOND_GRID if mechanism == "body" else _NOT_STUDIED
            resistances.append(_figure(key, label, _row(values), "ohm", _THIN_WIRE, reason))
    return (*_reactive(network), *resistances, *_quality(network))


def _reactive(network: NetworkEvidence) -> tuple[Finding, ...]:
    gap_f = network.gap_capacitance_f
    return (
        _figure("element.inductance_h", "inductance", _row(network.inductance_h), "H", _THIN_WIRE),
        *(
            ()
            if gap_f is None
            else (_figure("element.gap_capacitance_f", "capacitor in each gap", _row(gap_f), "F", _THIN_WIRE),)
        ),
        _figure(
            "element.frequency_shift_hz",
            "shift of the resonance when the body is taken away",
            _row(network.frequency_shift_hz),
            "Hz",
            "resonance of each element alone with the same parts, less the operating frequency",
        ),
    )


def _quality(network: NetworkEvidence) -> tuple[Finding, ...]:
    return (
        *_quality_factors(network),
        _figure(
            "element.coil_noise_figure_db",
            "coil noise figure",
            _row(network.coil_noise_figure_db),
            "dB",
            "10 log10 of all noise power over the body's",
        ),
        _figure(
            "element.snr_retained",
            "part of the SNR that the coil's own noise leaves",
            _row(network.snr_retained),
            "1",
            "sqrt(1 − Q with body / Q without), temperatures taken as equal",
        ),
    )


def _quality_factors(network: NetworkEvidence) -> tuple[Finding, ...]:
    bare, loaded = network.quality_unloaded, network.quality_loaded
    bare_open, loaded_open = network.quality_unloaded_open_room, network.quality_loaded_open_room
    without, with_body = f"{_Q_WITHOUT_BODY}, radiation", f"{_Q_WITH_BODY}, radiation"
    figures = (
        ("unloaded", "Q without body (radiation left out)", bare, f"{without} left out"),
        ("loaded", "Q with body (radiation left out)", loaded, f"{with_body} left out"),
        ("unloaded_open_room", "Q without body, open room (radiation counted)", bare_open, f"{without} counted"),
        ("loaded_open_room", "Q with body, open room (radiation counted)", loaded_open, f"{with_body} counted"),
        ("ratio", "ratio of the first two", bare / loaded, "Q without body over Q with body, radiation left out"),
    )
    return tuple(
        _figure(f"element.quality_{name}", label, _row(values), "1", how)
        for name, label, values, how in figures
        if values is not None
    )


def _coupling(evidence: Evidence) -> tuple[Finding, ...]:
    network = evidence.network
    if len(evidence.element_names) < 2:
        return ()
    i, j = worst_pair(network.coupling_coefficient)
    names = evidence.element_names
    how = "reactance between two elements over the geometric mean of their own"
    return (
        _figure("network.coupling_largest", "largest coupling coefficient", abs(network.coupling_coefficient[i, j]),
                "1", how),
        _figure("network.coupling_largest_pair", "between", f"{names[i]} and {names[j]}", "", how),
        _figure("matrix.mutual_reactance_ohm", "mutual reactance", _rows(network.mutual_reactance_ohm), "ohm",
                _THIN_WIRE),
        _figure("matrix.coupling_coefficient", "coupling coefficient", _rows(network.coupling_coefficient), "1", how),
    )  # fmt: skip


def _scattering(network: NetworkEvidence) -> tuple[Finding, ...]:
    matched = network.matched_scattering
    if matched is None:
        return ()
    how = "at the frequency of the run, a lossless match on every element"
    return tuple(
        _figure(f"matrix.matched_scattering_{name}", f"scattering of the matched array, {name}", _rows(part), "1", how)
        for name, part in (("real", matched.real), ("imaginary", matched.imag))
    )


def _forms(noise: NoiseEvidence) -> tuple[Finding, ...]:
    if noise.forms_differ is None:
        return ()
    label = "relative difference of the SNR between the two noise forms, largest"
    how = (
        "the optimum SNR from the open-port covariance and from the waves that leave the matched ports; "
        "signal and noise go through the same network, so this checks the arithmetic only"
    )
    reason = "a check of the arithmetic: rounding only"
    return (_figure("noise.forms_differ", label, noise.forms_differ, "1", how, reason), *_covariances(noise))


def _covariances(noise: NoiseEvidence) -> tuple[Finding, ...]:
    """Both forms of the noise, as real and imaginary parts."""
    forms = (
        ("open_circuit", noise.open_circuit_v2_per_hz, "V^2/Hz", "voltages at the open element ports"),
        ("matched", noise.matched_w_per_hz, "W/Hz", "waves that leave the matched element ports"),
    )
    return tuple(
        _figure(
            f"matrix.noise_{form}_{name}",
            f"noise covariance, {form.replace('_', ' ')}, {name}",
            _rows(part),
            unit,
            f"covariance of the {what}, one-sided, rms, every resistance at its own temperature, radiation left out",
        )
        for form, covariance, unit, what in forms
        if covariance is not None
        for name, part in (("real", covariance.real), ("imaginary", covariance.imag))
    )


def _element_table(evidence: Evidence) -> Table:
    network = evidence.network
    gap_f = network.gap_capacitance_f
    return _by_element(
        evidence,
        name="network",
        caption="Each element alone, the others open: reactances, and what its resistance is made of.",
        columns={
            Column(title="inductance", unit="H"): network.inductance_h,
            **({} if gap_f is None else {Column(title="gap capacitor", unit="F"): gap_f}),
            **{
                Column(title=f"R {mechanism}", unit="ohm", digits=2): values
                for mechanism, values in network.resistance_ohm.items()
            },
        },
    )


def _quality_table(evidence: Evidence) -> Table:
    network = evidence.network
    return _by_element(
        evidence,
        name="quality",
        caption="Each element alone, the others open; radiation left out of Q.",
        columns={
            Column(title="Q without body"): network.quality_unloaded,
            Column(title="Q with body", digits=2): network.quality_loaded,
            Column(title="ratio", digits=2): network.quality_unloaded / network.quality_loaded,
            Column(title="coil noise figure", unit="dB", digits=2): network.coil_noise_figure_db,
            Column(title="SNR kept", digits=2): network.snr_retained,
            Column(title="shift, no body", unit="Hz", digits=2): network.frequency_shift_hz,
        },
    )


def _by_element(evidence: Evidence, *, name: str, caption: str, columns: Mapping[Column, Real]) -> Table:
    """One row for every element; eight columns or so are what a page holds without scrolling."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (element, *(float(values[number]) for values in columns.values()))
        for number, element in enumerate(evidence.element_names)
    )
    return Table(name=name, caption=caption, columns=(Column(title="element"), *columns), rows=rows)


def _matrix_table(evidence: Evidence) -> Table:
    network, noise, names = evidence.network, evidence.noise, evidence.element_names
    pairs = sorted(
        ((i, j) for i in range(len(names)) for j in range(i + 1, len(names))),
        key=lambda pair: -abs(float(network.coupling_coefficient[pair])),
    )
    return Table(
        name="pairs",
        caption="Pairs of elements, the most strongly coupled first.",
        columns=(
            Column(title="element"),
            Column(title="with"),
            Column(title="coupling coefficient", digits=2),
            Column(title="mutual reactance", unit="ohm", digits=2),
            Column(title="body noise resistance, real", unit="ohm", digits=2),
            Column(title="noise correlation, size", digits=2),
        ),
        rows=tuple(
            (
                names[i],
                names[j],
                float(network.coupling_coefficient[i, j]),
                float(network.mutual_reactance_ohm[i, j]),
                float(noise.body_noise_resistance_ohm[i, j].real),
                float(abs(noise.correlation[i, j])),
            )
            for i, j in pairs
        ),
        rows_on_page=12,
    )


def _figure(key: str, label: str, value: FindingValue, unit: str, how: str, reason: str = _NOT_STUDIED) -> Finding:
    if isinstance(value, np.floating):
        value = float(value)
    return Finding(key=key, label=label, value=value, unit=unit, no_uncertainty_because=reason, how=how, source=_HERE)


def _row(values: NDArray[np.floating]) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _rows(matrix: NDArray[np.floating]) -> tuple[tuple[float, ...], ...]:
    return tuple(_row(row) for row in matrix)


def _off_diagonal(matrix: NDArray[np.floating]) -> NDArray[np.floating]:
    return matrix[np.triu_indices(len(matrix), k=1)]


def _mean(values: NDArray[np.floating]) -> float:
    return float(values.mean()) if values.size else 0.0


def _largest(values: NDArray[np.floating]) -> float:
    return float(values.max()) if values.size else 0.0
