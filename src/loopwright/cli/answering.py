"""How a command ends: its answer on standard output, its complaint on standard error, its exit code."""

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from typing import Never, TypeVar

import typer

from loopwright.ground.errors import (
    BriefError,
    LoopwrightError,
    NotConvergedError,
    RunDirectoryError,
    StoreError,
)

__all__ = ["answered", "exit_code_of", "leave", "say"]

Answer = TypeVar("Answer")


def exit_code_of(error: LoopwrightError) -> int:
    """Return the exit code that an error leaves with."""
    match error:
        case NotConvergedError():
            return 1
        case RunDirectoryError() | StoreError():
            return 3
        case _:
            return 2


def answered(action: Callable[[], Answer]) -> Answer:
    """What an action answers; its errors leave the command, each with its sentence and exit code."""
    try:
        return action()
    except BriefError as error:
        leave(str(error), exit_code_of(error))
    except LoopwrightError as error:
        leave(f"loopwright: {error}", exit_code_of(error))
    except KeyboardInterrupt as cancelled:
        what = "; ".join(["cancelled", *map(str, cancelled.args)])
        leave(f"loopwright: {what}; finished pieces are kept, the same command goes on from there", 130)


def say(text: str) -> None:
    """Print what was asked for; what was computed stands even where nobody takes the answer."""
    try:
        typer.echo(text)
        sys.stdout.flush()
    except OSError as error:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123 - what is left is flushed at the end
        leave(f"loopwright: the answer cannot be printed: {error.strerror or error}", 3)


def leave(sentence: str, code: int) -> Never:
    """Say why, and leave with this exit code."""
    with suppress(OSError):  # nobody may be listening
        typer.echo(sentence, err=True)
    raise typer.Exit(code)
