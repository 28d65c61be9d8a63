"""What a brief asks of the transmitting scanner, and all of it that does not depend on how the array lies."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright import bodies, circuits, conductors, fields, limits
from loopwright.brief import Brief
from loopwright.brief.records.transmit import TransmitRequest
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import TransmitReply, TransmitSource, absorbed_power_w, transmit_reply
from loopwright.ground.constants import NUCLEI
from loopwright.ground.means import Means
from loopwright.heating.asked import refuse_unknown_parts, stack_asked
from loopwright.heating.spot import SpotStack
from loopwright.imaging.region import region_voxels
from loopwright.transmit import Exposure, GlobalSar
from loopwright.transmit.asked import middle_of_resonator_m, patient_mass_kg, source_asked
from loopwright.transmit.case_sar import BodySar, body_sar
from loopwright.transmit.global_sar import global_sar
from loopwright.transmit.scaling import exposure_of_level

__all__ = ["Asked", "asked_of"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """What the brief asks, and what of it holds for every lie of the array."""

    brief: Brief
    request: TransmitRequest
    circuit: circuits.CircuitOutcome
    check: circuits.InterfaceCheck | None
    source: TransmitSource
    region: NDArray[np.bool_]
    alone: TransmitReply
    coarse_w_per_t2: float
    mass_kg: float | None
    exposure: Exposure
    sar: BodySar
    spacing: limits.Spacing
    stack: SpotStack | None
    middle_m: tuple[float, float, float]

    @property
    def alone_w_per_t2(self) -> float:
        """What the body absorbs without array, per square of the amplitude of B1+. [W/T^2]"""
        return float(absorbed_power_w(self.alone, [[1.0]])[0])

    @property
    def lines(self) -> tuple[circuits.LineCheck, ...]:
        """Bias lines, checked; none where the brief describes no interface."""
        return () if self.check is None else self.check.lines

    @property
    def uncertainty(self) -> float:
        """By how much the power of the second grid differs."""
        return abs(self.coarse_w_per_t2 / self.alone_w_per_t2 - 1)

    def global_sar(self, absorbed_w: float) -> GlobalSar:
        """Mean SAR of a case that absorbs so much. [W]"""
        return _global_sar(self.request, self.sar.body, absorbed_w, middle_m=self.middle_m, mass_kg=self.mass_kg)


def asked_of(
    brief: Brief,
    request: TransmitRequest,
    dressed: conductors.DressedLayout,
    body: bodies.Body,
    circuit: circuits.CircuitOutcome,
    means: Means,
) -> Asked:
    """Everything that does not depend on how the array lies; what cannot be told is refused before hours are spent."""
    elements, frequency_hz = dressed.layout.elements, brief.scanner.frequency_hz
    spacing = limits.least_spacing(elements, body.solid, half_height_m=conductors.half_height_m(dressed.cross_section))
    stack = None if brief.heat is None else stack_asked(brief.heat, stand_off_m=spacing.distance_m)
    if brief.heat is not None:
        refuse_unknown_parts(brief.heat, circuit.circuits)
    region = region_voxels(request.region or brief.imaging.region, body, depth_m=body.depth_m())
    middle_m = middle_of_resonator_m(request, body, elements)
    sense = Precession(brief.scanner.reception_sign)
    source = source_asked(request, middle_m=middle_m, frequency_hz=frequency_hz, sense=sense)
    mass_kg = patient_mass_kg(request, brief.body)
    _global_sar(request, body, 0.0, middle_m=middle_m, mass_kg=mass_kg)
    means.progress.note(f"{source.name}: the body without array, on two grids")
    alone = _alone(brief, body, source, means)
    exposure = exposure_of_level(
        request.level,
        duration_s=request.duration_s,
        gyromagnetic_ratio_hz_per_t=NUCLEI[brief.scanner.nucleus].gyromagnetic_ratio_hz_per_t,
        absorbed_w_per_t2=float(absorbed_power_w(alone, [[1.0]])[0]),
        patient_mass_kg=mass_kg,
    )
    names = tuple(element.name for element in elements)
    interface = brief.interface
    return Asked(
        brief=brief,
        request=request,
        circuit=circuit,
        check=None if interface is None else circuits.check_interface(interface, names, frequency_hz=frequency_hz),
        source=source,
        region=region,
        alone=alone,
        coarse_w_per_t2=_coarse_w_per_t2(brief, source, means),
        mass_kg=mass_kg,
        exposure=exposure,
        sar=body_sar(body, alone, amplitude_t=exposure.rms_b1_plus_t),
        spacing=spacing,
        stack=stack,
        middle_m=middle_m,
    )


def _global_sar(
    request: TransmitRequest,
    body: bodies.Body,
    absorbed_w: float,
    *,
    middle_m: tuple[float, float, float],
    mass_kg: float | None,
) -> GlobalSar:
    half_m = request.resonator.length_m / 2
    (found,) = global_sar(
        body, [absorbed_w], low_z_m=middle_m[2] - half_m, high_z_m=middle_m[2] + half_m, patient_mass_kg=mass_kg
    )
    return found


def _coarse_w_per_t2(brief: Brief, source: TransmitSource, means: Means) -> float:
    """What the body absorbs on the second grid, per square of the amplitude of B1+. [W/T^2]"""
    coarse = bodies.place(
        brief.body,
        frequency_hz=brief.scanner.frequency_hz,
        voxel_m=brief.body.voxel_m * brief.computation.coarse_voxel_ratio,
    )
    return float(absorbed_power_w(_alone(brief, coarse, source, means), [[1.0]])[0])


def _alone(brief: Brief, body: bodies.Body, source: TransmitSource, means: Means) -> TransmitReply:
    return transmit_reply(
        body,
        source,
        array=None,
        face_rule=fields.FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )
