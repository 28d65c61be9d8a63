"""Tables as CSV after RFC 4180: comma, CRLF, quotes where needed, units in the header row."""

import csv
import io

from loopwright.dossier import Table

__all__ = ["table_csv"]


def table_csv(table: Table) -> bytes:
    """Write a table as UTF-8 CSV, numbers in the unit that the header names, with seven significant digits."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([column.heading for column in table.columns])
    for row in table.rows:
        writer.writerow([_cell(column.on_paper(cell)) for column, cell in zip(table.columns, row, strict=True)])
    return text.getvalue().encode()


def _cell(cell: float | str) -> str:
    return f"{cell:.7g}" if isinstance(cell, float) else str(cell)
