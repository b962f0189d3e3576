"""Pictures of the window, to be looked at: `python -m tests.pictures FOLDER`.

Makes every scene in both themes at two sizes. `--readme` also renews the picture of the README. `--scale 1.5`
makes some scenes as a screen of 1280x800 pixels shows them, if its desktop makes everything that much larger.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # the same pictures with and without a screen

import numpy as np
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QScrollArea

from app.files import SAMPLE_FOLDER
from app.main_window import MainWindow
from app.pages import SHORTLIST, SIDE_BY_SIDE
from app.preferences import Preferences
from app.shortlist_page import ShortlistPage
from app.start import build_window
from app.theme import ThemeChoice
from core.project import edits

CALM = 600  # until what is computed when the hand rests is there [ms]
SIZES = ((1280, 800), (1600, 1000))
THEMES: tuple[ThemeChoice, ...] = ("light", "dark")
SCALED_SCENES = ("bench", "bench_empty", "side_by_side", "shortlist_filtered", "sheet")
SCALED_PIXELS = (1280, 800)
SCALE_VARIABLE = "QT_SCALE_FACTOR"
README_PICTURE = Path(__file__).resolve().parents[1] / "assets" / "pictures" / "bench_light.png"
README_SIZE = (1440, 900)


def _carousel(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "sample_carousel.json")
    window.selection.select_segment(0)


def _sprayer(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "orchard_sprayer.json")


def _segment_table(window: MainWindow) -> None:
    _carousel(window)
    window.toggle_table()


def _from_cold(window: MainWindow) -> None:
    _carousel(window)
    window.toggle_from_cold()


def _winch(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "tide_pool_winch.json")
    window.selection.select_segment(4)


def _heat_flow(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "sample_carousel.json")
    window.bench.cycle.turn_to("heat flow")
    QTest.qWait(CALM)
    window.bench.cycle.heat_flow.canvas.chosen.emit(1)


def _what_helps(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "sample_carousel.json")
    window.bench.cycle.turn_to("what would help")
    panel = window.bench.cycle.what_helps
    while panel.result is None or panel.is_late(panel.result):  # a dozen evaluations
        QTest.qWait(50)


def _page(page: str, sample: str = "sample_carousel.json") -> Callable[[MainWindow], None]:
    def scene(window: MainWindow) -> None:
        window.files.open_sample(SAMPLE_FOLDER / sample)
        window.bench.cycle.turn_to(page)

    return scene


def _supply_lane(window: MainWindow) -> None:
    _carousel(window)
    window.bench.cycle.cycle.supply.setChecked(True)


def _choke(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "sample_carousel.json")
    project = window.document.project
    slow = replace(project.candidates[0].drive, pwm_frequency=2_000.0)
    window.document.edit(edits.change_candidate(project, 0, drive=slow, choke=5e-6), "slow pulses")
    window.bench.cycle.turn_to("electronics")


def _mechanism_asked(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "museum_turntable.json")
    panel = window.bench.inputs.what_moves.load
    assert panel is not None
    panel.mechanism.activated.emit(panel.mechanism.findText("wheels"))


def _side_by_side(window: MainWindow, sample: str = "sample_carousel.json") -> None:
    window.files.open_sample(SAMPLE_FOLDER / sample)
    window.turn_to(SIDE_BY_SIDE)
    page = window.pages.side_by_side
    while page.result is None or page.is_late(page.result):
        QTest.qWait(50)


def _two_compared(window: MainWindow) -> None:
    _side_by_side(window)
    page = window.pages.side_by_side
    page.scroller.verticalScrollBar().setValue(page.two.y())


def _four_side_by_side(window: MainWindow) -> None:
    _side_by_side(window, "museum_turntable.json")
    for index in (0, 1):
        window.candidate_asked("duplicate", index)


def _inputs_of(window: MainWindow, *names: str) -> None:
    """Open groups of the candidates' inputs, the first of them at the top."""
    panel = window.bench.inputs
    for group in panel.groups:
        group.set_open(group is panel.what_drives_it)
    opened = [getattr(panel.what_drives_it, name) for name in names]
    for group in opened:
        group.set_open(True)
    QTest.qWait(CALM)
    scroller = panel.findChild(QScrollArea)
    assert isinstance(scroller, QScrollArea)
    page = scroller.widget()
    scroller.verticalScrollBar().setValue(opened[0].mapTo(page, QPoint()).y())


def _electronics(window: MainWindow) -> None:
    _carousel(window)
    _inputs_of(window, "electronics")


def _fittings(window: MainWindow) -> None:
    _winch(window)
    _inputs_of(window, "feedback", "brake", "shaft", "cable")


def _feeding(window: MainWindow) -> None:
    _carousel(window)
    panel = window.bench.inputs
    for group in panel.groups:
        group.set_open(
            group in (panel.what_feeds_it, panel.supply_more, panel.what_it_must_meet, panel.motion)
        )


def _sheet(window: MainWindow) -> None:
    window.files.open_sample(SAMPLE_FOLDER / "tide_pool_winch.json")
    window.turn_to("sheet")
    window.recompute.run_now()
    page = window.pages.sheet
    while page.is_updating:
        QTest.qWait(50)


def _shortlist(window: MainWindow) -> ShortlistPage:
    _carousel(window)
    window.turn_to(SHORTLIST)
    return window.pages.shortlist


def _shortlist_empty(window: MainWindow) -> None:
    _shortlist(window)


def _shortlist_running(window: MainWindow) -> None:
    page = _shortlist(window)
    page.search()
    while page.found is None:
        QTest.qWait(50)
    page.run.arrived.disconnect()  # as it is now, whatever the time that the picture takes


def _shortlist_finished(window: MainWindow) -> ShortlistPage:
    page = _shortlist(window)
    page.search()
    while page.is_searching:
        QTest.qWait(50)
    page.table.selectRow(0)
    return page


def _shortlist_filtered(window: MainWindow) -> None:
    page = _shortlist_finished(window)
    page.parts.bounds_shown.click()
    page.parts.conditions_shown.click()
    grid = page.parts.grid
    place = grid.visualRect(grid.cells.index(grid.cells.frames.index("47 mm frame"), 2)).center()
    QTest.mouseClick(grid.viewport(), Qt.MouseButton.LeftButton, pos=place)


def _shortlist_stale(window: MainWindow) -> None:
    _shortlist_finished(window)
    project = window.document.project
    window.document.edit(edits.change_candidate(project, 0, choke=5e-6), "choke")


def _tour(window: MainWindow) -> None:
    _carousel(window)
    window.help.take_tour()
    tour = window.help.tour
    assert tour is not None
    for _ in range(3):
        tour.go_on()


def _help(window: MainWindow) -> None:
    _carousel(window)
    window.help.show_key("voltage_reserve")
    panel = window.help.panel
    assert panel is not None
    panel.setFloating(False)


def _differences(window: MainWindow) -> None:
    _carousel(window)
    window.candidate_asked("duplicate", 0)
    project = window.document.project
    after = edits.change_candidate(project, 1, dropped_because="too hot in the box")
    window.document.edit(after, "drop")
    _inputs_of(window, "differences")


def _empty(window: MainWindow) -> None:
    window.files.new()


SCENES: dict[str, Callable[[MainWindow], object]] = {
    "bench": _carousel,
    "bench_excluded": _sprayer,
    "bench_segment_table": _segment_table,
    "bench_from_cold": _from_cold,
    "bench_load": _winch,
    "bench_heat_flow": _heat_flow,
    "bench_what_helps": _what_helps,
    "bench_supply_lane": _supply_lane,
    "bench_windings": _page("windings"),
    "bench_choke": _choke,
    "bench_feedback": _page("feedback", "tide_pool_winch.json"),
    "bench_shaft": _page("shaft"),
    "bench_faults": _page("faults", "museum_turntable.json"),
    "bench_mechanism_asked": _mechanism_asked,
    "bench_electronics": _electronics,
    "bench_fittings": _fittings,
    "bench_feeding": _feeding,
    "bench_differences": _differences,
    "bench_tour": _tour,
    "bench_help": _help,
    "bench_empty": _empty,
    "side_by_side": _side_by_side,
    "side_by_side_compared": _two_compared,
    "side_by_side_of_four": _four_side_by_side,
    "shortlist_empty": _shortlist_empty,
    "shortlist_running": _shortlist_running,
    "shortlist_finished": _shortlist_finished,
    "shortlist_filtered": _shortlist_filtered,
    "shortlist_stale": _shortlist_stale,
    "sheet": _sheet,
}


def picture(scene: Callable[[MainWindow], object], theme: ThemeChoice, size: tuple[int, int]) -> QImage:
    """Return the window with a scene set up."""
    preferences = Preferences()
    preferences.theme = theme
    window = build_window(preferences)
    window.resize(*size)
    window.show()
    scene(window)
    window.recompute.run_now()
    QTest.qWait(CALM)
    image = window.grab().toImage()
    window.pages.shut_down()  # a search that runs would be asked about
    window.files.new()  # nothing unsaved is left to ask about
    window.close()
    window.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # no event loop runs to do it
    return image


def with_few_colours(image: QImage) -> QImage:
    """Return the picture with its 256 most frequent colours: a quarter of the size, and no visible loss."""
    pixels = np.frombuffer(image.convertToFormat(QImage.Format.Format_RGB32).constBits(), dtype=np.uint32)
    colours, counts = np.unique(pixels, return_counts=True)
    table = [int(colour) for colour in colours[np.argsort(counts)[-256:]]]
    no_dither = Qt.ImageConversionFlag.ThresholdDither | Qt.ImageConversionFlag.AvoidDither
    return image.convertToFormat(QImage.Format.Format_Indexed8, table, no_dither)


def save_pictures(
    folder: Path, scenes: tuple[str, ...], sizes: tuple[tuple[int, int], ...], end: str
) -> None:
    """Make scenes in both themes and several sizes."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in scenes:
        for theme in THEMES:
            for width, height in sizes:
                path = folder / f"{name}_{theme}_{width}x{height}{end}.png"
                picture(SCENES[name], theme, (width, height)).save(str(path))
                print(path)


def save_scaled(folder: Path, scale: float) -> None:
    """Make pictures of a scaled window; Qt takes the scale from the environment, before it starts."""
    if os.environ.get(SCALE_VARIABLE) != str(scale):
        command = [sys.executable, "-m", "tests.pictures", str(folder), "--scale", str(scale)]
        subprocess.run(command, env={**os.environ, SCALE_VARIABLE: str(scale)}, check=True)
        return
    application = QApplication([])
    width, height = SCALED_PIXELS
    save_pictures(folder, SCALED_SCENES, ((int(width / scale), int(height / scale)),), f"_times_{scale:g}")
    application.processEvents()


def main() -> None:
    """Make the pictures asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.pictures", description=__doc__)
    parser.add_argument("folder", type=Path, nargs="?", help="where all pictures go")
    parser.add_argument("--readme", action="store_true", help=f"renew {README_PICTURE.name} of the README")
    parser.add_argument("--scale", type=float, help="scale of the desktop, as 1.25, 1.5 or 2")
    options = parser.parse_args()
    if options.folder is None and (options.scale is not None or not options.readme):
        parser.error("name a folder, or --readme")
    if options.scale is not None:
        save_scaled(options.folder, options.scale)
        return
    application = QApplication([])
    if options.folder is not None:
        save_pictures(options.folder, tuple(SCENES), SIZES, "")
    if options.readme:
        README_PICTURE.parent.mkdir(exist_ok=True)
        small = with_few_colours(picture(_carousel, "light", README_SIZE))
        small.save(str(README_PICTURE), quality=0)  # of a PNG: packed hardest
        print(README_PICTURE)
    application.processEvents()


if __name__ == "__main__":
    main()
