"""From evidence to dossier, section by section."""

from loopwright.dossier.answers import answers_section
from loopwright.dossier.asked import asked_section
from loopwright.dossier.conductor_tables import conductor_section
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Dossier
from loopwright.dossier.network import network_section, noise_section
from loopwright.dossier.quality import acceleration_section, snr_section
from loopwright.dossier.subject import body_section, layout_section
from loopwright.dossier.trust import error_section, limits_section

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
        Eleven sections in the order in which an engineer reads them.
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
            network_section(evidence),
            noise_section(evidence),
            snr_section(evidence),
            acceleration_section(evidence),
            error_section(evidence),
            limits_section(evidence.excitation),
        ),
        methods=evidence.methods,
        subject=f"Dossier of a receive array: {len(evidence.element_names)} elements.",
    )
