"""One case of a study, as a worker carries it out; apart, so that workers start without what draws and writes."""

from pathlib import Path

from threadpoolctl import threadpool_limits

from loopwright import __version__
from loopwright.cli.options import Pieces
from loopwright.cohort import Case, CaseResult
from loopwright.formats.store import FolderStore, RefreshingStore, TolerantStore
from loopwright.ground.device import Device
from loopwright.ground.errors import DeviceError
from loopwright.ground.means import Means
from loopwright.ground.progress import Silent
from loopwright.study import carry_out_case

__all__ = ["worked"]


def worked(
    case: Case, *, folder: Path, pieces: Pieces, device: Device, title: str, tool_version: str = __version__
) -> CaseResult:
    """Carry one case out in a process of its own, with one thread and its own hold on the store.

    Raises
    ------
    DeviceError
        If this process has another version than the one that asks: a table would hold figures of both.
    """
    if tool_version != __version__:
        raise DeviceError(f"this worker has loopwright {__version__}, and {tool_version} asks")
    kept = TolerantStore(FolderStore(folder, note=_nobody, brief=title, tool_version=__version__), note=_nobody)
    store = kept if pieces is Pieces.REUSE else RefreshingStore(kept)
    with threadpool_limits(1):
        return carry_out_case(case, Means(progress=Silent(), store=store, device=device))


def _nobody(_sentence: str) -> None:
    """Tell nobody: the first process tells what matters."""
