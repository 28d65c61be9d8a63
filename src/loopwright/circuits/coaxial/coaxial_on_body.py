"""Coaxial elements on this body: where each is resonant, what brings it to the frequency, what it loses.

Each element is taken alone, the gaps of all others open. Losses are given per square of the loop current outside, so
that they stand beside those of a loop with capacitors.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.coaxial.coaxial_element import CoaxialElement
from loopwright.circuits.coaxial.coaxial_resonance import open_terminal
from loopwright.circuits.tuned.quality import coil_noise_figure_db
from loopwright.circuits.tuned.tuning import resonant_frequency_hz
from loopwright.fields.wires import PortNetwork

__all__ = ["CoaxialFigures", "coaxial_on_body"]

#: Half of the step over which the slope of the susceptance is taken, as a fraction of the frequency.
_STEP = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class CoaxialFigures:
    """One coaxial element on the body, the gaps of all others open.

    Attributes
    ----------
    self_resonance_hz : float
        Nothing at its terminal; by a straight line from the operating frequency where it lies outside the band. [Hz]
    terminal_ohm : complex
        At the operating frequency, nothing in parallel. [ohm]
    tuning_siemens : float
        Susceptance across the terminal that makes it resonant at the operating frequency. [S]
    body_ohm, conductor_ohm, line_ohm, radiation_ohm : float
        Loss over the square of the mean current outside; the line is the inside, the conductor the outside. [ohm]
    q_unloaded, q_loaded : float
        Tuned, without and with the body's loss, radiation left out.
    noise_figure_db : float
        Noise of body and coil over noise of the body, each at its temperature. [dB]
    """

    self_resonance_hz: float
    terminal_ohm: complex
    tuning_siemens: float
    body_ohm: float
    conductor_ohm: float
    line_ohm: float
    radiation_ohm: float
    q_unloaded: float
    q_loaded: float
    noise_figure_db: float

    def tuning_capacitance_f(self, frequency_hz: float) -> float:
        """Capacitor across the terminal that tunes it; negative where an inductor is wanted.

        Parameters
        ----------
        frequency_hz : float
            Operating frequency. [Hz]

        Returns
        -------
        float
            [F]
        """
        return self.tuning_siemens / (2 * pi * frequency_hz)


def coaxial_on_body(
    network: PortNetwork, ports: ArrayPorts, elements: Sequence[CoaxialElement]
) -> tuple[CoaxialFigures, ...]:
    """Tell what each element is on the body.

    Parameters
    ----------
    network : PortNetwork
        The shields' outsides in air.
    ports : ArrayPorts
        The same with the body.
    elements : sequence of CoaxialElement
        In the order of the network.

    Returns
    -------
    tuple of CoaxialFigures

    Notes
    -----
    The body is held constant over the band, and the quality factor is that of a narrow resonance.
    """
    return tuple(_figures(network, ports, element, number) for number, element in enumerate(elements))


def _figures(network: PortNetwork, ports: ArrayPorts, element: CoaxialElement, number: int) -> CoaxialFigures:
    own = np.flatnonzero(network.port_element == number)
    here = ports.frequency_hz

    def state(frequency_hz: float) -> ArrayState:
        return open_terminal(element, ports.at(frequency_hz)[np.ix_(own, own)], frequency_hz)

    def susceptance_siemens(frequency_hz: float) -> float:
        return float((1 / state(frequency_hz).seen_ohm[0]).imag)

    at_operation = state(here)
    terminal_ohm = complex(at_operation.seen_ohm[0])
    slope = (susceptance_siemens(here * (1 + _STEP)) - susceptance_siemens(here * (1 - _STEP))) / (4 * _STEP)
    losses = _losses_ohm(network, ports, own, number, at_operation)
    # Seen from the terminal a loss R per loop current squared is the conductance R |I|^2 / |Z|^2.
    per_ohm = abs(_loop_current(network, own, number, at_operation) / terminal_ohm) ** 2
    coil_ohm = losses["conductor"] + losses["line"]
    temperatures = ports.temperatures
    return CoaxialFigures(
        self_resonance_hz=resonant_frequency_hz(
            susceptance_siemens, near_hz=here, band_hz=(float(ports.frequencies_hz[0]), float(ports.frequencies_hz[-1]))
        ),
        terminal_ohm=terminal_ohm,
        tuning_siemens=-float((1 / terminal_ohm).imag),
        body_ohm=losses["body"],
        conductor_ohm=losses["conductor"],
        line_ohm=losses["line"],
        radiation_ohm=losses["radiation"],
        q_unloaded=float(slope / (coil_ohm * per_ohm)),
        q_loaded=float(slope / ((coil_ohm + losses["body"]) * per_ohm)),
        noise_figure_db=float(
            coil_noise_figure_db(
                losses["body"],
                coil_ohm,
                body_temperature_k=temperatures.body_temperature_k,
                coil_temperature_k=temperatures.coil_temperature_k,
            )
        ),
    )


def _loop_current(network: PortNetwork, own: NDArray[np.intp], number: int, state: ArrayState) -> complex:
    """Mean current outside per current into the terminal."""
    return complex(network.mean_loop_current[number, own] @ state.port_current[:, 0])


def _losses_ohm(
    network: PortNetwork, ports: ArrayPorts, own: NDArray[np.intp], number: int, state: ArrayState
) -> dict[str, float]:
    """Losses by mechanism over the square of the loop current; the line has what the others leave."""
    current = state.port_current[:, 0]
    loop = abs(_loop_current(network, own, number, state)) ** 2
    matrices = {
        "body": ports.resistances.body_ohm,
        "conductor": ports.resistances.coil_ohm,
        "radiation": ports.resistances.radiation_ohm,
    }
    found = {
        name: float((current @ matrix[np.ix_(own, own)] @ current.conj()).real / loop)
        for name, matrix in matrices.items()
    }
    outside = float((current.conj() @ state.port_ohm @ current).real)
    return found | {"line": float((state.seen_ohm[0].real - outside) / loop)}
