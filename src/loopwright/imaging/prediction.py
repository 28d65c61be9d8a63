"""From the tuned array and its fields to image quality."""

from collections.abc import Mapping
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.brief.records.imaging import ImagingRequest
from loopwright.brief.records.scanner import Scanner
from loopwright.circuits.receivers.noisy_ports import NoisyPorts
from loopwright.circuits.tuned.noise import noise_correlation
from loopwright.fields.body import BodyReply
from loopwright.ground.constants import BOLTZMANN_J_PER_K, WATER_PROTON_DENSITY_PER_M3
from loopwright.ground.sources import Flag, Published, Source
from loopwright.imaging.accelerated import accelerate
from loopwright.imaging.aliasing import SampledMaps
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m
from loopwright.imaging.quality import ImageQuality, distribution
from loopwright.imaging.reception import reception_field_t_per_a, recombined
from loopwright.imaging.region import BODY_COVER, region_voxels
from loopwright.imaging.snr import absolute_snr_factor, root_sum_of_squares_sensitivity, whitened

__all__ = ["predict"]

T = TypeVar("T", np.float64, np.complex128)


def predict(
    request: ImagingRequest,
    scanner: Scanner,
    *,
    array: NoisyPorts,
    reply: BodyReply,
    body: Body,
    ultimate_t_per_a_sqrt_ohm: NDArray[np.floating] | None = None,
) -> ImageQuality:
    """Predict the images' SNR and noise amplification.

    Parameters
    ----------
    request : ImagingRequest
        Region, accelerations, voxel and bandwidth of the image.
    scanner : Scanner
        Field, nucleus, direction of the field.
    array : TunedArray
        The array on this body.
    reply : BodyReply
        Fields per unit of each of its sources.
    body : Body
        The voxels that the reply was solved on.
    ultimate_t_per_a_sqrt_ohm : ndarray, shape (x, y, z), optional
        Ultimate sensitivity where it is known. [T A^-1 ohm^-1/2]

    Returns
    -------
    ImageQuality

    Raises
    ------
    OutsideModelError
        If the region or a slab in it holds no voxel, or a combination of elements is free of noise.
    """
    known, inside, reception, noise_ohm = _received(scanner, array, reply, body)
    white = whitened(reception, noise_ohm)
    optimum = _unmasked(np.linalg.norm(white, axis=0), known, inside)
    combined = _unmasked(root_sum_of_squares_sensitivity(reception, noise_ohm), known, inside)
    depth_m = body.depth_m()
    region = region_voxels(request.region, body, depth_m=depth_m)
    magnetisation = _magnetisation_a_per_m(scanner, array.temperatures.body_temperature_k)
    factor = _absolute_factor(request, scanner, array, magnetisation)
    maps = _sampled(white, known)
    judged = partial(
        accelerate, grid=body.grid, maps=maps, inside=inside, region=region, optimum=optimum, factor=factor
    )
    correlation = noise_correlation(noise_ohm)
    off_diagonal = np.abs(correlation[~np.eye(len(correlation), dtype=np.bool_)])
    return ImageQuality(
        body_mask=inside,
        region_mask=region,
        depth_m=depth_m,
        reception_t_per_a=_unmasked(reception, known, inside).astype(np.complex64),
        sensitivity_t_per_a_sqrt_ohm=optimum,
        root_sum_of_squares_t_per_a_sqrt_ohm=combined,
        absolute_factor=factor,
        magnetisation_a_per_m=magnetisation,
        noise_correlation=correlation,
        mean_correlation=float(off_diagonal.mean()) if off_diagonal.size else 0.0,
        largest_correlation=float(off_diagonal.max(initial=0.0)),
        noise_forms_differ=_noise_forms_differ(array, reception),
        sensitivity_in_region=distribution(optimum[region]),
        accelerations=tuple(judged(acceleration) for acceleration in request.accelerations),
        ultimate_fraction=None if ultimate_t_per_a_sqrt_ohm is None else optimum / ultimate_t_per_a_sqrt_ohm,
        constants=_constants(request, scanner, array, magnetisation),
        notes=_notes(scanner, magnetisation),
    )


def _received(
    scanner: Scanner, array: NoisyPorts, reply: BodyReply, body: Body
) -> tuple[NDArray[np.bool_], NDArray[np.bool_], NDArray[np.complex128], NDArray[np.complex128]]:
    """Voxels with known fields, those of the body; signal at the former; noise resistance at the body's temperature."""
    cover = np.asarray(body.voxel_cover())
    known, inside = cover > 0, cover >= BODY_COVER
    per_source = reception_field_t_per_a(
        reply.magnetic_field_t_per_a[..., known], reception_sign=scanner.reception_sign
    )
    noise_ohm = array.weighted_resistance_k_ohm / array.temperatures.body_temperature_k
    return known, inside, recombined(per_source, array.body_source_current), noise_ohm


def _unmasked(values: NDArray[T], known: NDArray[np.bool_], inside: NDArray[np.bool_]) -> NDArray[T]:
    """Put values of the known voxels back on the grid, NaN outside the body."""
    full = np.full((*values.shape[:-1], *known.shape), np.nan, dtype=values.dtype)
    full[..., inside] = values[..., inside[known]]
    return full


def _sampled(white: NDArray[np.complex128], known: NDArray[np.bool_]) -> SampledMaps:
    """Keep the whitened maps row by row, so that a voxel's elements lie side by side."""
    row = np.full(known.shape, -1, dtype=np.intp)
    row[known] = np.arange(white.shape[1])
    return SampledMaps(values=np.ascontiguousarray(white.T), row=row)


def _magnetisation_a_per_m(scanner: Scanner, temperature_k: float) -> float | None:
    """Take the magnetisation from the brief, else that of water where the nucleus is the proton."""
    if scanner.magnetisation_a_per_m is not None:
        return scanner.magnetisation_a_per_m
    if scanner.nucleus == "1H":
        return water_magnetisation_a_per_m(scanner.field_t, temperature_k=temperature_k)
    return None


def _absolute_factor(
    request: ImagingRequest, scanner: Scanner, array: NoisyPorts, magnetisation_a_per_m: float | None
) -> float | None:
    if magnetisation_a_per_m is None:
        return None
    return absolute_snr_factor(
        frequency_hz=scanner.frequency_hz,
        magnetisation_a_per_m=magnetisation_a_per_m,
        voxel_volume_m3=request.voxel_volume_m3,
        bandwidth_hz=request.bandwidth_hz,
        noise_temperature_k=array.temperatures.body_temperature_k,
    )


def _noise_forms_differ(array: NoisyPorts, reception: NDArray[np.complex128]) -> float:
    """Compare the optimum between voltages and waves, each with its own noise."""
    noise_v2_per_hz = 4 * BOLTZMANN_J_PER_K * array.weighted_resistance_k_ohm
    voltages = np.linalg.norm(whitened(reception, noise_v2_per_hz), axis=0)
    waves = np.linalg.norm(whitened(array.wave_matrix @ reception, array.wave_noise_w_per_hz), axis=0)
    return float(np.max(np.abs(waves / voltages - 1)))


def _constants(
    request: ImagingRequest, scanner: Scanner, array: NoisyPorts, magnetisation_a_per_m: float | None
) -> Mapping[str, Published]:
    """Say what turned arrays into printed numbers."""
    asked = Source(key="", where="the brief", flag=Flag.ASKED)
    found: dict[str, Published] = {
        "Larmor frequency": Published(value=scanner.frequency_hz, unit="Hz", source=asked),
        "body temperature": Published(value=array.temperatures.body_temperature_k, unit="K", source=asked),
        "coil temperature": Published(value=array.temperatures.coil_temperature_k, unit="K", source=asked),
    }
    if magnetisation_a_per_m is None:
        return found  # sensitivities: nothing below enters them
    found |= {
        "Boltzmann constant": Published(
            value=BOLTZMANN_J_PER_K,
            unit="J/K",
            source=Source(key="codata2018", where="exact since 2019", flag=Flag.STANDARD),
        ),
        "voxel volume": Published(value=request.voxel_volume_m3, unit="m^3", source=asked),
        "noise bandwidth": Published(value=request.bandwidth_hz, unit="Hz", source=asked),
    }
    if scanner.magnetisation_a_per_m is not None:
        return found | {"magnetisation": Published(value=magnetisation_a_per_m, unit="A/m", source=asked)}
    density = Source(key="", where="two protons a molecule, 993.3 kg/m^3 at 37 C", flag=Flag.MEMORY)
    curie = Source(key="abragam1961", where="Curie's law for the protons of pure water", flag=Flag.COMPUTED)
    return found | {
        "proton density": Published(value=WATER_PROTON_DENSITY_PER_M3, unit="m^-3", source=density),
        "magnetisation": Published(value=magnetisation_a_per_m, unit="A/m", source=curie),
    }


def _notes(scanner: Scanner, magnetisation_a_per_m: float | None) -> tuple[str, ...]:
    if magnetisation_a_per_m is not None:
        return ()
    sentence = f"No absolute SNR: the magnetisation of {scanner.nucleus} was not given; maps are sensitivities."
    return (sentence,)
