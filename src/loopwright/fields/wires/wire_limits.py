"""Where a dressed layout leaves the range for which the thin-wire model was checked."""

import numpy as np

from loopwright.conductors import DressedLayout, equivalent_radius_m, outline_width_m
from loopwright.fields.wires.closeness import parallel_run_distances_m
from loopwright.fields.wires.port_network import mesh_wires
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["wire_limits"]

#: Segments shorter than this many radii begin to spoil the reduced kernel; below two it fails.
LEAST_LENGTH_OVER_RADIUS = 4.0
#: Longest segment, as a fraction of the free-space wavelength, for rooftops to follow a current of one wave.
LONGEST_OVER_WAVELENGTH = 1 / 20
#: Side by side closer than this many widths, strips share their current between the edges: 5 % of inductance.
LEAST_RUN_OVER_WIDTH = 1.0


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
    mesh = mesh_wires(dressed)
    lengths = np.linalg.norm(mesh.steps_m, axis=1)
    ratio = float(lengths.min()) / equivalent_radius_m(dressed.cross_section)
    found: list[str] = []
    if ratio < LEAST_LENGTH_OVER_RADIUS:
        found.append(
            f"The shortest segment is {ratio:.1f} conductor radii long; below {LEAST_LENGTH_OVER_RADIUS:g} inductances "
            "come out too high (1 % at 1, useless below), so take fewer segments or a narrower conductor."
        )
    if lengths.max() * frequency_hz > LONGEST_OVER_WAVELENGTH * SPEED_OF_LIGHT_M_PER_S:
        found.append("The longest segment exceeds a twentieth of the wavelength; take more segments.")
    return (*found, *_close_runs(dressed))


def _close_runs(dressed: DressedLayout) -> tuple[str, ...]:
    """Name the pairs of elements whose conductors run side by side within a width."""
    mesh = mesh_wires(dressed)
    width = outline_width_m(dressed.cross_section)
    distance = parallel_run_distances_m(mesh.vertices_m, mesh.steps_m, mesh.first_node)
    close = np.argwhere(np.triu(distance < LEAST_RUN_OVER_WIDTH * width))
    names = [element.name for element in dressed.layout.elements]
    return tuple(
        f"{names[i]} and {names[j]} run side by side {distance[i, j] * 1e3:.1f} mm apart, closer than the conductor is "
        "wide; currents then share out between edges in a way that one thin wire each cannot show."
        for i, j in close
    )
