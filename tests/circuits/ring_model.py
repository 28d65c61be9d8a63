"""A made-up array with every property of a real one: rings of inductive branches with charges, losses, radiation.

Branch currents I obey V = (j w M + D^T P D / (j w) + L + R) I with M, P positive definite, L and R positive: the same
structure as a wire-by-wire solution, small enough to be checked by hand.
"""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, kw_only=True)
class Rings:
    inductance_h: np.ndarray
    elastance_per_f: np.ndarray
    loss_ohm: np.ndarray
    radiation_ohm: np.ndarray
    port_nodes: np.ndarray
    port_element: np.ndarray
    node_element: np.ndarray

    @property
    def elements(self):
        return int(self.node_element.max()) + 1

    def branch_ohm(self, frequency_hz):
        w = 2 * np.pi * frequency_hz
        lossless = 1j * w * self.inductance_h + self.elastance_per_f / (1j * w)
        return lossless + self.loss_ohm + self.radiation_ohm * (frequency_hz / 1e8) ** 4

    def ports(self, frequency_hz):
        """Port impedance and branch currents per unit port current, the other ports open."""
        select = np.zeros((len(self.node_element), len(self.port_nodes)))
        select[self.port_nodes, np.arange(len(self.port_nodes))] = 1
        driven = np.linalg.solve(self.branch_ohm(frequency_hz), select)
        impedance = np.linalg.inv(driven[self.port_nodes])
        return impedance, driven @ impedance

    def mean(self, node_current):
        return np.stack([node_current[self.node_element == e].mean(axis=0) for e in range(self.elements)])

    def loop_ohm(self, frequency_hz):
        ones = (self.node_element[:, None] == np.arange(self.elements)).astype(float)
        return ones.T @ self.branch_ohm(frequency_hz) @ ones


def rings(*, elements=3, nodes=8, gaps=2, coupling=0.05, seed=1):
    """Rings of about 200 nH with a few tenths of a picofarad between their parts."""
    rng = np.random.default_rng(seed)
    owner = np.repeat(np.arange(elements), nodes)
    size = elements * nodes
    scatter = rng.normal(size=(size, size)) * 0.02
    own = np.where(owner[:, None] == owner, 1.0, coupling * rng.uniform(-1, 1, (elements, elements))[owner][:, owner])
    share = (own + own.T) / 2 + np.eye(size) * 2 + scatter @ scatter.T
    difference = np.zeros((size, size))
    for e in range(elements):
        for n in range(nodes):
            difference[e * nodes + n, e * nodes + n] = 1
            difference[e * nodes + n, e * nodes + (n + 1) % nodes] = -1
    potential = np.eye(size) / 0.5e-12 + np.exp(-np.abs(np.subtract.outer(np.arange(size), np.arange(size)))) / 2e-12
    field = rng.normal(size=(size, 3)) * 0.05
    loss = (2 * np.eye(size) + np.roll(np.eye(size), 1, 0) + np.roll(np.eye(size), 1, 1)) * 0.005
    return Rings(
        inductance_h=200e-9 * share / (nodes * (nodes + 2)),
        elastance_per_f=difference.T @ potential @ difference,
        loss_ohm=loss,
        radiation_ohm=field @ field.T,
        port_nodes=np.array([e * nodes + g * (nodes // gaps) for e in range(elements) for g in range(gaps)]),
        port_element=np.repeat(np.arange(elements), gaps),
        node_element=owner,
    )


def body(elements, *, seed=2, reaction=1.0):
    """Symmetric reaction and Hermitian absorbed resistance of a body, the latter at most the former's real part."""
    rng = np.random.default_rng(seed)
    fields = rng.normal(size=(elements, 12)) + 1j * rng.normal(size=(elements, 12)) * 0.2
    fields[1:] += 0.5 * fields[:-1]
    absorbed = reaction * fields @ fields.conj().T / 5
    extra = rng.normal(size=(elements, elements)) * 0.01 * reaction
    impedance = absorbed.real + (extra + extra.T) / 2 - 1j * 0.3 * reaction * (np.eye(elements) + (extra + extra.T))
    return impedance, absorbed
