"""Source shells as the dossier shows them: maps on their own grid, and what tells how far to trust them."""

from collections.abc import Iterator

import numpy as np

from loopwright.bodies import dominant_tissue
from loopwright.dossier.evidence import MapKind, MapSet, PlateauLine, ScalarMap, ShellEvidence
from loopwright.imaging import ImageQuality, UltimateQuality
from loopwright.imaging.definitions import SHELL_ACCELERATED_FRACTION, SHELL_COVERED_FRACTION, SHELL_FRACTION

__all__ = ["shell_evidence"]

_AGAINST = {"complete": "ultimate", "covered": "best on the covered area"}


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
    grid = found.body.grid
    scalars = tuple(_scalars(found))
    return ShellEvidence(
        coverage=found.coverage,
        against=_AGAINST[found.coverage],
        maps=MapSet(
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
        ),
        fraction_map=scalars[0].name,
        accelerated_fractions=tuple((a.name, a.fraction_largest) for a in found.accelerations),
        voxel_m=grid.spacing_m,
        sources=found.sources,
        modes=found.modes,
        array_sources=found.array_sources,
        part_modes=found.part_modes,
        dropped=found.dropped,
        stand_off_m=found.stand_off_m,
        spacing_m=found.spacing_m,
        without_array=found.without_array,
        mode_counts=found.mode_counts,
        plateau=tuple(
            PlateauLine(place=p.name, at_m=p.at_m, depth_m=p.depth_m, values=p.values_t_per_a_sqrt_ohm)
            for p in found.plateau
        ),
        fraction_deepest=_at(found, found.plateau[0].at_m),
    )


def _scalars(found: UltimateQuality) -> Iterator[ScalarMap]:
    against = _AGAINST[found.coverage]
    definition = SHELL_FRACTION if found.coverage == "complete" else SHELL_COVERED_FRACTION
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


def _at(found: UltimateQuality, at_m: tuple[float, float, float]) -> float:
    distance = np.linalg.norm(found.body.grid.centre_points_m() - np.asarray(at_m), axis=-1)
    return float(found.fraction.ravel()[int(np.argmin(distance))])
