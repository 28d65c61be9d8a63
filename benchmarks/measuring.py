"""Times of pieces of work, and the machine that they were measured on.

A processor is shared with others: process time beside the wall's, and the least of several runs.
"""

import platform
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from os import sched_getaffinity
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Least time of several runs, of the process and on the wall. [s]"""

    process_s: float
    wall_s: float


def least(work: Callable[[], object], *, repeats: int) -> Times:
    """Run once to warm up, then ``repeats`` times."""
    work()
    process, wall = [], []
    for _ in range(repeats):
        begun, begun_wall = time.process_time(), time.perf_counter()
        work()
        process.append(time.process_time() - begun)
        wall.append(time.perf_counter() - begun_wall)
    return Times(process_s=min(process), wall_s=min(wall))


def row(times: Times, **figures: Any) -> dict[str, Any]:
    """One line of a table."""
    return {**figures, **asdict(times)}


def machine() -> dict[str, Any]:
    """What the figures were measured on."""
    return {
        "date": datetime.now(tz=UTC).date().isoformat(),
        "processor": _processor(),
        "cores": len(sched_getaffinity(0)),
        "python": platform.python_version(),
        **{name: version(name) for name in ("loopwright", "numpy", "scipy", "numba", "matplotlib")},
    }


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:
        return platform.processor() or sys.platform
    return next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), sys.platform)
