"""The Shortlist page: the search runs beside the window, its list can be read, filtered, taken from."""

from __future__ import annotations

import multiprocessing
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.pages import SHORTLIST
from app.shortlist_page import ShortlistPage
from app.table_models.shortlist_model import CANDIDATE, MARGIN, RANK, STATUS
from core.catalogue.parts_file import PartsFile, load_demo_parts, write_parts
from core.project import edits
from core.shortlist.chunk_result import MET
from tests.app.whole_window import open_window

SAMPLES = Path(__file__).parents[2] / "sample_projects"
DEMO = load_demo_parts()
Desk = tuple[MainWindow, ShortlistPage]


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Desk:
    window, _ = open_window(qtbot)
    window.files.open_sample(SAMPLES / "sample_carousel.json")
    motors = tuple(motor for motor in DEMO.motors if motor.name.startswith(("47 mm", "31 mm")))
    path = tmp_path / "few.json"
    write_parts(path, PartsFile(motors=motors, drives=DEMO.drives[:2], feedback=DEMO.feedback[:1]))
    assert window.shelf.open(path)
    window.turn_to(SHORTLIST)
    return window, window.pages.shortlist


def searched(desk: Desk, qtbot: QtBot) -> ShortlistPage:
    page = desk[1]
    page.seek.click()
    qtbot.waitUntil(lambda: not page.is_searching, timeout=30_000)
    return page


def cell(page: ShortlistPage, row: int, column: int) -> str:
    return str(page.model.index(row, column).data())


def test_a_search_ends_with_every_candidate_and_no_process(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    assert page.task is not None
    assert page.listing is not None
    assert len(page.listing) == len(page.task.choices) == page.model.rowCount()
    met = int((page.listing.verdict == MET).sum())
    assert met > 0
    assert page.words.text().endswith(f"{met} meet every requirement")
    assert cell(page, 0, STATUS) == "met"
    assert not multiprocessing.active_children()


def test_the_grid_tells_the_best_of_a_cell_and_a_cell_filters_the_list(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.variant.setCurrentText("open rotor")
    first = cell(page, 0, CANDIDATE)
    found = [
        (row, column)
        for row in range(page.grid.rowCount())
        for column in range(page.grid.columnCount())
        if (item := page.grid.item(row, column)) is not None and cell(page, 0, MARGIN) in item.text()
    ]
    assert found
    row, column = found[0]
    page.grid.setCurrentCell(row, column)
    assert cell(page, 0, CANDIDATE) == first
    assert page.listing is not None
    assert 0 < page.model.rowCount() < len(page.listing)
    page.text.clear()
    assert page.model.rowCount() == len(page.listing)


def test_the_list_is_sorted_and_filtered(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.verdict.setCurrentText("who meet all")
    assert {cell(page, row, STATUS) for row in range(page.model.rowCount())} == {"met"}
    page.table.sortByColumn(RANK, Qt.SortOrder.DescendingOrder)
    ranks = [int(cell(page, row, RANK)) for row in range(page.model.rowCount())]
    assert ranks == sorted(ranks, reverse=True)
    page.text.setText("no such motor")
    assert page.model.rowCount() == 0


def test_selected_candidates_are_added_in_one_undo_step(desk: Desk, qtbot: QtBot) -> None:
    window, page = desk
    searched(desk, qtbot)
    before = window.document.project
    page.table.selectRow(0)
    name = cell(page, 0, CANDIDATE)
    assert "against" in page.reason.text()
    page.take.click()
    assert window.document.project.candidates[-1].name == name
    assert len(window.document.project.candidates) == len(before.candidates) + 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_more_than_fit_are_not_added(desk: Desk, qtbot: QtBot) -> None:
    page = searched(desk, qtbot)
    page.table.selectAll()
    assert not page.take.isEnabled()
    assert "there is room for" in page.reason.text()


def test_a_changed_application_marks_the_list(desk: Desk, qtbot: QtBot) -> None:
    window, page = desk
    searched(desk, qtbot)
    project = window.document.project
    supply = window.document.project.application.supply
    changed = edits.change_application_part(project, ("supply", "nominal_voltage"), 23.0)
    assert changed.application.supply != supply
    window.document.edit(changed, "Lower the voltage")
    qtbot.waitUntil(lambda: "has changed since" in page.words.text())
    window.document.undo_stack.undo()
    qtbot.waitUntil(lambda: "meet every requirement" in page.words.text())


def test_a_stopped_search_leaves_nothing_running(desk: Desk, qtbot: QtBot) -> None:
    page = desk[1]
    page.seek.click()
    qtbot.waitUntil(lambda: page.stop.isEnabled())
    page.stop.click()
    assert not page.is_searching
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=30_000)
    assert not page.stop.isEnabled()


def test_a_closed_window_ends_its_search(desk: Desk) -> None:
    window, page = desk
    page.seek.click()
    window.document.undo_stack.setClean()
    assert window.close()
    assert not multiprocessing.active_children()
    assert not [thread for thread in threading.enumerate() if "background" in thread.name]
