"""Head shells from newborn to adult: what the study says beside what was published, and the guide's table of it.

Usage:
    loopwright cohort --device gpu --workers 4 --store STORE --out RESULTS examples/cohort-head-shells.yaml
    python benchmarks/head_shells.py peaks --device gpu --workers 4 --store STORE --results RESULTS
    python benchmarks/head_shells.py renew --results RESULTS
    python benchmarks/head_shells.py draw --results RESULTS

``peaks`` images every patient again in the adult shell, in the shell of its own size and in the array on the skin, and
writes ``peaks.csv`` beside the results: ratios of SNR voxel by voxel. ``renew`` writes the table into
docs/guides/head-shells.md and copies the pictures; it computes nothing. ``draw`` draws a newborn in two of the shells.

Published, for a 32-channel array of the head's size against the adult's 32 channels at 3 T, on phantoms of these sizes:
gain in the cortex up to 3.6, 3.0, 2.6, 2.3 and 1.7 [keil2011].
"""

import argparse
import csv
import json
import re
import shutil
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter
from threadpoolctl import threadpool_limits

from loopwright import __version__
from loopwright.bodies import solid_of
from loopwright.brief import read_cohort
from loopwright.cohort import Asked, Case, Worn, cases_of
from loopwright.cohort.images import outer_of
from loopwright.formats.store import FolderStore
from loopwright.ground.device import Device
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, PieceStore, Silent
from loopwright.layouts import arrange_on
from loopwright.study import imaged_case, worn_array

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "docs" / "guides" / "head-shells.md"
PICTURES = ROOT / "docs" / "pictures"
#: "Up to", gain in the cortex over the adult array [keil2011].
PUBLISHED = {"newborn": 3.6, "6 months": 3.0, "1 year": 2.6, "4 years": 2.3, "7 years": 1.7}
ADULT, SKIN = "shell, adult", "on the skin"
BEGIN, END = "<!-- written by benchmarks/head_shells.py -->", "<!-- to here -->"

Real = NDArray[np.float64]
Row = dict[str, str]


def own_shell(patient: str) -> str:
    """Name of the shell of this patient's size."""
    return f"shell, {patient}"


def peaks(results: Path, device: Device, workers: int, store: Path | None) -> None:
    """Write ratios voxel by voxel in the outer layer: own shell, and array on the skin, to the adult shell."""
    text = (results / "brief.yaml").read_text("utf-8")
    wanted = read_cohort(text, "brief.yaml")
    cases = {
        (case.planned.patient.name, case.array_name): case
        for case in cases_of(wanted.request, wanted.planned, Asked.IMAGES)
    }
    patients = list(dict.fromkeys(name for name, _ in cases))
    of_each = [[cases[patient, array] for array in (ADULT, own_shell(patient), SKIN)] for patient in patients]
    with (results / "peaks.csv").open("w", newline="", buffering=1) as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("patient", "array", "median of ratio", "95 % of ratio", "largest smoothed ratio"))
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            for rows in pool.map(partial(peaks_of, device=device, store=store), of_each):
                writer.writerows(rows)


def peaks_of(cases: list[Case], device: Device, store: Path | None) -> list[tuple[str, ...]]:
    """Rows of one patient: the first case is what the others are held against."""
    base, outer = snr_of(cases[0], device, store)
    where = np.nonzero(outer)
    rows = []
    for case in cases[1:]:
        own, _ = snr_of(case, device, store)
        ratio, smooth = own[where] / base[where], smoothed(own, outer)[where] / smoothed(base, outer)[where]
        found = (np.median(ratio), np.percentile(ratio, 95), smooth.max())
        rows.append((case.planned.patient.name, case.array_name, *(f"{value:.4f}" for value in found)))
        print(*rows[-1], flush=True)
    return rows


def snr_of(case: Case, device: Device, store: Path | None) -> tuple[Real, NDArray[np.bool_]]:
    """SNR (x, y, z) of one case, and its outer layer."""
    pieces: PieceStore = Forgetful()
    if store is not None:
        pieces = FolderStore(store, note=print, brief="head shells", tool_version=__version__)
    with threadpool_limits(1):
        found = imaged_case(case, Means(progress=Silent(), store=pieces, device=device)).found
    snr, region = found.quality.snr, found.quality.region_mask
    if snr is None:
        raise SystemExit("the study has no absolute SNR")
    outer = outer_of(region, spacing_m=found.body.grid.spacing_m, layer_m=case.request.outer_layer_m)
    return np.where(region, snr, 0.0), outer


def smoothed(values: Real, where: NDArray[np.bool_]) -> Real:
    """Mean over the voxels of the layer among the 27 about each."""
    weight = uniform_filter(where.astype(float), 3, mode="constant")
    return np.asarray(
        uniform_filter(np.where(where, values, 0.0), 3, mode="constant") / np.where(weight > 0, weight, 1)
    )


def renew(results: Path) -> None:
    """Write the guide's table and copy its pictures."""
    cases = {(row["patient"], row["array"]): row for row in read_rows(results / "tables" / "cases.csv")}
    peak = {}
    if (results / "peaks.csv").exists():
        peak = {(row["patient"], row["array"]): row for row in read_rows(results / "peaks.csv")}
    text = "\n".join(
        [
            BEGIN,
            "",
            *computed_on(results),
            "",
            *gains(cases, peak),
            "",
            *accelerated(cases),
            "",
            *newborn(cases),
            "",
            END,
        ]
    )
    guide = GUIDE.read_text("utf-8")
    GUIDE.write_text(guide[: guide.index(BEGIN)] + text + guide[guide.index(END) + len(END) :], "utf-8")
    for name in ("snr_over_patients", "g_over_patients"):
        shutil.copyfile(results / "pictures" / f"{name}.png", PICTURES / f"head-shells-{name.partition('_')[0]}.png")


def read_rows(path: Path) -> list[Row]:
    """Rows of a table."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def computed_on(results: Path) -> list[str]:
    """How finely it was computed, in words."""
    voxels = sorted(set(re.findall(r"voxel: ([0-9.]+ mm)", (results / "brief.yaml").read_text("utf-8"))))
    version = json.loads((results / "summary.json").read_text("utf-8"))["version"]
    return [f"Voxels of {' and '.join(voxels)}, loopwright {version}."]


def gains(cases: dict[tuple[str, str], Row], peak: dict[tuple[str, str], Row]) -> list[str]:
    """Table of gains without acceleration."""
    lines = header(
        "head",
        "own shell over adult shell, outer 20 mm",
        "95 % of voxels' ratios",
        "largest, smoothed",
        "centre",
        "published, cortex, up to",
        "on the skin over adult shell, outer 20 mm",
        "centre",
    )
    for patient, published in PUBLISHED.items():
        own, skin, adult = (cases[patient, name] for name in (own_shell(patient), SKIN, ADULT))
        at = peak.get((patient, own_shell(patient)), {})
        cells = [
            patient,
            f"{over(own, adult, 'SNR outer, median'):.2f}",
            *(f"{float(at[name]):.2f}" if at else "" for name in ("95 % of ratio", "largest smoothed ratio")),
            f"{over(own, adult, 'SNR centre'):.2f}",
            f"{published}",
            f"{over(skin, adult, 'SNR outer, median'):.2f}",
            f"{over(skin, adult, 'SNR centre'):.2f}",
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return lines


def accelerated(cases: dict[tuple[str, str], Row]) -> list[str]:
    """Table of accelerated images."""
    lines = header(
        "head",
        "acceleration",
        "mean g: own shell",
        "adult shell",
        "on the skin",
        "accelerated SNR, own over adult, outer 20 mm",
        "centre",
        "on the skin over adult, outer 20 mm",
        "centre",
    )
    for patient in (*PUBLISHED, "adult"):
        own, skin, adult = (cases[patient, name] for name in (own_shell(patient), SKIN, ADULT))
        for name in ("3 x 3", "4 x 4"):
            outer, centre, g = (f"{name}: {what}" for what in ("SNR outer, median", "SNR centre", "g, mean"))
            cells = [patient, name, *(f"{float(row[g]):.2f}" for row in (own, adult, skin))]
            cells += [f"{over(one, adult, key):.2f}" for one in (own, skin) for key in (outer, centre)]
            lines.append(f"| {' | '.join(cells)} |")
    return lines


def draw(results: Path) -> None:
    """Draw how a newborn lies in the own shell and in the adult one, from the left and from above the head."""
    wanted = read_cohort((results / "brief.yaml").read_text("utf-8"), "brief.yaml")
    cases = {
        (case.planned.patient.name, case.array_name): case
        for case in cases_of(wanted.request, wanted.planned, Asked.FIT)
    }
    figure, panels = plt.subplots(2, 2, figsize=(7.2, 6.6), constrained_layout=True)
    for row, name in zip(panels, (own_shell("newborn"), ADULT), strict=True):
        worn, skin = lying(cases["newborn", name])
        for axes, (across, up) in zip(row, ((1, 2), (0, 1)), strict=True):
            axes.plot(1e3 * skin[:, across], 1e3 * skin[:, up], ".", color="#b8a58c", markersize=1)
            for element in worn.layout.elements:
                ring = 1e3 * np.vstack([element.vertices_m, element.vertices_m[:1]])
                axes.plot(ring[:, across], ring[:, up], color="#1f4e79", linewidth=0.8)
            axes.set(
                aspect="equal",
                xlim=(-140, 140),
                ylim=(-140, 140),
                title=f"newborn in the {' for '.join(name.split(', '))}",
            )
            axes.set(xlabel=f"{'xyz'[across]} [mm]", ylabel=f"{'xyz'[up]} [mm]")
    figure.savefig(PICTURES / "head-shells-lying.png", dpi=110)


def lying(case: Case) -> tuple[Worn, Real]:
    """The array where it comes to rest, and corners of the patient's skin as far as it is kept (n, 3). [m]"""
    brief, former = case.planned.brief, case.planned.array.former
    patient = solid_of(brief.body)
    ground = patient if former is None else solid_of(former)
    layout = arrange_on(brief.array, ground, segments_per_element=brief.computation.segments_per_element)
    return worn_array(case, layout, ground, patient), np.unique(patient.skin.outline_m, axis=0)


def newborn(cases: dict[tuple[str, str], Row]) -> list[str]:
    """What acceleration does to a newborn, in words."""
    own, adult = (cases["newborn", name] for name in (own_shell("newborn"), ADULT))
    told = []
    for name in ("3 x 3", "4 x 4"):
        outer, centre = (over(own, adult, f"{name}: {what}") for what in ("SNR outer, median", "SNR centre"))
        g, other = (float(row[f"{name}: g, mean"]) for row in (own, adult))
        told.append(
            f"A newborn, {name}: in the own shell an accelerated image has {outer:.1f} times the SNR of the one in "
            f"the adult shell in the outer 20 mm, {centre:.1f} times at the centre, and mean g is {g:.2f} "
            f"in place of {other:.2f}."
        )
    return told


def header(*titles: str) -> list[str]:
    """Head of a table, and the line below it."""
    return [f"| {' | '.join(titles)} |", "|---" * len(titles) + "|"]


def over(row: Row, other: Row, key: str) -> float:
    """One figure over that of another case."""
    return float(row[key]) / float(other[key])


def main() -> None:
    """Read what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("peaks", "renew", "draw"))
    parser.add_argument("--results", type=Path, required=True)
    parser.add_argument("--device", choices=[device.value for device in Device], default=Device.CPU.value)
    parser.add_argument("--workers", type=int, default=1, help="processes for `peaks`")
    parser.add_argument("--store", type=Path, help="store of the study, whose finished pieces `peaks` takes up again")
    asked = parser.parse_args()
    if asked.what == "peaks":
        peaks(asked.results, Device(asked.device), asked.workers, asked.store)
    elif asked.what == "draw":
        draw(asked.results)
    else:
        renew(asked.results)


if __name__ == "__main__":
    main()
