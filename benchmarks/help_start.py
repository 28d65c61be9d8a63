"""How long `loopwright --help` takes, from process start to its last line. Wanted: under half a second."""

import subprocess
import sys
from statistics import median
from time import perf_counter

SCRIPT = "from loopwright.cli import main; main(['--help'])"


def seconds() -> float:
    """Time one start."""
    begun = perf_counter()
    subprocess.run([sys.executable, "-c", SCRIPT], check=True, stdout=subprocess.DEVNULL)  # noqa: S603 - our own words
    return perf_counter() - begun


if __name__ == "__main__":
    times = [seconds() for _ in range(9)]
    print(f"loopwright --help: median {median(times):.3f} s, worst {max(times):.3f} s of {len(times)}")
