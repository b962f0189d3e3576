"""Help on quantities in the window: on every input and every margin, by F1, and by the search."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.help_actions import NOTHING
from app.help_panel import as_html, key_of
from app.inputs.asked import Asked, CandidateQuestions, PartRow
from app.inputs.brake_rows import QUESTIONS as BRAKE
from app.inputs.candidate_rows import COMMUTATION
from app.inputs.editors import ChoiceInput, QuantityInput, TextInput
from app.inputs.electronics_rows import questions as electronics
from app.inputs.feedback_rows import QUESTIONS as FEEDBACK
from app.inputs.lead_rows import CABLE_QUESTIONS, WINDING_QUESTIONS
from app.inputs.rows import Heading, Questions
from app.inputs.shaft_rows import QUESTIONS as SHAFT
from app.inputs.shaft_rows import VERDICT_QUESTIONS
from app.inputs.transmission_rows import QUESTIONS as TRANSMISSION
from app.inputs.what_feeds_it import SUPPLY, SUPPLY_MORE
from app.inputs.what_it_must_meet import MOTION, REQUIREMENTS
from app.inputs.what_moves_rows import friction_rows, limit_rows, mechanism_rows
from app.inputs.where_it_sits import SITE, SURROUNDINGS
from app.main_window import MainWindow
from core.load_draft import FORMS
from core.quantity_help import QuantityHelp, help_on
from tests.app.whole_window import open_window

SHARED: tuple[Questions, ...] = (SITE, SURROUNDINGS, SUPPLY, SUPPLY_MORE, REQUIREMENTS, MOTION)
OF_EACH: tuple[CandidateQuestions, ...] = (
    WINDING_QUESTIONS, electronics(lambda: False), CABLE_QUESTIONS, FEEDBACK, TRANSMISSION, BRAKE, SHAFT,
    VERDICT_QUESTIONS,
)  # fmt: skip


def places() -> list[tuple[str, str]]:
    """Return key and label of every row of the inputs."""
    rows: list[object] = [row for group in SHARED for row in group.rows]
    for form in FORMS:
        rows += [*mechanism_rows(form), *friction_rows(form), *limit_rows(form)]
    rows.append(COMMUTATION)
    for questions in OF_EACH:
        rows += [row.row if isinstance(row, Asked) else row for row in questions.rows]
    found = [
        (row.part, row.label) if isinstance(row, PartRow) else (".".join(row.place), row.label)  # type: ignore[attr-defined]
        for row in rows
        if not isinstance(row, Heading)
    ]
    return sorted(set(found))


@pytest.mark.parametrize(("key", "label"), places())
def test_every_row_of_the_inputs_has_help(key: str, label: str) -> None:
    found = help_on(key)
    assert found.meaning, label
    assert found.title in as_html(found).replace("&#x27;", "'")


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def test_every_field_on_show_knows_its_help(window: MainWindow) -> None:
    panel = window.bench.inputs
    for group in (*panel.groups, *panel.what_drives_it.groups):
        group.set_open(True)
    kinds = (QuantityInput, ChoiceInput, TextInput)
    editors = [child for child in panel.findChildren(QWidget) if isinstance(child, kinds)]
    assert len(editors) > 60
    for editor in editors:
        assert help_on(key_of(editor)).meaning, editor.accessibleName()


def test_f1_in_a_field_shows_its_help(window: MainWindow) -> None:
    editor = window.bench.inputs.where_it_sits.inputs[("site", "ambient")]
    editor.setFocus()
    QTest.keyClick(window, Qt.Key.Key_F1)
    panel = window.help.panel
    assert panel is not None
    assert panel.isVisible()
    assert panel.key == "site.ambient"
    assert help_on("site.ambient").meaning in panel.text.toPlainText()


def test_f1_on_a_margin_shows_its_formula_and_source(window: MainWindow) -> None:
    window.selection.select_criterion("voltage_reserve", None)
    window.bench.margins.list.setFocus()
    QTest.keyClick(window, Qt.Key.Key_F1)
    panel = window.help.panel
    assert panel is not None
    assert panel.key == "voltage_reserve"
    assert "√((E + R I + U_d)²" in panel.text.toPlainText()
    assert "Source: " in panel.text.toPlainText()


def test_where_there_is_no_help_the_window_says_so(window: MainWindow) -> None:
    window.header.title.setFocus()
    QTest.keyClick(window, Qt.Key.Key_F1)
    assert window.messages.message("notice") == NOTHING


def test_the_search_lists_what_it_finds_and_shows_the_first(window: MainWindow) -> None:
    window.menus.search_help.trigger()
    panel = window.help.panel
    assert panel is not None
    QTest.keyClicks(panel.search, "torque reserve")
    assert panel.found.isVisible()
    assert panel.key == "torque_reserve"
    panel.search.setText("no such thing")
    assert panel.count.text() == "nothing found"
    assert not panel.found.isVisible()


def test_text_is_escaped_and_follows_the_theme(window: MainWindow) -> None:
    told = QuantityHelp("k", "<b>a</b>", "x < y", "", "", ())
    assert "&lt;b&gt;a" in as_html(told)
    window.help.show_key("site.ambient")
    panel = window.help.panel
    assert panel is not None
    light = panel.text.toHtml()
    window.take_theme("dark" if window.preferences.tokens.ink < "#888888" else "light")
    assert panel.text.toHtml() != light
