"""The window as a whole: everything can be undone and redone, nothing is stale unsaid, all of it fits."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.preferences import Preferences
from app.start import build_window
from app.theme import DARK, LIGHT
from app.units_dialog import UnitsDialog
from app.views.plot_marks import LabelItem
from core.charts.cycle_chart import TEMPERATURE_LANE
from core.evaluate import evaluate
from core.project import edits
from core.project.project import Project
from core.project.project_file import read_project
from core.results import Result
from core.units import DisplayUnits, Kind
from tests.app.whole_window import open_window

ROOT = Path(__file__).resolve().parents[2]


def edit_everything(window: MainWindow) -> None:
    """Make one edit of each kind that the window offers."""
    document = window.document
    document.edit(edits.change_segment(document.project, 0, shaft_torque=0.05), "torque")
    document.edit(edits.move_edge(document.project, 0, 0.08), "edge")
    window.selection.select_segment(1)
    window.duplicate_segment()
    window.insert_segment()
    window.remove_segment()
    place = ("site", "ambient")
    document.edit(edits.change_application_part(document.project, place, 50.0), "ambient")
    window.candidate_asked("duplicate", 1)
    window.candidate_asked("choose", 2)
    window.candidate_asked("remove", 0)
    window.candidate_asked("add", -1)
    document.begin_gesture()
    for step in range(1, 6):
        after = edits.change_segment(document.before_gesture, 0, shaft_torque=0.05 + 0.001 * step)
        document.edit(after, "drag")
    document.end_gesture()


def test_undo_to_the_start_redo_to_the_end_save_and_reopen(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    start, stack = window.document.project, window.document.undo_stack
    edit_everything(window)
    end = window.document.project
    assert stack.count() == 11  # ten single edits, and one drag of five moves
    for _ in range(stack.count()):
        QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.project == start
    assert not stack.canUndo()
    while stack.canRedo():
        window.menus.redo.trigger()
    assert window.document.project == end
    dialogs.path = tmp_path / "end.json"
    assert window.save_project()
    assert read_project(dialogs.path) == end
    window.recompute.run_now()
    assert not window.recompute.is_stale


def test_undo_says_what_it_will_undo(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.candidate_asked("choose", 1)
    name = window.document.project.candidates[1].name
    assert window.menus.undo.text() == f"Undo: Choose {name}"
    assert window.menus.undo.isEnabled()
    window.document.undo_stack.undo()
    assert (window.menus.undo.text(), window.menus.undo.isEnabled()) == ("Undo", False)
    assert window.menus.redo.text() == f"Redo: Choose {name}"


def test_first_start_shows_the_sample_with_its_answer(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    assert window.document.project.application.title == "Sample carousel"
    result = window.recompute.result
    assert result is not None
    assert result.project is window.document.project
    assert window.bench.plane.result is result
    assert window.messages.message("stale") == ""


def test_failed_evaluation_marks_everything_as_old(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    window, dialogs = open_window(qtbot)
    shown = window.bench.plane.result

    def broken(_project: Project) -> Result:
        raise RuntimeError("no such luck")

    monkeypatch.setattr(window.recompute, "_evaluate", broken)
    window.candidate_asked("choose", 1)
    window.recompute.run_now()
    assert "no such luck" in window.messages.message("stale")
    veils = window.bench._veils
    assert all(veil.isVisible() for veil in veils)
    assert veils[0].size() == window.bench.plane.size()
    assert window.bench.plane.result is shown
    window.exports.export_chart("cycle")
    assert "out of date" in window.messages.message("failure")
    assert dialogs.questions == []
    monkeypatch.setattr(window.recompute, "_evaluate", evaluate)
    window.candidate_asked("choose", 0)
    window.recompute.run_now()
    assert window.messages.message("stale") == ""
    assert not any(veil.isVisible() for veil in veils)


@pytest.mark.parametrize("size", [(1280, 800), (1600, 1000)])
def test_the_temperatures_have_three_numbers_and_the_names_of_their_limits(
    qtbot: QtBot, size: tuple[int, int]
) -> None:
    window, _ = open_window(qtbot, ROOT / "sample_projects" / "sample_carousel.json")
    window.resize(*size)
    canvas = window.bench.cycle.cycle.canvas
    qtbot.waitUntil(lambda: bool(canvas.lanes))
    QApplication.processEvents()
    canvas.place_labels()
    assert len(canvas.lanes[TEMPERATURE_LANE].y_ticks) >= 3
    labels = [item for item in canvas.scene().items() if isinstance(item, LabelItem) and item.isVisible()]
    shown = " ".join(label.words for label in labels)
    assert "winding limit" in shown
    assert "magnets limit" in shown


@pytest.mark.parametrize("size", [(1280, 800), (1600, 1000)])
@pytest.mark.parametrize("table", [False, True])
def test_everything_fits_the_window(qtbot: QtBot, size: tuple[int, int], table: bool) -> None:
    window, _ = open_window(qtbot)
    window.resize(*size)
    window.bench.table_fold.header.setChecked(table)
    QApplication.processEvents()
    least = window.minimumSizeHint()
    assert (least.width(), least.height()) <= size
    assert (window.width(), window.height()) == size
    bench = window.bench
    views: list[QWidget] = [bench.inputs, bench.plane, bench.cycle, bench.margins, bench.findings]
    for view in [*views, bench.table_fold]:
        corner = view.mapTo(window, view.rect().bottomRight())
        assert window.rect().contains(corner), type(view).__name__
        assert view.width() >= view.minimumSizeHint().width(), type(view).__name__
        assert view.height() >= view.minimumSizeHint().height(), type(view).__name__
    assert bench.plane.height() >= 200
    assert bench.cycle.height() >= 180


def test_theme_changes_while_the_window_is_open(qtbot: QtBot, tmp_path: Path) -> None:
    preferences = Preferences(tmp_path / "preferences.ini")
    window, _ = open_window(qtbot, preferences=preferences)
    for action, tokens in ((window.menus.themes["dark"], DARK), (window.menus.themes["light"], LIGHT)):
        action.trigger()
        QApplication.processEvents()
        assert preferences.tokens == tokens
        assert window.palette().window().color().name().upper() == tokens.ground
        corner = window.grab().toImage().pixelColor(4, 400)
        assert corner.name().upper() == tokens.ground
        assert window.bench.plane.canvas.tokens == tokens


def test_display_units_reach_fields_and_summary(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    dialog = UnitsDialog(window.preferences.display_units)
    qtbot.addWidget(dialog)
    dialog.lists[Kind.TEMPERATURE].setCurrentText("°F")
    window.preferences.display_units = dialog.chosen()
    ambient = window.bench.inputs.where_it_sits.inputs["site", "ambient"]
    assert ambient.line.text() == "104"  # type: ignore[union-attr]  # 40 degC * 9 / 5 + 32
    assert "104 °F" in window.bench.inputs.where_it_sits.summary.text().replace("\N{NO-BREAK SPACE}", " ")
    dialog.show_units(DisplayUnits())
    assert dialog.chosen() == DisplayUnits()


def test_chip_chooses_its_candidate(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    assert [chip.isChecked() for chip in window.header.chips] == [True, False]
    QTest.mouseClick(window.header.chips[1], Qt.MouseButton.LeftButton)
    assert window.document.project.chosen == window.document.project.candidates[1].name
    assert [chip.isChecked() for chip in window.header.chips] == [False, True]
    QTest.keyClick(window.header.chips[0], Qt.Key.Key_Space)
    assert [chip.isChecked() for chip in window.header.chips] == [True, False]
    window.document.undo_stack.undo()
    assert [chip.isChecked() for chip in window.header.chips] == [False, True]


def test_title_is_renamed_in_the_head(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    title = window.header.title
    for text, expected in (("Tubes", "Tubes"), ("   ", "Tubes")):
        title.setFocus()
        title.selectAll()
        QTest.keyClicks(title, text)
        QTest.keyClick(title, Qt.Key.Key_Return)
        assert window.document.project.application.title == expected
        assert title.text() == expected
    assert window.document.undo_stack.count() == 1


def test_segment_commands_follow_the_selection(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    menus, document = window.menus, window.document
    assert not menus.remove.isEnabled()
    assert "at the end" in menus.insert.text()
    window.selection.select_segment(2)
    assert menus.remove.isEnabled()
    assert menus.remove.text().endswith("segment 3")
    before = document.project.application.duty_cycle
    menus.remove.trigger()
    assert document.project.application.duty_cycle == (*before[:2], *before[3:])
    window.selection.select_segment(3)  # there is no fourth any more
    assert not menus.remove.isEnabled()
    menus.insert.trigger()
    assert len(document.project.application.duty_cycle) == len(before)


def test_window_place_is_kept_and_never_off_the_screens(qtbot: QtBot, tmp_path: Path) -> None:
    settings = tmp_path / "preferences.ini"
    window, _ = open_window(qtbot, preferences=Preferences(settings))
    window.setGeometry(20, 40, 700, 600)
    window.close()
    kept = Preferences(settings)
    assert kept.window_rectangle() == (20, 40, 700, 600)
    screen = QApplication.primaryScreen().availableGeometry()
    for place in ((90_000, -90_000, 700, 600), (0, 0, 9_000, 5_000), (5, 5, -3, 0)):
        kept.keep_window(place, False)
        again = build_window(kept)  # not `open_window`, which gives it a size
        qtbot.addWidget(again)
        assert screen.contains(again.geometry())


@pytest.mark.parametrize(
    "content",
    [
        b"\x00\xff\xfe" * 500,
        b'[General]\ntheme=@Invalid()\nunits=[1]\nrecent=7\nsizes_window="[1e99, 2]"\n',
        b'[General]\ntheme=pink\nunits="{\\"torque\\": \\"bogus\\"}"\nsizes_across="[-5, 0, 0]"\n',
        b'[General]\nsizes_across="[]"\nsizes_middle="[0, 0, 0]"\nflag_maximised=maybe\n',
    ],
)
def test_damaged_preferences_do_no_harm(qtbot: QtBot, tmp_path: Path, content: bytes) -> None:
    settings = tmp_path / "preferences.ini"
    settings.write_bytes(content)
    preferences = Preferences(settings)
    assert preferences.theme == "system"
    assert preferences.display_units == DisplayUnits()
    assert preferences.recent_files == ()
    window, _ = open_window(qtbot, preferences=preferences)
    assert min(window.bench.across.sizes()) > 100


def test_units_and_theme_are_kept(tmp_path: Path, qapp: QApplication) -> None:
    settings = tmp_path / "new folder" / "preferences.ini"
    first = Preferences(settings)
    first.theme = "dark"
    first.display_units = DisplayUnits().with_units({Kind.TORQUE: "ozf·in"})
    first.save()
    second = Preferences(settings)
    assert second.theme == "dark"
    assert second.display_units.symbol(Kind.TORQUE) == "ozf·in"


def test_start_loads_nothing_slow() -> None:
    program = (
        "import sys, app.start; slow = ('scipy', 'pint', 'PySide6.QtPrintSupport', 'app.chart_export'); "
        "print([name for name in slow if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"


def test_efficiency_map_where_the_voltage_reaches_nothing(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    place = ("supply", "lowest_voltage")
    window.document.edit(edits.change_application_part(window.document.project, place, 1e-6), "1 µV")
    window.menus.efficiency.trigger()
    window.recompute.run_now()
    result = window.recompute.result
    assert result is not None
    window.bench.plane.fetch_late(result)  # what happens once the hand rests
    assert not window.bench.plane.is_late(result)
