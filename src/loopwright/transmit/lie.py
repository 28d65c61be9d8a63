"""One lie of the array on the body in the transmit field: the one field solution from which all its cases are told."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.circuits.array_ports import ArrayPorts, ports_from_sources
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.outcome import with_joints
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.wiring import ElementCircuit
from loopwright.conductors import DressedLayout
from loopwright.fields import FaceRule, PortNetwork
from loopwright.fields.transmit import TransmitReply, TransmitSource, amplitudes, open_array, transmit_reply
from loopwright.fields.transmit.reply import RowsInBody
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.transmit.b1 import B1Change, b1_changes
from loopwright.transmit.driven_array import DrivenArray, driven_array

__all__ = ["OUT_OF_PLACE", "Lie", "changes_of_b1", "lie_on_body"]

Complexes = NDArray[np.complex128]

#: Said of a lie whose fields in the body are taken over from another one.
OUT_OF_PLACE = (
    "Fields in the body are those of the design by the currents of this lie: right in strength and not in place, so "
    "that changes of B1+ are estimates and no average over 10 g is told."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lie:
    """The array as it lies on the body, in the field.

    Attributes
    ----------
    wearing : Wearing
        How the carrier lies.
    body : Body
    reply : TransmitReply
        Body and array, from which every state follows.
    alone : TransmitReply
        The same body in the same field without any array.
    driven : DrivenArray
        Gaps, circuits, conductors.
    notes : tuple of str
        What has to be known of all its cases.
    """

    wearing: Wearing
    body: Body
    reply: TransmitReply
    alone: TransmitReply
    driven: DrivenArray
    notes: tuple[str, ...] = ()

    @property
    def in_place(self) -> bool:
        """Whether fields in the body lie where they belong."""
        return OUT_OF_PLACE not in self.notes

    @property
    def rows(self) -> RowsInBody:
        """Fields in the body, source after source of the array, the transmit field last."""
        return _in_body(self.reply)

    def without_t(self) -> NDArray[np.complex64]:
        """Magnetic field in the voxels of the body without the array, per tesla, shape (3, V). [T/T]"""
        return _in_body(self.alone).magnetic_field_t[-1]


def lie_on_body(
    dressed: DressedLayout,
    network: PortNetwork,
    circuits: Sequence[ElementCircuit],
    *,
    source: TransmitSource,
    body: Body,
    alone: TransmitReply,
    temperatures: NoiseTemperatures,
    other_series_resistance_ohm: float,
    face_rule: FaceRule,
    relative_residual: float,
    means: Means,
    wearing: Wearing = Wearing.AS_DESIGNED,
) -> Lie:
    """Solve body and array in the transmit field.

    Parameters
    ----------
    dressed : DressedLayout
        The array as it lies.
    network : PortNetwork
        Its wires.
    circuits : sequence of ElementCircuit
        One for each element.
    source : TransmitSource
        What transmits.
    body : Body
        On its grid.
    alone : TransmitReply
        The body in the same field without array.
    temperatures : NoiseTemperatures
        Of body and coil.
    other_series_resistance_ohm : float
        Joints of one element. [ohm]
    face_rule : FaceRule
    relative_residual : float
        Of the field solution.
    means : Means
    wearing : Wearing
        How the carrier lies.

    Raises
    ------
    NotConvergedError
        If the field solution stops short of its tolerance.
    """
    array = open_array(dressed, network, source)
    reply = transmit_reply(
        body,
        source,
        array=array,
        face_rule=face_rule,
        relative_residual=relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )
    driven = driven_array(
        network,
        np.concatenate([element.vertices_m for element in dressed.layout.elements]),
        names=[element.name for element in dressed.layout.elements],
        ports=with_joints(_ports(network, reply, temperatures), other_series_resistance_ohm),
        circuits=circuits,
        open_v_per_t=reply.open_v_per_t,
        open_current_a_per_t=array.open_current_a_per_t,
    )
    return Lie(wearing=wearing, body=body, reply=reply, alone=alone, driven=driven)


def changes_of_b1(lie: Lie, port_current_a_per_t: Complexes, region: NDArray[np.bool_]) -> tuple[B1Change, ...]:
    """B1+ over that without the array, for currents at the gaps.

    Parameters
    ----------
    lie : Lie
    port_current_a_per_t : ndarray, shape (cases, P)
        Per tesla of B1+. [A/T]
    region : ndarray of bool, shape (nx, ny, nz)
        Voxels of the body over which it is judged.

    Returns
    -------
    tuple of B1Change
        One for each row of currents.
    """
    rows = lie.rows
    own = region[rows.voxels]
    return b1_changes(
        rows.magnetic_field_t[:, :, own],
        amplitudes(lie.reply, port_current_a_per_t),
        lie.without_t()[:, own],
        sense=lie.reply.sense,
        places_m=rows.grid.centre_points_m()[rows.voxels][own],
    )


def _ports(network: PortNetwork, reply: TransmitReply, temperatures: NoiseTemperatures) -> ArrayPorts:
    """The gaps on this body, by the full current of their sources."""
    rows = _in_body(reply)
    return ports_from_sources(
        network,
        temperatures,
        source_per_port_current=reply.source_per_port_current,
        body_ohm=rows.reaction_ohm[:-1, :-1],
        body_noise_ohm=rows.absorption_ohm[:-1, :-1].conj(),
        added_ohm=reply.added_impedance_ohm,
    )


def _in_body(reply: TransmitReply) -> RowsInBody:
    if reply.body is None:
        raise OutsideModelError("what the array does in the body was asked for, but no body was solved")
    return reply.body
