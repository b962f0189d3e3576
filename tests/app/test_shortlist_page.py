"""The Shortlist page: the search runs beside the window, its list can be read, filtered, taken from."""

from __future__ import annotations

import multiprocessing
import threading
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QTableView
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.pages import SHORTLIST, SIDE_BY_SIDE
from app.shortlist_page import ShortlistPage
from app.table_models.shortlist_model import (
    CANDIDATE,
    CONDITION,
    HEADINGS,
    MARGIN,
    PARETO,
    RANK,
    REASON,
    STATUS,
)
from core.catalogue.parts_file import PartsFile, load_demo_parts, write_parts
from core.project import edits
from core.shortlist.chunk_result import MET
from tests.app.whole_window import open_window, type_into

SAMPLES = Path(__file__).parents[2] / "sample_projects"
DEMO = load_demo_parts()
Desk = tuple[MainWindow, ShortlistPage]


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Desk:
    window, dialogs = open_window(qtbot)
    dialogs.unsaved = "discard"  # a search that runs is asked about
    window.files.open_sample(SAMPLES / "sample_carousel.json")
    motors = tuple(motor for motor in DEMO.motors if motor.name.startswith(("47 mm", "31 mm")))
    path = tmp_path / "few.json"
    write_parts(path, PartsFile(motors=motors, drives=DEMO.drives[:2], feedback=DEMO.feedback[:1]))
    assert window.shelf.open(path)
    window.turn_to(SHORTLIST)
    return window, window.pages.shortlist


def searched(desk: Desk, qtbot: QtBot) -> ShortlistPage:
    page = desk[1]
    page.parts.seek.click()
    qtbot.waitUntil(lambda: not page.is_searching, timeout=30_000)
    return page


def click(view: QTableView, index: QModelIndex) -> None:
    QTest.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=view.visualRect(index).center())


def cell(page: ShortlistPage, row: int, column: int) -> str:
    return str(page.model.index(row, column).data())


def test_a_search_ends_with_every_candidate_and_no_process(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    assert page.found is not None
    assert page.found is not None
    assert len(page.found.listing) == len(page.found.choices) == page.model.rowCount()
    met = int((page.found.listing.verdict == MET).sum())
    assert met > 0
    assert page.parts.words.text().endswith(f"{met} meet every requirement")
    assert cell(page, 0, STATUS) == "met"
    assert not multiprocessing.active_children()


def test_a_cell_tells_its_best_and_a_click_lists_it_alone(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.parts.variant.setCurrentText("open rotor")
    first, grid = cell(page, 0, CANDIDATE), page.parts.grid
    found = [
        (row, column)
        for row in range(grid.cells.rowCount())
        for column in range(grid.cells.columnCount())
        if first.startswith(f"{grid.cells.frames[row]} {grid.cells.windings[column]},")
    ]
    index = grid.cells.index(*found[0])
    assert cell(page, 0, MARGIN) in str(index.data())
    click(grid, index)
    assert cell(page, 0, CANDIDATE) == first
    words = f"{grid.chosen_words()}, open rotor"
    assert page.found is not None
    listed = [cell(page, row, CANDIDATE) for row in range(page.model.rowCount())]
    expected = [name for number in range(len(page.found.choices))
                if (name := page.found.choices.words(number)).startswith(words)]  # fmt: skip
    assert sorted(listed) == sorted(expected)
    assert f"{len(expected)} listed of {grid.chosen_words()}" == page.parts.count.text()
    click(grid, index)  # a second click takes it back
    assert page.model.rowCount() == len(page.found.listing)


def test_the_list_is_sorted_and_filtered(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.parts.filters.verdict.setCurrentText("that meet all")
    assert {cell(page, row, STATUS) for row in range(page.model.rowCount())} == {"met"}
    page.table.sortByColumn(RANK, Qt.SortOrder.DescendingOrder)
    ranks = [int(cell(page, row, RANK)) for row in range(page.model.rowCount())]
    assert ranks == sorted(ranks, reverse=True)
    page.parts.filters.text.setText("no such motor")
    qtbot.waitUntil(lambda: page.model.rowCount() == 0)
    assert page.parts.count.text() == "0 listed"
    QTest.mouseClick(page.parts.everyone, Qt.MouseButton.LeftButton)
    assert page.found is not None
    count = len(page.found.listing)
    qtbot.waitUntil(lambda: page.model.rowCount() == count)


def test_a_reason_and_typed_bounds_leave_those_who_have_them(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    assert page.found is not None
    reasons = page.parts.filters.reason
    reasons.setCurrentIndex(1)
    label, count = reasons.currentText().rsplit(" (", 1)
    assert page.model.rowCount() == int(count[:-1])
    assert {cell(page, row, REASON) for row in range(page.model.rowCount())} == {label}
    reasons.setCurrentIndex(0)
    page.parts.bounds_shown.click()
    type_into(page.parts.bounds.fields["mass"][1].line, "150 g")
    masses = page.found.listing.objectives["mass"]
    assert 0 < page.model.rowCount() == int((masses <= 0.15).sum()) < len(masses)
    type_into(page.parts.bounds.fields["mass"][0].line, "0.1 kg")
    assert page.model.rowCount() == int(((masses <= 0.15) & (masses >= 0.1)).sum())
    page.parts.bounds.none.click()
    assert page.model.rowCount() == len(masses)


def test_every_column_orders_the_list_and_the_selected_one_stays_selected(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.table.selectRow(3)
    kept = page.selected()
    header = page.table.horizontalHeader()
    for column, name in enumerate(HEADINGS):
        page.table.sortByColumn(column, Qt.SortOrder.DescendingOrder)
        assert page.selected() == kept, name
    assert header.isSortIndicatorShown()
    page.table.sortByColumn(HEADINGS.index("Mass"), Qt.SortOrder.AscendingOrder)
    assert page.found is not None
    masses = [
        page.found.listing.objectives["mass"][page.model.number(k)] for k in range(page.model.rowCount())
    ]
    assert masses == sorted(masses)


def test_who_is_in_the_pareto_set_is_marked_in_the_list(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.table.sortByColumn(PARETO, Qt.SortOrder.AscendingOrder)
    best = set(np.flatnonzero(page.parts.scatter.best).tolist())
    marked = {page.model.number(k) for k in range(page.model.rowCount()) if cell(page, k, PARETO)}
    assert best
    assert marked == best
    assert cell(page, 0, PARETO)
    third = page.parts.scatter.third
    third.setCurrentIndex(third.findData("smallest_margin"))
    more = {page.model.number(k) for k in range(page.model.rowCount()) if cell(page, k, PARETO)}
    assert more >= best
    assert len(more) > len(best)


def test_two_are_compared_in_one_step(desk: Desk, qtbot: QtBot) -> None:
    window, page = desk
    searched(desk, qtbot)
    before = window.document.project
    page.table.selectRow(0)
    page._select([page.model.number(0), page.model.number(1)])
    QTest.mouseClick(page.parts.compare, Qt.MouseButton.LeftButton)
    assert window.pages.current == SIDE_BY_SIDE
    assert len(window.document.project.candidates) == len(before.candidates) + 2
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_under_several_conditions_the_worst_is_listed(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    assert page.found is not None
    assert page.table.isColumnHidden(CONDITION)
    alone = page.found.listing
    page.parts.conditions_shown.click()
    type_into(page.parts.conditions.ambients, "ten")
    assert "ten" in page.parts.conditions.message.text()
    assert not page.parts.seek.isEnabled()
    type_into(page.parts.conditions.ambients, "-10 °C; 70")
    assert "conditions have changed" in page.parts.words.text()
    page = searched(desk, qtbot)
    assert page.found is not None
    assert page.parts.words.text().endswith("under 2 conditions")
    assert not page.table.isColumnHidden(CONDITION)
    both = page.found.listing
    assert len(both) == len(alone)
    assert int((both.verdict == MET).sum()) < int((alone.verdict == MET).sum())
    assert set(page.found.condition.tolist()) == {0, 1}


def test_cable_and_shelf_mark_the_list_and_another_choice_of_candidate_does_not(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    window, page = desk
    searched(desk, qtbot)
    project = window.document.project
    window.document.edit(edits.change_candidate(project, 0, choke=1e-5), "choke")
    qtbot.waitUntil(lambda: "cable, choke" in page.parts.words.text())
    window.document.undo_stack.undo()
    qtbot.waitUntil(lambda: "meet every requirement" in page.parts.words.text())
    window.document.edit(edits.change_candidate(project, 0, winding=None), "winding")
    assert "meet every requirement" in page.parts.words.text()
    write_parts(
        tmp_path / "fewer.json",
        PartsFile(motors=DEMO.motors[:1], drives=DEMO.drives[:1], feedback=DEMO.feedback[:1]),
    )
    assert window.shelf.open(tmp_path / "fewer.json")
    qtbot.waitUntil(lambda: "parts on the shelf have changed" in page.parts.words.text())


def test_selected_candidates_are_added_in_one_undo_step(desk: Desk, qtbot: QtBot) -> None:
    window, page = desk
    searched(desk, qtbot)
    before = window.document.project
    page.table.selectRow(0)
    name = cell(page, 0, CANDIDATE)
    assert "against" in page.parts.reason.text()
    page.parts.take.click()
    assert window.document.project.candidates[-1].name == name
    assert len(window.document.project.candidates) == len(before.candidates) + 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_more_than_fit_are_not_added(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.table.selectAll()
    assert not page.parts.take.isEnabled()
    assert "there is room for" in page.parts.reason.text()


def test_select_all_leaves_the_headings_alone(desk: Desk, qtbot: QtBot) -> None:
    """A heading that knows of the selection looks through every row of it each time that it is painted."""
    page = searched(desk, qtbot)
    page.table.selectAll()
    assert len(page.selected()) == page.model.rowCount() > 0
    header = page.table.horizontalHeader()
    assert not header.selectionModel().hasSelection()
    place = header.sectionViewportPosition(MARGIN) + 10
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place, 8))
    assert header.sortIndicatorSection() == MARGIN


def test_a_changed_application_marks_the_list(desk: Desk, qtbot: QtBot) -> None:
    window, page = desk
    searched(desk, qtbot)
    project = window.document.project
    supply = window.document.project.application.supply
    changed = edits.change_application_part(project, ("supply", "nominal_voltage"), 23.0)
    assert changed.application.supply != supply
    window.document.edit(changed, "Lower the voltage")
    qtbot.waitUntil(lambda: "the application has changed since" in page.parts.words.text())
    window.document.undo_stack.undo()
    qtbot.waitUntil(lambda: "meet every requirement" in page.parts.words.text())


def test_a_stopped_search_leaves_nothing_running(desk: Desk, qtbot: QtBot) -> None:
    page = desk[1]
    page.parts.seek.click()
    qtbot.waitUntil(lambda: page.parts.stop.isEnabled())
    page.parts.stop.click()
    assert not page.is_searching
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=30_000)
    assert not page.parts.stop.isEnabled()


def test_a_closed_window_ends_its_search(desk: Desk) -> None:
    window, page = desk
    page.parts.seek.click()
    window.document.undo_stack.setClean()
    assert window.close()
    assert not multiprocessing.active_children()
    assert not [thread for thread in threading.enumerate() if "background" in thread.name]


def test_a_measured_trace_is_searched_too(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot, SAMPLES / "greenhouse_cart_measured.json")
    dialogs.unsaved = "discard"
    window.turn_to(SHORTLIST)
    page = window.pages.shortlist
    qtbot.waitUntil(
        lambda: window.traces.traces.measured(window.document.project) is not None, timeout=30_000
    )
    write_parts(tmp_path / "few.json", PartsFile(motors=DEMO.motors[3:4], drives=DEMO.drives[:1]))
    assert window.shelf.open(tmp_path / "few.json")
    qtbot.waitUntil(page.parts.seek.isEnabled)
    page.parts.seek.click()
    qtbot.waitUntil(lambda: not page.is_searching, timeout=60_000)
    assert page.found is not None
    assert len(page.found.listing) == len(page.found.choices) > 0
    assert not page.found.listing.refused
