"""Source shells round test bodies, and what can be read from them."""

import numpy as np

from body_cases import gel
from loopwright.bodies import layered_sphere, voxelise
from loopwright.fields.body import closed_loops
from loopwright.fields.source_reply import source_reply
from loopwright.fields.source_shell import source_shell
from loopwright.ground.progress import Forgetful, Silent
from loopwright.imaging.ultimate_channels import ultimate_channels


def ball(radius_m, eps_r, sigma_s_per_m, *, voxels, frequency_hz):
    """Sphere with so many voxels over its diameter."""
    return voxelise(
        layered_sphere(radius_m, tissue_names=("gel",)),
        spacing_m=2 * radius_m / voxels,
        tissues=(gel(eps_r, sigma_s_per_m),),
        frequency_hz=frequency_hz,
    )


def solved_shell(
    body, *, stand_off_m, modes, loops_m=(), spacing_m=None, relative_residual=1e-4, shell=None, part=None, store=None
):
    around = shell or source_shell(body, stand_off_m=stand_off_m, spacing_m=spacing_m or stand_off_m)
    return source_reply(
        body,
        around,
        mode_count=modes,
        array=closed_loops(loops_m) if len(loops_m) else None,
        part=part,
        relative_residual=relative_residual,
        progress=Silent(),
        store=store or Forgetful(),
    )


def channels(reply, *, modes=None, loops=0, part_modes=0, reception_sign=1):
    return ultimate_channels(
        reply,
        reception_sign=reception_sign,
        modes=reply.modes if modes is None else modes,
        array_sources=loops,
        part_modes=part_modes,
    )


def voxel_points(body, reply):
    """Centres of the voxels of the channels, shape (voxels, 3). [m]"""
    return body.grid.centre_points_m()[reply.known]


def along_axis(body, reply, found, axis, places_m):
    """Channels at places on an axis through the centre of a grid with odd numbers of voxels, shape (channels, places).

    By the polynomial through the six nearest voxels with body.
    """
    points = voxel_points(body, reply)
    on_axis = np.flatnonzero(np.linalg.norm(np.delete(points, axis, axis=1), axis=1) < 1e-9)
    nodes = points[on_axis, axis]
    columns = []
    for place in places_m:
        near = np.argsort(np.abs(nodes - place))[:6]
        x = nodes[near]
        weights = np.array([np.prod((place - np.delete(x, i)) / (x[i] - np.delete(x, i))) for i in range(len(x))])
        columns.append(found[:, on_axis[near]] @ weights)
    return np.stack(columns, axis=1)
