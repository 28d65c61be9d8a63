"""What carries the elements of an array: a film that bends and does not stretch, or a cloth that stretches."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["CarrierRequest", "FilmCarrierRequest", "PaddingRequest", "StretchingCarrierRequest"]

FilmForm = Literal["cylinder", "cone"]
FilmSide = Literal["substrate", "encapsulation"]


class PaddingRequest(Record):
    """Foam or fabric between the film and the skin, as thick as it is when worn. [m]"""

    name: str
    thickness_m: Positive


class FilmCarrierRequest(Record):
    """A film that bends and does not stretch.

    Attributes
    ----------
    form
        Whether its straight lines are parallel, or may meet in a tip.
    turned_rad
        By how much the pattern is turned about its middle, seen from outside against the clock. [rad]
    margin_m
        How far the film reaches past the outermost centre-lines. [m]
    towards_skin
        Which side of the film is worn inwards: what the conductor lies on, or what lies over it.
    padding
        From the film to the skin.
    gap_limit_m
        Gap under the film that is still borne. [m]
    compression_limit
        Shortening that the film takes without a wrinkle.
    """

    kind: Literal["film"] = "film"
    form: FilmForm
    turned_rad: Annotated[float, Field(ge=-3.15, le=3.15)] = 0.0
    margin_m: Positive
    towards_skin: FilmSide
    padding: tuple[PaddingRequest, ...] = ()
    gap_limit_m: Positive
    compression_limit: Positive


class StretchingCarrierRequest(Record):
    """A carrier that follows the skin and stretches; ``stretch_limit`` is what it takes, either way."""

    kind: Literal["stretching"] = "stretching"
    stretch_limit: Positive


CarrierRequest = Annotated[FilmCarrierRequest | StretchingCarrierRequest, Field(discriminator="kind")]
