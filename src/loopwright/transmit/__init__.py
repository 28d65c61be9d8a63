"""What happens while the scanner transmits: the array in all its states and faults, on the body."""

from loopwright.transmit.answers import ANSWER_LIMITS, CaseAnswer, answer_case
from loopwright.transmit.batch import port_currents_a_per_t
from loopwright.transmit.detection import DETECTION_LIMITS, Detection, detections
from loopwright.transmit.driven_array import DrivenArray, driven_array
from loopwright.transmit.exposure import Exposure

__all__ = [
    "ANSWER_LIMITS",
    "DETECTION_LIMITS",
    "CaseAnswer",
    "Detection",
    "DrivenArray",
    "Exposure",
    "answer_case",
    "detections",
    "driven_array",
    "port_currents_a_per_t",
]
