"""Bookmarks, links and language of a sheet, appended to the file as Qt wrote it."""

import re
import shutil
import subprocess
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from app.sheet.layout import LaidOut, lay_out_sheet
from app.sheet.outline import Bookmark, with_outline
from app.sheet.paper import PAPERS
from app.sheet.pdf import pdf_of
from app.sheet.pieces import ContentsPiece
from core.errors import AmpturnError
from core.evaluate import evaluate
from core.project.edits import change_application
from core.project.project import Project
from core.project.project_file import decode_project, encode_project, read_project
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "museum_turntable.json"
UNITS = DisplayUnits()


@cache
def made(title: str = "") -> tuple[bytes, LaidOut]:
    project = read_project(SAMPLE)
    if title:
        project = change_application(project, title=title)
    content = encode_project(project)
    sheet = sheet_of(project, evaluate(project), issued=date(2026, 3, 31), project_file=content, units=UNITS)
    laid_out = lay_out_sheet(sheet, PAPERS["a4"], UNITS)
    return pdf_of(sheet, laid_out), laid_out


def test_the_file_of_before_is_kept_and_its_table_is_found(qapp: QApplication) -> None:
    content, _ = made()
    assert content.count(b"%%EOF") == 2
    second = int(re.findall(rb"startxref\s+(\d+)", content)[1])
    first = int(re.findall(rb"startxref\s+(\d+)", content)[0])
    assert content[second:].startswith(b"xref\n")
    assert re.search(rb"/Prev (\d+)\n", content[second:])[1] == b"%d" % first  # type: ignore[index]
    # each place of the table is that of its object
    for number, place in re.findall(rb"(\d+) 1\n(\d{10}) 00000 n \n", content[second:]):
        assert content[int(place) :].startswith(b"%d 0 obj\n" % int(number))


def test_the_catalogue_has_outline_language_and_what_it_had(qapp: QApplication) -> None:
    content, _ = made()
    catalogue = re.findall(rb"<<\s*/Type /Catalog.*?>>\s*endobj", content, re.DOTALL)[-1]
    for entry in (b"/Pages ", b"/Names ", b"/Outlines ", b"/PageMode /UseOutlines", b"/Lang (en)"):
        assert entry in catalogue


def test_every_section_is_a_bookmark_and_the_appendix_is_folded(qapp: QApplication) -> None:
    content, laid_out = made()
    titles = [bytes.fromhex(found.decode()) for found in re.findall(rb"/Title <FEFF([0-9A-F]*)>", content)]
    shown = [title.decode("utf-16-be") for title in titles]
    start = laid_out.appendix_from
    assert start is not None
    numbered = [f"{number}  {title}" for number, title in enumerate(laid_out.titles, start=1)]
    assert sorted(shown) == sorted([laid_out.title, *numbered, "Appendix"])
    assert b"/Count %d " % -(len(numbered) - start) in content
    assert b"/Count %d >>" % (start + 2) in content


def test_every_line_of_the_contents_leads_to_its_section(qapp: QApplication) -> None:
    content, laid_out = made()
    assert content.count(b"/Subtype /Link") == len(laid_out.titles)
    contents = [placed for placed in laid_out.pages[0] if isinstance(placed.piece, ContentsPiece)]
    assert len(contents) == 1, "the contents do not stand on the first page"


def test_the_project_is_still_found(qapp: QApplication) -> None:
    assert decode_project(made()[0]) == read_project(SAMPLE)


@pytest.mark.parametrize("title", ["a (b) <<c>> \\ d", "Größe 電動機 𝕏", "x" * 200, "two\nlines"])
def test_any_title_is_a_bookmark(qapp: QApplication, title: str) -> None:
    content, laid_out = made(title)
    assert laid_out.pages
    shown = re.search(rb"/Title <FEFF([0-9A-F]*)>", content)
    assert shown is not None


@pytest.mark.skipif(shutil.which("pdfinfo") is None, reason="poppler's pdfinfo is not installed")
def test_a_reader_takes_the_file(qapp: QApplication, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    out.write_bytes(made()[0])
    told = subprocess.run(["pdfinfo", "-dests", str(out)], capture_output=True, text=True, check=True)
    assert "Error" not in told.stderr
    assert (
        "Pages:" in subprocess.run(["pdfinfo", str(out)], capture_output=True, text=True, check=True).stdout
    )


def test_what_is_no_file_of_qt_is_refused() -> None:
    with pytest.raises(AmpturnError, match="no trailer"):
        with_outline(b"%PDF-1.7\n", [Bookmark("one", 0, 0.0)], [], "en")


def test_a_project_without_anything_has_its_bookmarks(qapp: QApplication) -> None:
    project = Project()
    content = encode_project(project)
    sheet = sheet_of(project, evaluate(project), issued=date(2026, 3, 31), project_file=content, units=UNITS)
    assert b"/Outlines" in pdf_of(sheet, lay_out_sheet(sheet, PAPERS["letter"], UNITS))
