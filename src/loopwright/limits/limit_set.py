"""The set of limits that a dossier is held against: the packaged ones, and what the brief puts in their place."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from loopwright.brief.records import InterfaceRequest, LimitRequest
from loopwright.brief.records.transmit import OperatingMode
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.limit_table import LimitRow, limit_rows
from loopwright.ground.sources import Flag, Source
from loopwright.limits.limit import Limit, LimitKind

__all__ = ["LimitName", "LimitSet", "edited", "packaged_limits"]

#: First-level whole-body SAR falls above this temperature of the room, by so much a kelvin, down to the normal limit.
_WARM_C, _FALL_W_PER_KG_K = 25.0, 0.25


class LimitName(StrEnum):
    """Packaged limits for which something is computed."""

    SURFACE = "surface temperature"
    SURFACE_LONG = "surface temperature for 10 min"
    WHOLE_BODY_NORMAL = "whole-body SAR in normal mode"
    WHOLE_BODY_FIRST = "whole-body SAR in first level"
    HEAD = "head SAR"
    PARTIAL_NORMAL = "partial-body SAR in normal mode"
    PARTIAL_FIRST = "partial-body SAR in first level"
    SPACING = "conductor to patient"
    MEAN_B1 = "mean change of B1+"
    LEAST_B1 = "least local B1+"
    GREATEST_B1 = "greatest local B1+"
    REFERENCE = "change of the transmit reference"
    RATING = "rating over stress"
    BLOCKING = "blocking resistance"
    TURN_OFF = "turn-off time"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSet:
    """Limits in the order in which they are printed.

    Attributes
    ----------
    limits : tuple of Limit
        As they hold, edits included.
    replaced : tuple of Limit
        Packaged limits whose place an edit took, as they stand in the package.
    """

    limits: tuple[Limit, ...]
    replaced: tuple[Limit, ...] = ()

    def named(self, name: str) -> Limit:
        """The limit of this name.

        Raises
        ------
        OutsideModelError
            If the set holds none.
        """
        found = next((limit for limit in self.limits if limit.name == name), None)
        if found is None:
            raise OutsideModelError(
                f"no limit is called {name!r}; there are {', '.join(one.name for one in self.limits)}"
            )
        return found

    def whole_body(self, mode: OperatingMode, *, ambient_temperature_c: float) -> Limit:
        """Whole-body SAR in an operating mode.

        Parameters
        ----------
        mode : str
            Operating mode of the scanner.
        ambient_temperature_c : float
            Of the room: above 25 degC the packaged first-level limit falls by 0.25 W/kg a kelvin, down to the normal
            one. [degC]
        """
        normal, first = self.named(LimitName.WHOLE_BODY_NORMAL), self.named(LimitName.WHOLE_BODY_FIRST)
        if mode == "normal":
            return normal
        fallen = first.value - _FALL_W_PER_KG_K * max(ambient_temperature_c - _WARM_C, 0.0)
        return first if self._is_edited(first) else replace(first, value=max(fallen, min(first.value, normal.value)))

    def partial_body(self, mode: OperatingMode, *, exposed_share: float) -> Limit:
        """Partial-body SAR in an operating mode; an edited limit holds for every share.

        Parameters
        ----------
        mode : str
            Operating mode of the scanner.
        exposed_share : float
            Exposed mass over that of the patient, from above 0 to 1.

        Raises
        ------
        OutsideModelError
            For any other share.
        """
        if not 0 < exposed_share <= 1:
            raise OutsideModelError(f"exposed_share = {exposed_share:g} must lie above 0 and not above 1")
        limit = self.named(LimitName.PARTIAL_NORMAL if mode == "normal" else LimitName.PARTIAL_FIRST)
        row = _ROWS[limit.name]
        if self._is_edited(limit) or row.value_at_no_mass is None:
            return limit
        return replace(limit, value=row.value_at_no_mass + (limit.value - row.value_at_no_mass) * exposed_share)

    def turn_off(self, interface: InterfaceRequest | None) -> Limit:
        """Time from detuned to receiving: that of the scanner's plugs where the brief has them, an edit before it."""
        limit = self.named(LimitName.TURN_OFF)
        if interface is None or self._is_edited(limit):
            return limit
        source = Source(key="", where="the brief: `interface.turn_off`", flag=Flag.ASKED)
        edition = "interface sheet of the scanner, as the brief tells it"
        return replace(limit, value=interface.turn_off_s * 1e6, edition=edition, source=source, note="")

    def _is_edited(self, limit: Limit) -> bool:
        return any(one.name == limit.name for one in self.replaced)


def packaged_limits() -> LimitSet:
    """The limits that come with the package, each with edition and source."""
    return LimitSet(limits=tuple(_limit_of(row) for row in limit_rows()))


def edited(limits: LimitSet, requests: Iterable[LimitRequest]) -> LimitSet:
    """A set in which what the brief asks for takes its place, or stands behind the rest.

    Parameters
    ----------
    limits : LimitSet
        The set to be changed.
    requests : iterable of LimitRequest
        Edits of the brief.

    Raises
    ------
    OutsideModelError
        If an edit has another unit than the limit that it replaces, or a new limit lacks quantity or side.
    """
    held = {limit.name: limit for limit in limits.limits}
    replaced = list(limits.replaced)
    for request in requests:
        former = held.get(request.name)
        held[request.name] = _added(request) if former is None else _replacing(former, request)
        if former is not None:
            replaced.append(former)
    return LimitSet(limits=tuple(held.values()), replaced=tuple(replaced))


def _replacing(former: Limit, request: LimitRequest) -> Limit:
    if request.unit != former.unit:
        raise OutsideModelError(f"{former.name} is counted in {former.unit}, not in {request.unit}")
    printed = f"{former.value:g}" if former.unit == "1" else f"{former.value:g} {former.unit}"
    instead = f"Takes the place of {printed} ({former.edition})."
    return replace(
        former,
        value=request.value,
        edition=request.edition,
        source=_asked(request),
        note=f"{instead} {former.note}".strip(),
    )


def _added(request: LimitRequest) -> Limit:
    if request.quantity is None or request.kind is None:
        raise OutsideModelError(f"{request.name!r} is no packaged limit; a new one needs a quantity and a side")
    return Limit(
        name=request.name,
        quantity=request.quantity,
        kind=LimitKind(request.kind),
        value=request.value,
        unit=request.unit,
        edition=request.edition,
        source=_asked(request),
    )


def _asked(request: LimitRequest) -> Source:
    return Source(key="", where=f"the brief: {request.why}", flag=Flag.ASKED)


def _limit_of(row: LimitRow) -> Limit:
    return Limit(
        name=row.name,
        quantity=row.quantity,
        kind=LimitKind(row.kind),
        value=row.value,
        unit=row.unit,
        edition=row.edition,
        source=row.source,
        note=row.note,
    )


_ROWS = {row.name: row for row in limit_rows()}
