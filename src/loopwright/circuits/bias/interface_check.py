"""Does the array fit the scanner's plugs: channels, bias lines, supply, cable?"""

from collections.abc import Iterator
from dataclasses import dataclass

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits.bias.bias_lines import LineCheck, check_line

__all__ = ["ChannelUse", "InterfaceCheck", "check_interface"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelUse:
    """A channel of a plug, counted from one, and the element that takes it; an empty name where none does."""

    plug: int
    channel: int
    element: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InterfaceCheck:
    """The array at the plugs of one scanner.

    Attributes
    ----------
    interface
        As the brief has it.
    channels
        Every channel of every plug, elements in their order.
    without_channel
        Elements that find no channel.
    lines
        Bias lines, checked.
    without_line
        Elements that no bias line serves.
    strangers
        Names that lines give to elements and no element has.
    supply_w
        Power of all preamplifiers; None where their current is not known. [W]
    """

    interface: InterfaceRequest
    channels: tuple[ChannelUse, ...]
    without_channel: tuple[str, ...]
    lines: tuple[LineCheck, ...]
    without_line: tuple[str, ...]
    strangers: tuple[str, ...]
    supply_w: float | None

    @property
    def unused(self) -> tuple[ChannelUse, ...]:
        """Channels that stay free."""
        return tuple(use for use in self.channels if not use.element)


def check_interface(
    interface: InterfaceRequest, element_names: tuple[str, ...], *, frequency_hz: float
) -> InterfaceCheck:
    """Hold an array against the interface of a scanner.

    Parameters
    ----------
    interface : InterfaceRequest
        What the scanner offers.
    element_names : tuple of str
        The array's elements, one channel each.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    InterfaceCheck
        Channels, lines and supply.
    """
    named = [name for line in interface.bias_lines for name in line.elements]
    served = set(element_names) if "all" in named else set(named)
    drawn_a = interface.preamplifier_draw_a
    return InterfaceCheck(
        interface=interface,
        channels=tuple(_channels(interface, element_names)),
        without_channel=element_names[interface.plugs * interface.channels_per_plug :],
        lines=tuple(check_line(line, interface, frequency_hz=frequency_hz) for line in interface.bias_lines),
        without_line=tuple(name for name in element_names if name not in served),
        strangers=tuple(dict.fromkeys(name for name in named if name not in (*element_names, "all"))),
        supply_w=None if drawn_a is None else drawn_a * interface.preamplifier_supply_v * len(element_names),
    )


def _channels(interface: InterfaceRequest, element_names: tuple[str, ...]) -> Iterator[ChannelUse]:
    """Fill the plugs one after the other."""
    for number in range(interface.plugs * interface.channels_per_plug):
        plug, channel = divmod(number, interface.channels_per_plug)
        element = element_names[number] if number < len(element_names) else ""
        yield ChannelUse(plug=plug + 1, channel=channel + 1, element=element)
