"""Candidates side by side: equal columns, any two compared, everything linked, nothing too early."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.exports import SIDE_CHARTS, TABLE
from app.main_window import MainWindow
from app.pages import BENCH, PAGES, SIDE_BY_SIDE
from app.side_by_side_page import SideBySidePage
from app.theme import DARK
from core.evaluation.comparison import comparison
from core.project import edits
from core.sentences import as_text
from core.units import DisplayUnits, Kind
from tests.app.whole_window import AnsweredDialogs, open_window


class Table:
    """A window that shows the page."""

    def __init__(self, qtbot: QtBot) -> None:
        self.qtbot = qtbot
        self.window, self.dialogs = open_window(qtbot)

    @property
    def page(self) -> SideBySidePage:
        return self.window.pages.side_by_side

    def open(self) -> Table:
        self.window.turn_to(SIDE_BY_SIDE)
        self.wait()
        return self

    def wait(self) -> None:
        """Wait until the bands are there."""
        self.settle()
        page = self.page
        self.qtbot.waitUntil(
            lambda: page.result is not None and not page.is_late(page.result), timeout=20_000
        )
        self.settle()

    def settle(self) -> None:
        for _ in range(5):
            QApplication.processEvents()

    def with_candidates(self, count: int) -> None:
        while len(self.window.document.project.candidates) > count:
            self.window.candidate_asked("remove", len(self.window.document.project.candidates) - 1)
        while len(self.window.document.project.candidates) < count:
            self.window.candidate_asked("duplicate", 1)
        self.window.recompute.run_now()
        self.settle()


@pytest.fixture
def table(qtbot: QtBot) -> Iterator[Table]:
    made = Table(qtbot)
    yield made
    made.window.preferences.theme = "light"


def made_pages(window: MainWindow) -> set[str]:
    return set(window.pages._made)


def test_the_page_is_made_when_it_is_first_shown(table: Table) -> None:
    assert made_pages(table.window) == {BENCH}
    assert table.window.pages.pair == (0, 1)
    assert made_pages(table.window) == {BENCH}, "a question about the pair makes nothing"
    table.open()
    assert made_pages(table.window) == {BENCH, SIDE_BY_SIDE}


def test_head_menu_and_keys_turn_pages_and_mark_the_one_on_show(table: Table) -> None:
    window = table.window
    words = window.header.pages.buttons

    def marked() -> list[str]:
        return [name for name, button in words.items() if button.property("current") == "true"]

    assert list(words) == [page.name for page in PAGES]
    assert marked() == [BENCH]
    QTest.keyClick(window, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert window.pages.currentWidget() is table.page
    assert marked() == [SIDE_BY_SIDE]
    assert window.menus.pages[SIDE_BY_SIDE].isChecked()
    QTest.keyClick(window, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert window.pages.currentWidget() is window.bench
    assert window.focusWidget() is window.bench.plane.canvas, "the keyboard is where it was"
    words[SIDE_BY_SIDE].click()
    assert window.pages.current == SIDE_BY_SIDE
    window.menus.table.trigger()
    assert window.pages.current == BENCH, "what is only on the Bench is shown there"


def test_a_hidden_page_computes_and_draws_nothing(table: Table) -> None:
    page = table.open().page
    shown = page.columns.columns[0].plane.chart
    table.window.turn_to(BENCH)
    document = table.window.document
    document.edit(edits.change_segment(document.project, 0, shaft_torque=0.03), "torque")
    table.window.recompute.run_now()
    QTest.qWait(300)
    assert page.result is table.window.recompute.result
    assert page.result is not None
    assert page.is_late(page.result), "no band was asked for"
    assert page.columns.columns[0].plane.chart is shown
    table.window.turn_to(SIDE_BY_SIDE)
    assert page.columns.columns[0].plane.chart is not shown


def test_bands_wait_for_the_hand_and_the_page_says_so(table: Table) -> None:
    page = table.open().page
    document = table.window.document
    document.begin_gesture()
    document.edit(edits.change_segment(document.project, 0, shaft_torque=0.03), "drag")
    table.window.recompute.run_now()
    QTest.qWait(300)
    assert page.result is not None
    assert page.is_late(page.result)
    assert page.strip.verdict.text().startswith("updating")
    assert "updating" in page.two.title.text()
    document.end_gesture()
    table.wait()
    assert "ahead" in page.strip.verdict.text()
    assert page.two.title.text() == "A against B"


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("size", [(1280, 800), (1600, 1000)], ids=str)
def test_columns_are_equal_with_the_same_axes_and_rows(
    table: Table, count: int, size: tuple[int, int]
) -> None:
    table.window.resize(*size)
    table.with_candidates(count)
    page = table.open().page
    columns = page.columns.columns
    assert len(columns) == count
    widths = [column.width() for column in columns]
    assert max(widths) - min(widths) <= 1
    for parts in zip(*([c.plane, c.peaks, c.losses, c.margins] for c in columns), strict=True):
        assert len({part.mapTo(page, QPoint(0, 0)).y() for part in parts}) == 1
        assert len({part.height() for part in parts}) == 1
    for pictures in zip(*([c.plane, c.peaks, c.losses] for c in columns), strict=True):
        ranges = [(p.chart.x_range(), p.chart.panels[0].y_range()) for p in pictures if p.chart is not None]
        assert len(ranges) == count
        assert len(set(ranges)) == 1
    rows = [[column.margins.sizeHintForRow(row) for row in range(5)] for column in columns]
    assert all(row == rows[0] for row in rows)
    assert page.scroller.horizontalScrollBar().maximum() == 0
    assert page.strip.width() == page.columns.width()


def test_verdict_crossing_and_table_are_those_of_the_core(table: Table) -> None:
    page = table.open().page
    assert page.result is not None
    found, units = comparison(page.result, 0, 1), table.window.preferences.display_units
    assert page.strip.verdict.text() == found.verdict.text(units)
    assert page.two.crossing.text() == found.crossing.text(units)
    grid = page.two.table
    assert grid.rowCount() == len(found.table.rows) + len(found.table.groups)
    by_label = {grid.words_at(row, 0): row for row in range(grid.rowCount())}
    for one in found.table.rows:
        row = by_label[as_text(one.label, units)]
        assert [grid.words_at(row, column) for column in (1, 2)] == [one.shown(0, units), one.shown(1, units)]
        assert grid.words_at(row, 3) == ("" if one.better is None else "AB"[one.better])
        bold = [grid.item(row, column).font().bold() for column in (1, 2)]  # type: ignore[union-attr]
        assert bold == [0 in one.best, 1 in one.best]


def test_any_two_are_compared_and_the_same_twice_exchanges_them(table: Table) -> None:
    table.with_candidates(3)
    page = table.open().page
    first, second = page.strip.choice.fields
    second.setFocus()
    QTest.keyClick(second, Qt.Key.Key_Down)
    second.activated.emit(second.currentIndex())
    table.wait()
    assert page.pair == (0, 2)
    assert page.two.title.text() == "A against C"
    assert page.two.table.horizontalHeaderItem(2).text().startswith("C")  # type: ignore[union-attr]
    first.activated.emit(2)
    table.wait()
    assert page.pair == (2, 0)
    assert (first.currentIndex(), second.currentIndex()) == (2, 0)
    assert table.window.pages.pair == (2, 0)
    table.with_candidates(2)
    table.wait()
    assert page.pair == (0, 1), "what is gone is not compared"


def test_a_margin_is_selected_on_both_pages(table: Table) -> None:
    page = table.open().page
    rows = page.columns.columns[1].margins
    entry = rows.rows.entries[2]
    QTest.mouseClick(
        rows.viewport(), Qt.MouseButton.LeftButton, pos=rows.visualRect(rows.rows.index(2)).center()
    )
    selection = table.window.selection
    assert (selection.criterion, selection.segment) == (entry.key, entry.segment)
    for column in page.columns.columns:
        assert [index.row() for index in column.margins.selectedIndexes()] == [2]
    QTest.keyClick(rows, Qt.Key.Key_Down)
    assert selection.criterion == rows.rows.entries[3].key
    table.window.turn_to(BENCH)
    bench = table.window.bench.margins
    assert bench.model.index_of(rows.rows.entries[3].key) == bench.list.selectedIndexes()[0]
    selection.select_segment(3)
    table.window.turn_to(SIDE_BY_SIDE)
    for column in page.columns.columns:
        assert column.plane.chart is not None
        points = [p for p in column.plane.chart.panels[0].points if p.mark == "numbered ring"]
        assert [point.selected for point in points] == [False, False, False, True]
    QTest.keyClick(rows, Qt.Key.Key_Escape)
    assert selection.segment is None


def test_choosing_a_candidate_is_one_undo_step(table: Table) -> None:
    page = table.open().page
    document = table.window.document
    before = document.project.chosen_candidate
    buttons = [column.choose for column in page.columns.columns]
    assert [button.isEnabled() for button in buttons] == [False, True]
    buttons[1].click()
    table.wait()
    assert document.project.chosen_candidate is document.project.candidates[1]
    assert [column.choose.isEnabled() for column in page.columns.columns] == [True, False]
    document.undo_stack.undo()
    assert document.project.chosen_candidate == before


def test_cautions_of_each_column_have_title_and_text(table: Table) -> None:
    page = table.open().page
    assert page.result is not None
    units = table.window.preferences.display_units
    wanted = {
        (caution.title, as_text(caution.text, units))
        for candidate in page.result.candidates
        for caution in candidate.cautions
    }
    cards = page.columns.cautions.cards
    assert {(card.title.text(), card.text.text()) for card in cards} == wanted
    titles = {title for title, _ in wanted}
    assert {"Turning rotor", "Strong magnets", "Hot surface"} <= titles
    assert any("touched for" in text for title, text in wanted if title == "Hot surface")
    same = [card for card in cards if card.title.text() == "Hot surface"]
    assert len({card.mapTo(page, QPoint(0, 0)).y() for card in same}) == 1, "the same one in the same row"


def test_the_table_is_copied_with_tabs(table: Table) -> None:
    page = table.open().page
    for widget in (page.two.table, page.scroller):
        QGuiApplication.clipboard().clear()
        widget.setFocus()
        QTest.keyClick(widget, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
        lines = [line.split("\t") for line in QGuiApplication.clipboard().text().split("\n")]
        assert lines[0][:3] == ["group", "quantity", "unit"]
        assert {len(line) for line in lines} == {7}
        assert any(line[1] == "Mass" and line[2] == "kg" for line in lines)


def test_the_page_follows_the_cursor_of_the_table(table: Table) -> None:
    page = table.open().page
    grid = page.two.table
    grid.setFocus()
    grid.setCurrentCell(1, 0)
    for _ in range(grid.rowCount()):
        QTest.keyClick(grid, Qt.Key.Key_Down)
    assert grid.currentRow() == grid.rowCount() - 1
    rect = grid.visualRect(grid.currentIndex())
    place = grid.viewport().mapTo(page.scroller.viewport(), rect.center())
    assert page.scroller.viewport().rect().contains(place)


def test_one_candidate_is_told_how_to_get_a_second(table: Table) -> None:
    table.with_candidates(1)
    table.window.turn_to(SIDE_BY_SIDE)
    page = table.page
    assert page.stack.currentWidget() is page.empty
    assert "second candidate" in page.empty_words.text()
    assert page.empty_words.height() >= page.empty_words.heightForWidth(page.empty_words.width())
    page.duplicate.click()
    table.wait()
    assert page.stack.currentWidget() is page.full
    assert len(page.columns.columns) == 2
    assert "equal" in page.strip.verdict.text(), "a copy is as good"


def test_units_and_theme_reach_the_page(table: Table) -> None:
    page = table.open().page
    units = DisplayUnits().with_units({Kind.SPEED: "rad/s"})
    table.window.preferences.display_units = units
    table.settle()
    assert "rad/s" in page.strip.verdict.text()
    assert page.columns.columns[0].plane.chart is not None
    assert page.columns.columns[0].plane.chart.x.unit == "rad/s"
    table.window.preferences.theme = "dark"
    table.settle()
    plane = page.columns.columns[0].plane
    corner = plane.mapTo(page, QPoint(1, 1))
    assert page.grab().toImage().pixelColor(corner).name().upper() == DARK.pane


def test_everything_can_be_reached_and_has_a_name(table: Table) -> None:
    page = table.open().page
    parts = [page.scroller, *page.strip.choice.fields, page.two.table, page.two.copy]
    for column in page.columns.columns:
        parts += [column.choose, column.margins, column.plane, column.peaks, column.losses]
    for part in parts:
        assert part.accessibleName() or part.property("text")
    for part in (*page.strip.choice.fields, page.two.table, page.columns.columns[0].margins):
        assert part.focusPolicy() & Qt.FocusPolicy.TabFocus
    assert page.columns.columns[0].plane.accessibleDescription()


def test_comparison_is_exported(table: Table, tmp_path: Path) -> None:
    dialogs: AnsweredDialogs = table.dialogs
    for number, name in enumerate(SIDE_CHARTS):
        dialogs.path = tmp_path / f"{number}.svg"
        table.window.exports.export_chart(name)
        assert "<svg" in dialogs.path.read_text(encoding="utf-8")
    dialogs.path = tmp_path / "table"
    table.window.exports.export_chart(TABLE)
    with (tmp_path / "table.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.reader(stream))
    assert rows[0][3].startswith("A ")
    assert {len(row) for row in rows} == {7}
    table.with_candidates(1)
    dialogs.path = tmp_path / "none.csv"
    table.window.exports.export_chart(TABLE)
    assert not dialogs.path.exists()
