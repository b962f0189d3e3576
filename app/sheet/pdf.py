"""Write a sheet as PDF: vector pages, embedded type, bookmarks, the project itself as an attached file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPageSize, QPainter, QPdfWriter

from app.chart_export import CREATOR, PDF_DPI, ensure_gui_application, replace_file
from app.sheet.layout import LaidOut, lay_out_sheet
from app.sheet.outline import Bookmark, Link, with_outline
from app.sheet.painter import paint_page
from app.sheet.paper import A4, Paper
from app.sheet.pieces import ContentsPiece
from app.sheet.setting import printable
from core.errors import AmpturnError
from core.sheet.blocks import Sheet
from core.units import DisplayUnits

ATTACHED_NAME = "project.json"
_MIME = "application/json"
_LANGUAGE = "en"  # of all words that are not from the project


def write_sheet(sheet: Sheet, path: Path, units: DisplayUnits, paper: Paper = A4) -> LaidOut:
    """Write a sheet as a PDF file and return how it was laid out.

    The file appears whole or not at all. Raises `AmpturnError` where the ending is not .pdf or the folder
    refuses.
    """
    if path.suffix.lower() != ".pdf":
        raise AmpturnError(f"{path.name}: a sheet is written as .pdf, got '{path.suffix}'")
    ensure_gui_application()
    laid_out = lay_out_sheet(sheet, paper, units)
    replace_file(path, pdf_of(sheet, laid_out))
    return laid_out


def pdf_of(sheet: Sheet, laid_out: LaidOut) -> bytes:
    """Return the laid out sheet as the bytes of a PDF file."""
    buffer = QBuffer()
    buffer.setData(QByteArray())
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer, paper = QPdfWriter(buffer), laid_out.paper
    writer.setTitle(sheet.title)
    writer.setCreator(CREATOR)
    writer.setResolution(PDF_DPI)
    size = QSizeF(paper.width, paper.height)
    writer.setPageSize(
        QPageSize(size, QPageSize.Unit.Millimeter, paper.name, QPageSize.SizeMatchPolicy.FuzzyMatch)
    )
    writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
    writer.addFileAttachment(ATTACHED_NAME, QByteArray(sheet.project_file), _MIME)
    painter = QPainter(writer)
    try:
        painter.scale(PDF_DPI / 25.4, PDF_DPI / 25.4)
        for number in range(len(laid_out.pages)):
            if number:
                writer.newPage()
            painter.save()
            paint_page(painter, laid_out, number)
            painter.restore()
    finally:
        painter.end()  # Qt aborts when a device goes away while a painter still works on it
    if not laid_out.titles:
        return bytes(buffer.data().data())
    return with_outline(bytes(buffer.data().data()), _bookmarks(laid_out), _links(laid_out), _LANGUAGE)


def _bookmarks(laid_out: LaidOut) -> list[Bookmark]:
    """Return the title page, each section, and the appendix with its sections below it."""
    above = laid_out.paper.top
    marks = [
        Bookmark(printable(f"{number}  {title}"), page - 1, above + top)
        for number, (title, page, top) in enumerate(
            zip(laid_out.titles, laid_out.sections, laid_out.tops, strict=True), start=1
        )
    ]
    first = [Bookmark(printable(laid_out.title), 0, 0.0)]
    start = laid_out.appendix_from
    if start is None:
        return [*first, *marks]
    appendix = Bookmark("Appendix", marks[start].page, 0.0, tuple(marks[start:]))
    return [*first, *marks[:start], appendix]


def _links(laid_out: LaidOut) -> list[Link]:
    """Return a link from each line of the contents to its section."""
    paper, links = laid_out.paper, list[Link]()
    for number, page in enumerate(laid_out.pages):
        for placed in page:
            contents = placed.piece
            if not isinstance(contents, ContentsPiece):
                continue
            wide, high = contents.entry_size
            links += [
                Link(number, paper.left + left, paper.top + placed.top + top, wide, high,
                     laid_out.sections[section] - 1, paper.top + laid_out.tops[section])
                for section, left, top in contents.entries()
                if section is not None
            ]  # fmt: skip
    return links
