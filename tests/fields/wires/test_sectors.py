"""Wires of equal sectors, solved wave by wave, against the same wires solved at once."""

import numpy as np
import pytest

from loopwright.fields.wires.sectors import Sector, driven_with_open_gaps, sector_ports, turned_round
from loopwright.fields.wires.wire_graph import (
    continuity,
    graph_impedance_ohm,
    unknown_at,
)

F = 127.7e6


def small_cage(count=6, *, radius_m=0.1, half_m=0.08):
    """Two rings of two pieces per sector with a gap in each arc, rungs of three pieces; a grid of wires outside."""
    half = np.pi / count

    def at(radius, angle, z):
        return [radius * np.cos(angle), radius * np.sin(angle), z]

    levels = np.linspace(-half_m, half_m, 4)
    cage = [at(radius_m, 0, z) for z in levels] + [at(radius_m, half, z) for z in (-half_m, half_m)]
    outside = [at(1.5 * radius_m, half / 2, z) for z in (-half_m, 0, half_m)]
    n = len(cage) + len(outside)
    rungs = [(0, 1), (1, 2), (2, 3)]
    rings = [(0, 4), (4, n), (3, 5), (5, n + 3)]
    grid = [(6, 7), (7, 8), (6, n + 6), (7, n + 7), (8, n + 8)]
    branches = np.array(rungs + rings + grid)
    return Sector(
        count=count,
        nodes_m=np.array(cage + outside),
        branches=branches,
        radius_m=np.where(np.arange(len(branches)) < 7, 1e-3, 3e-3),
        resistance_ohm_per_m=np.where(np.arange(len(branches)) < 7, 0.1, 0.02),
        port_nodes=np.array([4, 5]),
    )


@pytest.mark.parametrize("count", [5, 6])
def test_waves_are_the_whole(count):
    sector = small_cage(count)
    graph = turned_round(sector)
    resistance = np.tile(sector.resistance_ohm_per_m, count)
    nodes = (np.arange(count)[:, None] * len(sector.nodes_m) + sector.port_nodes).ravel()
    port = [unknown_at(graph, node) for node in nodes]
    response = np.linalg.inv(graph_impedance_ohm(graph, F, resistance_ohm_per_m=resistance))[:, port]
    impedance = np.linalg.inv(response[port])
    ends = continuity(graph) @ response @ impedance
    found = sector_ports(sector, F)
    # Reactances are the same matrices; resistances are a hundredth of them, and of the far field in place of a kernel.
    assert np.abs(found.impedance_ohm - impedance).max() <= 1e-6 * np.abs(impedance).max()
    assert np.abs(found.end_current - ends).max() <= 1e-6 * np.abs(ends).max()


def test_power_into_the_ports_is_radiated_or_lost():
    sector = small_cage()
    found = sector_ports(sector, F)
    spent = found.radiation_ohm + found.loss_ohm
    resistance = (found.impedance_ohm + found.impedance_ohm.conj().T) / 2
    assert np.abs(resistance - spent).max() <= 1e-9 * np.abs(found.impedance_ohm).max()
    assert np.linalg.eigvalsh(found.radiation_ohm)[0] >= -1e-12 * np.abs(found.radiation_ohm).max()


def test_ports_are_reciprocal():
    found = sector_ports(small_cage(), F).impedance_ohm
    assert np.abs(found - found.T).max() <= 1e-9 * np.abs(found).max()


def test_an_outside_field_drives_the_wires_but_no_gap():
    """Against the whole: the gaps' currents are what an ideal source in every gap would have to hold at zero."""
    sector = small_cage()
    graph = turned_round(sector)
    flow = continuity(graph)
    nodes = (np.arange(6)[:, None] * len(sector.nodes_m) + sector.port_nodes).ravel()
    port = [unknown_at(graph, node) for node in nodes]
    rng = np.random.default_rng(1)
    voltage = rng.normal(size=(flow.shape[0], 2)) + 1j * rng.normal(size=(flow.shape[0], 2))
    impedance = graph_impedance_ohm(graph, F, resistance_ohm_per_m=np.tile(sector.resistance_ohm_per_m, 6))
    kept = np.setdiff1d(np.arange(flow.shape[1]), port)
    current = np.zeros((flow.shape[1], 2), dtype=complex)
    current[kept] = np.linalg.solve(impedance[np.ix_(kept, kept)], (flow.T @ voltage)[kept])
    found = driven_with_open_gaps(sector_ports(sector, F), voltage)
    assert np.abs(found - flow @ current).max() <= 1e-5 * np.abs(found).max()
