"""One loop over a band, as probes beside it see it."""

from loopwright.circuits.readings.probe import loop_curve
from loopwright.circuits.sweeps import array_sweep
from loopwright.fields.wires.polynomial import interpolate


def swept(ports, circuit, frequencies_hz):
    """One element by itself."""
    port_ohm = interpolate(ports.frequencies_hz, ports.impedance_ohm, frequencies_hz)
    return array_sweep(port_ohm, [circuit], frequencies_hz)


def curve_over_band(ports, circuit, state, frequencies_hz):
    """Its loop current per volt, the plug out where the state says so; the middle frequency is the operating one."""
    siemens = 0 if state.plug.value == "out" else 1 / circuit.receiver.input_ohm
    return loop_curve(swept(ports, circuit, frequencies_hz), circuit, state, element=0, receiver_siemens=siemens)
