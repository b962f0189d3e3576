"""Tables as CSV: quoting as RFC 4180 has it, numbers bare, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.sheet.blocks import Cell, Column, Table
from core.sheet.cells import figures, number
from core.table_csv import cells_of, csv_text, safe_cell
from core.units import DisplayUnits, Kind


def rows_of(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


def table(*texts: str) -> Table:
    return Table((Column("word"),), tuple((Cell(text),) for text in texts))


@pytest.mark.parametrize(
    "bad", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", "-"]
)
def test_what_looks_like_a_formula_gets_an_apostrophe(bad: str) -> None:
    assert rows_of(csv_text(table(bad)))[1] == [f"'{bad}"]


@pytest.mark.parametrize("plain", ["-12.5", "+3", "0.1", "-1e-06", "2E+4"])
def test_a_plain_number_stays_one(plain: str) -> None:
    assert safe_cell(plain) == plain


def test_heads_and_groups_are_made_safe_too() -> None:
    dangerous = Table((Column("=head"),), ((Cell("a"),),), groups=((0, "@group"),))
    assert rows_of(csv_text(dangerous)) == [["group", "'=head"], ["'@group", "a"]]


def test_quotes_commas_and_lines_are_quoted() -> None:
    """RFC 4180, Common Format and MIME Type for Comma-Separated Values Files, section 2, rules 1, 6 and 7."""
    assert csv_text(table('say "no", twice', "two\nlines")) == (
        'word\r\n"say ""no"", twice"\r\n"two\nlines"\r\n'
    )


def test_a_column_of_one_kind_has_its_unit_in_the_head() -> None:
    one = Table(
        (figures("torque", Kind.TORQUE),), ((number(0.05, Kind.TORQUE),), (number(-1.5e-3, Kind.TORQUE),))
    )
    assert rows_of(csv_text(one)) == [["torque (mN·m)"], ["50"], ["-1.5"]]
    other = DisplayUnits().with_units({Kind.TORQUE: "N*m"})
    assert rows_of(csv_text(one, other)) == [["torque (N·m)"], ["0.05"], ["-0.0015"]]


def test_the_unit_goes_into_the_head_where_all_cells_agree() -> None:
    alike = Table((figures("peak"),), ((number(0.05, Kind.TORQUE),), (Cell("–"),)))
    assert rows_of(csv_text(alike)) == [["peak (mN·m)"], ["50"], ["–"]]


def test_mixed_kinds_get_a_column_of_units() -> None:
    mixed = Table(
        (figures("limit"),), ((number(0.05, Kind.TORQUE),), (number(24.0, Kind.VOLTAGE),), (Cell("–"),))
    )
    assert rows_of(csv_text(mixed)) == [
        ["limit", "limit, unit"],
        ["50", "mN·m"],
        ["24", "V"],
        ["–", ""],
    ]


def test_words_before_a_row_become_a_column() -> None:
    grouped = Table((Column("what"),), tuple((Cell(c),) for c in "abc"), groups=((0, "first"), (2, "second")))
    assert [row[0] for row in rows_of(csv_text(grouped))] == ["group", "first", "first", "second"]


def test_bars_and_infinite_numbers() -> None:
    bars = Table((Column("a"), Column("")), ((Cell("x"), Cell("", bar=0.4, tick=0.1)), (Cell("y"), Cell(""))))
    assert rows_of(csv_text(bars)) == [["a"], ["x"], ["y"]]
    endless = Table((figures("life", Kind.TIME),), ((number(float("inf"), Kind.TIME),),))
    assert rows_of(csv_text(endless))[1] == ["∞"]


def test_the_clipboard_gets_what_is_printed() -> None:
    one = Table((figures("torque", Kind.TORQUE),), ((number(0.05, Kind.TORQUE),),))
    assert cells_of(one, DisplayUnits()) == [["torque (mN·m)"], ["50.0"]]


@given(st.lists(st.text(), min_size=1, max_size=5))
def test_any_text_comes_back_and_nothing_begins_a_formula(texts: list[str]) -> None:
    read = rows_of(csv_text(table(*texts)))
    assert len(read) == len(texts) + 1
    for (cell,), text in zip(read[1:], texts, strict=True):
        assert cell in (
            text.replace("\N{NO-BREAK SPACE}", " "),
            "'" + text.replace("\N{NO-BREAK SPACE}", " "),
        )
        assert not cell.startswith(("=", "@", "\t", "\r"))
