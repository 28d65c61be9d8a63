"""Tables as CSV after RFC 4180."""

import csv
import io

from loopwright.dossier import Column, Table
from loopwright.formats.tables import table_csv


def table():
    return Table(
        name="t",
        caption="c",
        columns=(Column(title="element"), Column(title="inductance", unit="H"), Column(title="gaps")),
        rows=(('with "quotes", and comma', 178.8e-9, 4), ("B\nbroken", 2.0e-7, 1)),
    )


def test_units_stand_in_the_header_and_numbers_are_in_them():
    header, first, second = csv.reader(io.StringIO(table_csv(table()).decode(), newline=""))
    assert header == ["element", "inductance [nH]", "gaps"]
    assert first == ['with "quotes", and comma', "178.8", "4"]
    assert second[0] == "B\nbroken"
    assert float(second[1]) == 200.0


def test_lines_end_as_the_standard_asks():
    content = table_csv(table())
    assert content.endswith(b"\r\n")
    assert content.splitlines()[1].startswith(b'"with ""quotes"", and comma"')
