"""Which published methods a brief makes use of."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from loopwright.brief.records import (
    BodyRequest,
    Brief,
    EllipsoidRequest,
    ExplicitMaterial,
    FigureRequest,
    HeadRequest,
    LiquidMaterial,
    MaterialRequest,
    NoUltimate,
    PatientRequest,
    PrintedCapacitorRequest,
    ShiftedAcceleration,
    SimultaneousSlices,
    SphereRequest,
    ThreadRequest,
    TissueByName,
    materials_of,
)
from loopwright.conductors import stack_of
from loopwright.ground.figures import figure_of, measured_as
from loopwright.ground.sources import Flag

__all__ = ["METHODS", "Method", "methods_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """A method, what it is used for, the keys of its references, and whether a brief needs it."""

    name: str
    purpose: str
    keys: tuple[str, ...]
    needed: Callable[[Brief], bool]


def methods_of(brief: Brief) -> tuple[str, ...]:
    """Return the names of the methods that this brief makes use of, in the order of the job."""
    return tuple(method.name for method in METHODS if method.needed(brief))


def _always(_: Brief) -> bool:
    return True


def _accelerates(brief: Brief) -> bool:
    return bool(brief.imaging.accelerations)


def _shifts_lines(brief: Brief) -> bool:
    return any(isinstance(one, ShiftedAcceleration) for one in brief.imaging.accelerations)


def _excites_several(brief: Brief) -> bool:
    return any(isinstance(one, SimultaneousSlices) for one in brief.imaging.accelerations)


def _names_tissues(brief: Brief) -> bool:
    if isinstance(brief.body, FigureRequest | PatientRequest):
        return True
    return any(isinstance(material, TissueByName) for material in _materials(brief))


def _states_liquids(brief: Brief) -> bool:
    return any(isinstance(material, LiquidMaterial) for material in _materials(brief))


def _materials(brief: Brief) -> Iterator[MaterialRequest]:
    """What the bodies of a brief are made of, apart from stylised figures."""
    for body in _bodies(brief):
        if not isinstance(body, FigureRequest | PatientRequest):
            yield from materials_of(body)


def _bodies(brief: Brief) -> tuple[BodyRequest, ...]:
    """The body of the brief, and those that load one element like it."""
    loads = brief.loading_equivalence
    return (brief.body, *(() if loads is None else (load.body for load in (*loads.patients, *loads.phantoms))))


def _is_figure(brief: Brief) -> bool:
    return any(isinstance(body, FigureRequest) for body in _bodies(brief))


def _is_patient(brief: Brief) -> bool:
    return isinstance(brief.body, PatientRequest)


def _is_wetter(brief: Brief) -> bool:
    return isinstance(brief.body, PatientRequest) and bool(brief.body.hydration)


def _is_measured_head(brief: Brief) -> bool:
    """Growth standards of head circumference end at five years; what older figures take is from memory."""
    body = brief.body
    return isinstance(body, HeadRequest) and measured_as(figure_of(body.age)).flag_of("head") is Flag.READ


def _other_nucleus(brief: Brief) -> bool:
    return brief.scanner.nucleus != "1H"


def _uniform_conducting_sphere(brief: Brief) -> bool:
    """Without conduction the body makes no noise, and the ultimate has no limit."""
    body = brief.body
    if not isinstance(body, SphereRequest | EllipsoidRequest) or body.layers:
        return False
    if isinstance(body, EllipsoidRequest) and len(set(body.semi_axes_m)) > 1:
        return False
    return not isinstance(body.material, ExplicitMaterial) or body.material.sigma_s_per_m > 0


def _biases_diodes(brief: Brief) -> bool:
    return brief.interface is not None


def _transmits(brief: Brief) -> bool:
    return brief.transmit is not None


def _is_heated(brief: Brief) -> bool:
    return brief.transmit is not None and brief.heat is not None


def _springs_a_thread(brief: Brief) -> bool:
    return isinstance(brief.conductor, ThreadRequest) and brief.conductor.coil_pitch_m is not None


def _names_films(brief: Brief) -> bool:
    return bool(stack_of(brief.conductor))


def _solves_a_shell(brief: Brief) -> bool:
    return not isinstance(brief.imaging.ultimate, NoUltimate)


def _prints_capacitors(brief: Brief) -> bool:
    return isinstance(brief.capacitors, PrintedCapacitorRequest)


METHODS = (
    Method(name="proton frequency", purpose="Larmor frequency of water protons", keys=("codata2018",), needed=_always),
    Method(
        name="frequency ratios of nuclei",
        purpose="Larmor frequency of other nuclei",
        keys=("harris2008",),
        needed=_other_nucleus,
    ),
    Method(
        name="tissue dispersion",
        purpose="permittivity and conductivity of tissues",
        keys=("gabriel1996", "gabriel1996report"),
        needed=_names_tissues,
    ),
    Method(
        name="conductivity of electrolytes",
        purpose="liquids of phantoms from their salts",
        keys=("robinson1959", "vanysek2010", "huber2009", "malmberg1956", "kaatze1989", "buchner1999", "prohaska2022"),
        needed=_states_liquids,
    ),
    Method(
        name="stylised figure",
        purpose="size and make-up of head, trunk or limb",
        keys=("cristy1987", "icrp2002"),
        needed=_is_figure,
    ),
    Method(name="patient", purpose="masses of organs in a patient", keys=("icrp2002",), needed=_is_patient),
    Method(name="hydration", purpose="tissues wetter than an adult's", keys=("wang2006",), needed=_is_wetter),
    Method(name="head circumference", purpose="size of a stylised head", keys=("who2007",), needed=_is_measured_head),
    Method(name="sprung thread", purpose="inductance of its turns", keys=("rosa1906",), needed=_springs_a_thread),
    Method(
        name="materials in short-echo images",
        purpose="which films show",
        keys=("springer2008", "yunker2022"),
        needed=_names_films,
    ),
    Method(name="moment method", purpose="currents of thin wires", keys=("harrington1968",), needed=_always),
    Method(name="generalised minimal residuals", purpose="fields in the body", keys=("saad1986",), needed=_always),
    Method(
        name="reciprocity",
        purpose="signal from the field of a unit current",
        keys=("hoult1976", "hoult2000"),
        needed=_always,
    ),
    Method(
        name="fringe of plates on a film",
        purpose="capacitance of printed plates",
        keys=("wheeler1965", "palmer1937"),
        needed=_prints_capacitors,
    ),
    Method(name="thermal noise", purpose="noise of a network", keys=("nyquist1928", "twiss1955"), needed=_always),
    Method(
        name="optimum combination",
        purpose="SNR of an array with correlated noise",
        keys=("roemer1990",),
        needed=_always,
    ),
    Method(name="geometry factor", purpose="SNR of accelerated images", keys=("pruessmann1999",), needed=_accelerates),
    Method(
        name="shifted sampling",
        purpose="aliases of lines shifted against each other",
        keys=("breuer2006",),
        needed=_shifts_lines,
    ),
    Method(
        name="simultaneous slices",
        purpose="aliases and SNR of slices excited at once",
        keys=("larkman2001", "breuer2005"),
        needed=_excites_several,
    ),
    Method(
        name="charge of PIN diodes",
        purpose="current that a bias holds against, and recovery",
        keys=("hiller1987",),
        needed=_biases_diodes,
    ),
    Method(
        name="averages over ten grams",
        purpose="local SAR while the scanner transmits",
        keys=("iecieee2017",),
        needed=_transmits,
    ),
    Method(
        name="limits of SAR",
        purpose="what global SAR is held against, and how far a scanner's own can be off",
        keys=("jis2017", "elsharkawy2012"),
        needed=_transmits,
    ),
    Method(
        name="heat in tissue and layers",
        purpose="temperatures of parts, surfaces and skin",
        keys=("pennes1948", "carslaw1959", "cengel2003"),
        needed=_is_heated,
    ),
    Method(
        name="ultimate SNR",
        purpose="fraction of the best possible",
        keys=("lee2018",),
        needed=_uniform_conducting_sphere,
    ),
    Method(
        name="ultimate SNR from a source shell",
        purpose="fraction of the best possible, any body",
        keys=("ohliger2003", "wiesinger2004", "halko2011"),
        needed=_solves_a_shell,
    ),
)
