"""The ring model as the records that the stage takes."""

import numpy as np

from circuits.ring_model import body, rings
from loopwright.bodies import VoxelGrid
from loopwright.circuits import NoiseTemperatures, tune
from loopwright.conductors import DressedLayout, RoundWire
from loopwright.fields.body import BodyReply, Excitation
from loopwright.fields.wires import PortNetwork
from loopwright.layouts import Element, Layout

FREQUENCY_HZ = 123.2e6
WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)


def dressed(elements, gaps, *, capacitor_q=900.0, other_ohm=0.2):
    corners = np.zeros((8, 3))
    parts = tuple(
        Element(
            name=f"E{e}",
            shape="circle",
            size_m=0.08,
            centre_m=(0.0, 0.0, 0.0),
            normal=(0.0, 0.0, 1.0),
            vertices_m=corners,
            gap_nodes=tuple(range(gaps)),
            layer=0,
        )
        for e in range(elements)
    )
    layout = Layout(
        elements=parts,
        neighbours=(),
        neighbour_distance_m=(),
        least_skin_distance_m=0.01,
        least_conductor_distance_m=None,
        notes=(),
    )
    return DressedLayout(
        layout=layout,
        cross_section=RoundWire(diameter_m=2e-3, conductivity_s_per_m=5.8e7),
        capacitor_q=capacitor_q,
        other_series_resistance_ohm=other_ohm,
    )


def network_of(model):
    place = -np.cos(np.pi * np.arange(5) / 4)
    place[2] = 0
    frequencies_hz = FREQUENCY_HZ * (1 + 0.04 * place)
    _, node_current = model.ports(FREQUENCY_HZ)
    return PortNetwork(
        frequency_hz=FREQUENCY_HZ,
        frequencies_hz=frequencies_hz,
        impedance_ohm=np.stack([model.ports(f)[0] for f in frequencies_hz]),
        port_names=tuple(f"p{p}" for p in range(len(model.port_nodes))),
        port_element=model.port_element,
        port_node=model.port_nodes,
        node_current=node_current,
        node_element=model.node_element,
        loss_matrix_ohm=model.loss_ohm,
        radiation_matrix_ohm=model.radiation_ohm * (FREQUENCY_HZ / 1e8) ** 4,
        mean_loop_current=model.mean(node_current),
        loop_impedance_ohm=model.loop_ohm(FREQUENCY_HZ),
    )


def reply_of(network, *, reaction=1.0):
    """What a made-up body does to the loop mode of this network."""
    elements = len(network.mean_loop_current)
    impedance, absorbed = body(elements, reaction=reaction)
    return BodyReply(
        frequency_hz=FREQUENCY_HZ,
        grid=VoxelGrid(origin_m=(0.0, 0.0, 0.0), spacing_m=0.01, shape=(1, 1, 1)),
        excitation=Excitation.LOOP_MODE,
        source_per_port_current=network.mean_loop_current,
        impedance_ohm=impedance,
        noise_resistance_ohm=absorbed,
        magnetic_field_t_per_a=np.zeros((elements, 3, 1, 1, 1), dtype=np.complex64),
        products=np.ones(elements, dtype=np.int64),
        relative_residuals=np.zeros(elements),
        unknowns=1,
    )


def tuned(*, elements=3, gaps=4, coupling=0.05, reaction=1.0, temperatures=WARM, **parts):
    model = rings(elements=elements, gaps=gaps, nodes=8, coupling=coupling)
    network = network_of(model)
    return tune(
        network,
        reply_of(network, reaction=reaction),
        dressed=dressed(elements, gaps, **parts),
        temperatures=temperatures,
    )
