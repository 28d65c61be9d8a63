"""The maps of a run as the dossier shows them, with their definitions."""

from collections.abc import Iterator

import numpy as np

from loopwright.bodies import Body, dominant_tissue
from loopwright.brief.records import AccelerationRequest, ImagingRequest, ShiftedAcceleration, SimultaneousSlices
from loopwright.dossier.evidence import (
    AccelerationEvidence,
    ConstantLine,
    MapKind,
    MapSet,
    ScalarMap,
    UltimateEvidence,
)
from loopwright.dossier.patterns import field_of_view_words, pattern_words
from loopwright.imaging import ImageQuality
from loopwright.imaging.definitions import (
    ABSOLUTE_SNR,
    ACCELERATED_SNR,
    ALIASED_SET,
    ALIASED_SET_SHIFTED,
    ALIASED_SET_SLICES,
    INVERSE_G,
    OPTIMUM,
    ROOT_SUM_OF_SQUARES,
    SENSITIVITY,
    SIMULTANEOUS_SNR,
    ULTIMATE_FRACTION,
)

__all__ = ["acceleration_evidence", "constant_lines", "map_set", "ultimate_evidence"]

_FRACTION = "ultimate_fraction"


def map_set(
    body: Body, quality: ImageQuality, request: ImagingRequest, *, further: tuple[ScalarMap, ...] = ()
) -> MapSet:
    """Collect every map of the run on the voxel grid, ``further`` ones last."""
    grid = body.grid
    return MapSet(
        x_m=grid.centres_m(0),
        y_m=grid.centres_m(1),
        z_m=grid.centres_m(2),
        body_fraction=body.voxel_cover(),
        region=quality.region_mask,
        depth_m=quality.depth_m,
        tissue=dominant_tissue(body),
        tissue_names=tuple(tissue.name for tissue in body.tissues),
        scalars=(*_scalars(quality), *further),
        slices_m=_slices_m(quality, body, request),
        receive_field_t_per_a=quality.reception_t_per_a,
        remarks=quality.notes,
    )


def _scalars(quality: ImageQuality) -> Iterator[ScalarMap]:
    meaning, unit = (SENSITIVITY, "T A^-1 ohm^-1/2") if quality.absolute_factor is None else (ABSOLUTE_SNR, "1")
    factor = quality.absolute_factor or 1.0
    word = _word(quality)
    yield ScalarMap(
        name="snr_optimum",
        title=f"{word}, optimum combination",
        definition=f"{OPTIMUM} {meaning}",
        kind=MapKind.SNR,
        values=quality.sensitivity_t_per_a_sqrt_ohm * factor,
        unit=unit,
    )
    yield ScalarMap(
        name="snr_root_sum_of_squares",
        title=f"{word}, root-sum-of-squares combination",
        definition=f"{ROOT_SUM_OF_SQUARES} {meaning}",
        kind=MapKind.SNR,
        values=quality.root_sum_of_squares_t_per_a_sqrt_ohm * factor,
        unit=unit,
    )
    yield from _accelerated_scalars(quality, factor, unit)
    if quality.ultimate_fraction is not None:
        yield ScalarMap(
            name=_FRACTION,
            title="fraction of the ultimate SNR",
            definition=ULTIMATE_FRACTION,
            kind=MapKind.FRACTION,
            values=quality.ultimate_fraction,
        )


def _word(quality: ImageQuality) -> str:
    return "SNR" if quality.absolute_factor is not None else "sensitivity (SNR without its scale)"


def _accelerated_scalars(quality: ImageQuality, factor: float, unit: str) -> Iterator[ScalarMap]:
    known = quality.absolute_factor is not None
    for number, accelerated in enumerate(quality.accelerations, start=1):
        name = accelerated.request.name
        left = SIMULTANEOUS_SNR if isinstance(accelerated.request, SimultaneousSlices) else ACCELERATED_SNR
        yield ScalarMap(
            name=f"inverse_g_{number}",
            title=f"1/g, {name}",
            definition=f"{INVERSE_G} {_aliased_set(accelerated.request)}",
            kind=MapKind.INVERSE_G,
            values=accelerated.inverse_g,
        )
        yield ScalarMap(
            name=f"snr_accelerated_{number}",
            title=f"{_word(quality)}, {name}",
            definition=left if known else left.replace("SNR", "Sensitivity", 1),
            kind=MapKind.SNR,
            values=accelerated.sensitivity_t_per_a_sqrt_ohm * factor,
            unit=unit,
        )


def _aliased_set(request: AccelerationRequest) -> str:
    match request:
        case ShiftedAcceleration():
            return ALIASED_SET_SHIFTED
        case SimultaneousSlices():
            return ALIASED_SET_SLICES
        case _:
            return ALIASED_SET


def _slices_m(quality: ImageQuality, body: Body, request: ImagingRequest) -> tuple[float, float, float]:
    """Planes that the pictures show: those of the brief, else through the middle of the region. [m]"""
    middle = body.grid.centre_points_m()[quality.region_mask].mean(axis=0)
    asked: dict[str, float] = {wanted.normal: wanted.at_m for wanted in request.slices}
    x, y, z = (float(asked.get(axis, at)) for axis, at in zip("xyz", middle, strict=True))
    return x, y, z


def constant_lines(quality: ImageQuality) -> tuple[ConstantLine, ...]:
    """Constants and choices that turned the arrays into printed numbers."""
    return tuple(
        ConstantLine(name=name, value=constant.value, unit=constant.unit, source=str(constant.source))
        for name, constant in quality.constants.items()
    )


def acceleration_evidence(quality: ImageQuality) -> tuple[AccelerationEvidence, ...]:
    """Every acceleration, and the names of its maps."""
    return tuple(
        AccelerationEvidence(
            name=accelerated.request.name,
            pattern=pattern_words(accelerated.request),
            field_of_view=field_of_view_words(accelerated.request),
            reduction=accelerated.reduction,
            inverse_g_map=f"inverse_g_{number}",
            snr_map=f"snr_accelerated_{number}",
            remarks=accelerated.notes,
            g_mean=accelerated.mean_g_in_region,
        )
        for number, accelerated in enumerate(quality.accelerations, start=1)
    )


def ultimate_evidence(body: Body, quality: ImageQuality) -> UltimateEvidence | None:
    """How near the array comes to the ultimate, where that is known."""
    if quality.ultimate_fraction is None:
        return None
    distance = np.linalg.norm(body.grid.centre_points_m(), axis=-1)
    central = np.argmin(np.where(np.isfinite(quality.ultimate_fraction), distance, np.inf))
    return UltimateEvidence(
        definition=ULTIMATE_FRACTION,
        fraction_map=_FRACTION,
        fraction_centre=float(quality.ultimate_fraction.ravel()[central]),
    )
