"""The table of a comparison as rows of plain cells: for the clipboard, and as a CSV file.

A row of numbers has its unit in a column of its own, so that a spreadsheet reads the numbers as such.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from core.charts.display_axis import letter
from core.evaluation.comparison import ComparisonTable
from core.evaluation.comparison_rows import ComparisonRow
from core.sentences import as_text
from core.units import DisplayUnits

_MINUS = "\N{MINUS SIGN}"


def better_words(row: ComparisonRow, indices: Sequence[int]) -> str:
    """Return the letters of those who are ahead in a row, empty where nobody is."""
    return ", ".join(letter(indices[place]) for place in row.best)


def comparison_cells(
    table: ComparisonTable, names: Sequence[str], units: DisplayUnits
) -> tuple[tuple[str, ...], ...]:
    """Return heading and rows; `names` are those of the candidates of the table, in its order."""
    heads = (f"{letter(index)} {name}" for index, name in zip(table.indices, names, strict=True))
    rows = [("group", "quantity", "unit", *heads, "better", "note")]
    for row in table.rows:
        values = (_cell(row, place, units) for place in range(len(table.indices)))
        rows.append(
            (
                row.group,
                as_text(row.label, units),
                "" if row.kind is None else units.symbol(row.kind),
                *values,
                better_words(row, table.indices),
                as_text(row.note, units),
            )
        )
    return tuple(tuple(cell.replace("\N{NO-BREAK SPACE}", " ") for cell in row) for row in rows)


def _cell(row: ComparisonRow, place: int, units: DisplayUnits) -> str:
    value = row.values[place]
    if value is None or row.kind is None:
        return as_text(row.texts[place], units)
    return units.format_value(value, row.kind).replace(_MINUS, "-")


def tabbed(cells: Sequence[Sequence[str]]) -> str:
    """Return cells as lines with tabs between them.

    Examples
    --------
    >>> tabbed((("mass", "kg"), ("a\\tb", "2")))
    'mass\\tkg\\na b\\t2'
    """
    return "\n".join("\t".join(" ".join(cell.split()) for cell in row) for row in cells)


def as_csv(cells: Sequence[Sequence[str]]) -> str:
    """Return cells as the text of a CSV file with commas.

    Examples
    --------
    >>> as_csv((("mass", "kg"), ("a, b", "2")))
    'mass,kg\\r\\n"a, b",2\\r\\n'
    """
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows(cells)
    return stream.getvalue()
