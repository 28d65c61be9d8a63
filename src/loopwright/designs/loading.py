"""Which phantom loads an element like which patient: the resistance that each adds to one loop."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from loopwright.bodies import Body, place, solid_of
from loopwright.brief.records import (
    ArrayRequest,
    BottleRequest,
    Brief,
    LayeredRequest,
    LoadingRequest,
    LoadRequest,
    TilingRequest,
    TissueByName,
)
from loopwright.conductors import (
    cross_section_of,
    equivalent_radius_m,
    inner_reactance_ohm_per_m,
    resistance_ohm_per_m,
)
from loopwright.fields import FaceRule, closed_loops, reply_to_sources
from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.layouts import arrange, arrange_on

__all__ = [
    "SWEPT", "BareLoop", "Load", "LoadingEquivalence", "check_loads", "equal_conductivity_s_per_m",
    "loading_equivalence",
]  # fmt: skip

Real = NDArray[np.float64]

#: Conductivities that a phantom's filling is tried at, over its own.
SWEPT = (0.25, 0.5, 1.0, 2.0, 4.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BareLoop:
    """The element without a body: a uniform current in a circle.

    Attributes
    ----------
    conductor_ohm, capacitor_ohm, other_ohm
        Its losses. [ohm]
    reactance_ohm
        By the formula of a thin circle. [ohm]
    """

    conductor_ohm: float
    capacitor_ohm: float
    other_ohm: float
    reactance_ohm: float

    @property
    def resistance_ohm(self) -> float:
        """All of its losses. [ohm]"""
        return self.conductor_ohm + self.capacitor_ohm + self.other_ohm

    def q_loaded(self, body_ohm: float) -> float:
        """Quality with a body that adds this resistance [ohm]; without one at zero. [1]"""
        return self.reactance_ohm / (self.resistance_ohm + body_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one body adds to the element.

    Attributes
    ----------
    towards
        Where the element lies, from the origin.
    fine_ohm, coarse_ohm
        On the two grids. [ohm]
    filling
        Where the numbers of its filling come from; empty for a stylised figure.
    """

    name: str
    body_name: str
    towards: tuple[float, float, float]
    voxel_m: float
    fine_ohm: float
    coarse_ohm: float
    filling: str = ""

    @property
    def uncertainty_ohm(self) -> float:
        """Change between the grids. [ohm]"""
        return abs(self.fine_ohm - self.coarse_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadingEquivalence:
    """All loads of one element.

    Attributes
    ----------
    equal_s_per_m : ndarray, shape (phantoms, patients)
        Conductivity of a phantom's filling at which it loads the element like a patient; nan where its filling is a
        tissue by name, or none of those tried reaches so far. [S/m]
    filled_s_per_m : ndarray, shape (phantoms,)
        Conductivity of its filling as it is; nan where that is a tissue by name. [S/m]
    """

    diameter_m: float
    stand_off_m: float
    frequency_hz: float
    loop: BareLoop
    patients: tuple[Load, ...]
    phantoms: tuple[Load, ...]
    equal_s_per_m: Real
    filled_s_per_m: Real

    @property
    def ratio(self) -> Real:
        """Resistance with each phantom over that with each patient, shape (phantoms, patients). [1]"""
        patients = np.array([load.fine_ohm for load in self.patients])
        return np.array([load.fine_ohm for load in self.phantoms])[:, None] / patients


def loading_equivalence(brief: Brief, request: LoadingRequest, means: Means) -> LoadingEquivalence:
    """Lay one round element on every patient and every phantom, and tell what each adds to its resistance.

    Parameters
    ----------
    brief : Brief
        Frequency, conductor, computation.
    request : LoadingRequest
        The element, the patients, the phantoms.
    means : Means
        What the fields are solved with.

    Raises
    ------
    OutsideModelError
        If the element does not fit on one of them.

    Notes
    -----
    One uniform current in the loop, wrapped as far as the surface bends. A phantom is tried at other conductivities on
    the coarser grid; the curve is drawn through their logarithms and scaled to its resistance on the finer one.
    """
    frequency_hz = brief.scanner.frequency_hz

    def load(one: LoadRequest) -> Load:
        means.progress.note(f"loading equivalence: {one.name}")
        coarse_m = one.body.voxel_m * brief.computation.coarse_voxel_ratio
        fine, coarse = (place(one.body, frequency_hz=frequency_hz, voxel_m=m) for m in (one.body.voxel_m, coarse_m))
        return Load(
            name=one.name,
            body_name=fine.name,
            towards=_towards(one),
            voxel_m=one.body.voxel_m,
            fine_ohm=_added_ohm(brief, request, one, fine, means),
            coarse_ohm=_added_ohm(brief, request, one, coarse, means),
            filling=f"{fine.tissues[-1].name}: {fine.tissues[-1].note}" if isinstance(one.body, LayeredRequest) else "",
        )

    patients, phantoms = tuple(map(load, request.patients)), tuple(map(load, request.phantoms))
    wanted_ohm = np.array([patient.fine_ohm for patient in patients])
    filled, equal = np.full(len(phantoms), np.nan), np.full((len(phantoms), len(patients)), np.nan)
    for number, (one, found) in enumerate(zip(request.phantoms, phantoms, strict=True)):
        if _filled_by_number(one):
            filled[number], tried_s_per_m, added_ohm = _swept(brief, request, one, found, means)
            equal[number] = equal_conductivity_s_per_m(tried_s_per_m, added_ohm, wanted_ohm)
    return LoadingEquivalence(
        diameter_m=request.diameter_m,
        stand_off_m=request.stand_off_m,
        frequency_hz=frequency_hz,
        loop=_bare_loop(brief, request),
        patients=patients,
        phantoms=phantoms,
        equal_s_per_m=equal,
        filled_s_per_m=filled,
    )


def check_loads(brief: Brief, request: LoadingRequest) -> None:
    """Lay the element on every patient and phantom without solving anything.

    Raises
    ------
    OutsideModelError
        If it does not fit on one of them; the error names it.
    """
    for one in (*request.patients, *request.phantoms):
        try:
            arrange_on(
                _alone(request, one), solid_of(one.body), segments_per_element=brief.computation.segments_per_element
            )
        except OutsideModelError as error:
            raise OutsideModelError(f"loading equivalence, {one.name}: {error}") from error


def equal_conductivity_s_per_m(tried_s_per_m: Real, added_ohm: Real, wanted_ohm: Real) -> Real:
    """Conductivities at which a phantom adds the wanted resistances.

    Parameters
    ----------
    tried_s_per_m, added_ohm : ndarray, shape (n,)
        What was tried, rising, and what it added. [S/m], [ohm]
    wanted_ohm : ndarray, shape (m,)
        [ohm]

    Returns
    -------
    ndarray, shape (m,)
        nan outside of what was tried, and beyond the conductivity from which resistance rises no more. [S/m]
    """
    rising = 1 + int(np.argmin(np.append(np.diff(added_ohm) > 0, [False])))
    if rising < 2:
        return np.full(len(wanted_ohm), np.nan)
    curve = PchipInterpolator(np.log(added_ohm[:rising]), np.log(tried_s_per_m[:rising]), extrapolate=False)
    return np.asarray(np.exp(curve(np.log(wanted_ohm))))


def _towards(one: LoadRequest) -> tuple[float, float, float]:
    if one.towards is not None:
        return one.towards
    if isinstance(one.body, BottleRequest):
        x, y, z = np.array((0.0, -one.body.radius_m, -one.body.height_m / 2)).tolist()
        size = float(np.hypot(y, z))
        return x, y / size, z / size
    return 0.0, -1.0, 0.0


def _added_ohm(brief: Brief, request: LoadingRequest, one: LoadRequest, body: Body, means: Means) -> float:
    """Resistance that a body on its grid adds to the loop. [ohm]"""
    layout = arrange(_alone(request, one), body, segments_per_element=brief.computation.segments_per_element)
    reply = reply_to_sources(
        body,
        closed_loops([layout.elements[0].vertices_m]),
        face_rule=FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )
    return float(reply.noise_resistance_ohm[0, 0].real)


def _alone(request: LoadingRequest, one: LoadRequest) -> ArrayRequest:
    """The element by itself, where it lies on this body."""
    tiling = TilingRequest(
        pattern="hexagonal",
        shape="circle",
        count=1,
        rows=1,
        size_m=request.diameter_m,
        overlap=1.0,
        stand_off_m=request.stand_off_m,
        gaps=1,
        span="patch",
        facing=_towards(one),
    )
    return ArrayRequest(tiling=tiling)


def _filled_by_number(one: LoadRequest) -> bool:
    """Whether the conductivity of what fills a phantom can be chosen."""
    return isinstance(one.body, LayeredRequest) and not isinstance(one.body.material, TissueByName)


def _swept(
    brief: Brief, request: LoadingRequest, one: LoadRequest, found: Load, means: Means
) -> tuple[float, Real, Real]:
    """Conductivity of the filling as it is, those that were tried [S/m], and what each adds [ohm]."""
    coarse_m = one.body.voxel_m * brief.computation.coarse_voxel_ratio
    body = place(one.body, frequency_hz=brief.scanner.frequency_hz, voxel_m=coarse_m)
    own = body.tissues[-1].sigma_s_per_m
    added = [
        found.coarse_ohm if times == 1.0 else _added_ohm(brief, request, one, _filled(body, times * own), means)
        for times in SWEPT
    ]
    return own, own * np.array(SWEPT), np.array(added) * found.fine_ohm / found.coarse_ohm


def _filled(body: Body, sigma_s_per_m: float) -> Body:
    return replace(body, tissues=(*body.tissues[:-1], replace(body.tissues[-1], sigma_s_per_m=sigma_s_per_m)))


def _bare_loop(brief: Brief, request: LoadingRequest) -> BareLoop:
    """The loop as a thin circle: mu_0 r (ln(8 r / a) - 2) and the inner reactance of its conductor."""
    section, frequency_hz = cross_section_of(brief.conductor), brief.scanner.frequency_hz
    radius_m = request.diameter_m / 2
    length_m = 2 * np.pi * radius_m
    outer_h = MU_0_H_PER_M * radius_m * (np.log(8 * radius_m / equivalent_radius_m(section)) - 2)
    reactance = 2 * np.pi * frequency_hz * outer_h + length_m * inner_reactance_ohm_per_m(section, frequency_hz)
    return BareLoop(
        conductor_ohm=length_m * resistance_ohm_per_m(section, frequency_hz),
        capacitor_ohm=float(reactance) / brief.conductor.capacitor_q,
        other_ohm=brief.conductor.other_series_resistance_ohm,
        reactance_ohm=float(reactance),
    )
