"""What the job was solved with, and how well the solutions hold: lines of settings."""

import numpy as np

from loopwright.bodies import Body
from loopwright.brief.records import Brief
from loopwright.circuits import TunedArray
from loopwright.conductors import DressedLayout
from loopwright.dossier.evidence import SettingLine
from loopwright.fields.body import BodyReply, Excitation, missed_at_most
from loopwright.fields.wires import PortNetwork

__all__ = ["setting_lines"]


_EXCITATION_REMARKS = {
    Excitation.LOOP_MODE: "one uniform current for each element; charges at the gaps do not meet the body",
    Excitation.FULL_CURRENT: "currents and charges of all wires, dielectric loading included",
}


def setting_lines(
    brief: Brief,
    dressed: DressedLayout,
    network: PortNetwork,
    *,
    reply: BodyReply,
    array: TunedArray,
    body: Body,
    coarse_body: Body,
) -> tuple[SettingLine, ...]:
    """Tell sizes, residuals and what symmetry and balance are off by.

    Parameters
    ----------
    brief : Brief
        What was asked.
    dressed : DressedLayout
        The array and its conductor.
    network : PortNetwork
        The wires without body.
    reply : BodyReply
        What the body adds, on the grid of the brief.
    array : TunedArray
        The array tuned on it.
    body, coarse_body : Body
        The body on both grids.
    """
    asked = brief.computation
    return (
        SettingLine(name="wire nodes", value=str(len(network.node_element))),
        SettingLine(name="gaps (ports of the wire network)", value=str(len(network.port_names))),
        SettingLine(
            name="frequencies solved", value=str(len(network.frequencies_hz)), remark="polynomial between them"
        ),
        SettingLine(name="voxels", value=" x ".join(str(n) for n in body.grid.shape)),
        SettingLine(name="voxels, coarser grid", value=" x ".join(str(n) for n in coarse_body.grid.shape)),
        SettingLine(
            name="excitation of the body",
            value=reply.excitation.value,
            remark=_EXCITATION_REMARKS[reply.excitation],
        ),
        _charges_line(reply.excitation, missed_at_most(dressed, body)),
        SettingLine(name="faces that carry current", value=str(reply.unknowns)),
        SettingLine(
            name="relative residual asked for",
            value=f"{asked.relative_residual:.1e}",
            remark=f"largest reached {reply.relative_residuals.max():.1e}",
        ),
        SettingLine(name="products with the operator, each source", value=f"up to {reply.products.max()}"),
        SettingLine(
            name="asymmetry of the body's impedance",
            value=f"{reply.asymmetry:.1e}",
            remark="largest |Z_ij - Z_ji| / sqrt(|Z_ii Z_jj|); exact reciprocity would give 0",
        ),
        SettingLine(
            name="resistance that the split leaves over",
            value=f"{array.unassigned_resistance:.1e}",
            remark="of the largest; the mechanisms must add up",
        ),
    )


def _charges_line(excitation: Excitation, missed: float) -> SettingLine:
    """What charges at the gaps add, and whether they are in the figures."""
    known = np.isfinite(missed)
    remarks = {
        Excitation.LOOP_MODE: "left out of every figure here",
        Excitation.FULL_CURRENT: "in the figures; the bound is what the loop mode would have missed",
    }
    beyond = "the bound was measured for wires 5 mm and more from the skin and gaps within a radian of the wave"
    return SettingLine(
        name="charges at the gaps, part of the body's resistance",
        value=f"at most {100 * missed:.2g} %" if known else "not bounded",
        remark=remarks[excitation] if known else f"{remarks[excitation].split(';')[0]}; {beyond}",
    )
