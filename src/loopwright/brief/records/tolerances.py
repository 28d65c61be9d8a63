"""What strays from one built array to the next, and what every one of them has to keep."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["PartKind", "PartsStray", "TolerancesRequest"]

NotNegative = Annotated[float, Field(ge=0)]
PartKind = Literal["capacitors", "inductors", "resistors", "lines"]


class PartsStray(Record):
    """Parts that stray together or each by itself, told by name or by kind.

    Attributes
    ----------
    name
        What the cause is called.
    parts, kind
        Names of parts, or all parts of a kind.
    spread
        Half-width where the shape is uniform, standard deviation where it is normal.
    shape
        How values lie within the spread.
    shared_by
        Which of the parts have one deviation.
    """

    name: str
    parts: tuple[str, ...] = ()
    kind: PartKind | None = None
    spread: Positive
    shape: Literal["uniform", "normal"]
    shared_by: Literal["nothing", "element", "array"]


class TolerancesRequest(Record):
    """Draws of arrays as they are built.

    Attributes
    ----------
    draws, seed
        How many, and where the random numbers begin.
    own_tolerances
        Whether every part strays uniformly within the tolerance that the circuit gives it.
    parts
        What strays beside that.
    placement_m, height_m
        Standard deviation of the shift of each element in its plane, in either direction, and along its normal. [m]
    conductor_resistance
        Standard deviation of the resistance of each element's conductor.
    noise_loss_db
        Largest rise of a preamplifier's noise figure over its least. [dB]
    reflection_db
        Largest reflection against the source that is wanted; None asks nothing. [dB]
    shift_hz
        Largest distance of the best match from the frequency of the run; None asks nothing. [Hz]
    """

    draws: Annotated[int, Field(ge=1)]
    seed: Annotated[int, Field(ge=0)]
    own_tolerances: Literal["counted", "left out"]
    parts: tuple[PartsStray, ...] = ()
    placement_m: NotNegative
    height_m: NotNegative
    conductor_resistance: Positive
    noise_loss_db: Positive
    reflection_db: float | None = None
    shift_hz: Positive | None = None
