"""What happens while the scanner transmits: the array in all its states and faults, on the body.

From the fields of one solution and the amplitudes of its rows in every case: what becomes of B1+, what SAR the body has
and where, by sums over the voxels of that solution.
"""

from loopwright.transmit.averaging import AveragingCubes
from loopwright.transmit.b1 import B1Change, B1Statistics
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.global_sar import GlobalSar
from loopwright.transmit.local_sar import LocalSar, WorstCases

__all__ = ["AveragingCubes", "B1Change", "B1Statistics", "Exposure", "GlobalSar", "LocalSar", "WorstCases"]
