"""Write a sheet as PDF: vector pages, embedded type, and the project itself as an attached file."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSizeF
from PySide6.QtGui import QPageSize, QPainter, QPdfWriter

from app.chart_export import CREATOR, PDF_DPI, ensure_gui_application, replace_file
from app.sheet.layout import LaidOut, lay_out_sheet
from app.sheet.painter import paint_page
from app.sheet.paper import A4, Paper
from core.errors import AmpturnError
from core.sheet.blocks import Sheet
from core.units import DisplayUnits

ATTACHED_NAME = "project.json"
_MIME = "application/json"


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
    return bytes(buffer.data().data())
