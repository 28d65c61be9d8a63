"""What happens while the scanner transmits: the array in all its states and faults, on the body."""

from loopwright.transmit.answers import ANSWER_LIMITS, CaseAnswer, answer_case
from loopwright.transmit.averaging import AveragingCubes
from loopwright.transmit.b1 import B1Change, B1Statistics
from loopwright.transmit.batch import port_currents_a_per_t
from loopwright.transmit.detection import DETECTION_LIMITS, Detection, detections
from loopwright.transmit.driven_array import DrivenArray, driven_array
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.global_sar import GlobalSar
from loopwright.transmit.local_sar import LocalSar, WorstCases
from loopwright.transmit.pairs_in_field import PAIRS_IN_FIELD_LIMITS, with_pairs_in_field

__all__ = [
    "ANSWER_LIMITS",
    "DETECTION_LIMITS",
    "PAIRS_IN_FIELD_LIMITS",
    "AveragingCubes",
    "B1Change",
    "B1Statistics",
    "CaseAnswer",
    "Detection",
    "DrivenArray",
    "Exposure",
    "GlobalSar",
    "LocalSar",
    "WorstCases",
    "answer_case",
    "detections",
    "driven_array",
    "port_currents_a_per_t",
    "with_pairs_in_field",
]
