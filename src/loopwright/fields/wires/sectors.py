r"""Wires that come into themselves when turned by one N-th of a turn: solved sector by sector, wave by wave.

Between N equal sectors every matrix is block circulant, so currents that only gain the phase
:math:`e^{2\pi jm/N}` from one sector to the next do not know those of another m: N systems of the size of one sector
stand for one of the size of all.

References
----------
P. J. Davis, Circulant Matrices, Wiley, 1979 (from memory).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.far_field import far_rows
from loopwright.fields.wires.wire_graph import (
    WireGraph,
    continuity,
    ends_impedance_ohm,
    ends_loss_ohm,
    free_ends,
    graph_pieces,
    unknown_at,
)

__all__ = ["Sector", "SectorPorts", "driven_with_open_gaps", "sector_ports", "turned_round", "wave_reactance_ohm"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """One of several equal parts round the z axis.

    Attributes
    ----------
    count : int
        How many make the whole; at least three.
    nodes_m : ndarray, shape (nodes, 3)
        [m]
    branches : ndarray of int, shape (pieces, 2)
        Nodes of every piece: n + i stands for node i of the following sector, where n is the number of nodes.  Every
        node but a free end is the start of some piece of its own sector.
    radius_m : ndarray, shape (pieces,)
        [m]
    resistance_ohm_per_m : ndarray, shape (pieces,)
        [ohm/m]
    port_nodes : ndarray of int, shape (ports,)
        Nodes at which there are gaps.
    """

    count: int
    nodes_m: Floats
    branches: Integers
    radius_m: Floats
    resistance_ohm_per_m: Floats
    port_nodes: Integers


@dataclass(frozen=True, slots=True, kw_only=True)
class SectorPorts:
    """Ports of all sectors: sector after sector, in each the ports of one.

    Attributes
    ----------
    impedance_ohm : ndarray, shape (P, P)
        All other gaps open; symmetric. [ohm]
    end_current : ndarray, shape (2 pieces, P)
        Currents of all ends of the whole graph per unit current in one port. [A/A]
    radiation_ohm, loss_ohm : ndarray, shape (P, P)
        Power as quadratic forms of the port currents, peak current squared: into free space, and in the wires. [ohm]
    flow_by_wave : ndarray, shape (N, 2 pieces of a sector, unknowns of a sector)
        Currents of the first sector's ends per unknown of each wave.
    open_admittance_siemens : ndarray, shape (N, unknowns of a sector, unknowns of a sector)
        Currents of each wave per voltage along the unknowns while every gap is open. [S]
    """

    impedance_ohm: Complexes
    end_current: Complexes
    radiation_ohm: Complexes
    loss_ohm: Complexes
    flow_by_wave: Complexes
    open_admittance_siemens: Complexes


def turned_round(sector: Sector) -> WireGraph:
    """All sectors as one graph: nodes and pieces of the first, then those of the one a turn over count further."""
    numbers = np.arange(sector.count)
    nodes = len(sector.nodes_m)
    angle = 2 * np.pi * numbers / sector.count
    x, y, z = sector.nodes_m.T
    turned = np.stack(
        [
            np.outer(np.cos(angle), x) - np.outer(np.sin(angle), y),
            np.outer(np.sin(angle), x) + np.outer(np.cos(angle), y),
            np.broadcast_to(z, (sector.count, nodes)),
        ],
        axis=-1,
    )
    branches = (sector.branches + nodes * numbers[:, None, None]) % (nodes * sector.count)
    return WireGraph(
        nodes_m=turned.reshape(-1, 3),
        branches=branches.reshape(-1, 2),
        radius_m=np.tile(sector.radius_m, sector.count),
    )


def sector_ports(sector: Sector, frequency_hz: float) -> SectorPorts:
    """Reduce the wires to the gaps of all sectors, in free space.

    Parameters
    ----------
    sector : Sector
        One of the equal parts.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    SectorPorts
        Ports, the currents behind them, and where their power goes.
    """
    graph = turned_round(sector)
    filled = _by_wave(_between_sectors(graph, sector.count, frequency_hz))
    radiated = _radiation_by_wave(graph, sector.count, frequency_hz)
    lossless = (filled - filled.conj().transpose(0, 2, 1)) / 2 + radiated
    loss = ends_loss_ohm(np.linalg.norm(graph.steps_m, axis=1)[: len(sector.branches)], sector.resistance_ohm_per_m)
    flow, port = _continuity_by_wave(graph, sector)
    solved = [_ports_of_wave(z, loss.toarray(), t, port) for z, t in zip(lossless, flow, strict=True)]
    impedance, currents, radiation, lost, admittance = (np.stack(parts) for parts in zip(*solved, strict=True))
    return SectorPorts(
        impedance_ohm=_over_sectors(impedance),
        end_current=_ends_of_all(currents),
        radiation_ohm=_over_sectors(radiation),
        loss_ohm=_over_sectors(lost),
        flow_by_wave=flow,
        open_admittance_siemens=admittance,
    )


def wave_reactance_ohm(sector: Sector, frequency_hz: float, wave: int) -> Floats:
    """Reactance between the ports of a sector, all other gaps open, for currents of one wave.

    Parameters
    ----------
    sector : Sector
        One of the equal parts.
    frequency_hz : float
        Frequency. [Hz]
    wave : int
        Turns of phase round all sectors.

    Returns
    -------
    ndarray, shape (ports, ports)
        That of :func:`sector_ports` for the wave, without what radiation and losses change in it: parts in Q squared.
        [ohm]
    """
    graph = turned_round(sector)
    blocks = _between_sectors(graph, sector.count, frequency_hz)
    turns = np.exp(2j * np.pi * wave * np.arange(sector.count) / sector.count)
    filled = np.tensordot(turns, blocks, axes=1)
    flow, port = _continuity_by_wave(graph, sector)
    through = flow[wave]
    admittance = np.linalg.inv(through.conj().T @ (filled - filled.conj().T) @ through / 2)
    return np.asarray(np.linalg.inv(admittance[np.ix_(port, port)]).imag)


def driven_with_open_gaps(ports: SectorPorts, end_voltage_v: Complexes) -> Complexes:
    """Currents that outside fields drive while every gap is open.

    Parameters
    ----------
    ports : SectorPorts
        The solved wires.
    end_voltage_v : ndarray, shape (2 pieces, rows)
        Voltage of the outside field along the half rooftop of every end, of all starts and then of all ends. [V]

    Returns
    -------
    ndarray, shape (2 pieces, rows)
        Current of every end; none passes a gap. [A]
    """
    flow = ports.flow_by_wave
    count, ends, _ = flow.shape
    rows = end_voltage_v.shape[1]
    by_sector = end_voltage_v.reshape(2, count, ends // 2, rows).transpose(1, 0, 2, 3).reshape(count, ends, rows)
    along = flow.conj().transpose(0, 2, 1) @ (np.fft.fft(by_sector, axis=0) / count)
    found = _by_wave(flow @ (ports.open_admittance_siemens @ along))
    return np.asarray(found.reshape(count, 2, ends // 2, rows).transpose(1, 0, 2, 3).reshape(count * ends, rows))


def _by_wave(blocks: Complexes) -> Complexes:
    """From what every sector's currents do to the first, (N, ...), to what waves do: sum of blocks times phases."""
    return np.asarray(len(blocks) * np.fft.ifft(blocks, axis=0))


def _between_sectors(graph: WireGraph, count: int, frequency_hz: float) -> Complexes:
    """Impedance from the ends of every sector to those of the first, shape (N, ends, ends)."""
    own = np.arange(len(graph.branches) // count, dtype=np.int64)
    ends = 2 * len(own)
    blocks = np.empty((count, ends, ends), dtype=np.complex128)
    here = graph_pieces(graph, own[None])
    blocks[0] = ends_impedance_ohm(here, np.zeros((1, 2), dtype=np.int64), frequency_hz)
    for other in range(1, count // 2 + 1):
        two = graph_pieces(graph, np.stack([own, own + other * len(own)]))
        whole = ends_impedance_ohm(two, np.array([[0, 1]]), frequency_hz).reshape(2, 2, len(own), 2, 2, len(own))
        block = whole[:, 0, :, :, 1, :].reshape(ends, ends)
        # Seen from the other one, the first is as far back: reciprocity.
        blocks[-other] = block.T
        blocks[other] = block if 2 * other != count else (block + block.T) / 2
    return blocks


def _radiation_by_wave(graph: WireGraph, count: int, frequency_hz: float) -> Complexes:
    """What the waves of ends' currents radiate, per sector, (N, ends, ends): from the field far away."""
    rows = far_rows(graph, frequency_hz)
    directions, pieces = len(rows), len(graph.branches) // count
    by_sector = rows.reshape(directions, 2, count, pieces).transpose(2, 0, 1, 3).reshape(count, directions, 2 * pieces)
    waves = _by_wave(by_sector)
    return np.asarray(waves.conj().transpose(0, 2, 1) @ waves / count)


def _continuity_by_wave(graph: WireGraph, sector: Sector) -> tuple[Complexes, Integers]:
    """Currents of the first sector's ends per unknown of a wave, (N, ends, unknowns), and the unknowns of its ports."""
    count, pieces = sector.count, len(sector.branches)
    flow = continuity(graph).tocoo()
    # An unknown belongs to the sector of the end that it is the current of.
    owner = free_ends(graph) % (pieces * count) // pieces
    place = np.argsort(np.argsort(owner, kind="stable"))
    unknowns = len(owner) // count
    side, piece = np.divmod(flow.row, pieces * count)
    first = piece < pieces
    column = place[flow.col[first]]
    blocks = np.zeros((count, 2 * pieces, unknowns), dtype=np.complex128)
    blocks[column // unknowns, (side * pieces + piece)[first], column % unknowns] = flow.data[first]
    ports = np.array([place[unknown_at(graph, int(node))] for node in sector.port_nodes], dtype=np.int64)
    return _by_wave(blocks), ports


def _ports_of_wave(
    lossless_ohm: Complexes, loss_ohm: Floats, flow: Complexes, port: Integers
) -> tuple[Complexes, Complexes, Complexes, Complexes, Complexes]:
    """Port impedance, end currents, radiation and loss of one wave, and its admittance with the gaps open."""
    admittance = np.linalg.inv(flow.conj().T @ (lossless_ohm + loss_ohm) @ flow)
    response = admittance[:, port]
    ports = np.linalg.inv(response[port])
    currents = flow @ response @ ports
    spent = currents.conj().T @ loss_ohm @ currents
    into_air = currents.conj().T @ lossless_ohm @ currents
    opened = admittance - response @ ports @ admittance[port]
    found = (ports, currents, (into_air + into_air.conj().T) / 2, spent, opened)
    a, b, c, d, e = (np.asarray(part, dtype=np.complex128) for part in found)
    return a, b, c, d, e


def _over_sectors(waves: Complexes) -> Complexes:
    """Matrix between the ports of all sectors from its waves (N, p, p)."""
    count, ports = waves.shape[:2]
    blocks = np.fft.fft(waves, axis=0) / count  # block d: from the ports d sectors further to the first
    number = np.arange(count)
    return np.asarray(
        blocks[(number[None, :] - number[:, None]) % count].transpose(0, 2, 1, 3).reshape(count * ports, count * ports)
    )


def _ends_of_all(waves: Complexes) -> Complexes:
    """Currents of all ends, all starts before all ends, per port of every sector, from their waves (N, 2 pieces, p)."""
    count, ends, ports = waves.shape
    shifted = np.fft.ifft(waves, axis=0)  # entry d: in the sector d further, from the ports of the first
    number = np.arange(count)
    all_of_them = shifted[(number[:, None] - number[None, :]) % count]  # (sector of ends, sector of port, ends, ports)
    split = all_of_them.reshape(count, count, 2, ends // 2, ports)
    return np.asarray(split.transpose(2, 0, 3, 1, 4).reshape(count * ends, count * ports))
