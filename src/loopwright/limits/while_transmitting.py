"""What is told of the array while the scanner transmits: body alone, conditions, faults, diodes, heat, limits."""

from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.heating.probes import ProbePlan
from loopwright.limits.case_told import CaseTold
from loopwright.limits.heat_told import HotPlace, WholeCoil
from loopwright.limits.limit import Assessment
from loopwright.limits.limit_set import LimitSet
from loopwright.limits.ranking import RankedFault
from loopwright.limits.spacing import Spacing
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.global_sar import GlobalSar

__all__ = ["BodyAlone", "DiodeFollowed", "ScalarInBody", "WhileTransmitting"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyAlone:
    """The body in the transmit field without any array, at the rms field.

    Attributes
    ----------
    sar : GlobalSar
        What it absorbs, over the masses for which limits are written.
    peak_local_w_per_kg : float
        Largest average over 10 g. [W/kg]
    peak_local_place_m : tuple of 3 floats
        Middle of that cube, in the body frame. [m]
    mean_b1_in_region : float
        B1+ over the region by that at the middle of the unloaded resonator. [1]
    absorbed_uncertainty_w : float or None
        Half-width that the grid leaves; None where no second grid was solved. [W]
    """

    sar: GlobalSar
    peak_local_w_per_kg: float
    peak_local_place_m: Triple
    mean_b1_in_region: float
    absorbed_uncertainty_w: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeFollowed:
    """One pair of crossed diodes that follows the field.

    Attributes
    ----------
    element, part : str
    condition : str
        Of all elements, such as "plugged in" or "unplugged", in which nothing but the field decides.
    acts_t : float
        Peak B1+ from which it conducts as well as what lies beside it; infinite beyond the peak of the sequence. [T]
    conducts_at_peak : bool
    current_a : float
        Through it at the peak field, peak. [A]
    b1_below : float
        Mean of B1+ over the region by that without the array, for fields too weak for any diode; flip angles of weak
        pulses are off by as much. [1]
    b1_at_onset : float
        The same at the field at which this pair begins to act. [1]
    b1_at_peak : float
        The same at the peak of the sequence. [1]
    """

    element: str
    part: str
    condition: str
    acts_t: float
    conducts_at_peak: bool
    current_a: float
    b1_below: float
    b1_at_onset: float
    b1_at_peak: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScalarInBody:
    """A map on the voxels of the body's grid.

    Attributes
    ----------
    name, title, definition : str
    values : ndarray, shape (nx, ny, nz)
        NaN where there is none.
    unit : str
    """

    name: str
    title: str
    definition: str
    values: NDArray[np.float32]
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhileTransmitting:
    """Everything that is told of the array while the scanner transmits.

    Attributes
    ----------
    source : str
        What transmits, in words.
    frequency_hz : float
        [Hz]
    exposure : Exposure
    middle_m : tuple of 3 floats
        Middle of the resonator in the body frame. [m]
    body_alone : BodyAlone
    conditions : tuple of CaseTold
        Normal conditions, each with all elements alike.
    faults : tuple of CaseTold
        Every single fault, in the order of the list.
    ranked : tuple of RankedFault
        Conditions in which the scanner transmits and faults, the worst first; rows are told by the names of cases.
    worst : tuple of str
        Names of the cases that got 10 g averages and local heat, the worst first.
    worst_sure_w_per_kg : float
        No case without 10 g averages has a larger one. [W/kg]
    assessments : tuple of Assessment
        Of all limits, in their order.
    limit_set : LimitSet
        What values were held against.
    spacing : Spacing or None
        Least distance from conductor to skin.
    diodes : tuple of DiodeFollowed
        Crossed diodes; empty where the wiring has none.
    pin_holds : tuple of PinHold
        Of all PIN diodes in the normal conditions, the least margin first; empty where the brief describes no bias.
    pin_recovery : tuple of PinRecovery
        One for every bias line.
    hot_places : tuple of HotPlace
        The hottest of all cases looked at, each in its worst, the hottest on the patient first.
    surface_at_rest_c : float
        Of the surface on the patient without power; NaN where no heat was asked for. [degC]
    whole_coil : WholeCoil or None
    probes : ProbePlan or None
        None where no heat was asked for.
    maps : tuple of ScalarInBody
        Ratio of B1+ in the plugged condition and in the worst case, 10 g averages with and without the array.
    limits : tuple of str
        What all of this takes for granted, in sentences.
    not_described : tuple of str
        What the brief leaves open, so that nothing is told of it.
    """

    source: str
    frequency_hz: float
    exposure: Exposure
    middle_m: Triple
    body_alone: BodyAlone
    conditions: tuple[CaseTold, ...]
    faults: tuple[CaseTold, ...]
    ranked: tuple[RankedFault, ...]
    worst: tuple[str, ...]
    worst_sure_w_per_kg: float
    assessments: tuple[Assessment, ...]
    limit_set: LimitSet
    spacing: Spacing | None
    diodes: tuple[DiodeFollowed, ...] = ()
    pin_holds: tuple[PinHold, ...] = ()
    pin_recovery: tuple[PinRecovery, ...] = ()
    hot_places: tuple[HotPlace, ...] = ()
    surface_at_rest_c: float = nan
    whole_coil: WholeCoil | None = None
    probes: ProbePlan | None = None
    maps: tuple[ScalarInBody, ...] = ()
    limits: tuple[str, ...] = ()
    not_described: tuple[str, ...] = ()

    @property
    def cases(self) -> tuple[CaseTold, ...]:
        """Conditions and faults."""
        return self.conditions + self.faults

    def named(self, name: str) -> CaseTold:
        """The case of this name.

        Raises
        ------
        KeyError
            If there is none.
        """
        for told in self.cases:
            if told.case.name == name:
                return told
        raise KeyError(f"no case is called {name!r}")
