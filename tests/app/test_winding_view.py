"""The windings of the frame: what is drawn, and a click, a key or a button that takes one."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.views.winding_table import FASTEST, FITS
from app.views.winding_view import NO_STUDY, WindingView
from core.charts.chart import MOST_CANDIDATES
from core.project import edits
from core.units import Kind
from core.winding_results import WindingStudy
from tests.app.bench_views import project_of, same
from tests.app.drive_desk import DriveDesk
from tests.app.mouse import Mouse


class Desk(DriveDesk):
    """A desk with the windings on it."""

    @property
    def view(self) -> WindingView:
        return self.pages.windings

    @property
    def study(self) -> WindingStudy:
        study = self.found.winding_study
        assert study is not None
        return study

    def wait(self) -> None:
        """Wait until the study of the newest result is drawn."""
        self.settle()
        view = self.view
        self.qtbot.waitUntil(
            lambda: view.result is not None and not view.is_late(view.result), timeout=10_000
        )
        view.redraw()
        view.canvas.place_labels()
        self.settle()

    def place_on(self, name: str) -> QPointF:
        """Return a place on the line of a winding, away from the other lines."""
        fit = next(fit for fit in self.study.windings if fit.name == name)
        lane = self.view.canvas.lanes[0]
        shown = np.isfinite(fit.torque) & (fit.torque < 0.5 * lane.y_range[1])
        at = int(np.flatnonzero(shown)[0])
        return lane.to_px(float(self.study.speed[at]), float(fit.torque[at]))

    def other(self) -> str:
        """Return the winding with fewer turns than the chosen one."""
        names = [fit.name for fit in self.study.windings]
        return names[names.index(self.study.chosen.name) - 1]


@pytest.fixture
def desk(qtbot: QtBot) -> Desk:
    made = Desk(qtbot, project_of(), "windings")
    made.wait()
    return made


def test_each_winding_is_a_curve_and_the_points_stand_on_it(desk: Desk) -> None:
    curves = desk.view.canvas.items_of_lanes[0].curves
    top = desk.view.canvas.lanes[0].y_range[1]
    for fit in desk.study.windings:
        curve = curves[f"winding {fit.name}"]
        assert same(curve.x_values, desk.study.speed)
        assert same(curve.y_values, np.where(fit.torque <= top, fit.torque, np.nan))
    shown = [item.number for item in desk.view.points.items.values() if item.isVisible()]
    covered = [
        number for item in desk.view.points.items.values() for number in item.covers.split(",") if number
    ]
    assert sorted([*shown, *covered]) == ["1", "2", "4"], "braking asks for less voltage"


def test_the_list_says_in_words_which_fits(desk: Desk) -> None:
    table = desk.view.table.table
    for row, fit in enumerate(desk.study.windings):
        assert table.words_at(row) == fit.name
        words = FASTEST if fit.name == desk.study.fastest else FITS[fit.fits]
        assert table.words_at(row, 3) == words
    assert desk.view.table.current_name == desk.study.chosen.name
    assert not desk.view.table.take.isEnabled()


def test_a_click_on_a_line_takes_the_winding_and_undo_gives_it_back(desk: Desk) -> None:
    before, other = desk.candidate.winding, desk.other()
    Mouse(desk.view.canvas).click(desk.place_on(other))
    assert desk.candidate.winding == other
    desk.wait()
    assert desk.study.chosen.name == other
    desk.undo()
    assert desk.candidate.winding == before
    assert not desk.document.undo_stack.canUndo()


def test_a_click_beside_all_lines_takes_nothing(desk: Desk) -> None:
    frame = desk.view.canvas.lanes[0].frame
    Mouse(desk.view.canvas).click(QPointF(frame.right() - 3.0, frame.top() + 3.0))
    assert not desk.document.undo_stack.canUndo()


def test_arrow_keys_and_enter_take_a_winding(desk: Desk) -> None:
    desk.view.canvas.setFocus()
    QTest.keyClick(desk.view.canvas, Qt.Key.Key_Up)
    other = desk.other()
    assert desk.view.table.current_name == other
    QTest.keyClick(desk.view.canvas, Qt.Key.Key_Return)
    assert desk.candidate.winding == other


def test_a_winding_becomes_a_candidate_of_its_own_in_one_step(desk: Desk) -> None:
    count, other = len(desk.document.project.candidates), desk.other()
    desk.view.table.point_at(other)
    desk.view.table.copy.click()
    made = desk.document.project.candidates[-1]
    assert len(desk.document.project.candidates) == count + 1
    assert (made.winding, made.motor) == (other, desk.candidate.motor)
    desk.undo()
    assert len(desk.document.project.candidates) == count


def test_no_candidate_more_than_fit_side_by_side_is_made(desk: Desk) -> None:
    project = desk.document.project
    while len(project.candidates) < MOST_CANDIDATES:
        project = edits.add_candidate(project, project.candidates[0])
    desk.document.edit(project, "fill")
    desk.wait()
    desk.view.take_as_new(desk.other())
    assert len(desk.document.project.candidates) == MOST_CANDIDATES
    assert "side by side" in desk.view.headline.text()


def test_the_slider_shows_any_number_of_turns_and_changes_nothing(desk: Desk) -> None:
    desk.view.slider.setValue(60)  # a doubling
    desk.settle()
    assert desk.view.turns == pytest.approx(2.0)
    words = desk.view.turns_label.text()
    # twice the turns carry half the current
    half = desk.preferences.display_units.format_quantity(
        0.5 * desk.study.chosen.peak_current, Kind.CURRENT, 3
    )
    assert words.startswith("2.00 times the turns")
    assert f"{half} peak" in words
    assert not desk.document.undo_stack.canUndo()


def test_without_a_supply_voltage_the_page_says_what_it_needs(qtbot: QtBot) -> None:
    project = project_of()
    for name in ("nominal_voltage", "lowest_voltage", "highest_voltage"):
        project = edits.change_application_part(project, ("supply", name), None)
    desk = Desk(qtbot, project, "windings")
    desk.wait()
    assert NO_STUDY in desk.view.accessibleDescription()
    assert not desk.view.slider.isVisible()
    assert not desk.view.table.isVisible()
