"""Networks of a wired array as objects of scikit-rf, for whoever goes on in Python.

from loopwright.formats.scikit_rf import channels_network, gaps_network
"""

import numpy as np
from skrf import Network

from loopwright.circuits import CircuitOutcome
from loopwright.formats.touchstone import REFERENCE_OHM

__all__ = ["channels_network", "element_network", "gaps_network"]


def channels_network(outcome: CircuitOutcome) -> Network:
    """Channels behind the circuits, the receivers away, over the band; ports in the order of the elements, 50 ohm."""
    return Network(
        f=outcome.sweep.frequencies_hz,
        f_unit="hz",
        z=outcome.sweep.channel_ohm,
        z0=REFERENCE_OHM,
        name="channels",
        comments="channels behind the circuits, the receivers away",
    )


def element_network(outcome: CircuitOutcome, element: int) -> Network:
    """What the receiver of one element (counted from 0) sees, all other receivers in place, as a one-port at 50 ohm."""
    return Network(
        f=outcome.sweep.frequencies_hz,
        f_unit="hz",
        z=outcome.sweep.seen_ohm[:, element, None, None],
        z0=REFERENCE_OHM,
        name=f"element {element}",
        comments="what the receiver sees, all others in place",
    )


def gaps_network(outcome: CircuitOutcome) -> Network:
    """Open gaps of all elements, body included and no circuit, at the frequencies that were solved, 50 ohm."""
    ports = outcome.ports
    return Network(
        f=np.asarray(ports.frequencies_hz),
        f_unit="hz",
        z=ports.impedance_ohm,
        z0=REFERENCE_OHM,
        name="gaps",
        comments="open gaps of all elements, body included, no circuit",
    )
