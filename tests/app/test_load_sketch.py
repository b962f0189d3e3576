"""The sketch on a device: where its description puts it, in the colours of the theme, undistorted."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMarginsF, QRectF, QSizeF
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.theme import DARK, LIGHT, Tokens
from app.views.load_sketch import LoadSketchView, paint_sketch
from core.charts.load_sketch import LoadSketch, load_sketch
from core.charts.sketch_shapes import HEIGHT, WIDTH, ArcArrow, Arrow, Circle, Label, Shape, Stroke
from core.evaluation.load_side import load_course
from core.numeric import FloatArray
from core.project.load import Load
from core.project.mechanism import BeltDrive, DrumWinch, LinearFriction
from core.project.motion import DwellStep, MoveStep
from core.units import DisplayUnits

DOTS = 10.0  # per millimetre
HOIST = Load(
    mechanism=DrumWinch(
        mass=10.0, drum_radius=0.1, inclination=1.5707963267948966, friction=LinearFriction(constant=20.0)
    ),
    motion=(MoveStep(distance=1.0, duration=1.0), DwellStep(duration=1.0),
            MoveStep(distance=-1.0, duration=1.0), DwellStep(duration=1.0)),
)  # fmt: skip


@pytest.fixture(autouse=True)
def fonts(qapp: QApplication) -> None:
    """Type can be set only while there is an application."""


def sketch_of(load: Load = HOIST, segment: int | None = 0) -> LoadSketch:
    return load_sketch(load, load_course(load), DisplayUnits(), segment)


def painted(
    shapes: tuple[Shape, ...], rect: QRectF, tokens: Tokens = LIGHT, page: tuple[int, int] = (100, 80)
) -> FloatArray:
    """Return how dark each dot is (0 the ground), for a page in millimetres, shape (rows, columns)."""
    image = QImage(int(page[0] * DOTS), int(page[1] * DOTS), QImage.Format.Format_RGB32)
    image.fill(QColor(tokens.pane))
    painter = QPainter(image)
    painter.scale(DOTS, DOTS)
    paint_sketch(painter, LoadSketch(shapes, ""), rect, tokens)
    painter.end()
    pixels = np.frombuffer(image.constBits(), dtype=np.uint8).reshape(image.height(), image.width(), 4)
    colour = QColor(tokens.pane)
    ground = np.array([colour.blue(), colour.green(), colour.red()], dtype=float)
    dark: FloatArray = np.abs(pixels[:, :, :3].astype(float) - ground).sum(axis=2)
    return dark


def box_of(dots: FloatArray) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of what is painted. [mm]"""
    rows, columns = np.flatnonzero(dots.any(axis=1)), np.flatnonzero(dots.any(axis=0))
    return columns[0] / DOTS, rows[0] / DOTS, (columns[-1] + 1) / DOTS, (rows[-1] + 1) / DOTS


def test_the_frame_fits_the_rectangle_whole_and_in_its_middle() -> None:
    frame = Stroke(((0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT)), weight="thin", closed=True)
    left, top, right, bottom = box_of(painted((frame,), QRectF(10.0, 10.0, 80.0, 46.0)))
    width = 46.0 * WIDTH / HEIGHT  # the height decides
    assert (left, right) == pytest.approx((50.0 - 0.5 * width, 50.0 + 0.5 * width), abs=0.3)
    assert (top, bottom) == pytest.approx((10.0, 56.0), abs=0.3)


def test_an_arrow_ends_where_it_says_with_the_broad_side_of_its_head_behind() -> None:
    rect = QRectF(0.0, 0.0, WIDTH * 50.0, HEIGHT * 50.0)  # 50 mm a unit
    dots = painted((Arrow((0.2, 0.5), (0.8, 0.5)),), rect)
    left, top, right, bottom = box_of(dots)
    assert (left, right) == pytest.approx((10.0, 40.0), abs=0.25)
    assert 0.5 * (top + bottom) == pytest.approx((HEIGHT - 0.5) * 50.0, abs=0.2)
    tall = (dots > 0).sum(axis=0)
    assert int(np.argmax(tall)) / DOTS == pytest.approx(40.0 - 0.035 * 50.0, abs=0.4)


def test_angles_count_upward_and_to_the_left() -> None:
    rect = QRectF(0.0, 0.0, WIDTH * 50.0, HEIGHT * 50.0)
    quarter = ArcArrow((0.5, 0.5), 0.3, 0.0, 1.5707963267948966)
    left, top, right, bottom = box_of(painted((quarter,), rect))
    assert (left, right) == pytest.approx((25.0, 40.0), abs=0.3)
    assert (top, bottom) == pytest.approx(((HEIGHT - 0.8) * 50.0, (HEIGHT - 0.5) * 50.0), abs=0.3)


def test_a_filled_circle_is_filled_and_an_open_one_covers_what_lies_behind() -> None:
    rect = QRectF(0.0, 0.0, WIDTH * 50.0, HEIGHT * 50.0)
    behind = Stroke(((0.0, 0.5), (1.0, 0.5)))
    row, column = int((HEIGHT - 0.5) * 500), 250
    assert painted((behind,), rect)[row, column] > 0
    assert painted((behind, Circle((0.5, 0.5), 0.1)), rect)[row, column] == 0
    assert painted((Circle((0.5, 0.5), 0.1, filled=True),), rect)[row, column] > 0


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_the_motion_has_the_colour_of_the_theme(tokens: Tokens) -> None:
    image = QImage(750, 575, QImage.Format.Format_RGB32)
    image.fill(QColor(tokens.pane))
    painter = QPainter(image)
    painter.scale(DOTS, DOTS)
    paint_sketch(painter, sketch_of(), QRectF(0.0, 0.0, 75.0, 57.5), tokens)
    painter.end()
    colours = {image.pixelColor(x, y).name().upper() for x in range(750) for y in range(575)}
    assert tokens.focus.upper() in colours
    assert tokens.ink.upper() in colours


def test_a_load_that_stands_has_no_arrow_of_motion() -> None:
    moving = [s for s in sketch_of(segment=0).shapes if isinstance(s, Arrow) and s.role == "motion"]
    standing = [s for s in sketch_of(segment=3).shapes if isinstance(s, Arrow) and s.role == "motion"]
    assert len(moving) == 1
    assert moving[0].end[1] > moving[0].start[1]  # the hoist goes up
    assert standing == []


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext")
def test_on_paper_words_are_words(tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "sketch.pdf"
    writer = QPdfWriter(str(path))
    writer.setPageSize(QPageSize(QSizeF(100.0, 80.0), QPageSize.Unit.Millimeter))
    writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
    writer.setResolution(1200)
    painter = QPainter(writer)
    painter.scale(1200 / 25.4, 1200 / 25.4)
    paint_sketch(painter, sketch_of(), QRectF(5.0, 5.0, 90.0, 70.0), LIGHT)
    painter.end()
    text = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True, timeout=30
    ).stdout.replace("\xa0", " ")
    for label in (shape for shape in sketch_of().shapes if isinstance(shape, Label)):
        assert label.text.replace("\xa0", " ") in text


def test_the_view_says_in_words_what_it_shows(qtbot: QtBot) -> None:
    view = LoadSketchView()
    qtbot.addWidget(view)
    view.show_sketch(sketch_of())
    assert view.accessibleName() == "Sketch of what moves"
    assert view.accessibleDescription().startswith("Drum or winch: mass 10.0\xa0kg")
    assert "together 16.3\xa0N·m, 163\xa0N" in view.accessibleDescription()
    view.resize(280, view.heightForWidth(280))
    first = view.grab().toImage()
    view.show_sketch(sketch_of(Load(mechanism=BeltDrive(mass=1.0, pulley_radius=0.02, inclination=0.4))))
    assert view.grab().toImage() != first


@pytest.mark.parametrize("size", [(1, 1), (40, 400), (900, 30), (280, 215)])
def test_any_room_is_taken_without_complaint(qtbot: QtBot, size: tuple[int, int]) -> None:
    view = LoadSketchView()
    qtbot.addWidget(view)
    view.show_sketch(sketch_of())
    view.resize(*size)
    assert view.grab().width() == size[0]
