"""From evidence to dossier, section by section."""

from loopwright.dossier.answers import answers_section
from loopwright.dossier.asked import asked_section
from loopwright.dossier.building import built_section
from loopwright.dossier.choosing import choice_section
from loopwright.dossier.circuit import circuit_section
from loopwright.dossier.conductor_tables import conductor_section
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Dossier
from loopwright.dossier.gap_tables import capacitor_section
from loopwright.dossier.interfacing import interface_section
from loopwright.dossier.network import network_section, noise_section
from loopwright.dossier.quality import acceleration_section, snr_section
from loopwright.dossier.subject import body_section, layout_section
from loopwright.dossier.trust import error_section, limits_section
from loopwright.dossier.two_frequencies import two_frequencies_section
from loopwright.dossier.wearing import worn_section

__all__ = ["compile_dossier"]


def compile_dossier(evidence: Evidence) -> Dossier:
    """Write the dossier of one run, apart from its references, which the writer of the page looks up.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.

    Returns
    -------
    Dossier
        Sections in the order in which an engineer reads them; what was not asked for has none.
    """
    return Dossier(
        title=evidence.title,
        tool_version=evidence.tool_version,
        element_names=evidence.element_names,
        sections=(
            asked_section(evidence),
            answers_section(evidence),
            body_section(evidence.body),
            layout_section(evidence),
            conductor_section(evidence.conductor),
            *(() if evidence.conductor_choice is None else (choice_section(evidence.conductor_choice),)),
            network_section(evidence),
            *(() if evidence.circuit is None else (circuit_section(evidence.circuit, evidence.element_names),)),
            *(() if evidence.built is None else (built_section(evidence.built, evidence.element_names),)),
            *(() if evidence.worn is None else (worn_section(evidence.worn, evidence.element_names),)),
            *(() if evidence.capacitors is None else (capacitor_section(evidence.capacitors),)),
            *((other,) if (other := two_frequencies_section(evidence)) is not None else ()),
            noise_section(evidence),
            snr_section(evidence),
            acceleration_section(evidence),
            *((interface_section(evidence, evidence.interface),) if evidence.interface is not None else ()),
            error_section(evidence),
            limits_section(evidence.excitation),
        ),
        methods=evidence.methods,
        subject=f"Dossier of a receive array: {len(evidence.element_names)} elements.",
    )
