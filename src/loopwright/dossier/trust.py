"""Sections 10 and 11: how good the numbers are, and what they must not be used for."""

from functools import partial

import numpy as np

from loopwright.dossier.evidence import Evidence, GridComparison
from loopwright.dossier.findings import Column, Finding, Section, Table, computed
from loopwright.dossier.transmit_words import heat_was_asked
from loopwright.fields import Excitation
from loopwright.limits import WhileTransmitting

__all__ = ["error_section", "limits_section"]

_WHOLE_CHANGE = (
    "The body was solved twice, on grids of different voxels. The whole change between them is printed as the "
    "uncertainty: for a method that converges with the square of the voxel it overstates the error of the finer grid. "
    "It does not hold the errors of tissue properties, of the body's shape, or of the wire model."
)

_EXCITATION_LIMITS = {
    Excitation.LOOP_MODE: (
        "The wires carry the current of one mode per element into the body solution; charges at gaps do not load the "
        "body."
    ),
    Excitation.FULL_CURRENT: (
        "The currents and charges of all wires meet the body, as they are without it: what the body does to the spread "
        "of current along a wire between its gaps is left out."
    ),
}

_NO_TRANSMIT = (
    "Receive only. Nothing here tells about the transmit field, about heating, or about currents that are induced in "
    "elements and cables{but}."
)
_STATED_FIELD = (
    "What a transmit field drives in the elements is told under States and faults, as a bound, for a uniform rotating "
    "field of the size that the brief states. The field of a real transmit coil, what the array does to it, heating of "
    "parts and of the patient, and currents on cables are not computed."
)

_TRANSMIT_TOLD = (
    "What the array does while the scanner transmits is told for one body, place and sequence, one thing wrong at a "
    "time: under While the scanner transmits, with what it takes for granted. Currents on cables, heating by switched "
    "gradients, implants, and the reaction of the scanner's transmitter are not computed{heat}."
)
_NO_HEAT = "; nor is any temperature, which the brief does not ask for"

_MATCHED_WITHOUT_LOSS = (
    "Each element is alone resonant with its equal gap capacitors, or of coaxial line with one part at its terminal, "
    "loaded by this body, the others open, and then matched without loss"
)
_IDEAL = (
    f"{_MATCHED_WITHOUT_LOSS}. Preamplifiers, traps, cables, matching losses, covers and the bore are not part of the "
    "model of SNR and noise."
)
_THROUGH_CIRCUIT = (
    f"{_MATCHED_WITHOUT_LOSS}, in the maps of SNR and 1/g and in the section on noise. What match, traps and "
    "preamplifiers of the brief's circuit take from that is told in the section on what they cost, with the values as "
    "found: multiply the two. Cables behind the preamplifiers, covers and the bore are not part of the model."
)
_NOT_COMPUTED = "Neighbours' copper as a source of loss, and the width of gaps, are not computed."
_AS_LAID = "Bending and stretch in use are not computed{ask}."
_WORN = "Bending, stretch and other loads are told for the circuit alone: maps are those of the array as laid."
_SPREAD = "Spread of parts is not computed."
_FIRST_ORDER = (
    "Spread of parts is told to first order, part by part; `tolerances` in a brief asks for the yield of built arrays."
)
_BUILT = "The yield of built arrays is that of untrimmed ones; all other figures are those of the array as drawn."

_CAUTIONS = (
    (
        "This page is a calculation, not an approval. Whether a coil may be connected to a scanner or worn by a person "
        "is for the standards that apply, the maker of the scanner, the regulator, the ethics board, and the persons "
        "licensed to decide it; it needs measurements on the built coil."
    ),
    (
        "A coil that receives well can still cause burns: detuning, traps and cables have to be designed, measured and "
        "tested under single faults before anyone lies in it."
    ),
)
_change = partial(computed, how="same brief on a finer and a coarser grid", because="it is itself the estimate")


def error_section(evidence: Evidence) -> Section:
    """Tell the change between two grids, and the numerical settings."""
    grids = evidence.grids
    return Section(
        anchor="error",
        title="How good the numbers are",
        prose=(_WHOLE_CHANGE,) if grids else ("No second grid was solved, so no error of the fields is printed.",),
        findings=() if grids is None else _grid_findings(grids),
        tables=(
            Table(
                name="settings",
                caption="Numerical settings, and what the solvers reported.",
                columns=(Column(title="setting"), Column(title="value"), Column(title="remark")),
                rows=tuple((line.name, line.value, line.remark) for line in evidence.settings),
            ),
        ),
    )


def limits_section(excitation: Excitation, evidence: Evidence | None = None) -> Section:
    """Tell what this run does not do, and who has to be asked.

    Parameters
    ----------
    excitation : Excitation
        The one that met the body.
    evidence : Evidence or None
        Of one run; none for a comparison of designs.
    """
    prose = (*(_of_designs() if evidence is None else _of_a_run(evidence)), _EXCITATION_LIMITS[excitation])
    return Section(anchor="limits", title="What this does not tell", prose=prose, cautions=_CAUTIONS)


def _of_designs() -> tuple[str, ...]:
    return _NO_TRANSMIT.format(but=""), _IDEAL, f"{_NOT_COMPUTED} {_AS_LAID.format(ask='')} {_SPREAD}"


def _of_a_run(evidence: Evidence) -> tuple[str, ...]:
    told = evidence.while_transmitting
    if evidence.circuit is None:
        fuses = evidence.interface is not None
        but = ", but for the bound by which fuses are rated where the brief states a field" if fuses else ""
        transmit = _NO_TRANSMIT.format(but=but) if told is None else _of_transmit(told)
        return transmit, _IDEAL, f"{_NOT_COMPUTED} {_AS_LAID.format(ask='')} {_SPREAD}"
    worn = _AS_LAID.format(ask="; `family` in a brief asks for them") if evidence.worn is None else _WORN
    spread = _FIRST_ORDER if evidence.built is None else _BUILT
    matched = _IDEAL if evidence.circuit_cost is None else _THROUGH_CIRCUIT
    transmit = _STATED_FIELD if told is None else _of_transmit(told)
    return transmit, matched, f"{_NOT_COMPUTED} {worn} {spread}"


def _of_transmit(told: WhileTransmitting) -> str:
    return _TRANSMIT_TOLD.format(heat="" if heat_was_asked(told) else _NO_HEAT)


def _grid_findings(grids: GridComparison) -> tuple[Finding, ...]:
    largest = float(np.max(grids.body_resistance_relative))
    return (
        _change("error.fine_voxel_m", "finer voxel", grids.fine_voxel_m, "m"),
        _change("error.coarse_voxel_m", "coarser voxel", grids.coarse_voxel_m, "m"),
        _change("error.body_resistance_relative", "largest relative change of body resistance", largest, "1"),
        _change("error.snr_relative", "relative change of the optimum SNR, 95th percentile", grids.snr_relative, "1"),
        *(
            _change(f"error.inverse_g.{name}", f"change of 1/g, {name}, 95th percentile", change, "1")
            for name, change in grids.inverse_g_absolute.items()
        ),
    )
