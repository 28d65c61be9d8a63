"""Maps of the transmit field and of what the body absorbs, as maps of the run."""

from loopwright.dossier.evidence import MapKind, ScalarMap
from loopwright.limits import WhileTransmitting

__all__ = ["transmit_map_name", "transmit_maps"]

_KINDS = {"1": MapKind.TRANSMIT, "W/kg": MapKind.LOCAL_SAR}


def transmit_maps(told: WhileTransmitting | None) -> tuple[ScalarMap, ...]:
    """Every map of the record, for the same grid as the others of the run.

    Parameters
    ----------
    told : WhileTransmitting or None
        None where the brief does not ask for it: no maps.
    """
    if told is None:
        return ()
    return tuple(
        ScalarMap(
            name=transmit_map_name(one.name),
            title=one.title,
            definition=one.definition,
            kind=_KINDS[one.unit],
            values=one.values,
            unit=one.unit,
        )
        for one in told.maps
    )


def transmit_map_name(name: str) -> str:
    """Its name among the maps of the run, and of its picture."""
    return f"transmit_{name.removeprefix('transmit_')}"
