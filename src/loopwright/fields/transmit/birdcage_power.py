"""Where the power of a driven birdcage goes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.transmit.birdcage_drive import Driven
from loopwright.fields.transmit.birdcage_load import CageLoad
from loopwright.fields.transmit.birdcage_wires import CageWires
from loopwright.fields.wires.far_field import moments_of_ends, radiated_power_w
from loopwright.fields.wires.wire_graph import ends_loss_ohm

__all__ = ["CagePower", "cage_power", "end_currents_a"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class CagePower:
    """Power from the sources and to all that takes it, each found by itself. [W]

    Attributes
    ----------
    source_w : float
        Out of both sources. [W]
    body_w : float
        Integral of the loss over the body. [W]
    conductor_w, shield_w, capacitor_w : float
        [W]
    radiated_w : float
        Of resonator, shield and body together, from their field far away. [W]
    """

    source_w: float
    body_w: float
    conductor_w: float
    shield_w: float
    capacitor_w: float
    radiated_w: float

    @property
    def imbalance(self) -> float:
        """What is taken over what is delivered, less one."""
        taken = self.body_w + self.conductor_w + self.shield_w + self.capacitor_w + self.radiated_w
        return taken / self.source_w - 1


def end_currents_a(wires: CageWires, driven: Driven, load: CageLoad | None = None) -> Complexes:
    """Currents of all ends of a driven birdcage, with what a body drives in its wires, shape (2 pieces,). [A]"""
    ends = wires.ports.end_current @ driven.port_current_a
    if load is None:
        return np.asarray(ends)
    return np.asarray(ends + load.answer_current @ (load.patterns.T @ driven.port_current_a))


def cage_power(wires: CageWires, driven: Driven, load: CageLoad | None = None) -> CagePower:
    """Find where the power goes.

    Parameters
    ----------
    wires : CageWires
        The resonator.
    driven : Driven
        Its currents, with the body if there is one.
    load : CageLoad, optional
        The body.
    """
    ends = end_currents_a(wires, driven, load)
    lengths_m = np.linalg.norm(wires.graph.steps_m, axis=1)
    lost = [
        float((ends.conj() @ (ends_loss_ohm(lengths_m, wires.resistance_ohm_per_m * own) @ ends)).real / 2)
        for own in (~wires.in_shield, wires.in_shield)
    ]
    points, moments = moments_of_ends(wires.graph, ends)
    if load is not None:
        in_body, of_body = load.moments(driven.port_current_a)
        points, moments = np.concatenate([points, in_body]), np.concatenate([moments, of_body])
    return CagePower(
        source_w=driven.source_w,
        body_w=0.0 if load is None else load.absorbed_w(driven.port_current_a),
        conductor_w=lost[0],
        shield_w=lost[1],
        capacitor_w=driven.capacitor_w,
        radiated_w=radiated_power_w(points, moments, wires.frequency_hz),
    )
