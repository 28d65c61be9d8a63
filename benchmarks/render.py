"""Write docs/benchmarks.md from the figures under benchmarks/results/.

Usage: python benchmarks/render.py
"""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
PAGE = HERE.parent / "docs" / "benchmarks.md"
Figures = dict[str, Any]


def figures(name: str) -> Figures:
    """One file of figures."""
    found: Figures = json.loads((HERE / "results" / f"{name}.json").read_text("utf-8"))
    return found


def table(head: str, rows: Iterable[tuple[object, ...]]) -> str:
    """Lines of a table; ``head`` names the columns, parted by bars."""
    names = [name.strip() for name in head.split("|")]
    lines = [names, ["---"] * len(names), *([str(cell) for cell in row] for row in rows)]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)


def seconds(value: float) -> str:
    """Three figures. [s]"""
    return f"{value:.3g}" if value < 100 else f"{value:.0f}"


def processor(found: Figures) -> str:
    """Tables of a processor."""
    machine, job = found["machine"], found["main_job"]
    stored = job["all_stored"]
    parts = (
        (
            f"{machine['processor']}, {machine['cores']} cores, {machine['date']}; Python {machine['python']}, "
            f"numpy {machine['numpy']}, scipy {machine['scipy']}, numba {machine['numba']}, "
            f"loopwright {machine['loopwright']}."
            "\nTime on the wall is of the machine as it was, whatever else ran there; process time counts all cores."
        ),
        (
            f"### Main job\n\n`loopwright run examples/{job['brief']}`; `loopwright --help` answers in "
            f"{seconds(found['help_wall_s'])} s."
        ),
        table(
            "store | wall, s | process, s | peak memory, MB",
            (
                (
                    name,
                    seconds(one["wall_s"]),
                    seconds(one["process_s"]),
                    f"{one['peak_mb']:.0f}" if one["peak_mb"] else "-",
                )
                for name, one in (("empty", job["all_computed"]), ("holds all pieces", stored))
            ),
        ),
        "### Wires\n\nLoops of 24 segments; the fill on all cores, the factors (LU) by the linear algebra library.",
        table(
            "elements | nodes | fill, process s | fill, wall s | LU, process s | LU / fill",
            (
                (
                    one["elements"],
                    one["nodes"],
                    seconds(one["process_s"]),
                    seconds(one["wall_s"]),
                    seconds(one["lu_process_s"]),
                    f"{one['lu_process_s'] / one['process_s']:.2f}",
                )
                for one in found["wires"]
            ),
        ),
        (
            "### One product with the body's operator beside the bare transforms\n\nOne core, process time; the bare "
            "transforms are three components forward and back, every axis padded from the start."
        ),
        table(
            "voxels | padded | products a second | product, ms | bare, ms | product / bare",
            (
                (
                    f"{one['voxels']}^3",
                    f"{one['padded']}^3",
                    seconds(1 / one["process_s"]),
                    seconds(1e3 * one["process_s"]),
                    seconds(1e3 * one["bare_process_s"]),
                    f"{one['process_s'] / one['bare_process_s']:.2f}",
                )
                for one in found["products"]
            ),
        ),
        (
            "### Solution against voxels\n\nOne loop of 40 mm radius, 10 mm off a ball of gel of 100 mm radius, "
            "relative residual "
            "1e-3, one core, process time; *plain* is GMRES without its preconditioner."
        ),
        table(
            "voxel, mm | faces | impressed field, s | products | solve, s | plain products | plain, s | solve / plain",
            (
                (
                    f"{one['voxel_mm']:g}",
                    one["faces"],
                    seconds(one["impressed_process_s"]),
                    one["products"],
                    seconds(one["process_s"]),
                    one["plain_products"],
                    seconds(one["plain_process_s"]),
                    f"{one['process_s'] / one['plain_process_s']:.2f}",
                )
                for one in found["solves"]
            ),
        ),
    )
    return "\n\n".join(parts)


def circuits(found: Figures) -> str:
    """Tables of circuits."""
    parts = (
        (
            "Loops of four gaps in a row, two traps in each, one core, process time. A state of all circuits beside "
            "the bare LU of a\nmatrix of its size, both in one run:"
        ),
        table(
            "elements | ports | state, ms | LU, ms | state / LU",
            (
                (
                    one["elements"],
                    one["ports"],
                    seconds(1e3 * one["process_s"]),
                    seconds(1e3 * one["lu_process_s"]),
                    f"{one['process_s'] / one['lu_process_s']:.1f}",
                )
                for one in found["states"]
            ),
        ),
        (
            "Three values in each element for the source that its preamplifier likes best, all elements together; then "
            "what a per cent\nof every part does:"
        ),
        table(
            "elements | k Q of neighbours | values, s | solutions of the whole | largest loss of noise figure, dB | "
            "least decoupling, dB | slopes of all parts, s",
            (
                (
                    one["elements"],
                    f"{one['coupling_times_quality']:.2g}",
                    seconds(one["process_s"]),
                    one["iterations"],
                    f"{one['largest_loss_db']:.0e}",
                    f"{one['least_decoupling_db']:.1f}",
                    seconds(one["sensitivities_process_s"]),
                )
                for one in found["values"]
            ),
        ),
        (
            "Built arrays: seven parts of every element, four moves of it and its conductor off, every draw solved at "
            "three\nfrequencies with all couplings; yield and causes with it:"
        ),
        table(
            "elements | draws | process, s | wall, s | solutions a second",
            (
                (
                    one["elements"],
                    one["draws"],
                    seconds(one["process_s"]),
                    seconds(one["wall_s"]),
                    f"{one['draws'] * one['frequencies'] / one['process_s']:.0f}",
                )
                for one in found["draws"]
            ),
        ),
    )
    return "\n\n".join(parts)


def surfaces(found: Figures) -> str:
    """Tables of bodies of triangles."""
    parts = (
        (
            "Shares of all voxels of 5 mm and their faces of an ellipsoid as large as an adult, of triangles and in "
            "closed form, one\ncore, process time; *missed* is the largest difference of a voxel, in parts of it."
        ),
        table(
            "triangles | voxels | of triangles, s | closed form, s | triangles / closed form | missed",
            (
                (
                    one["triangles"],
                    one["voxels"],
                    seconds(one["process_s"]),
                    seconds(one["closed_process_s"]),
                    f"{one['process_s'] / one['closed_process_s']:.2f}",
                    f"{one['missed']:.0e}",
                )
                for one in found["shares"]
            ),
        ),
        "The same body with skin, fat, muscle and organs, all of triangles, process time:",
        table(
            "triangles of the skin | organs | voxels | layers, s | voxels and faces, s | depth, s",
            (
                (
                    one["triangles"],
                    one["organs"],
                    one["voxels"],
                    seconds(one["layers_process_s"]),
                    seconds(one["process_s"]),
                    seconds(one["depth_process_s"]),
                )
                for one in found["whole_body"]
            ),
        ),
    )
    return "\n\n".join(parts)


def faults(found: Figures) -> str:
    """Table of single faults in a transmit field."""
    largest = max(one["largest_difference"] for one in found["studies"])
    parts = (
        (
            "Loops of four gaps in a row, each with a passive and an active trap, after the field solution; one core, "
            "time on the\nwall of a shared machine. First twenty faults of every element while plugged, then all "
            "faults of every element plugged\nand unplugged, with the normal conditions. Rows of B1+ in "
            f"{found['studies'][0]['voxels']} voxels are made up, of the size and type that a body\nsolution gives; "
            "statistics are the mean change and that which 1 % of the voxels exceed. Against cases solved one by\none, "
            f"every fortieth or so, currents differ by at most {largest:.0e} of the largest."
        ),
        table(
            "elements | ports | cases | currents, s | B1+ statistics, s | heat and ratings, s | detection, s",
            (
                (
                    one["elements"],
                    one["ports"],
                    one["cases"],
                    seconds(one["list_wall_s"] + one["currents_wall_s"]),
                    seconds(one["b1_wall_s"]),
                    seconds(one["answers_wall_s"]),
                    seconds(one["detection_wall_s"]),
                )
                for one in found["studies"]
            ),
        ),
    )
    return "\n\n".join(parts)


def card(found: Figures) -> str:
    """Tables of a GPU."""
    parts = (
        f"{found['card']}, {found['date']}; time on the wall, no preconditioner. {found['note'].capitalize()}.",
        table(
            "voxels | padded | rows | product, ms a row | bare, ms a row | product / bare",
            (
                (
                    f"{one['voxels']}^3",
                    f"{one['padded']}^3",
                    one["rows"],
                    one["product_ms"],
                    one["bare_ms"],
                    f"{one['product_ms'] / one['bare_ms']:.2f}",
                )
                for one in found["products"]
            ),
        ),
        "Loops round a ball of gel, 62 voxels of 5 mm along each axis, 378 624 faces, 127.7 MHz; warm.",
        table(
            "loops | relative residual | most products | seconds",
            ((one["loops"], one["relative_residual"], one["products"], one["solve_s"]) for one in found["solves"]),
        ),
        (
            f"The first solve in a process takes {found['first_solve_s']} s: plans and kernels are made. "
            f"Currents differ from the\nprocessor's by {found['currents_from_the_processor']:.0e} of their norm at a "
            f"relative residual of 1e-4, magnetic fields of the same currents by "
            f"{found['magnetic_fields_from_the_processor']:.0e}.\n"
            f"`examples/head-sphere-32.yaml`, whole job, 16 cores with the card: {found['head_sphere_job_s']} s with "
            f"`--device gpu`, {found['head_sphere_job_without_s']} s without, before the preconditioner."
        ),
    )
    return "\n\n".join(parts)


def page() -> str:
    """Whole page."""
    return f"""# Benchmarks

Written by `python benchmarks/render.py` from the files under `benchmarks/results/`; do not edit. To measure again:

    python benchmarks/all.py --out benchmarks/results
    python benchmarks/body_device.py gpu found.json

The first takes some minutes on two quiet cores; the second needs a GPU, and its figures are put into
`h100.json` by hand. What was tried and left out stands in decision 0015.

## Two cores

{processor(figures("two-cores"))}

## Circuits

{circuits(figures("circuits"))}

## Single faults

{faults(figures("faults"))}

## Bodies of triangles

{surfaces(figures("surfaces"))}

## GPU

{card(figures("h100"))}
"""


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
