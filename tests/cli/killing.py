"""Kill runs at random times, take them up again, and hold what comes out against a run that nobody disturbed.

    python tests/cli/killing.py KILLS SEED FOLDER [no-pictures]

One process brings in the libraries once and forks for every run: what is killed is a whole run as the command line
makes it, only its start is spared. Prints one line of JSON; leaves with 1 where anything differs.
"""

import json
import os
import signal
import sys
from collections import Counter
from itertools import count
from pathlib import Path
from time import monotonic, sleep

import numpy as np

import loopwright.cli.carry  # brought in before the forks, as the job
import loopwright.job
from loopwright.cli import main
from loopwright.formats.maps import read_maps
from loopwright.formats.store_care import damaged_pieces, look_at

BRIEF = """
title: Five elements round a small sphere
scanner: {field: 3 T}
body: {shape: sphere, radius: 60 mm, voxel: 8 mm, material: Muscle}
array:
  elements:
    - {name: A1, shape: circle, diameter: 60 mm, centre: [0 mm, -70 mm, 0 mm], normal: [0, -1, 0], gaps: 2}
    - {name: A2, shape: circle, diameter: 60 mm, centre: [0 mm, 70 mm, 0 mm], normal: [0, 1, 0], gaps: 2}
    - {name: A3, shape: circle, diameter: 60 mm, centre: [-70 mm, 0 mm, 0 mm], normal: [-1, 0, 0], gaps: 2}
    - {name: A4, shape: circle, diameter: 60 mm, centre: [70 mm, 0 mm, 0 mm], normal: [1, 0, 0], gaps: 2}
    - {name: A5, shape: circle, diameter: 60 mm, centre: [0 mm, 0 mm, 70 mm], normal: [0, 0, 1], gaps: 2}
conductor: {kind: flat strip, width: 5 mm, thickness: 35 um}
imaging:
  voxel_volume: 8 mm^3
  region: {kind: whole body, least_depth: 1 voxels}
  accelerations:
    - {name: 2 x, factors: [2], directions: [x], field_of_view: [130 mm]}
computation: {segments_per_element: 12, frequencies: 3}
"""

TOLERANCE = 1e-6


class Killings:
    """Runs of one brief, killed and taken up again."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder, self.draw = folder, np.random.default_rng(seed)
        self.brief = folder / "brief.yaml"
        self.brief.write_text(BRIEF)
        self.killed_while, self.finished, self.largest_difference = Counter(), 0, 0.0
        self.reference = self.run_to_its_end("reference")
        start = monotonic()
        self.run_to_its_end("reference again")  # compiled and warm by now
        self.usual_s = monotonic() - start

    def begin(self, name: str) -> int:
        """Fork a run and return its process id; what it says goes to a file."""
        child = os.fork()
        if child:
            return child
        said = os.open(self.folder / "said.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(said, 1)
        os.dup2(said, 2)
        try:
            main(["run", str(self.brief), "--out", str(self.folder / name / "run"), "--store", str(self.store(name))])
        except SystemExit as left:
            os._exit(left.code or 0)
        finally:
            os._exit(99)

    def store(self, name: str) -> Path:
        """Return where the pieces of this run lie."""
        return self.folder / name / "store"

    def run_to_its_end(self, name: str) -> dict[str, np.ndarray]:
        """Carry the brief out undisturbed and return every number."""
        _, status = os.waitpid(self.begin(name), 0)
        if status:
            raise RuntimeError((self.folder / "said.txt").read_text())
        return numbers(self.folder / name / "run")

    def until_killed(self, kills: int) -> None:
        """Kill so many runs; whenever one escapes, hold its results against the reference and begin with nothing."""
        for episode in count():
            name = f"episode {episode}"
            (self.folder / name).mkdir()
            while sum(self.killed_while.values()) < kills and self.killed(name):
                pass
            if not (self.folder / name / "run").exists():
                self.run_to_its_end(name)
            self.compare(name)
            if sum(self.killed_while.values()) >= kills:
                return

    def killed(self, name: str) -> bool:
        """Begin a run and kill it after a random time; False where it came to its end before."""
        child, until = self.begin(name), monotonic() + self.draw.uniform(0, 1.2 * self.usual_s)
        while monotonic() < until:
            ended, status = os.waitpid(child, os.WNOHANG)
            if ended:
                if status:
                    raise RuntimeError((self.folder / "said.txt").read_text())
                return False
            sleep(0.002)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        said = (self.folder / "said.txt").read_text().splitlines()
        self.killed_while[said[-1].split()[0] if said else "starting"] += 1
        if self.store(name).exists():
            contents = look_at(self.store(name), note=print)
            if damaged_pieces(contents) or contents.foreign:
                raise RuntimeError(f"a kill left {damaged_pieces(contents)} {contents.foreign}")
        return not (self.folder / name / "run" / "summary.json").exists()

    def compare(self, name: str) -> None:
        """Take the largest relative difference of any number into the account."""
        self.finished += 1
        sys.stderr.write(f"{name}: {sum(self.killed_while.values())} kills, {self.largest_difference:g}\n")
        found = numbers(self.folder / name / "run")
        if found.keys() != self.reference.keys():
            raise RuntimeError(f"other figures: {found.keys() ^ self.reference.keys()}")
        for key, expected in self.reference.items():
            if found[key].shape != expected.shape or not np.array_equal(np.isnan(found[key]), np.isnan(expected)):
                raise RuntimeError(f"{key} has another form")
            scale = np.nanmax(np.abs(expected), initial=0.0) or 1.0
            difference = float(np.nanmax(np.abs(found[key] - expected), initial=0.0) / scale)
            self.largest_difference = max(self.largest_difference, difference)


def numbers(run: Path) -> dict[str, np.ndarray]:
    """Every number of the summary and of the maps."""
    figures = json.loads((run / "summary.json").read_text())["figures"]
    found = {key: np.array(figure["value"], dtype=float) for key, figure in figures.items() if is_numeric(figure)}
    maps = read_maps(run / "maps.nc")
    return found | {f"maps {key}": np.array(maps[key], dtype=float) for key in maps.data_vars}


def is_numeric(figure: dict) -> bool:
    """Whether the value is made of numbers; null stands for no number."""
    try:
        np.array(figure["value"], dtype=float)
    except ValueError:
        return False
    return True


if __name__ == "__main__":
    kills, seed, folder, *without = sys.argv[1:]
    if without:
        loopwright.cli.carry.write_run.__globals__["draw_pictures"] = lambda _: ()
    begun = monotonic()
    killings = Killings(Path(folder), int(seed))
    killings.until_killed(int(kills))
    told = {
        "kills": sum(killings.killed_while.values()),
        "killed while": dict(killings.killed_while.most_common()),
        "finished": killings.finished,
        "numbers compared": int(sum(array.size for array in killings.reference.values())),
        "largest relative difference": killings.largest_difference,
        "seconds": round(monotonic() - begun, 1),
    }
    sys.stdout.write(f"{json.dumps(told)}\n")
    sys.exit(killings.largest_difference > TOLERANCE)
