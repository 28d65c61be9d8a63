"""The same circuits for two general circuit programs: decks for ngspice, networks for scikit-rf.

Nothing of the package is used but the records that say what is wired where.
"""

import subprocess

import numpy as np
import skrf
from skrf.circuit import Circuit
from skrf.network import z2s

from loopwright.circuits.parts import Capacitor, Inductor, OffGap, Resistor
from loopwright.circuits.states import in_state
from loopwright.circuits.wiring import Span

SPEED_M_PER_S = 299792458.0


def wired(circuits, states):
    """All parts and lines with nodes of the whole array, returns as '0'; gaps and channels in order."""
    parts, lines, gaps, channels = [], [], [], []
    for e, (circuit, state) in enumerate(zip(circuits, states, strict=True)):
        resolved = in_state(circuit, state)

        def node(name, e=e, ground=resolved.every_return):
            return "0" if name in ground else f"e{e}_{name.replace(' ', '_')}"

        for branch in resolved.branches:
            if isinstance(branch, Span):
                assert {node(branch.near[1]), node(branch.far[1])} == {"0"}
                lines.append((branch.line, node(branch.near[0]), node(branch.far[0])))
            else:
                parts.append((branch.part, *(node(end) for end in branch.between)))
        gaps += [node(f"gap {gap}") for gap in range(1, circuit.gap_count + 1)]
        channels.append(node(resolved.channel[0]))
    return parts, lines, gaps, channels


def as_elements(part, frequency_hz):
    """A part as elements in series, each (letter, value) or a tuple of elements side by side."""
    w = 2 * np.pi * frequency_hz
    match part:
        case Resistor():
            return [("R", part.resistance_ohm), *([("L", part.inductance_h)] if part.inductance_h else [])]
        case Capacitor():
            lossy = int(np.isfinite(part.quality_factor))
            return [("C", part.capacitance_f)] + lossy * [("R", 1 / (w * part.capacitance_f * part.quality_factor))]
        case Inductor():
            lossy = int(np.isfinite(part.quality_factor))
            return [("L", part.inductance_h)] + lossy * [("R", w * part.inductance_h / part.quality_factor)]
        case OffGap():
            return [(("R", part.resistance_ohm), ("C", part.capacitance_f))]
    raise AssertionError(part)


def deck(  # noqa: C901 - one list of lines, written from top to bottom
    port_ohm, circuits, states, frequency_hz, *, driven, receiver_siemens
):
    """ngspice: the conductors as resistors and capacitors between their gaps, one ampere into one channel."""
    parts, lines, gaps, channels = wired(circuits, states)
    text, count = ["* array"], 0

    def put(letter, top, bottom, value):
        nonlocal count
        count += 1
        text.append(f"{letter}{count} {top} {bottom} {value:.17g}")

    def put_siemens(top, bottom, siemens):
        put("R", top, bottom, 1 / siemens.real)
        put("C", top, bottom, siemens.imag / (2 * np.pi * frequency_hz))

    y = np.linalg.inv(port_ohm)
    for i, one in enumerate(gaps):
        put_siemens(one, "0", y[i].sum())
        for j in range(i):
            put_siemens(one, gaps[j], -y[i, j])
    for part, top, bottom in parts:
        chain = as_elements(part, frequency_hz)
        nodes = [top, *(f"m{count}_{k}" for k in range(1, len(chain))), bottom]
        for element, a, b in zip(chain, nodes[:-1], nodes[1:], strict=True):
            for letter, value in element if isinstance(element[0], tuple) else (element,):
                put(letter, a, b, value)
    for line, near, far in lines:
        count += 1
        delay_s = line.length_m / (line.velocity_factor * SPEED_M_PER_S)
        text.append(f"T{count} {near} 0 {far} 0 Z0={line.characteristic_ohm:.17g} TD={delay_s:.17g}")
    for channel, siemens in zip(channels, receiver_siemens, strict=True):
        if siemens:
            put_siemens(channel, "0", siemens)
    text += [f"I0 0 {channels[driven]} DC 0 AC 1", f".ac lin 1 {frequency_hz:.17g} {frequency_hz:.17g}"]
    prints = [f"print v({channel})" for channel in channels]
    return "\n".join([*text, ".control", "set numdgt=15", "run", *prints, "quit 0", ".endc", ".end", ""])


def by_ngspice(program, folder, port_ohm, circuits, states, frequency_hz, receiver_siemens):
    """Channel impedances, column by column."""
    columns = []
    for driven in range(len(circuits)):
        path = folder / f"array{driven}.cir"
        path.write_text(
            deck(port_ohm, circuits, states, frequency_hz, driven=driven, receiver_siemens=receiver_siemens)
        )
        run = subprocess.run([program, "-b", path], capture_output=True, text=True, check=True, timeout=60)  # noqa: S603
        found = [line.split("=")[1] for line in run.stdout.splitlines() if line.startswith("v(e")]
        columns.append([complex(*(float(number) for number in value.split(","))) for value in found])
    return np.array(columns).T


def ohm_of(part, frequency_hz):
    s = 2j * np.pi * frequency_hz
    ohm = {"R": lambda value: value, "L": lambda value: s * value, "C": lambda value: 1 / (s * value)}
    total = 0
    for element in as_elements(part, frequency_hz):
        beside = element if isinstance(element[0], tuple) else (element,)
        total += 1 / sum(1 / ohm[letter](value) for letter, value in beside)
    return total


def by_scikit_rf(port_ohm, circuits, states, frequency_hz, receiver_siemens):
    """Channel impedances from the scattering of all pieces joined."""
    parts, lines, gaps, channels = wired(circuits, states)
    frequency = skrf.Frequency.from_f([frequency_hz], unit="Hz")
    at = {}

    def network(name, z_or_s, form="z"):
        s = z2s(np.array([z_or_s], dtype=complex)) if form == "z" else np.array([z_or_s])
        return skrf.Network(frequency=frequency, s=s, name=name)

    def join(piece, *nodes):
        for port, node in enumerate(nodes):
            at.setdefault(node, []).append((piece, port))

    join(network("conductors", port_ohm), *gaps)
    for k, (part, top, bottom) in enumerate(parts):
        z = ohm_of(part, frequency_hz)
        if "0" in (top, bottom):
            join(network(f"part{k}", [[z]]), bottom if top == "0" else top)
        else:
            join(network(f"part{k}", np.array([[z, 100], [100, z]]) / (z + 100), "s"), top, bottom)
    for k, (line, near, far) in enumerate(lines):
        loss = line.loss_db_per_m * np.log(10) / 20 * np.sqrt(frequency_hz / line.loss_frequency_hz)
        gamma = loss + 2j * np.pi * frequency_hz / (line.velocity_factor * SPEED_M_PER_S)
        media = skrf.media.DefinedGammaZ0(frequency, gamma=gamma, z0=line.characteristic_ohm)
        join(media.line(line.length_m, "m", name=f"line{k}", z0=line.characteristic_ohm), near, far)
    for k, (channel, siemens) in enumerate(zip(channels, receiver_siemens, strict=True)):
        if siemens:
            join(network(f"receiver{k}", [[1 / siemens]]), channel)
        join(Circuit.Port(frequency, name=f"port{k}"), channel)
    return Circuit(list(at.values())).network.z[0]
