"""Write a chart or another drawing to a PDF, SVG or PNG file of true size, without window or display."""

from __future__ import annotations

import contextlib
import math
import os
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRect, QRectF, QSize, QSizeF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QImageWriter, QPageSize, QPainter, QPdfWriter
from PySide6.QtSvg import QSvgGenerator

from app.chart_painter import paint_chart
from app.theme import LIGHT
from core.charts.chart import Chart
from core.errors import AmpturnError
from core.records import dataclass

CREATOR = "Ampturn"
PDF_DPI, PNG_DPI = 1200, 200
SVG_UNITS_PER_MM = 100
MARGIN_MM = 3.0
SIZE_MM = (160.0, 110.0)  # without another one
LEAST_MM, MOST_MM = (60.0, 40.0), (1200.0, 1200.0)

_kept_applications: list[QGuiApplication] = []


@dataclass(frozen=True, slots=True)
class Painting:
    """What is written to a file: a title, the same in words, and how it is painted into a rectangle. [mm]"""

    title: str
    summary: str
    paint: Callable[[QPainter, QRectF], None]


def painting_of(chart: Chart) -> Painting:
    """Return a chart as a painting, always light."""

    def paint(painter: QPainter, rect: QRectF) -> None:
        paint_chart(painter, chart, rect, LIGHT)

    return Painting(chart.title, chart.summary, paint)


def export_chart(chart: Chart, path: Path | str, size_mm: tuple[float, float] = SIZE_MM) -> None:
    """Write the chart, always light, in the format that the file's ending names, as `export_painting`."""
    export_painting(painting_of(chart), path, size_mm)


def export_painting(painting: Painting, path: Path | str, size_mm: tuple[float, float] = SIZE_MM) -> None:
    """Write a painting in the format that the file's ending names.

    The file appears whole or not at all: it is written beside its place and then moved there.

    Raises
    ------
    AmpturnError
        When the ending is not .pdf, .svg or .png, the size does not fit, or the folder refuses.
    """
    target = Path(path)
    render = _FORMATS.get(target.suffix.lower())
    if render is None:
        raise AmpturnError(f"{target.name}: a chart is written as .pdf, .svg or .png, got '{target.suffix}'")
    for name, length, least, most in zip(("width", "height"), size_mm, LEAST_MM, MOST_MM, strict=True):
        if not (math.isfinite(length) and least <= length <= most):
            raise AmpturnError(f"chart {name} must be {least:g} to {most:g} mm, got {length:g} mm")
    ensure_gui_application()
    replace_file(target, render(painting, size_mm))


def rendered(chart: Chart, ending: str, size_mm: tuple[float, float]) -> bytes:
    """Return the chart, always light, as the content of a file of this ending."""
    return _FORMATS[ending](painting_of(chart), size_mm)


def ensure_gui_application() -> QGuiApplication:
    """Return the running Qt application, or start one that needs no display where there is none."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    arguments = [CREATOR.lower()]
    has_display = any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))
    if sys.platform.startswith("linux") and not has_display:
        arguments += ["-platform", "offscreen"]
    application = QGuiApplication(arguments)
    # Without a reference kept here Python would end the application at once.
    _kept_applications.append(application)
    return application


def _pdf(painting: Painting, size_mm: tuple[float, float]) -> bytes:
    buffer = _open_buffer()
    writer = QPdfWriter(buffer)
    writer.setTitle(painting.title)
    writer.setCreator(CREATOR)
    writer.setResolution(PDF_DPI)
    writer.setPageSize(
        QPageSize(QSizeF(*size_mm), QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.ExactMatch)
    )
    writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
    painter = QPainter(writer)
    _paint(painter, painting, size_mm, PDF_DPI / 25.4)
    return bytes(buffer.data().data())


def _svg(painting: Painting, size_mm: tuple[float, float]) -> bytes:
    buffer = _open_buffer()
    width, height = (round(length * SVG_UNITS_PER_MM) for length in size_mm)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setTitle(painting.title)
    generator.setDescription(painting.summary)
    generator.setResolution(round(25.4 * SVG_UNITS_PER_MM))
    generator.setSize(QSize(width, height))
    generator.setViewBox(QRect(0, 0, width, height))
    painter = QPainter(generator)
    _paint(painter, painting, size_mm, SVG_UNITS_PER_MM)
    return bytes(buffer.data().data())


def _png(painting: Painting, size_mm: tuple[float, float]) -> bytes:
    dots_per_mm = PNG_DPI / 25.4
    width, height = (round(length * dots_per_mm) for length in size_mm)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(LIGHT.pane))
    image.setDotsPerMeterX(round(1000.0 * dots_per_mm))
    image.setDotsPerMeterY(round(1000.0 * dots_per_mm))
    image.setText("Title", painting.title)
    image.setText("Description", painting.summary)
    image.setText("Software", CREATOR)
    painter = QPainter(image)
    _paint(painter, painting, size_mm, dots_per_mm)
    buffer = _open_buffer()
    encoder = QImageWriter(buffer, QByteArray(b"png"))
    if not encoder.write(image):
        raise AmpturnError(f"chart {painting.title}: {encoder.errorString()}")
    return bytes(buffer.data().data())


_FORMATS: dict[str, Callable[[Painting, tuple[float, float]], bytes]] = {
    ".pdf": _pdf,
    ".svg": _svg,
    ".png": _png,
}


def _paint(painter: QPainter, painting: Painting, size_mm: tuple[float, float], dots_per_mm: float) -> None:
    """Scale the painter to millimetres, paint inside the margin and finish the device."""
    painter.scale(dots_per_mm, dots_per_mm)
    width, height = size_mm
    rect = QRectF(MARGIN_MM, MARGIN_MM, width - 2.0 * MARGIN_MM, height - 2.0 * MARGIN_MM)
    try:
        painting.paint(painter, rect)
    finally:
        # Qt aborts when a device goes away while a painter still works on it.
        painter.end()


def _open_buffer() -> QBuffer:
    buffer = QBuffer()
    buffer.setData(QByteArray())
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    return buffer


def replace_file(target: Path, content: bytes) -> None:
    """Write beside the target and move into place, so that no reader ever sees half a file."""
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(target)
    except OSError as error:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise AmpturnError(f"{target}: cannot be written ({error.strerror or error})") from error
