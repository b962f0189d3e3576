"""What would help: worked out when the hand rests, and a click or a key makes the change."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.change_table import AS_IT_IS, gained_text
from app.views.cycle_pages import CyclePages
from app.views.what_helps_panel import (
    FROM_TRACE,
    NO_CANDIDATE,
    TO_APPLICATION,
    TO_CANDIDATE,
    WhatHelpsPanel,
)
from core.evaluation.what_helps import Change, what_helps
from core.project import edits
from core.sentences import as_text
from tests.app.bench_views import Desk, project_of


class Bench(Desk):
    """A desk with the panel on it, among the other pages."""

    def __init__(self, qtbot: QtBot) -> None:
        project = edits.change_application_part(project_of(), ("site", "ambient"), 40.0)
        super().__init__(replace(project, candidates=project.candidates[:1], chosen=None))
        self.preferences.dress()
        self.qtbot = qtbot
        self.pages = CyclePages(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.pages)
        self.pages.resize(640, 420)
        self.pages.show()
        qtbot.waitExposed(self.pages)
        self.wire(self.pages)

    @property
    def panel(self) -> WhatHelpsPanel:
        return self.pages.what_helps

    def wait(self) -> None:
        """Wait until the changes belong to the project."""
        self.settle()
        panel = self.panel
        self.qtbot.waitUntil(
            lambda: panel.result is not None and not panel.is_late(panel.result), timeout=20_000
        )
        self.settle()

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    def cells(self, row: int) -> list[str]:
        table = self.panel.table
        cells = [table.item(row, column) for column in range(table.columnCount())]
        return [cell.text() for cell in cells if cell is not None]

    def go_to(self, subject: str) -> Change:
        """Make the first row of a kind of change the current one."""
        changes = self.panel.table.changes
        row = next(i for i, change in enumerate(changes) if change.proposal.subject == subject)
        self.panel.table.setCurrentCell(row + 1, 0)
        return changes[row]


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    made.pages.words.buttons["what would help"].click()
    made.wait()
    yield made
    made.preferences.theme = "light"


def test_the_rows_are_the_changes_below_the_candidate_as_it_is(bench: Bench) -> None:
    assert bench.pages.current_page() is bench.panel
    changes = what_helps(bench.document.project, 0)
    table = bench.panel.table
    assert table.rowCount() == len(changes) + 1
    assert bench.cells(0)[0] == AS_IT_IS
    assert bench.cells(0)[1] == ""
    assert table.reason_at(0).startswith("governed by ")
    for row, change in enumerate(changes, 1):
        label, gained, reserve, winding = bench.cells(row)
        assert label == as_text(change.label, bench.preferences.display_units)
        assert gained == gained_text(change)
        assert reserve == f"{change.after.torque_reserve:.2f}"
        assert winding.endswith("°C")
        assert table.reason_at(row) == as_text(change.reason, bench.preferences.display_units)
    helping = sum(change.helps for change in changes)
    assert bench.panel.headline.text() == f"A: {helping} of {len(changes)} single changes gain margin"


def test_the_reason_has_all_its_lines(bench: Bench) -> None:
    table = bench.panel.table
    winding = next(i for i, c in enumerate(table.changes, 1) if c.proposal.subject == "winding")
    wide = table.rowHeight(winding)
    bench.pages.resize(480, 420)
    bench.settle()
    assert table.rowHeight(winding) > wide


def test_the_button_makes_a_candidate_in_one_undo_step(bench: Bench) -> None:
    before = bench.document.project
    bench.go_to("variant")
    assert bench.panel.button.text() == TO_CANDIDATE
    QTest.mouseClick(bench.panel.button, Qt.MouseButton.LeftButton)
    after = bench.document.project
    assert after.candidates[:1] == before.candidates
    assert len(after.candidates) == 2
    assert after.candidates[1].variant != before.candidates[0].variant
    assert after.application == before.application
    assert bench.document.undo_stack.count() == 1
    bench.wait()
    assert bench.panel.table.rowCount() > 1, "the changes of the chosen candidate hold on"
    assert not bench.panel.button.isEnabled()
    assert bench.panel.said.text() == "candidate B is this already"
    bench.document.undo_stack.undo()
    assert bench.document.project == before


def test_enter_changes_the_application_and_the_button_says_so(bench: Bench) -> None:
    before = bench.document.project
    bench.go_to("ambient")
    assert bench.panel.button.text() == TO_APPLICATION
    QTest.keyClick(bench.panel.table, Qt.Key.Key_Return)
    after = bench.document.project
    assert before.application.site.ambient is not None
    assert after.application.site.ambient == before.application.site.ambient - 10.0
    assert after.candidates == before.candidates
    assert bench.document.undo_stack.undoText().startswith("Change the application: ambient 30.0")
    assert not bench.panel.button.isEnabled(), "what is shown belongs to an earlier state"
    bench.wait()
    assert bench.panel.button.isEnabled()
    assert "ambient 20.0" in "".join(bench.cells(row)[0] for row in range(bench.panel.table.rowCount()))


def test_a_double_click_makes_the_change(bench: Bench) -> None:
    bench.go_to("winding")
    table = bench.panel.table
    item = table.currentItem()
    assert item is not None
    table.scrollToItem(item)
    place = table.visualItemRect(item).topLeft() + QPoint(20, 8)
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place)
    QTest.mouseDClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert len(bench.document.project.candidates) == 2
    assert bench.document.project.candidates[1].winding != bench.document.project.candidates[0].winding


def test_as_it_is_cannot_be_made(bench: Bench) -> None:
    bench.panel.table.setCurrentCell(0, 0)
    assert not bench.panel.button.isEnabled()
    QTest.keyClick(bench.panel.table, Qt.Key.Key_Return)
    assert bench.document.undo_stack.count() == 0


def test_a_fifth_candidate_is_refused_in_words(bench: Bench) -> None:
    chosen = bench.document.project.candidates[0]
    full = bench.document.project
    for drop in (0.1, 0.2, 0.3):
        other = replace(chosen, drive=replace(chosen.drive, device_drop=drop))
        full = edits.add_candidate(full, other)
    bench.document.edit(full, "fill up")
    bench.wait()
    bench.go_to("variant")
    bench.panel.button.click()
    assert len(bench.document.project.candidates) == 4
    assert "at most 4 candidates" in bench.panel.said.text()


def test_nothing_is_worked_out_within_a_gesture(bench: Bench) -> None:
    old = bench.panel.changes
    bench.document.begin_gesture()
    moved = edits.change_segment(bench.document.project, 1, shaft_torque=0.04)
    bench.document.edit(moved, "more torque")
    QTest.qWait(250)
    assert bench.panel.changes is old
    assert bench.panel.headline.text().endswith("updating")
    bench.document.end_gesture()
    bench.wait()
    assert bench.panel.changes is not old
    assert bench.panel.changes == what_helps(bench.document.project, 0)


def test_the_row_of_the_hand_stays_where_it_is_still_there(bench: Bench) -> None:
    bench.go_to("current")
    bench.document.edit(edits.change_segment(bench.document.project, 1, shaft_torque=0.03), "more")
    bench.wait()
    change = bench.panel.table.change
    assert change is not None
    assert change.proposal.subject == "current"


def test_each_slice_is_short(bench: Bench) -> None:
    """Between two slices the event loop turns: the window is served many times meanwhile."""
    served = 0
    bench.document.edit(edits.change_segment(bench.document.project, 1, shaft_torque=0.03), "more")
    bench.settle()
    bench.qtbot.waitUntil(lambda: bench.panel._work.running, timeout=5_000)
    while bench.panel._work.running:
        QApplication.processEvents()
        served += 1
    assert served > 5


def test_it_says_why_there_is_nothing(bench: Bench) -> None:
    project = bench.document.project
    bench.document.edit(edits.change_application(project, duty_from="trace"), "trace")
    bench.settle()
    assert bench.panel.empty.isVisible()
    assert bench.panel.empty.text() == FROM_TRACE
    bench.document.edit(replace(project, candidates=()), "none")
    bench.settle()
    assert bench.panel.empty.text() == NO_CANDIDATE
    bench.document.edit(edits.change_application(project, duty_cycle=()), "no duty")
    bench.wait()
    assert bench.panel.empty.text().startswith("Still needed: ")
    assert not bench.panel.button.isEnabled()
    bench.document.edit(project, "back")
    bench.wait()
    assert bench.panel.table.isVisible()


def test_theme_and_units_change_live(bench: Bench) -> None:
    bench.preferences.theme = "dark"
    bench.settle()
    assert bench.panel.table.delegate._ink.name() == bench.preferences.tokens.ink.lower()
    bench.panel.grab()
