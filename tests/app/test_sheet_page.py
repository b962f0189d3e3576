"""The Sheet page: pages follow the project, fields are edits, the button writes the file."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.pages import SHEET
from app.sheet.paper_inputs import PaperInputs
from app.sheet.sheet_page import SheetPage
from core.project import edits
from core.project.paperwork_edits import hand_over_of, paperwork_of
from core.project.project_file import read_project
from tests.app.whole_window import AnsweredDialogs, open_window, type_into

SAMPLES = Path(__file__).parents[2] / "sample_projects"
CAROUSEL, WINCH = SAMPLES / "sample_carousel.json", SAMPLES / "tide_pool_winch.json"

Desk = tuple[MainWindow, AnsweredDialogs, SheetPage]


@pytest.fixture
def desk(qtbot: QtBot) -> Desk:
    window, dialogs = open_window(qtbot)
    window.files.open_sample(WINCH)
    window.turn_to(SHEET)
    page = window.pages.sheet
    qtbot.waitUntil(lambda: not page.is_updating, timeout=20_000)
    return window, dialogs, page


def texts_of(inputs: PaperInputs) -> dict[str, str]:
    return {field.accessibleName(): field.text() for field in (*inputs._fields, *inputs._hand_over)}


def test_the_pages_are_those_of_the_project(desk: Desk) -> None:
    window, _, page = desk
    laid_out = page.pages.laid_out
    assert laid_out is not None
    assert laid_out.title == window.document.project.application.title
    assert len(laid_out.pages) > 10
    page.pages.turn_to(4)
    assert page.pages.page_in_sight == 4
    assert page.words.text() == f"Page 5 of {len(laid_out.pages)}"


def test_a_change_of_the_project_reaches_the_pages(desk: Desk, qtbot: QtBot) -> None:
    window, _, page = desk
    before = page.sheet
    project = window.document.project
    window.document.edit(edits.change_application(project, title="Another name"), "Rename")
    qtbot.waitUntil(lambda: page.result is not None and page.result.project is window.document.project)
    assert page.is_updating
    assert "updating" in page.words.text()
    qtbot.waitUntil(lambda: not page.is_updating, timeout=20_000)
    assert page.sheet is not before
    assert page.pages.laid_out is not None
    assert page.pages.laid_out.title == "Another name"


def test_another_paper_is_laid_out_at_once(desk: Desk) -> None:
    page = desk[2]
    page.paper.setCurrentIndex(1)
    assert page.pages.laid_out is not None
    assert page.pages.laid_out.paper.name == "Letter"


def test_fields_are_edits_that_can_be_undone(desk: Desk) -> None:
    window, _, page = desk
    start = window.document.project
    fields = {field.accessibleName(): field for field in (*page.inputs._fields, *page.inputs._hand_over)}
    type_into(fields["Checked by"], "somebody else")
    assert paperwork_of(window.document.project).checked_by == "somebody else"
    type_into(fields["Quantity"], "12")
    chosen = window.document.project.candidates.index(window.document.project.chosen_candidate)
    assert hand_over_of(window.document.project, chosen).quantity == 12
    for _ in range(2):
        window.document.undo_stack.undo()
    assert window.document.project == start
    assert texts_of(page.inputs)["Checked by"] == paperwork_of(start).checked_by


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("Quantity", "a dozen", "whole number"),
        ("Quantity", "0", "whole number"),
        ("Its date", "soon", "date as"),
    ],
)
def test_a_refused_text_stays_with_its_reason(desk: Desk, field: str, text: str, words: str) -> None:
    window, _, page = desk
    before = window.document.project
    line = next(
        one for one in (*page.inputs._fields, *page.inputs._hand_over) if one.accessibleName() == field
    )
    type_into(line, text)
    assert line.text() == text
    assert words in page.inputs.remark.text()
    assert window.document.project is before


def test_contacts_are_added_and_removed(desk: Desk) -> None:
    window, _, page = desk
    project = window.document.project
    chosen = project.candidates.index(project.chosen_candidate)
    count = len(hand_over_of(project, chosen).pins)
    page.inputs._add_pin(chosen, count)
    assert len(hand_over_of(window.document.project, chosen).pins) == count + 1
    assert f"Contact {count + 1}" in texts_of(page.inputs)
    window.document.undo_stack.undo()
    assert f"Contact {count + 1}" not in texts_of(page.inputs)


def test_the_file_holds_what_is_on_screen(desk: Desk, tmp_path: Path) -> None:
    window, dialogs, page = desk
    dialogs.path = tmp_path / "the sheet"
    page.save.click()
    assert dialogs.questions[-1] == "Save the sheet"
    assert read_project(tmp_path / "the sheet.pdf") == window.document.project


def test_a_sheet_opens_as_a_copy_without_a_file(desk: Desk, tmp_path: Path) -> None:
    window, dialogs, _ = desk
    project = window.document.project
    dialogs.path = tmp_path / "sheet.pdf"
    window.sheets.save()
    window.document.undo_stack.setClean()
    assert window.files.open_sample(CAROUSEL)
    assert window.files.open(tmp_path / "sheet.pdf")
    assert window.document.project == project
    assert window.files.path is None
    assert not window.files.save_to(tmp_path / "other.pdf")
    assert not (tmp_path / "other.pdf").exists()


def test_a_hidden_page_does_no_work(desk: Desk) -> None:
    window, _, page = desk
    window.turn_to("bench")
    before = page.sheet
    project = window.document.project
    window.document.edit(edits.change_application(project, title="Quiet"), "Rename")
    assert not page._calm.isActive()
    assert page.sheet is before
