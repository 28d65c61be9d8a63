"""From evidence to dossier, section by section."""

from loopwright.dossier.answers import answers_section
from loopwright.dossier.asked import asked_section
from loopwright.dossier.building import built_section
from loopwright.dossier.buying import buying_section
from loopwright.dossier.choosing import choice_section
from loopwright.dossier.circuit import circuit_section
from loopwright.dossier.circuit_images import circuit_cost_section
from loopwright.dossier.coaxial_section import coaxial_section
from loopwright.dossier.conductor_tables import conductor_section
from loopwright.dossier.draping import draping_section
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Dossier, Section
from loopwright.dossier.gap_tables import capacitor_section
from loopwright.dossier.interfacing import interface_section
from loopwright.dossier.loading import loading_section
from loopwright.dossier.network import network_section, noise_section
from loopwright.dossier.protecting import states_section
from loopwright.dossier.protection import protection_of
from loopwright.dossier.quality import acceleration_section, snr_section
from loopwright.dossier.subject import body_section, layout_section
from loopwright.dossier.transmitting import transmit_sections
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
    chosen = () if evidence.conductor_choice is None else (choice_section(evidence.conductor_choice),)
    draped = () if evidence.draped is None else (draping_section(evidence.draped, evidence.element_names),)
    wired = _circuit_sections(evidence)
    transmit = () if evidence.while_transmitting is None else transmit_sections(evidence.while_transmitting)
    return Dossier(
        title=evidence.title,
        tool_version=evidence.tool_version,
        element_names=evidence.element_names,
        sections=(
            asked_section(evidence),
            answers_section(evidence, (*draped, *chosen, *wired, *transmit)),
            body_section(evidence.body),
            layout_section(evidence),
            *draped,
            conductor_section(evidence.conductor),
            *chosen,
            network_section(evidence),
            *(() if evidence.loading is None else (loading_section(evidence.loading),)),
            *(() if evidence.coaxial is None else (coaxial_section(evidence, evidence.coaxial),)),
            *wired,
            *(() if evidence.capacitors is None else (capacitor_section(evidence.capacitors),)),
            *((other,) if (other := two_frequencies_section(evidence)) is not None else ()),
            noise_section(evidence),
            snr_section(evidence),
            *_circuit_cost(evidence),
            acceleration_section(evidence),
            *((interface_section(evidence, evidence.interface),) if evidence.interface is not None else ()),
            *transmit,
            error_section(evidence),
            limits_section(evidence.excitation, evidence),
        ),
        methods=evidence.methods,
        subject=f"Dossier of a receive array: {len(evidence.element_names)} elements.",
    )


def _circuit_sections(evidence: Evidence) -> tuple[Section, ...]:
    if evidence.circuit is None:
        return ()
    names = evidence.element_names
    told = protection_of(evidence)
    return (
        circuit_section(evidence.circuit, names),
        *(() if told is None else (states_section(told),)),
        buying_section(evidence.circuit, names),
        *(() if evidence.built is None else (built_section(evidence.built, names),)),
        *(() if evidence.worn is None else (worn_section(evidence.worn, names),)),
    )


def _circuit_cost(evidence: Evidence) -> tuple[Section, ...]:
    if evidence.circuit is None or evidence.circuit_cost is None:
        return ()
    return (circuit_cost_section(evidence, evidence.circuit_cost, evidence.circuit),)
