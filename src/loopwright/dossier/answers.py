"""Section 2: the questions that are asked every week, answered from the evidence and pointed to their section."""

from math import isfinite

import numpy as np

from loopwright.dossier.circuit_images import circuit_cost_answer
from loopwright.dossier.evidence import Evidence, MapKind, ScalarMap, ShellEvidence
from loopwright.dossier.findings import Answer, Section
from loopwright.dossier.network import coil_noise_figure_phrase, worst_pair
from loopwright.dossier.numbers import printed, printed_as_given, printed_position
from loopwright.dossier.protection import protection_of
from loopwright.dossier.protection_answers import protection_answers
from loopwright.dossier.statistics import (
    at_centre,
    depth_profile,
    reciprocal,
    region_statistics,
    share_beyond_elements,
    weakest_voxel,
)

__all__ = ["answers_section"]

#: Beyond this share of the region a value for a depth is told with a caution.
_MOSTLY = 0.5

_ASKED = {"SNR": "signal-to-noise ratio", "sensitivity": "sensitivity"}


def answers_section(evidence: Evidence, asked_for: tuple[Section, ...] = ()) -> Section:
    """Answer in sentences; the numbers behind them stand in the sections named.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.
    asked_for : tuple of Section
        Sections of what the brief asks for beside the array; their own answers are told here too.
    """
    return Section(
        anchor="answers",
        title="Answers in short",
        answers=(
            _body_noise(evidence),
            *_coupling(evidence),
            *_circuit(evidence),
            *(protection_answers(told) if (told := protection_of(evidence)) is not None else ()),
            *_snr(evidence),
            *(() if evidence.circuit_cost is None else (circuit_cost_answer(evidence, evidence.circuit_cost),)),
            *(answer for section in asked_for for answer in section.answers),
            *_acceleration(evidence),
            *_ultimate(evidence),
            _trust(evidence),
        ),
    )


def _body_noise(evidence: Evidence) -> Answer:
    return Answer(
        question="Is the noise the body's own?",
        answer=coil_noise_figure_phrase(evidence.network, evidence.element_names),
        section="network",
    )


def _coupling(evidence: Evidence) -> tuple[Answer, ...]:
    names = evidence.element_names
    if len(names) < 2:
        return ()
    k = evidence.network.coupling_coefficient
    i, j = worst_pair(k)
    rho = np.abs(evidence.noise.correlation)
    m, n = worst_pair(rho)
    mean = float(rho[np.triu_indices(len(names), k=1)].mean())
    return (
        Answer(
            question="Which elements disturb each other most?",
            answer=f"{names[i]} and {names[j]}, with a coupling coefficient of {printed(float(k[i, j]), digits=2)} "
            f"({printed(float(evidence.network.mutual_reactance_ohm[i, j]), 'ohm', digits=2)}).",
            section="network",
        ),
        Answer(
            question="How far is the noise shared between elements?",
            answer=f"The mean noise correlation of all pairs is {mean:.2f}, the largest {rho[m, n]:.2f} "
            f"({names[m]} and {names[n]}).",
            section="noise",
        ),
    )


def _circuit(evidence: Evidence) -> tuple[Answer, ...]:
    outcome = evidence.circuit
    if outcome is None:
        return ()
    parts = sum(len(circuit.branches) for circuit in outcome.circuits)
    least = min(probe.decoupling_db for probe in outcome.probes)
    loss = float(outcome.synthesis.noise_figure_loss_db.max())
    return (
        Answer(
            question="Which parts does every element need, and does it match?",
            answer=f"{parts} parts, listed one by one in parts.csv. The preamplifiers stand "
            f"{_at_most(loss)} above their least noise figure for what they see, and block the current "
            f"of their loops by {printed(least, 'dB', digits=2)} or more.",
            section="circuit",
        ),
    )


def _at_most(loss_db: float) -> str:
    least = 0.01  # nobody measures a noise figure finer
    return f"less than {least:g} dB" if loss_db < least else f"at most {printed(loss_db, 'dB', digits=2)}"


def _snr(evidence: Evidence) -> tuple[Answer, ...]:
    optimum = next((s for s in evidence.maps.scalars if s.kind is MapKind.SNR), None)
    if optimum is None:
        return ()
    profile = depth_profile(optimum, evidence.maps)
    shells = len(profile.depth_m)
    at = [
        f"{printed(float(profile.median[n]), optimum.unit, digits=2)} "
        f"({printed(float(profile.percentile_90[n]), optimum.unit, digits=2)}) "
        f"at {printed(float(profile.depth_m[n]), 'm', digits=2)}"
        for n in sorted({0, shells // 3, 2 * shells // 3, shells - 1} & set(range(shells)))
    ]
    return (
        Answer(
            question=f"What {_ASKED[optimum.quantity]} do I get, and how deep?",
            answer=f"{optimum.title}, in the median voxel of each depth below the skin (in brackets: what the best "
            f"tenth of them exceed): {', '.join(at)}."
            f"{_beside_the_array(evidence)}{_at_centre(optimum, evidence)}",
            section="snr",
        ),
    )


def _beside_the_array(evidence: Evidence) -> str:
    share = share_beyond_elements(evidence.maps, evidence.layout.elements)
    if share <= _MOSTLY:
        return ""
    return (
        f" Mind: {100 * share:.0f} % of the region's voxels lie beside the array, further from every element's centre "
        "than their depth and its size together, so these medians need not fall with depth; `imaging.region` can be "
        "the part below the array."
    )


def _at_centre(optimum: ScalarMap, evidence: Evidence) -> str:
    centre = at_centre(optimum, evidence.maps)
    if centre is None:
        return ""
    median = region_statistics(optimum, evidence.maps).median
    weakest = weakest_voxel(optimum, evidence.maps)
    worst = f" It is least, {printed(weakest.value, optimum.unit, digits=2)}, at {weakest.place}." if weakest else ""
    return (
        f" At the centre of the region ({printed_position(centre.at_m)}) it is "
        f"{printed(centre.value, optimum.unit, digits=2)}, in the region's median voxel "
        f"{printed(median, optimum.unit, digits=2)}.{worst}"
    )


def _acceleration(evidence: Evidence) -> tuple[Answer, ...]:
    answers = []
    for a in evidence.accelerations:
        found = region_statistics(evidence.maps.named(a.inverse_g_map), evidence.maps)
        left = evidence.maps.named(a.snr_map)
        median = region_statistics(left, evidence.maps).median
        weakest = weakest_voxel(evidence.maps.named(a.inverse_g_map), evidence.maps)
        place = f", at {weakest.place}" if weakest is not None else ""
        answers.append(
            Answer(
                question=f"What does this cost: {a.pattern} ({a.name})?",
                answer=f"g is {printed(a.g_mean)} in the mean of the region, at most "
                f"{printed(reciprocal(found.percentile_5))} in 95 % of it, and "
                f"{printed(reciprocal(found.least))} in the worst voxel{place}. "
                f"In the median voxel {printed(median, left.unit, digits=2)} of {left.quantity} is left.",
                section="acceleration",
            )
        )
    return tuple(answers)


def _ultimate(evidence: Evidence) -> tuple[Answer, ...]:
    return tuple(
        Answer(question=question, answer=answer, section="snr")
        for question, answer in (*_closed_form(evidence), *(_shell(shell) for shell in evidence.shells))
    )


def _closed_form(evidence: Evidence) -> tuple[tuple[str, str], ...]:
    ultimate = evidence.ultimate
    if ultimate is None:
        return ()
    spread = region_statistics(evidence.maps.named(ultimate.fraction_map), evidence.maps)
    answer = (
        f"This one reaches {100 * ultimate.fraction_centre:.0f} % of the ultimate SNR at the centre and "
        f"{100 * spread.median:.0f} % in the median voxel of the region."
    )
    return (("How much more could any array give?", answer),)


def _shell(shell: ShellEvidence) -> tuple[str, str]:
    spread = region_statistics(shell.maps.named(shell.fraction_map), shell.maps)
    accelerated = "".join(
        f"; {one.name}: at most {_percent(one.largest)} of what is left to the best"
        for one in shell.accelerated_fractions
    )
    question = (
        "How much more could any array round the body give?"
        if shell.coverage == "complete"
        else "How much more could any array on the same area give?"
    )
    if not spread.voxels:
        return (
            question,
            f"Not known: the {shell.against} has settled in no voxel. Ask for smaller voxels or more modes.",
        )
    return question, (
        f"This one reaches {_percent(shell.fraction_deepest)} of the {shell.against} in the deepest voxel and "
        f"{_percent(spread.median)} in the median voxel{accelerated}. More combinations would lower these by about "
        f"{100 * shell.settling.median:.1f} % of themselves in the median and {100 * shell.settling.largest:.1f} % at "
        f"most; {_percent(shell.settling.left_out)} of the voxels, those next to the skin first, are left out because "
        "the bound has not settled there."
    )


def _percent(fraction: float) -> str:
    return f"{100 * fraction:.0f} %" if isfinite(fraction) else "an unknown part"


def _trust(evidence: Evidence) -> Answer:
    grids = evidence.grids
    if grids is None:
        answer = "No second grid was solved, so the error of the fields is not estimated in this run."
    else:
        coarse, fine = (printed_as_given(voxel, "m") for voxel in (grids.coarse_voxel_m, grids.fine_voxel_m))
        answer = (
            f"Between voxels of {coarse} and {fine} the body resistance moves by up to "
            f"{100 * float(np.max(grids.body_resistance_relative)):.1f} % and the optimum SNR by "
            f"{100 * grids.snr_relative:.1f} % (95th percentile of the region)."
        )
    return Answer(question="How far can I trust the fields?", answer=answer, section="error")
