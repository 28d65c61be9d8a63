"""The fuse of each element: what the loop would carry with nothing acting, and the largest rating that still opens."""

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits import (
    GENERIC_FUSE,
    fuse_resistance_ohm,
    fuse_window,
    induced_emf_v,
    noise_cost_db,
    rotating_field_t,
)
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Table
from loopwright.ground.units import engineering_text

__all__ = ["fuse_sentences", "fuse_tables"]

_OPENS_WITHIN_S = 1.0


def fuse_sentences(interface: InterfaceRequest) -> tuple[str, ...]:
    """Say how the fuses were reckoned; nothing where the transmit field is not known.

    Parameters
    ----------
    interface : InterfaceRequest
        What the scanner offers.
    """
    if interface.largest_b1_rms_t is None:
        return ()
    field = engineering_text(interface.largest_b1_rms_t, "T")
    told = (
        f"Fuses: at {field} rms each loop with nothing acting, resonant on this body, carries its EMF over its "
        "resistance; its reaction on the transmit field is left out, so the current is an upper bound: keep ratings "
        f"well below the largest. That one opens within {_OPENS_WITHIN_S:g} s by the time law of a generic fuse "
        f"({GENERIC_FUSE.source}), and is at most a third of the current (common practice). It also has to be three "
        "times the current of the detuned loop, which is not computed here."
    )
    return (told,)


def fuse_tables(evidence: Evidence, interface: InterfaceRequest) -> tuple[Table, ...]:
    """Give each element's EMF, intact current, largest fuse and its noise.

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
    return (
        Table(
            name="fuses",
            caption="Each loop with nothing acting at the largest transmit field, and the fuse of the largest rating "
            "that opens. A smaller rating has more resistance and costs more noise.",
            columns=(
                Column(title="element"),
                Column(title="EMF, rms", unit="V"),
                Column(title="intact current, rms", unit="A", digits=2),
                Column(title="largest rating", unit="A", digits=2),
                Column(title="its resistance", unit="ohm", digits=2),
                Column(title="noise that it adds", unit="dB", digits=2),
            ),
            rows=tuple(
                (name, *(float(column[index]) for column in columns))
                for index, name in enumerate(evidence.element_names)
            ),
        ),
    )


def _columns(evidence: Evidence, b1_rms_t: float) -> tuple[NDArray[np.float64], ...]:
    """EMF, intact current, largest rating, its resistance and its noise, element by element."""
    field_t = rotating_field_t(b1_rms_t)
    emf_rms_v = np.abs(
        [
            induced_emf_v(element.vertices_m, field_t, frequency_hz=evidence.frequency_hz)
            for element in evidence.layout.elements
        ]
    )
    parts = evidence.network.resistance_ohm
    body_ohm = np.asarray(parts["body"])
    coil_ohm = np.sum([ohm for name, ohm in parts.items() if name not in ("body", "radiation")], axis=0)
    intact_rms_a = emf_rms_v / np.sum(list(parts.values()), axis=0)
    largest_a = fuse_window(intact_rms_a, detuned_rms_a=0.0, fuse=GENERIC_FUSE, within_s=_OPENS_WITHIN_S).greatest_a
    fuse_ohm = fuse_resistance_ohm(largest_a, fuse=GENERIC_FUSE)
    cost_db = noise_cost_db(
        fuse_ohm,
        body_ohm=body_ohm,
        coil_ohm=coil_ohm,
        body_temperature_k=evidence.noise.body_temperature_k,
        coil_temperature_k=evidence.noise.coil_temperature_k,
    )
    return emf_rms_v, intact_rms_a, largest_a, fuse_ohm, cost_db
