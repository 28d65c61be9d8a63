"""The loop of one_loop_states.yaml on the wires' own engine."""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from ruamel.yaml import YAML

from circuits.ready_circuits import KIT, two_traps
from circuits.test_real_wires import ring
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.parts import Capacitor, CrossedDiodes, PinDiode
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.resistances import port_resistances
from loopwright.circuits.wiring import Branch
from loopwright.conductors import FlatStrip
from loopwright.fields.wires import PortNetwork, solve_network
from wire_arrays import dressed

GIVEN = YAML(typ="safe").load(Path(__file__).with_name("one_loop_states.yaml"))
PRINTED = GIVEN["printed"]
F = GIVEN["geometry"]["frequency_hz"]


def node_emf_v(vertices_m, b_t):
    """Voltage on every node's rooftop; the field goes linearly along a segment, so the integrals are exact."""
    here = -2j * np.pi * F * np.cross(b_t, vertices_m) / 2
    there, step = np.roll(here, -1, axis=0), np.roll(vertices_m, -1, axis=0) - vertices_m
    rising = np.sum((here / 6 + there / 3) * step, axis=-1)
    return np.sum((here / 3 + there / 6) * step, axis=-1) + np.roll(rising, 1)


@dataclass(frozen=True)
class Loop:
    network: PortNetwork
    vertices_m: np.ndarray

    @property
    def inner_ohm(self):
        """Inner reactance of the conductor between the gaps."""
        current = self.network.node_current
        return 1j * current.T @ self.network.loss_matrix_ohm @ current

    def ports(self, sample_ohm):
        mean = self.network.mean_loop_current[0]
        nothing = np.zeros((1, 1), dtype=complex)
        network = self.network
        return ArrayPorts(
            frequency_hz=F,
            frequencies_hz=network.frequencies_hz,
            impedance_ohm=network.impedance_ohm + sample_ohm * np.outer(mean, mean) + self.inner_ohm,
            port_element=network.port_element,
            resistances=port_resistances(
                node_current=network.node_current,
                loss_matrix_ohm=network.loss_matrix_ohm,
                radiation_matrix_ohm=network.radiation_matrix_ohm,
                source_per_port_current=network.mean_loop_current,
                body_impedance_ohm=nothing + sample_ohm,
                body_noise_resistance_ohm=nothing + sample_ohm,
            ),
            temperatures=NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0),
        )

    def node_emf_v(self):
        b1 = GIVEN["field"]["b1_t"]
        return node_emf_v(self.vertices_m, [0, 1j * b1, b1])

    def emf_v(self):
        """Voltages of the open gaps, by reciprocity with the currents of each driven gap."""
        return self.network.node_current.T @ self.node_emf_v()


@cache
def loop():
    given = GIVEN["geometry"]
    vertices = ring(given["loop_diameter_m"] / 2, 0.0, corners=given["segments"])
    strip = FlatStrip(
        width_m=given["strip_width_m"],
        thickness_m=given["strip_thickness_m"],
        conductivity_s_per_m=given["conductivity_s_per_m"],
    )
    parts = dressed([vertices], section=strip, gaps=given["gaps"])
    return Loop(solve_network(parts, F, band_fraction=0.15, frequency_count=7), vertices)


def circuit():
    c = GIVEN["circuit"]
    kit = replace(
        KIT,
        capacitor_q=c["capacitor_q"],
        inductor_q=c["inductor_q"],
        pin_diode=pin(c["pin_on_ohm"]),
        crossed_diodes=CrossedDiodes(
            conducting_resistance_ohm=c["crossed_on_ohm"],
            blocking_resistance_ohm=c["crossed_off_ohm"],
            blocking_capacitance_f=c["crossed_off_f"],
        ),
    )
    return two_traps(match_f=c["match_f"], tune_f=c["tune_f"], series_h=c["series_h"], kit=kit)


def pin(on_ohm):
    c = GIVEN["circuit"]
    return PinDiode(
        forward_resistance_ohm=on_ohm, reverse_resistance_ohm=c["pin_off_ohm"], reverse_capacitance_f=c["pin_off_f"]
    )


def with_open_fuse():
    whole = circuit()
    tune = Branch(name="C tune 4", part=whole.part("C tune 4"), between=("behind", "return 4"))
    fuse = Branch(
        name="fuse", part=Capacitor(capacitance_f=GIVEN["circuit"]["fuse_open_f"]), between=("gap 4", "behind")
    )
    return replace(whole, branches=(*(b for b in whole.branches if b.name != "C tune 4"), tune, fuse))
