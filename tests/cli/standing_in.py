"""Carries out runs whose job is a stand-in: six pieces in the store, then a real run directory without pictures.

Brings in the libraries once and forks for every run. Reads one order of JSON in a line: ``{"run": [words of the command
line], "said": file for what it says, "user": id, "sleep_s": {piece: time}, "room_bytes": {piece: largest file}}`` and
answers with the process id, or ``{"wait": id}`` and answers with the exit code. What is asked for at a piece happens
after it; -1 is before the first.
"""

import codecs
import json
import os
import resource
import sys
import time
import types
from pathlib import Path

import numpy as np

import loopwright.cli.carry  # brought in before the forks
import loopwright.formats.run_directory as directory
from loopwright.dossier import compile_dossier
from loopwright.ground.units import si_value

sys.path.insert(0, str(Path(__file__).parents[1]))
from synthetic_evidence import synthetic_evidence

EVIDENCE = synthetic_evidence(count=2)
# Another user may not be allowed to read the library later.
codecs.lookup("ISO-8859-1")
si_value("1 mm", "m")


def job_for(order):
    """Make a job that does what is ordered."""

    def meanwhile(piece):
        time.sleep(order.get("sleep_s", {}).get(str(piece), 0))
        if str(piece) in order.get("room_bytes", {}):
            resource.setrlimit(resource.RLIMIT_FSIZE, (order["room_bytes"][str(piece)], -1))

    def carry_out(brief, means):  # noqa: ARG001 - the job's own signature
        progress, store = means.progress, means.store
        progress.begin("pieces", 6)
        meanwhile(-1)
        for number in range(6):
            key = f"{number:08x}"
            if store.load(key) is None:
                store.save(key, {"field": np.full(30_000, float(number))})
                progress.note(f"computed {number}")
            progress.advance()
            meanwhile(number)
        return types.SimpleNamespace(evidence=EVIDENCE, dossier=compile_dossier(EVIDENCE))

    return carry_out


def carry_out_as_ordered(order):
    """Be the run: never returns."""
    said = os.open(order["said"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    if "user" in order:
        os.setgid(order["user"])
        os.setuid(order["user"])
    directory.draw_pictures = lambda _: ()
    loopwright.cli.carry.carry_out = job_for(order)
    try:
        loopwright.cli.main(order["run"])
    except SystemExit as left:
        os._exit(left.code or 0)
    finally:
        os._exit(99)


for line in sys.stdin:
    order = json.loads(line)
    if "wait" in order:
        answer = os.waitstatus_to_exitcode(os.waitpid(order["wait"], 0)[1])
    else:
        answer = os.fork() or carry_out_as_ordered(order)
    sys.stdout.write(f"{answer}\n")
    sys.stdout.flush()
