"""What can be wrong in one element, as values that a state holds."""

from dataclasses import dataclass

__all__ = [
    "AmplifierOff",
    "CableBroken",
    "Fault",
    "NoBias",
    "PartFault",
    "PartOff",
    "PartOpen",
    "PartShort",
    "PlugContact",
]

#: Input of an amplifier without supply: some picofarads and a poor conductance (common practice, order of size). [ohm]
OFF_INPUT_OHM = 1 / (1e-3 + 4e-3j)
#: Contact of a plug that sits half, or is worn (common practice, order of size). [ohm]
CONTACT_OHM = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOpen:
    """A part that has come off or cracked."""

    part: str

    @property
    def said(self) -> str:
        """The fault in words."""
        return f"{self.part} open"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartShort:
    """A part that is bridged."""

    part: str

    @property
    def said(self) -> str:
        """The fault in words."""
        return f"{self.part} short"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOff:
    """A part whose value (capacitance, inductance, resistance, length) is so many times what it should be."""

    part: str
    factor: float

    @property
    def said(self) -> str:
        """The fault in words."""
        return f"{self.part} at {self.factor:g} of its value"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoBias:
    """A PIN diode that its bias does not reach: it blocks whatever the others do."""

    part: str

    @property
    def said(self) -> str:
        """The fault in words."""
        return f"{self.part} without bias"


@dataclass(frozen=True, slots=True, kw_only=True)
class AmplifierOff:
    """The receiver without supply: this stands in place of its input. [ohm]"""

    input_ohm: complex = OFF_INPUT_OHM

    @property
    def said(self) -> str:
        """The fault in words."""
        return "preamplifier off"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlugContact:
    """A resistance in series with the receiver, of a plug that sits half. [ohm]"""

    resistance_ohm: float = CONTACT_OHM

    @property
    def said(self) -> str:
        """The fault in words."""
        return f"plug half mated, {self.resistance_ohm:g} ohm in series with the receiver"


@dataclass(frozen=True, slots=True, kw_only=True)
class CableBroken:
    """Neither receiver nor bias reach the element, as if it alone were unplugged."""

    @property
    def said(self) -> str:
        """The fault in words."""
        return "cable broken, neither receiver nor bias"


PartFault = PartOpen | PartShort | PartOff | NoBias
Fault = PartFault | AmplifierOff | PlugContact | CableBroken
