"""The sheet on paper: pages, heads, whole rows, embedded type, the project attached and read back."""

import re
import shutil
import subprocess
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from app.chart_canvas import Lettering
from app.sheet.layout import LaidOut, lay_out_sheet
from app.sheet.paper import PAPERS, Paper
from app.sheet.pdf import pdf_of, write_sheet
from app.sheet.pieces import Piece, RowPiece
from app.sheet.setting import Setter
from core.errors import AmpturnError
from core.evaluate import evaluate
from core.project.project_file import decode_project, encode_project, read_project
from core.sheet.blocks import Bullets, Cell, Column, Facts, Paragraph, Section, Sheet, Table, Warned
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits

SAMPLES = sorted((Path(__file__).parents[2] / "sample_projects").glob("*.json"))
UNITS = DisplayUnits()


@cache
def sheet_of_sample(path: Path) -> Sheet:
    project = read_project(path)
    content = encode_project(project)
    return sheet_of(project, evaluate(project), issued=date(2026, 3, 31), project_file=content, units=UNITS)


def of_blocks(*blocks: object, title: str = "A sheet") -> Sheet:
    section = Section("All of it", tuple(blocks))  # type: ignore[arg-type]
    return Sheet(
        title, Facts((("Issued", "today"),)), Paragraph("An answer."), (section,), "foot", b"{}", "0" * 64
    )


def pieces(laid_out: LaidOut) -> list[list[Piece]]:
    return [[placed.piece for placed in page] for page in laid_out.pages]


@pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
@pytest.mark.parametrize("path", SAMPLES, ids=[path.stem for path in SAMPLES])
def test_every_sample_stands_within_its_pages(qapp: QApplication, path: Path, paper: Paper) -> None:
    laid_out = lay_out_sheet(sheet_of_sample(path), paper, UNITS)
    for page in laid_out.pages:
        assert page, "an empty page"
        ends = [placed.top + placed.piece.height for placed in page]
        assert max(ends) <= paper.text_height + 1e-6
        assert all(later.top >= end - 1e-6 for end, later in zip(ends[:-1], page[1:], strict=True)), (
            "two pieces overlap"
        )
    assert len(laid_out.sections) == len(sheet_of_sample(path).sections)
    assert list(laid_out.sections) == sorted(laid_out.sections)


def long_table(rows: int) -> Table:
    columns = (Column("Number", "right", 0.0), Column("What it says"))
    return Table(
        columns, tuple((Cell(str(k)), Cell(f"row {k} of many")) for k in range(rows)), "A long table"
    )


def test_heads_are_repeated_and_stand_above_each_part(qapp: QApplication) -> None:
    laid_out = lay_out_sheet(of_blocks(long_table(200)), PAPERS["a4"], UNITS)
    assert len(laid_out.pages) > 3
    for page in pieces(laid_out)[1:]:
        row = next(piece for piece in page if isinstance(piece, RowPiece) and piece.head is not None)
        assert page[0] is row.head


def test_a_heading_stays_with_what_follows(qapp: QApplication) -> None:
    for rows in range(20, 60):
        table = long_table(rows)
        sheet = of_blocks(table, Paragraph("A heading", "strong"), long_table(3))
        for page in pieces(lay_out_sheet(sheet, PAPERS["a4"], UNITS)):
            assert not page[-1].with_next


def test_words_longer_than_a_row_are_broken(qapp: QApplication) -> None:
    setter = Setter(Lettering())
    rows = setter.rows("x" * 10_000 + " and more", 9.0, 60.0)
    assert "".join(rows).replace(" ", "") == "x" * 10_000 + "andmore"
    assert all(setter.lettering.width(row, 9.0) <= 60.0 for row in rows)


def test_hostile_texts_are_text_and_fit(qapp: QApplication) -> None:
    hostile = "<b>x</b><img src=file:///etc/passwd> " + "W" * 3000 + "\x07\u202e\n" + "y " * 4000
    row = (Cell(hostile, candidate=0), Cell("5", bar=0.5, tick=2.0), Cell(hostile, "missed"))
    table = Table((Column("A"), Column("B", "right", 0.0), Column(hostile[:400])), (row,))
    blocks = (Paragraph(hostile), Bullets((hostile,), to_tick=True), table, Warned(hostile, hostile))
    sheet = of_blocks(*blocks, Facts(((hostile[:200], hostile),)), title=hostile[:120])
    laid_out = lay_out_sheet(sheet, PAPERS["letter"], UNITS)
    assert len(laid_out.pages) > 5
    assert pdf_of(sheet, laid_out).startswith(b"%PDF")


def test_the_file_holds_the_project_byte_by_byte(qapp: QApplication, tmp_path: Path) -> None:
    sheet = sheet_of_sample(SAMPLES[0])
    out = tmp_path / "a sheet.pdf"
    write_sheet(sheet, out, UNITS)
    project = read_project(SAMPLES[0])
    assert decode_project(out.read_bytes()) == project
    assert read_project(out) == project


def test_another_ending_is_refused(qapp: QApplication, tmp_path: Path) -> None:
    with pytest.raises(AmpturnError, match=r"written as \.pdf"):
        write_sheet(of_blocks(), tmp_path / "sheet.doc", UNITS)
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler's pdftotext is not installed")
def test_a_reader_finds_text_type_and_lines(qapp: QApplication, tmp_path: Path) -> None:
    sheet, out = sheet_of_sample(SAMPLES[0]), tmp_path / "sheet.pdf"
    laid_out = write_sheet(sheet, out, UNITS)

    def reader(*command: str) -> str:
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    text = reader("pdftotext", "-layout", str(out), "-")
    assert f"page {len(laid_out.pages)} of {len(laid_out.pages)}" in text
    for number, section in enumerate(sheet.sections, start=1):
        assert re.search(rf"{number}\s+{re.escape(section.title)}", text), section.title
    assert sheet.project_hash in re.sub(r"\s", "", text)
    fonts = reader("pdffonts", str(out)).splitlines()[2:]
    assert fonts
    assert all(re.search(r"Identity-H\s+yes", line) for line in fonts), "type that is not embedded"
    assert len(reader("pdfimages", "-list", str(out)).splitlines()) == 2, "a chart that is no drawing"
    about = reader("pdfinfo", str(out))
    assert sheet.title in about
    assert f"Pages:           {len(laid_out.pages)}" in about
