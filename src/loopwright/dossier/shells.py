"""Source shells as the dossier shows them: maps on their own grid, and what tells how far to trust them."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import dominant_tissue
from loopwright.dossier.evidence import AcceleratedFraction, MapKind, MapSet, PlateauLine, ScalarMap, ShellEvidence
from loopwright.dossier.numbers import printed
from loopwright.imaging import ImageQuality, UltimateQuality
from loopwright.imaging.definitions import SHELL_ACCELERATED_FRACTION, SHELL_COVERED_FRACTION, SHELL_FRACTION
from loopwright.imaging.settling import MOST_CHANGE

__all__ = ["shell_evidence"]

_AREAS = {"complete": "all round", "covered": "on the covered area"}
_DEFINITIONS = {"complete": SHELL_FRACTION, "covered": SHELL_COVERED_FRACTION}


def shell_evidence(
    found: UltimateQuality, quality: ImageQuality, slices_m: tuple[float, float, float]
) -> ShellEvidence:
    """Collect one source shell: how near the array comes to its bound, and how the bound was found.

    Parameters
    ----------
    found : UltimateQuality
        The bound.
    quality : ImageQuality
        The array's, on the same grid.
    slices_m : 3-tuple
        Planes of the pictures. [m]
    """
    scalars = tuple(_scalars(found))
    return ShellEvidence(
        coverage=found.coverage,
        against=_against(found),
        maps=_map_set(found, quality, slices_m, scalars),
        fraction_map=scalars[0].name,
        settling=found.settling,
        accelerated_fractions=tuple(
            AcceleratedFraction(name=a.name, largest=a.fraction_largest, settling=a.settling)
            for a in found.accelerations
        ),
        voxel_m=found.body.grid.spacing_m,
        sources=found.sources,
        modes=found.modes,
        array_sources=found.array_sources,
        part_modes=found.part_modes,
        dropped=found.dropped,
        stand_off_m=found.stand_off_m,
        spacing_m=found.spacing_m,
        margin_m=found.margin_m,
        without_array=found.without_array,
        mode_counts=found.mode_counts,
        plateau=tuple(
            PlateauLine(place=p.name, at_m=p.at_m, depth_m=p.depth_m, values=p.values_t_per_a_sqrt_ohm)
            for p in found.plateau
        ),
        fraction_deepest=_at(found, found.fraction),
        change_deepest=_at(found, found.change),
    )


def _map_set(
    found: UltimateQuality,
    quality: ImageQuality,
    slices_m: tuple[float, float, float],
    scalars: tuple[ScalarMap, ...],
) -> MapSet:
    grid = found.body.grid
    return MapSet(
        x_m=grid.centres_m(0),
        y_m=grid.centres_m(1),
        z_m=grid.centres_m(2),
        body_fraction=found.body.voxel_cover(),
        region=found.deep,
        depth_m=quality.depth_m,
        tissue=dominant_tissue(found.body),
        tissue_names=tuple(tissue.name for tissue in found.body.tissues),
        scalars=scalars,
        slices_m=slices_m,
    )


def _scalars(found: UltimateQuality) -> Iterator[ScalarMap]:
    against = _against(found)
    definition = _DEFINITIONS[found.coverage].format(
        combinations=_combinations(found), percent=100 * MOST_CHANGE, margin=printed(found.margin_m, "m")
    )
    yield ScalarMap(
        name=f"shell_{found.coverage}_fraction",
        title=f"SNR as a fraction of the {against}",
        definition=definition,
        kind=MapKind.FRACTION,
        values=found.fraction,
    )
    for number, accelerated in enumerate(found.accelerations, start=1):
        yield ScalarMap(
            name=f"shell_{found.coverage}_fraction_accelerated_{number}",
            title=f"SNR as a fraction of the {against}, {accelerated.name}",
            definition=f"{SHELL_ACCELERATED_FRACTION} {definition}",
            kind=MapKind.FRACTION,
            values=accelerated.fraction,
        )


def _combinations(found: UltimateQuality) -> int:
    return found.modes + found.part_modes


def _against(found: UltimateQuality) -> str:
    return f"best of {_combinations(found)} combinations {_AREAS[found.coverage]}"


def _at(found: UltimateQuality, values: NDArray[np.float64]) -> float:
    """Value in the first voxel of the plateau, the deepest."""
    distance = np.linalg.norm(found.body.grid.centre_points_m() - np.asarray(found.plateau[0].at_m), axis=-1)
    return float(values.ravel()[int(np.argmin(distance))])
