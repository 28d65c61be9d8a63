"""Networks as Touchstone files, which every network analyser and circuit program reads."""

import io

import numpy as np
from numpy.typing import NDArray
from skrf import Network

__all__ = ["REFERENCE_OHM", "read_touchstone", "touchstone_text"]

#: Reference impedance of every port. [ohm]
REFERENCE_OHM = 50.0


def touchstone_text(
    *,
    frequencies_hz: NDArray[np.floating],
    impedance_ohm: NDArray[np.complexfloating],
    port_names: tuple[str, ...],
    tool_version: str,
    remarks: tuple[str, ...] = (),
) -> str:
    """Write an impedance matrix over frequency as scattering parameters, real and imaginary, in Hz.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (frequencies,)
        Rising frequencies. [Hz]
    impedance_ohm : ndarray, shape (frequencies, ports, ports)
        Impedance between the ports, exp(+jωt). [ohm]
    port_names : tuple of str
        One name per port; written as comment lines.
    tool_version : str
        Version that is named in the first line.
    remarks : tuple of str
        Further comment lines.

    Returns
    -------
    str
        Touchstone version 1, reference 50 ohm at every port.
    """
    network = Network(f=frequencies_hz, f_unit="hz", z=impedance_ohm, z0=REFERENCE_OHM, name="network")
    heading = (
        f"loopwright {tool_version}",
        "S parameters, real and imaginary, exp(+j omega t), reference 50 ohm at every port",
        *remarks,
        *(f"port {number} = {name}" for number, name in enumerate(port_names, start=1)),
    )
    body = network.write_touchstone(form="ri", return_string=True)
    data = [line for line in body.splitlines() if not line.startswith("!")]
    return "\n".join([*(f"! {line}" for line in heading), *data]) + "\n"


def read_touchstone(text: str, *, ports: int) -> tuple[NDArray[np.float64], NDArray[np.complex128]]:
    """Read a Touchstone file of so many ports.

    Returns
    -------
    frequencies_hz : ndarray, shape (frequencies,)
        [Hz]
    scattering : ndarray, shape (frequencies, ports, ports)
        Dimensionless, at the file's own reference.
    """
    file = io.StringIO(text)
    file.name = f"network.s{ports}p"
    network = Network(file)
    return np.asarray(network.f, dtype=np.float64), np.asarray(network.s, dtype=np.complex128)
