"""What a job is carried out with, whatever the job."""

from dataclasses import dataclass

from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress

__all__ = ["Means"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """Who is told of the work, where its finished pieces are kept, and where its fields are solved."""

    progress: Progress
    store: PieceStore
    device: Device = Device.CPU
