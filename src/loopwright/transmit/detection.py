"""Would anybody notice a fault before or while the scanner transmits?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.faults.listing import as_case
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.wiring import ElementCircuit
from loopwright.transmit.bias_monitor import by_bias_monitor
from loopwright.transmit.finding import Finding, Told
from loopwright.transmit.prescan import ReceivedChannels, by_prescan, received_channels

__all__ = ["DETECTION_LIMITS", "Detection", "detections"]

#: What detection takes for granted.
DETECTION_LIMITS = (
    (
        "Detection is told for the array plugged in, once the fault is there: the bias monitor by the thresholds of "
        "the interface, the prescan by a change of signal or noise of a channel (common practice). What a scanner does "
        "look at, and whether it stops, is its maker's to say."
    ),
    "Circuits hold no bias wires: where the bias may pass a failed part, it cannot be told.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Detection:
    """By what a case would be noticed."""

    bias_monitor: Finding
    prescan: Finding

    @property
    def sentence(self) -> str:
        """Say it in one line."""
        by = {"bias monitor": self.bias_monitor, "prescan": self.prescan}
        noticed = [f"{name} ({one.words})" for name, one in by.items() if one.told is Told.NOTICED]
        if noticed:
            return f"noticed by {' and '.join(noticed)}"
        unknown = [f"{name} ({one.words})" for name, one in by.items() if one.told is Told.UNKNOWN]
        if unknown:
            return f"cannot be told: {'; '.join(unknown)}"
        return "not noticed"


def detections(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    cases: Sequence[ArrayCase],
    *,
    names: Sequence[str],
    received_open_v_per_t: ArrayLike,
    lines: Sequence[LineCheck] = (),
    sound: ReceivedChannels | None = None,
) -> tuple[Detection, ...]:
    """Tell for every case by what it would be noticed.

    Parameters
    ----------
    ports : ArrayPorts
        The gaps, body included.
    circuits : sequence of ElementCircuit
        One for each element.
    cases : sequence of ArrayCase
        All in the lie that the ports are of.
    names : sequence of str
        Of the elements.
    received_open_v_per_t : array_like, shape (P,)
        Voltages across the open gaps in a field that is nothing but B1-, the same everywhere, peak. [V/T]
    lines : sequence of LineCheck
        Bias lines, checked; none where the brief describes none.
    sound : ReceivedChannels or None
        What the channels show of the array as designed; None where the cases are of that lie.

    Returns
    -------
    tuple of Detection
    """
    open_v = np.asarray(received_open_v_per_t, dtype=np.complex128)
    if sound is None:
        sound = received_channels(ports, circuits, as_case(RECEIVING, len(circuits)), received_open_v_per_t=open_v)
    found = []
    for case in cases:
        heard = received_channels(ports, circuits, case, received_open_v_per_t=open_v) if case.failed else sound
        found.append(
            Detection(
                bias_monitor=by_bias_monitor(case, circuits, names=names, lines=lines),
                prescan=by_prescan(case, sound=sound, found=heard, names=names),
            )
        )
    return tuple(found)
