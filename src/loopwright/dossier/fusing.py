"""The fuse of each element: what its loop carries detuned and with nothing acting, and which ratings do for both."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits import (
    GENERIC_FUSE,
    FuseWindow,
    fuse_resistance_ohm,
    fuse_window,
    induced_emf_v,
    noise_cost_db,
    rotating_field_t,
)
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Table
from loopwright.dossier.numbers import printed_in_steps

__all__ = ["fuse_sentences", "fuse_tables"]

_OPENS_WITHIN_S = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Currents:
    """Loop currents of each element at the largest transmit field, rms; what is not known of them is NaN. [A]"""

    intact_rms_a: NDArray[np.float64]
    detuned_rms_a: NDArray[np.float64]


def fuse_sentences(evidence: Evidence, interface: InterfaceRequest) -> tuple[str, ...]:
    """Say how the fuses were reckoned; nothing where the transmit field is not known.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.
    interface : InterfaceRequest
        What the scanner offers.
    """
    if interface.largest_b1_rms_t is None:
        return ()
    field = printed_in_steps(interface.largest_b1_rms_t, "T")
    upper = (
        "its reaction on the transmit field is left out, so the current is an upper bound: keep ratings well below the "
        f"largest. That one opens within {_OPENS_WITHIN_S:g} s by the time law of a generic fuse "
        f"({GENERIC_FUSE.source}), and is at most a third of the current (common practice)."
    )
    if evidence.under_field is None:
        return (
            (
                f"Fuses: at {field} rms each loop with nothing acting, resonant on this body, carries its EMF over its "
                f"resistance; {upper} It also has to be three times the current of the detuned loop, which is not "
                "known without a circuit."
            ),
        )
    return (
        (
            f"Fuses: at {field} rms each loop with nothing acting and nothing plugged in, the others detuned, carries "
            f"the intact current, the least over what detunes them; {upper} The least rating is three times the "
            "largest gap current of the detuned states (common practice). A fuse that carries another current than its "
            "loop's, across a trap for "
            "instance, is not told here."
        ),
        *_empty(evidence, interface.largest_b1_rms_t),
    )


def _empty(evidence: Evidence, b1_rms_t: float) -> tuple[str, ...]:
    names = [name for name, empty in zip(evidence.element_names, _window(evidence, b1_rms_t).empty, strict=True)
             if empty]  # fmt: skip
    if not names:
        return ()
    return (
        (
            f"For {len(names)} of {len(evidence.element_names)} elements no rating does both, opens on the intact "
            f"current and bears the detuned one: {', '.join(names)}."
        ),
    )


def fuse_tables(evidence: Evidence, interface: InterfaceRequest) -> tuple[Table, ...]:
    """Give each element's EMF, currents, window of ratings and the noise of its upper end.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.
    interface : InterfaceRequest
        What the scanner offers.
    """
    if interface.largest_b1_rms_t is None:
        return ()
    columns = _columns(evidence, interface.largest_b1_rms_t)
    window = _window(evidence, interface.largest_b1_rms_t)
    words = np.where(window.empty, "empty", np.where(np.isfinite(window.least_a), "open", "least not known"))
    return (
        Table(
            name="fuses",
            caption="Each loop at the largest transmit field, and the window of fuse ratings that bear the detuned "
            "current and open on the intact one. A smaller rating has more resistance and costs more noise.",
            columns=(
                Column(title="element"),
                Column(title="EMF, rms", unit="V"),
                Column(title="intact current, rms", unit="A", digits=2),
                Column(title="detuned current, rms", unit="A", digits=2),
                Column(title="least rating", unit="A", digits=2),
                Column(title="largest rating", unit="A", digits=2),
                Column(title="window"),
                Column(title="resistance of the largest", unit="ohm", digits=2),
                Column(title="noise that it adds", unit="dB", digits=2),
            ),
            rows=tuple(
                (name, *(float(column[index]) for column in columns[:5]), str(words[index]),
                 *(float(column[index]) for column in columns[5:]))
                for index, name in enumerate(evidence.element_names)
            ),
        ),
    )  # fmt: skip


def _emf_rms_v(evidence: Evidence, b1_rms_t: float) -> NDArray[np.float64]:
    field_t = rotating_field_t(b1_rms_t)
    return np.abs(
        [
            induced_emf_v(element.vertices_m, field_t, frequency_hz=evidence.frequency_hz)
            for element in evidence.layout.elements
        ]
    )


def _currents(evidence: Evidence, b1_rms_t: float) -> _Currents:
    """Of the circuits where there are some, else of the loop that is resonant alone."""
    found = evidence.under_field
    if found is None:
        resistance_ohm = np.sum(list(evidence.network.resistance_ohm.values()), axis=0)
        intact_rms_a = _emf_rms_v(evidence, b1_rms_t) / resistance_ohm
        return _Currents(intact_rms_a=intact_rms_a, detuned_rms_a=np.full(len(intact_rms_a), np.nan))
    scale = b1_rms_t / found.b1_plus_t  # peak current per peak field is rms current per rms field
    return _Currents(intact_rms_a=found.least_intact_a * scale, detuned_rms_a=found.detuned_a * scale)


def _window(evidence: Evidence, b1_rms_t: float) -> FuseWindow:
    currents = _currents(evidence, b1_rms_t)
    return fuse_window(
        currents.intact_rms_a, detuned_rms_a=currents.detuned_rms_a, fuse=GENERIC_FUSE, within_s=_OPENS_WITHIN_S
    )


def _columns(evidence: Evidence, b1_rms_t: float) -> tuple[NDArray[np.float64], ...]:
    """EMF, intact and detuned current, least and largest rating, resistance of the largest and its noise."""
    currents, window = _currents(evidence, b1_rms_t), _window(evidence, b1_rms_t)
    parts = evidence.network.resistance_ohm
    fuse_ohm = fuse_resistance_ohm(window.greatest_a, fuse=GENERIC_FUSE)
    cost_db = noise_cost_db(
        fuse_ohm,
        body_ohm=np.asarray(parts["body"]),
        coil_ohm=np.sum([ohm for name, ohm in parts.items() if name not in ("body", "radiation")], axis=0),
        body_temperature_k=evidence.noise.body_temperature_k,
        coil_temperature_k=evidence.noise.coil_temperature_k,
    )
    return (
        _emf_rms_v(evidence, b1_rms_t),
        currents.intact_rms_a,
        currents.detuned_rms_a,
        window.least_a,
        window.greatest_a,
        fuse_ohm,
        cost_db,
    )
