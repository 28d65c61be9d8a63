"""The source shells that a brief asks for, laid round its body and solved."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from loopwright.bodies import Body
from loopwright.brief.records import SourceShellRequest
from loopwright.fields.body import BodySources, FaceRule
from loopwright.fields.source_reply import SourceReply, source_reply
from loopwright.fields.source_shell import SourceShell, covered_part, source_shell
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress
from loopwright.layouts import Layout

__all__ = ["ShellReply", "shell_replies"]

#: Sites beyond this many would only make work: the modes that are solved are found from fewer.
_MOST_SITES = 2500
# Share of the spacing squared that one site holds when each is the farthest from all before it, measured.
_AREA_PER_SITE = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellReply:
    """One source shell with the body's reply; the array's own sources, and a part's modes, stand after the modes.

    ``margin_m`` is how far the covered part reaches beyond the outlines of the elements, projected onto the skin. [m]
    """

    coverage: Literal["complete", "covered"]
    stand_off_m: float
    spacing_m: float
    margin_m: float
    reply: SourceReply


def shell_replies(
    asked: SourceShellRequest,
    *,
    body: Body,
    layout: Layout,
    array: BodySources,
    face_rule: FaceRule,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device,
) -> tuple[ShellReply, ...]:
    """Solve every source shell that is asked for; where both are, the covered part's modes join those of the whole.

    Parameters
    ----------
    asked : SourceShellRequest
        Coverage and number of modes.
    body : Body
        On the grid on which the array's reply is known.
    layout : Layout
        Its least distance from the skin is that of the shell, but at least one voxel, for nearer to a face the field
        of a small loop varies too much over the face. The ultimate does not depend on where the surface lies.
    array : BodySources
        What of the array carries current, in the same order as in its own reply.
    face_rule : FaceRule
        That of the array's reply.
    relative_residual : float
        Tolerance of the iterative solution: that of the array, so that its finished pieces are found again.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Modes and finished batches are kept here and found again.
    device : Device
        Where the fields are solved.

    Raises
    ------
    NotConvergedError
        When the iteration stops short of its tolerance.
    OutsideModelError
        When the covered part is asked for and an element lies over no part of the body.
    """
    stand_off_m = max(layout.least_skin_distance_m, body.grid.spacing_m)
    spacing_m = _spacing_m(body, stand_off_m, asked.modes)
    complete = source_shell(body, stand_off_m=stand_off_m, spacing_m=spacing_m)
    # as far as a site may be from any place of the surface, that no element is left without one
    margin_m = max(stand_off_m, spacing_m)
    covered = _covered(body, complete, layout, margin_m) if "covered" in asked.coverages else None
    replies = []
    for coverage in asked.coverages:
        shell, part = (complete, covered) if covered is None or coverage == "complete" else (covered, None)
        reply = source_reply(
            body, shell, mode_count=asked.modes, array=array, part=part, face_rule=face_rule,
            relative_residual=relative_residual, progress=progress, store=store, device=device,
        )  # fmt: skip
        replies.append(
            ShellReply(coverage=coverage, stand_off_m=stand_off_m, spacing_m=spacing_m, margin_m=margin_m, reply=reply)
        )
    return tuple(replies)


def _covered(body: Body, complete: SourceShell, layout: Layout, margin_m: float) -> SourceShell:
    return covered_part(
        body,
        complete,
        [element.vertices_m for element in layout.elements],
        normals=np.array([element.normal for element in layout.elements]),
        margin_m=margin_m,
    )


def _spacing_m(body: Body, stand_off_m: float, modes: int) -> float:
    """About the stand-off, unless that makes fewer sites than modes or more than are of use. [m]"""
    x, y, z = (float(np.ptp(body.grid.nodes_m(axis))) + 2 * stand_off_m for axis in range(3))
    area_m2 = 0.6 * 2 * (x * y + y * z + z * x)  # between a box, 1, and a ball, 0.52
    sites = float(np.clip(area_m2 / (_AREA_PER_SITE * stand_off_m**2), modes, max(_MOST_SITES, modes)))
    return float(np.sqrt(area_m2 / (_AREA_PER_SITE * sites)))
