"""The list of what differs: it follows edits, letters and units, and is not made while it is folded."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.inputs.differences_group import NOTHING, differences_as_html
from app.main_window import MainWindow
from core.project import edits
from core.project.candidate import Candidate
from core.project.project import Project
from core.units import DisplayUnits, Kind
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def plain(text: str) -> str:
    return text.replace("&nbsp;", " ").replace("\N{NO-BREAK SPACE}", " ")


def test_folded_it_says_in_what_and_open_how(window: MainWindow) -> None:
    group = window.bench.inputs.what_drives_it.differences
    assert "variant" in group.summary.text()
    assert group.text.text() == ""
    group.set_open(True)
    assert "Variant" in group.text.text()
    assert "open rotor" in group.text.text()
    assert "enclosed" in group.text.text()


def test_it_follows_edits_and_units(window: MainWindow) -> None:
    group = window.bench.inputs.what_drives_it.differences
    group.set_open(True)
    project = window.document.project
    window.document.edit(edits.change_candidate(project, 1, lead_resistance=0.125), "Longer leads")
    assert "0.125 Ω" in plain(group.text.text())
    units = window.preferences.display_units.with_units({Kind.RESISTANCE: "mΩ"})
    window.preferences.display_units = units
    assert "125 mΩ" in plain(group.text.text())
    window.document.undo_stack.undo()
    assert "Lead resistance" not in group.text.text()


def test_equal_candidates_differ_in_nothing_and_a_single_one_has_no_list(window: MainWindow) -> None:
    group = window.bench.inputs.what_drives_it.differences
    group.set_open(True)
    one = window.document.project.candidates[0]
    both = (one, replace(one, name="the same again"))
    window.document.edit(replace(window.document.project, candidates=both, chosen=None), "Equal")
    assert group.text.text() == NOTHING
    window.candidate_asked("remove", 1)
    QApplication.processEvents()
    assert group.isHidden()


def test_what_comes_from_files_is_escaped() -> None:
    a, b = Candidate(name="a", winding=None), Candidate(name="b")
    evil = replace(b, drive=replace(b.drive, name="<img src=x>"))
    text = differences_as_html(Project(candidates=(a, evil)), DisplayUnits())
    assert "<img" not in text
    assert "&lt;img" in text
