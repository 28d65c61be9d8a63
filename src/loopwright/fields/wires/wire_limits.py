"""Where a dressed layout leaves the range for which the thin-wire model was checked."""

import numpy as np

from loopwright.conductors import (
    FILAMENTS,
    DressedLayout,
    equivalent_radius_m,
    is_strip,
    outline_width_m,
    skin_depth_m,
)
from loopwright.fields.wires.bundling import close_segments, mesh_wires, split_segments
from loopwright.fields.wires.closeness import parallel_distances_m
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["wire_limits"]

#: Segments shorter than this many radii begin to spoil the reduced kernel; below two it fails.
LEAST_LENGTH_OVER_RADIUS = 4.0
#: Longest segment, as a fraction of the free-space wavelength, for rooftops to follow a current of one wave.
LONGEST_OVER_WAVELENGTH = 1 / 20
#: Strips nearer than this many widths, one over the other, are nearer than their filaments are to one another.
NEAREST_BUNDLES_OVER_WIDTH = 0.1
#: Strips thicker than this many skin depths have a far face and a near one.
THICKEST_BUNDLES_OVER_DEPTH = 2.0
_BARE = (
    "Conductors run side by side about as close as they are wide, nearest {0}, {1:.1f} mm apart; currents then share "
    "out between edges in a way that one thin wire each cannot show."
)
_TIGHT = (
    "Strips run over one another less than a tenth of their width apart, nearest {0}, {1:.2f} mm; their filaments are "
    "too few for that and find the inductance between the two too low, by a third at a twenty-fifth of the width."
)


def wire_limits(dressed: DressedLayout, frequency_hz: float) -> tuple[str, ...]:
    """Say where the wires leave the range for which their model was checked.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    tuple of str
        One sentence each; empty inside the range.
    """
    mesh, split = mesh_wires(dressed), split_segments(dressed)
    lengths = np.linalg.norm(mesh.steps_m, axis=1)
    # Filaments are far thinner than their strip.
    ratio = float(min(lengths[~split], default=np.inf)) / equivalent_radius_m(dressed.cross_section)
    found: list[str] = []
    if ratio < LEAST_LENGTH_OVER_RADIUS:
        found.append(
            f"The shortest segment is {ratio:.1f} conductor radii long; below {LEAST_LENGTH_OVER_RADIUS:g} inductances "
            "come out too high (1 % at 1, useless below), so take fewer segments or a narrower conductor."
        )
    if lengths.max() * frequency_hz > LONGEST_OVER_WAVELENGTH * SPEED_OF_LIGHT_M_PER_S:
        found.append("The longest segment exceeds a twentieth of the wavelength; take more segments.")
    return (*found, *_close_runs(dressed), *_thick_bundles(dressed, frequency_hz))


def _close_runs(dressed: DressedLayout) -> tuple[str, ...]:
    """Say which strips are bundles, and which conductors run side by side too close for what stands for them."""
    names = [element.name for element in dressed.layout.elements]
    mesh, close, split = mesh_wires(dressed), close_segments(dressed), split_segments(dressed)
    distance = parallel_distances_m(mesh.vertices_m, mesh.steps_m, mesh.first_node)
    bundled = np.unique(mesh.node_conductor[split])
    found = [_bundled_sentence([names[number] for number in bundled])] if len(bundled) else []
    tight = distance < NEAREST_BUNDLES_OVER_WIDTH * outline_width_m(dressed.cross_section)
    for segments, told in ((close & ~split[:, None], _BARE), (tight & split[:, None], _TIGHT)):
        if segments.any():
            s, other = np.unravel_index(np.argmin(np.where(segments, distance, np.inf)), segments.shape)
            pair = f"{names[mesh.node_conductor[s]]} and {names[other]}"
            found.append(told.format(pair, distance[s, other] * 1e3))
    return tuple(found)


def _thick_bundles(dressed: DressedLayout, frequency_hz: float) -> tuple[str, ...]:
    """Say what bundles of thick foil miss."""
    section = dressed.cross_section
    if not is_strip(section) or not split_segments(dressed).any():
        return ()
    depths = section.thickness_m / float(skin_depth_m(frequency_hz, section.conductivity_s_per_m))
    if depths < THICKEST_BUNDLES_OVER_DEPTH:
        return ()
    told = (
        f"The strip is {depths:.1f} skin depths thick. Where such strips run over one another their current leaves the "
        "far face, which filaments cannot show: their loss comes out too low, by 3 % one width apart, 9 % at half a "
        "width, 30 % at a tenth."
    )
    return (told,)


def _bundled_sentence(names: list[str]) -> str:
    listed = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return (
        f"{listed} run beside or over another element about as close as the strip is wide. There each strip is split "
        f"into {FILAMENTS} filaments among which the current is free to shift every two widths; their charges stay "
        "shared evenly. A search for zero coupling takes one thin wire each."
    )
