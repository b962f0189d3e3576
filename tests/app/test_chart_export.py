"""Charts on paper: text is text, lengths are true, files are whole or absent."""

from __future__ import annotations

import itertools
import os
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.chart_export import export_chart
from app.chart_painter import paint_chart
from app.theme import DARK, LIGHT
from core.charts.chart import Axis, Band, Chart, Map, Note, Panel, Point, Rule, Series, Span, Style
from core.errors import AmpturnError
from core.numeric import FloatArray, IntArray

RPM = 2.0 * np.pi / 60.0
MM_PER_PT = 25.4 / 72.0
pytestmark = pytest.mark.usefixtures("qapp")

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


def plane() -> Chart:
    """Return a speed-torque plane with every kind of mark; the numbers are invented."""
    speed = np.linspace(0.0, 4200.0, 200) * RPM
    closed = np.linspace(0.0, 5250.0, 200) * RPM
    grid_x, grid_y = np.linspace(100.0, 5000.0, 40) * RPM, np.linspace(0.001, 0.1, 30)
    power = np.outer(grid_y, grid_x)
    efficiency = power / (power + 4.0 + 4000.0 * grid_y[:, None] ** 2)
    panel = Panel(
        Axis("torque", "mN·m", 1000.0, range=(-0.06, 0.12)),
        series=(
            Series(
                "A",
                speed,
                0.03 + 0.01 * np.sin(speed / 250.0),
                Style("candidate", 0),
                "A continuous",
                None,
                0.0,
            ),
            Series("B", closed, 0.0315 - 0.013 * closed / closed[-1], Style("candidate", 1), "B continuous"),
            Series("limit", np.array([0.0, 6100.0]) * RPM, np.array([0.118, 0.0]), Style(), "voltage limit"),
        ),
        bands=(Band("spread", speed, np.full(200, 0.05), np.full(200, 0.056), Style("candidate", 0)),),
        points=(
            Point("1", 2500.0 * RPM, 0.058, text="1", selected=True),
            Point("3", 2500.0 * RPM, -0.046, text="3"),
            Point("rms", 667.0 * RPM, 0.0273, "diamond", label="rms 27.3"),
        ),
        rules=(Rule(0.092, "peak torque of the drive", end=1370.0 * RPM),),
        notes=(Note("braking", 8000.0 * RPM, -0.005, "right"),),
        map=Map("efficiency", grid_x, grid_y, efficiency, (0.4, 0.6), ("40 %", "60 %")),
    )
    x = Axis("speed", "rpm", 1.0 / RPM, range=(0.0, 8000.0 * RPM))
    return Chart(
        "Speed-torque plane", "at 40 °C, 21.6 V, winding hot", x, (panel,), "A reaches further than B."
    )


def cycle() -> Chart:
    """Return three lanes above one time axis; the numbers are invented."""
    edges = np.array([0.0, 0.04, 0.08, 0.12, 0.3])
    spans = tuple(Span(a, b, str(n), n == 1) for n, (a, b) in enumerate(itertools.pairwise(edges), 1))
    torque = np.array([0.058, 0.058, 0.002, 0.002, -0.046, -0.046, 0.0, 0.0])
    lanes = (
        Panel(
            Axis("torque", "mN·m", 1000.0, ticks=(-0.046, 0.0, 0.058)),
            series=(Series("torque", np.repeat(edges, 2)[1:-1], torque, fill_to=0.0),),
            spans=spans,
        ),
        Panel(
            Axis("speed", "rpm", 1.0 / RPM), series=(Series("speed", edges, np.array([0, 262, 262, 0, 0.0])),)
        ),
        Panel(
            Axis("temperature", "°C", range=(70.0, 140.0)),
            series=(
                Series("A", edges, np.array([94, 95, 95, 95, 94.0]), Style("candidate", 0), "A winding"),
            ),
            rules=(Rule(125.0, "winding limit", Style("missed", dash="dashed", width="thin")),),
        ),
    )
    axis = Axis("time", "ms", 1000.0, range=(0.0, 0.3))
    return Chart("Cycle", "300 ms, repeating", axis, lanes, "The winding stays below its limit.")


def _run(*command: str) -> str:
    return subprocess.run(command, check=True, capture_output=True, text=True, timeout=60).stdout


def _word_centres(pdf: Path) -> dict[str, tuple[float, float]]:
    """Return the centre of each word on the page, from pdftotext's boxes. [mm]"""
    pattern = r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>'
    centres = {}
    for x1, y1, x2, y2, word in re.findall(pattern, _run("pdftotext", "-bbox", str(pdf), "-")):
        middle = 0.5 * (float(x1) + float(x2)), 0.5 * (float(y1) + float(y2))
        centres[word] = (middle[0] * MM_PER_PT, middle[1] * MM_PER_PT)
    return centres


def _pixels(picture: Path) -> FloatArray:
    """Return the colours of a picture, shape (rows, columns, 3)."""
    image = QImage(str(picture)).convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(bytes(image.constBits()), dtype=np.uint8).reshape(
        image.height(), image.bytesPerLine()
    )
    return rows[:, : image.width() * 3].reshape(image.height(), image.width(), 3).astype(np.float64)


def _places_of(pixels: FloatArray, colour: str) -> tuple[IntArray, IntArray]:
    """Return rows and columns of the pixels of one colour."""
    wanted = np.array([QColor(colour).red(), QColor(colour).green(), QColor(colour).blue()])
    rows, columns = np.nonzero(np.abs(pixels - wanted).max(axis=2) <= 4.0)
    assert len(rows) > 20
    return rows, columns


def _centre_of(pixels: FloatArray, colour: str) -> tuple[float, float]:
    """Return the mean place of the pixels of one colour. [pixels]"""
    rows, columns = _places_of(pixels, colour)
    return float(columns.mean()) + 0.5, float(rows.mean()) + 0.5


@needs_poppler
class TestPdf:
    def test_every_number_and_label_is_text(self, tmp_path: Path) -> None:
        export_chart(plane(), tmp_path / "plane.pdf")
        text = _run("pdftotext", "-layout", str(tmp_path / "plane.pdf"), "-")
        words = text.split()
        for number in ("−60", "−40", "−20", "20", "40", "60", "80", "100", "120", "1000", "4000", "8000"):
            assert number in words
        for label in (
            "A continuous",
            "B continuous",
            "voltage limit",
            "peak torque of the drive",
            "rms 27.3",
        ):
            assert label in text
        for label in (
            "Speed-torque plane",
            "at 40 °C, 21.6 V, winding hot",
            "torque mN·m",
            "speed rpm",
            "braking",
        ):
            assert label in text

    def test_lanes_carry_their_numbers_and_span_labels(self, tmp_path: Path) -> None:
        export_chart(cycle(), tmp_path / "cycle.pdf")
        words = _run("pdftotext", "-layout", str(tmp_path / "cycle.pdf"), "-").split()
        for word in ("58", "−46", "temperature", "°C", "winding", "limit", "1", "2", "3", "4", "300"):
            assert word in words

    def test_it_is_vector_with_embedded_fonts_and_metadata(self, tmp_path: Path) -> None:
        target = tmp_path / "plane.pdf"
        export_chart(plane(), target)
        assert _run("pdfimages", "-list", str(target)).splitlines()[2:] == []
        fonts = _run("pdffonts", str(target)).splitlines()[2:]
        assert len(fonts) == 2
        assert all("DejaVuSans" in row and re.search(r"\byes +\S+ +yes\b", row) for row in fonts)
        info = _run("pdfinfo", str(target))
        assert re.search(r"Title: +Speed-torque plane", info)
        assert re.search(r"Creator: +Ampturn", info)
        width, height = re.findall(r"Page size: +([\d.]+) x ([\d.]+)", info)[0]
        # Qt writes the page in whole points: half a point is 0.18 mm.
        assert float(width) * MM_PER_PT == pytest.approx(160.0, abs=0.18)
        assert float(height) * MM_PER_PT == pytest.approx(110.0, abs=0.18)

    @pytest.mark.parametrize("size", [(160.0, 110.0), (90.0, 60.0), (420.0, 297.0)])
    def test_a_point_stands_where_the_axis_numbers_say(
        self, tmp_path: Path, size: tuple[float, float]
    ) -> None:
        """The place is interpolated between the printed numbers, as a reader does with a ruler."""
        style = Style("candidate", 2)
        points = (Point("high", 63.0, 0.8, "diamond", style=style),)
        upright = Series("upright", np.array([37.0, 37.0]), np.array([0.5, 1.1]), Style("candidate", 0))
        level = Series(
            "level", np.array([50.0, 110.0]), np.array([0.25, 0.25]), Style("candidate", 3, "solid")
        )
        chart = Chart(
            "Place",
            "",
            Axis("x", range=(10.0, 110.0), ticks=(20.0, 100.0)),
            (
                Panel(
                    Axis("y", scale=1000.0, range=(-0.37, 1.11), ticks=(0.0, 1.0)),
                    points=points,
                    series=(upright, level),
                ),
            ),
            "One mark.",
        )
        export_chart(chart, tmp_path / "place.pdf", size)
        dpi = 300
        _run(
            "pdftoppm",
            "-r",
            str(dpi),
            "-png",
            "-singlefile",
            str(tmp_path / "place.pdf"),
            str(tmp_path / "place"),
        )
        pixels = _pixels(tmp_path / "place.png")
        at = _word_centres(tmp_path / "place.pdf")

        def across(value: float) -> float:
            return at["20"][0] + (value - 20.0) / 80.0 * (at["100"][0] - at["20"][0])

        def down(value: float) -> float:
            return at["0"][1] + value * (at["1000"][1] - at["0"][1])

        mark, upright_at, level_at = (
            tuple(25.4 / dpi * place for place in _centre_of(pixels, LIGHT.candidates[number].colour))
            for number in (2, 0, 3)
        )
        assert mark == pytest.approx((across(63.0), down(0.8)), abs=0.3)
        assert upright_at[0] == pytest.approx(across(37.0), abs=0.3)
        assert level_at[1] == pytest.approx(down(0.25), abs=0.3)

    def test_a_grid_line_goes_through_the_middle_of_a_mark_on_it(self, tmp_path: Path) -> None:
        style = Style("candidate", 3)
        points = tuple(Point(str(y), 50.0, y, "diamond", style=style) for y in (20.0, 80.0))
        axis = Axis("y", range=(0.0, 100.0))
        chart = Chart("Grid", "", Axis("x", range=(0.0, 100.0)), (Panel(axis, points=points),), "Two marks.")
        export_chart(chart, tmp_path / "grid.png")
        pixels = _pixels(tmp_path / "grid.png")
        rows, columns = _places_of(pixels, LIGHT.candidates[3].colour)
        empty_column = int(columns.max()) + 30
        grid_rows = np.flatnonzero(pixels[:, empty_column].sum(axis=1) < 3 * 252.0)
        for part in (rows[rows < rows.mean()], rows[rows > rows.mean()]):
            nearest = grid_rows[np.argmin(np.abs(grid_rows - part.mean()))]
            assert abs(float(nearest) - float(part.mean())) * 25.4 / 200.0 <= 0.2


class TestSvg:
    def test_text_stays_text_in_true_millimetres(self, tmp_path: Path) -> None:
        export_chart(plane(), tmp_path / "plane.svg")
        root = ET.parse(tmp_path / "plane.svg").getroot()
        assert root.get("width") == "160mm"
        assert root.get("height") == "110mm"
        texts = [node.text.strip() for node in root.iter("{http://www.w3.org/2000/svg}text") if node.text]
        for words in ("−40", "8000", "A continuous", "voltage limit", "Speed-torque plane"):
            assert words in texts
        description = root.find("{http://www.w3.org/2000/svg}desc")
        assert description is not None
        assert description.text == "A reaches further than B."
        assert list(root.iter("{http://www.w3.org/2000/svg}image")) == []

    def test_dashes_keep_their_proportion_to_the_line(self, tmp_path: Path) -> None:
        export_chart(plane(), tmp_path / "plane.svg")
        content = (tmp_path / "plane.svg").read_text(encoding="utf-8")
        colour = LIGHT.candidates[1].colour.lower()
        found = re.findall(
            rf'stroke="{colour}"[^>]*stroke-dasharray="([\d.,]+)"[^>]*stroke-width="([\d.]+)"', content
        )
        assert found
        for dashes, width in found:
            in_widths = [float(part) / float(width) for part in dashes.split(",")]
            assert in_widths == pytest.approx(LIGHT.candidates[1].dashes, rel=1e-3)

    def test_no_coordinate_leaves_the_page(self, tmp_path: Path) -> None:
        far = Series("far", np.array([-1e9, 0.5, 1e9]), np.array([-1e12, 0.5, 1e12]), fill_to=-1e12)
        panel = Panel(Axis("y", range=(0.0, 1.0)), series=(far,))
        chart = Chart("Far", "", Axis("x", range=(0.0, 1.0)), (panel,), "A line.")
        export_chart(chart, tmp_path / "far.svg")
        content = (tmp_path / "far.svg").read_text(encoding="utf-8")
        numbers = [
            float(n)
            for row in re.findall(r'points="([^"]*)"', content)
            for n in re.split(r"[ ,]+", row.strip())
        ]
        assert numbers
        assert 0.0 <= min(numbers) <= max(numbers) <= 16000.0


class TestPng:
    def test_size_resolution_and_light_ground(self, tmp_path: Path) -> None:
        export_chart(plane(), tmp_path / "plane.png", (160.0, 110.0))
        image = QImage(str(tmp_path / "plane.png"))
        # 160 mm and 110 mm at 200 dots per 25.4 mm.
        assert (image.width(), image.height()) == (1260, 866)
        assert image.dotsPerMeterX() == 7874
        assert image.pixelColor(2, 2) == QColor("#FFFFFF")
        assert image.text("Title") == "Speed-torque plane"

    @pytest.mark.parametrize(
        "size", [(60.0, 40.0), (100.0, 70.0), (297.0, 210.0), (420.0, 297.0), (60.0, 300.0)]
    )
    @pytest.mark.parametrize("make", [plane, cycle])
    def test_any_size_keeps_its_panels_on_the_page(
        self, make: Callable[[], Chart], size: tuple[float, float]
    ) -> None:
        image = QImage(10, 10, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        layout = paint_chart(painter, make(), QRectF(0.0, 0.0, *size), DARK)
        painter.end()
        below = 0.0
        for frame in layout.frames:
            assert frame.box.left > 0.0
            assert frame.box.right <= size[0]
            assert frame.box.top >= below
            assert frame.box.height >= 3.0
            below = frame.box.bottom
        assert layout.x_title_middle < size[1]

    def test_a_point_off_the_axes_is_announced(self, tmp_path: Path) -> None:
        panel = Panel(Axis("y", range=(0.0, 1.0)), points=(Point("1", 0.5, 7.0, text="1"),))
        chart = Chart("Off", "", Axis("x", range=(0.0, 1.0)), (panel,), "One mark.")
        export_chart(chart, tmp_path / "off.svg")
        assert "1 point outside the axes" in (tmp_path / "off.svg").read_text(encoding="utf-8")

    def test_an_empty_chart_is_axes(self, tmp_path: Path) -> None:
        chart = Chart("Empty", "", Axis("time", "s"), (Panel(Axis("torque", "N·m")),), "Nothing yet.")
        export_chart(chart, tmp_path / "empty.svg")
        assert "torque N·m" in (tmp_path / "empty.svg").read_text(encoding="utf-8")


class TestRefusals:
    def test_an_unknown_ending(self, tmp_path: Path) -> None:
        with pytest.raises(AmpturnError, match=r"chart\.gif: a chart is written as \.pdf, \.svg or \.png"):
            export_chart(plane(), tmp_path / "chart.gif")
        assert list(tmp_path.iterdir()) == []

    def test_a_folder_that_does_not_exist(self, tmp_path: Path) -> None:
        with pytest.raises(AmpturnError, match="cannot be written"):
            export_chart(cycle(), tmp_path / "nowhere" / "chart.svg")

    @pytest.mark.parametrize("size", [(59.0, 110.0), (160.0, 39.0), (float("nan"), 110.0), (160.0, 5000.0)])
    def test_a_size_that_cannot_be_read(self, tmp_path: Path, size: tuple[float, float]) -> None:
        with pytest.raises(AmpturnError, match=r"must be .* mm, got"):
            export_chart(plane(), tmp_path / "chart.pdf", size)

    def test_a_failed_export_leaves_the_old_file(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        target = tmp_path / "chart.svg"
        target.write_text("old", encoding="utf-8")

        def refuse(self: Path, other: Path) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "replace", refuse)
        with pytest.raises(AmpturnError, match="Permission denied"):
            export_chart(cycle(), target)
        assert target.read_text(encoding="utf-8") == "old"
        assert [path.name for path in tmp_path.iterdir()] == ["chart.svg"]

    def test_a_whole_file_replaces_the_old_one(self, tmp_path: Path) -> None:
        target = tmp_path / "chart.svg"
        target.write_text("old", encoding="utf-8")
        export_chart(cycle(), target)
        assert target.read_text(encoding="utf-8").rstrip().endswith("</svg>")
        assert [path.name for path in tmp_path.iterdir()] == ["chart.svg"]


def test_export_needs_no_display_and_no_widgets(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from app.chart_export import export_chart\n"
        "from core.charts.chart import Axis, Chart, Panel\n"
        "chart = Chart('T', '', Axis('x'), (Panel(Axis('y')),), 'Empty.')\n"
        "export_chart(chart, sys.argv[1])\n"
        "assert 'PySide6.QtWidgets' not in sys.modules and 'scipy' not in sys.modules\n"
    )
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    target = tmp_path / "chart.pdf"
    root = Path(__file__).resolve().parents[2]
    subprocess.run(
        [sys.executable, "-c", code, str(target)], check=True, env=environment, cwd=root, timeout=60
    )
    assert target.read_bytes().startswith(b"%PDF-")


def test_a_page_preview_can_be_dark(qapp: QApplication) -> None:
    image = QImage(600, 400, QImage.Format.Format_RGB32)
    image.fill(QColor(DARK.pane))
    painter = QPainter(image)
    painter.scale(4.0, 4.0)
    paint_chart(painter, plane(), QRectF(3.0, 3.0, 144.0, 94.0), DARK)
    painter.end()
    colours = {image.pixelColor(x, y).name().upper() for x in range(0, 600, 2) for y in range(0, 400, 2)}
    assert DARK.candidates[0].colour in colours
    assert LIGHT.candidates[0].colour not in colours
