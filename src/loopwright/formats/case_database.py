"""The results of a study over patients: its page with everything beside it, and its tables as one SQLite file."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from math import isnan
from pathlib import Path

from loopwright.cohort import Cohort
from loopwright.dossier import Dossier, Table, cases_table
from loopwright.formats.pages import write_page
from loopwright.formats.pictures import draw_cohort
from loopwright.formats.tables import table_csv
from loopwright.ground.errors import RunDirectoryError

__all__ = ["write_cohort", "write_database"]


def write_cohort(
    partial: Path, *, brief_text: str, cohort: Cohort, dossier: Dossier, note: Callable[[str], None]
) -> None:
    """Write everything but the log of a study over patients into the growing directory.

    Raises
    ------
    RunDirectoryError
        If the disk refuses.
    """
    try:
        cases = cases_table(cohort)
        write_database(partial / "cohort.sqlite", (cases, *dossier.tables))
        write_page(partial, "cohort", brief_text, dossier, draw_cohort(cohort), note)
        (partial / "tables" / f"{cases.name}.csv").write_bytes(table_csv(cases))
    except OSError as error:
        raise RunDirectoryError(f"{partial} cannot be written: {error.strerror or error}") from error


def write_database(path: Path, tables: tuple[Table, ...]) -> None:
    """Write tables into an SQLite file; headings name the unit, as in the CSV files.

    What is not known is null; what is infinite stays so.

    Raises
    ------
    OSError
        If the disk refuses.
    """
    try:
        with closing(sqlite3.connect(path)) as connection, connection:
            for table in tables:
                _write(connection, table)
    except sqlite3.Error as error:
        raise OSError(f"{path.name}: {error}") from error


def _write(connection: sqlite3.Connection, table: Table) -> None:
    names = ", ".join(_quoted(column.heading) for column in table.columns)
    connection.execute(f"create table {_quoted(table.name)} ({names})")
    marks = ", ".join("?" * len(table.columns))
    rows = [
        tuple(_cell(column.on_paper(cell)) for column, cell in zip(table.columns, row, strict=True))
        for row in table.rows
    ]
    connection.executemany(f"insert into {_quoted(table.name)} values ({marks})", rows)  # noqa: S608 - quoted names


def _quoted(name: str) -> str:
    doubled = name.replace('"', '""')
    return f'"{doubled}"'


def _cell(cell: float | str) -> float | str | None:
    return None if cell == "" or (isinstance(cell, float) and isnan(cell)) else cell
