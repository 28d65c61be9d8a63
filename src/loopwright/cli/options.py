"""Arguments and options that several commands share, and the words that they take."""

from enum import Enum
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer

from loopwright.ground.device import Device

__all__ = ["Asking", "Brief", "Pieces", "Reuse", "Store", "StoreTask", "Versions", "Where", "one_of"]

Word = TypeVar("Word", bound=Enum)


class StoreTask(Enum):
    """What to do with the store."""

    LOOK = "look"
    CHECK = "check"
    FORGET = "forget"


class Asking(Enum):
    """What a study over patients is asked for."""

    FIT = "fit"
    IMAGES = "images"


class Versions(Enum):
    """Pieces of which versions of the tool are meant."""

    ALL = "all"
    OTHERS = "others"


class Pieces(Enum):
    """What to do with pieces of an earlier run."""

    REUSE = "reuse"
    AGAIN = "again"


def one_of(words: type[Word]) -> dict[str, Any]:
    """Read one of a few words; refused in our words, for typer's validator puts its own name before them."""

    def read(text: str | Word) -> Word:
        for word in words:
            if text in (word, word.value):
                return word
        raise typer.BadParameter(f"{text!r} is not one of {', '.join(known)}")

    known = [str(word.value) for word in words]
    return {"parser": read}


Brief = Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief, a YAML file.", show_default=False)]
Store = Annotated[
    Path | None, typer.Option(metavar="DIR", help="Where finished pieces are kept.  [default: the user's cache]")
]
Where = Annotated[Device, typer.Option(**one_of(Device), help="Where the fields in the body are computed.")]
Reuse = Annotated[Pieces, typer.Option(**one_of(Pieces), help="Reuse finished pieces, or compute all of them again.")]
