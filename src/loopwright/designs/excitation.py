"""One current for all designs of a comparison: figures under different models are not ranked against each other."""

from dataclasses import dataclass

from loopwright.bodies import Body
from loopwright.brief.records.computation import AskedExcitation
from loopwright.conductors import DressedLayout
from loopwright.fields import Excitation, chosen_excitation

__all__ = ["CommonExcitation", "common_excitation"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CommonExcitation:
    """What drives the body for every design.

    Attributes
    ----------
    excitation : Excitation
        The same for all.
    asked : str
        What the brief asks for.
    needed_by : tuple of str
        Designs for which automatic takes the full current; empty where another was asked for.
    """

    excitation: Excitation
    asked: AskedExcitation
    needed_by: tuple[str, ...]


def common_excitation(asked: AskedExcitation, dressed: dict[str, DressedLayout], body: Body) -> CommonExcitation:
    """Choose the excitation of a whole comparison: with automatic the full current for all where one design needs it.

    Parameters
    ----------
    asked : str
        What the brief asks for.
    dressed : dict of DressedLayout
        The designs that could be laid out, by name.
    body : Body
        The body on the finer grid.
    """
    if asked != "automatic":
        return CommonExcitation(excitation=Excitation(asked), asked=asked, needed_by=())
    needed_by = tuple(
        name for name, one in dressed.items() if chosen_excitation(asked, one, body) is Excitation.FULL_CURRENT
    )
    excitation = Excitation.FULL_CURRENT if needed_by else Excitation.LOOP_MODE
    return CommonExcitation(excitation=excitation, asked=asked, needed_by=needed_by)
