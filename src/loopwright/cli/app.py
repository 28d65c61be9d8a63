"""The commands, their options and their exit codes.

Exit codes: 0 done; 1 the computation could not reach its tolerance; 2 the brief or the command is wrong; 3 the run
directory, the store or the output cannot be used; 4 pieces in the store are damaged; 130 cancelled.
"""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from loopwright import __version__
from loopwright.cli.answering import answered, exit_code_of, say
from loopwright.cli.options import Asking, Brief, Pieces, Reuse, Store, StoreTask, Versions, Where, one_of
from loopwright.ground.device import Device
from loopwright.ground.measuring import Load, Others

__all__ = ["Pieces", "StoreTask", "Versions", "exit_code_of", "main"]

_HELP = f"""loopwright {__version__}: from a written brief to fields, networks, noise, SNR and g-factor maps of
close-fitting receive-coil arrays, and to what they do while the scanner transmits.

Results are calculations for engineers. They approve nothing: see the cautions in every dossier."""

app = typer.Typer(
    name="loopwright",
    help=_HELP,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,  # plain help starts three times as fast
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _tell_version(asked: bool) -> None:  # noqa: FBT001 - as typer calls it
    if asked:
        say(f"loopwright {__version__}")
        raise typer.Exit


@app.callback(help=_HELP)
def _of_all(
    *,
    _version: Annotated[
        bool, typer.Option("--version", callback=_tell_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    """Take the options that come before a command."""


@app.command()
def run(
    brief: Brief,
    *,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the results go.  [default: ./<name of the brief>-run]")
    ] = None,
    store: Store = None,
    pieces: Reuse = Pieces.REUSE,
    device: Where = Device.CPU,
) -> None:
    """Carry a brief out and leave a run directory; its path is printed."""

    def action() -> Path:
        from loopwright.cli.run import run_brief  # noqa: PLC0415 - heavy

        return run_brief(brief, out=out, store=store, pieces=pieces, device=device)

    say(str(answered(action)))


@app.command()
def compare_designs(
    brief: Brief,
    *,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the results go.  [default: ./<name of the brief>-designs]")
    ] = None,
    store: Store = None,
    pieces: Reuse = Pieces.REUSE,
    device: Where = Device.CPU,
) -> None:
    """Carry out every design that a brief lists and say which serves which depth; prints the directory."""

    def action() -> Path:
        from loopwright.cli.compare import compare_brief  # noqa: PLC0415 - heavy

        return compare_brief(brief, out=out, store=store, pieces=pieces, device=device)

    say(str(answered(action)))


@app.command()
def cohort(
    brief: Brief,
    *,
    ask: Annotated[
        Asking,
        typer.Option(**one_of(Asking), help="Images of every case, or only how the arrays fit, which takes seconds."),
    ] = Asking.IMAGES,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the results go.  [default: ./<name of the brief>-cohort]")
    ] = None,
    store: Store = None,
    pieces: Reuse = Pieces.REUSE,
    device: Where = Device.CPU,
    workers: Annotated[
        int,
        typer.Option(metavar="N", min=0, max=256, help="Processes beside each other.  [default: one for each core]"),
    ] = 0,
    cluster: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Scheduler of a Dask cluster that takes the cases instead.")
    ] = "",
) -> None:
    """Put arrays on patients, say whom they fit, what misfit costs and which sizes are needed; prints the directory."""

    def action() -> Path:
        from loopwright.cli.cohort import cohort_brief  # noqa: PLC0415 - heavy
        from loopwright.cohort import Asked  # noqa: PLC0415 - heavy

        return cohort_brief(brief, asked=Asked(ask.value), out=out, store=store, pieces=pieces, device=device,
                            workers=workers, cluster=cluster)  # fmt: skip

    say(str(answered(action)))


@app.command()
def what_to_turn(
    brief: Brief,
    measured: Annotated[
        Path, typer.Argument(metavar="MEASURED", help="One Touchstone file, .s1p to .s8p.", show_default=False)
    ],
    *,
    elements: Annotated[
        str, typer.Option(metavar="E1,E2", help="Elements in the order of the file's ports.  [default: all]")
    ] = "",
    others: Annotated[
        Others, typer.Option(**one_of(Others), help="The elements that were not measured: gaps open, or PIN diodes on.")
    ] = Others.OPEN,
    load: Annotated[Load, typer.Option(**one_of(Load), help="What the array lay on: the brief's body, or nothing.")] = (
        Load.BODY
    ),
    turn: Annotated[
        str, typer.Option(metavar='"C match,L series"', help="Parts that can be turned.  [default: the free ones]")
    ] = "",
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where the results go.  [default: ./<name of MEASURED>-bench]")
    ] = None,
    store: Store = None,
    pieces: Reuse = Pieces.REUSE,
    device: Where = Device.CPU,
) -> None:
    """Hold a measurement against the design and say which part to turn, which way, by how much."""

    def action() -> tuple[tuple[str, ...], Path]:
        from loopwright.cli.measure import measured_brief  # noqa: PLC0415 - heavy

        return measured_brief(brief, measured, words=(elements, turn), others=others, load=load, out=out, store=store,
                              pieces=pieces, device=device)  # fmt: skip

    answers, directory = answered(action)
    say("\n".join((*answers, str(directory))))


@app.command()
def new(
    directory: Annotated[Path, typer.Argument(metavar="DIR", help="Made if it is missing.", show_default=False)],
) -> None:
    """Write a first brief to DIR/brief.yaml, to be changed to your own; nothing is overwritten."""

    def action() -> Path:
        from loopwright.cli.new import write_starter  # noqa: PLC0415 - not needed for --help

        return write_starter(directory)

    say(str(answered(action)))


@app.command()
def liquid(
    *,
    conductivity: Annotated[
        str, typer.Option(metavar='"0.6 S/m"', help="Wanted at the temperature and frequency.", show_default=False)
    ],
    volume: Annotated[str, typer.Option(metavar='"2 L"', help="Of the finished liquid.")] = "1 L",
    temperature: Annotated[str, typer.Option(metavar='"21 degC"', help="At which it will be used.")] = "20 degC",
    frequency: Annotated[str, typer.Option(metavar='"123.2 MHz"', help="At which it will be used.")] = "127.7 MHz",
    salt: Annotated[str, typer.Option(metavar="SALT", help="The salt whose mass is sought.")] = "sodium chloride",
    beside: Annotated[
        list[str] | None,
        typer.Option(metavar='"SALT 2 g/L"', help="What it holds anyway; may be given several times.  [default: none]"),
    ] = None,
) -> None:
    """Say what to weigh for a phantom's liquid of a wanted conductivity: salts, hydrates, what must be measured."""

    def action() -> str:
        from loopwright.cli.liquid import recipe_text  # noqa: PLC0415 - heavy

        return recipe_text(conductivity=conductivity, temperature=temperature, volume=volume, frequency=frequency,
                           salt=salt, beside=beside or ())  # fmt: skip

    say(answered(action))


@app.command()
def cite(brief: Brief) -> None:
    """Print the references behind exactly the methods that a brief makes use of."""

    def action() -> str:
        from loopwright.cli.cite import citations  # noqa: PLC0415 - heavy

        return citations(brief)

    say(str(answered(action)))


@app.command("store")
def look_after_store(
    task: Annotated[
        StoreTask,
        typer.Argument(**one_of(StoreTask), help="List what is kept, check all checksums, or forget pieces."),
    ] = StoreTask.LOOK,
    *,
    store: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Where finished pieces are kept.  [default: the user's cache]")
    ] = None,
    unused: Annotated[
        float | None, typer.Option(metavar="DAYS", min=0, help="Forget only what no run has used for so long.")
    ] = None,
    made: Annotated[
        float | None, typer.Option(metavar="DAYS", min=0, help="Forget only what was made so long ago.")
    ] = None,
    versions: Annotated[
        Versions,
        typer.Option(**one_of(Versions), help="Forget pieces of all versions, or only of others than this one."),
    ] = Versions.ALL,
) -> None:
    """Look after the store of finished pieces. What is forgotten is computed again when a run needs it."""
    conditions = unused is not None or made is not None or versions is not Versions.ALL
    if conditions != (task is StoreTask.FORGET):
        raise typer.BadParameter(
            "forget needs at least one of --unused, --made and --versions others"
            if task is StoreTask.FORGET
            else "--unused, --made and --versions belong to forget"
        )

    def action() -> tuple[str, int]:
        from loopwright.cli.store import looked_after  # noqa: PLC0415 - heavy

        return looked_after(task, folder=store, unused_days=unused, made_days=made, versions=versions)

    text, code = answered(action)
    say(text)
    raise typer.Exit(code)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; leaves through SystemExit with the exit code."""
    app(args=arguments, prog_name="loopwright")
