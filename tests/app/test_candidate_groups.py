"""Electronics, leads, feedback, brake and shaft of each candidate: typed, picked, refused, undone."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit
from pytestqt.qtbot import QtBot

from app.inputs.candidate_group import LABEL_WIDTH, CandidateGroup
from app.inputs.editors import QuantityInput, TextInput
from app.main_window import MainWindow
from core.catalogue.parts_file import load_demo_parts
from core.project import edits, part_edits
from core.project.candidate import Candidate
from core.project.feedback import Encoder
from core.project.fittings import Cable, ShaftForce
from core.units import Kind
from tests.app.whole_window import open_window, type_into

PARTS = load_demo_parts()
FIGURES = [
    ("electronics", "Cont. current", "8000 mA", ("drive", "continuous_current"), 8.0),
    ("electronics", "Peak lasts", "500 ms", ("drive", "peak_time"), 0.5),
    ("electronics", "Share at rest", "70", ("drive", "standstill_share"), 0.7),
    ("electronics", "Lowest supply", "12", ("drive", "lowest_supply"), 12.0),
    ("electronics", "Trips at", "0.06 kV", ("drive", "trip_voltage"), 60.0),
    ("electronics", "Capacitance", "2 mF", ("drive", "bus_capacitance"), 0.002),
    ("electronics", "PWM", "40 kHz", ("drive", "pwm_frequency"), 40e3),
    ("electronics", "Electr. freq.", "63000 eRPM", ("drive", "largest_electrical_frequency"), 1050.0),
    (
        "electronics",
        "Electr. freq.",
        "63000 rpm two-pole",
        ("drive", "largest_electrical_frequency"),
        1050.0,
    ),
    ("electronics", "Switching time", "0.1 us", ("drive", "switching_time"), 1e-7),
    ("electronics", "Ambient up to", "50", ("drive", "highest_ambient"), 50.0),
    ("cable", "Choke, a lead", "100 uH", ("choke",), 1e-4),
    ("feedback", "Sensors", "6", ("feedback", "sensors"), 6),
    ("feedback", "Edge error, el.", "3", ("feedback", "edge_error"), math.radians(3.0)),
    ("feedback", "Signal up to", "2 kHz", ("feedback", "largest_signal_frequency"), 2000.0),
    ("shaft", "Radial force", "2 kgf", ("shaft_force", "radial"), 19.6133),
    ("shaft", "At distance", "1 cm", ("shaft_force", "distance"), 0.01),
    ("shaft", "Wanted life", "20000", ("shaft_force", "wanted_life"), 20000.0),
]


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def opened(window: MainWindow, name: str) -> CandidateGroup:
    """Return a group of the candidates, opened."""
    group = getattr(window.bench.inputs.what_drives_it, name)
    assert isinstance(group, CandidateGroup)
    group.set_open(True)
    return group


def number(group: CandidateGroup, label: str, index: int = 0) -> QuantityInput:
    editor = group.columns[index][label]
    assert isinstance(editor, QuantityInput)
    return editor


def choose(group: CandidateGroup, label: str, words: str, index: int = 0) -> None:
    editor = group.columns[index][label]
    assert isinstance(editor, QComboBox)
    row = editor.findText(words)
    assert row >= 0, [editor.itemText(i) for i in range(editor.count())]
    editor.setCurrentIndex(row)
    editor.activated.emit(row)


def candidate(window: MainWindow, index: int = 0) -> Candidate:
    return window.document.project.candidates[index]


@pytest.mark.parametrize(("name", "label", "text", "place", "value"), FIGURES)
def test_a_typed_figure_is_one_undo_step_of_one_candidate(
    window: MainWindow, name: str, label: str, text: str, place: tuple[str, ...], value: float
) -> None:
    before = window.document.project
    group = opened(window, name)
    type_into(number(group, label, 1).line, text)
    assert edits.part_at(candidate(window, 1), place) == pytest.approx(value, rel=1e-9)
    assert candidate(window) is before.candidates[0]
    assert group.differs(label)
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before
    shown = number(group, label, 1).value()
    scale = 3600.0 if label == "Wanted life" else 1.0
    assert shown == pytest.approx(edits.part_at(before.candidates[1], place) * scale)


@pytest.mark.parametrize(
    ("name", "label", "text", "reason"),
    [
        ("electronics", "Highest supply", "5", "> the lowest supply"),
        ("electronics", "Share at rest", "120", "Share at rest must be ≤ 100"),
        ("electronics", "PWM duty", "0", "PWM duty must be > 0"),
        ("electronics", "Electr. freq.", "9000 rpm", "may mean the shaft of any motor"),
        ("feedback", "Sensors", "2.5", "Sensors must be a whole number"),
        ("shaft", "Axial force", "-3", "Axial force must be ≥ 0"),
        ("cable", "One lead", "much", "'much' does not begin with a number"),
    ],
)
def test_what_cannot_be_is_refused_under_its_row_and_kept_as_typed(
    window: MainWindow, name: str, label: str, text: str, reason: str
) -> None:
    before, group = window.document.project, opened(window, name)
    type_into(number(group, label, 1).line, text)
    assert window.document.project is before
    assert reason in group.mark(label).replace("\N{NO-BREAK SPACE}", " ")
    assert group.mark(label).startswith("B: ")
    window.document.edit(edits.change_application(before, title="other"), "Rename")
    type_into(number(opened(window, "shaft"), "Radial force").line, "7")  # candidates are other ones now
    assert number(group, label, 1).line.text() == text
    assert reason in group.mark(label).replace("\N{NO-BREAK SPACE}", " ")
    QTest.keyClick(number(group, label, 1).line, Qt.Key.Key_Escape)
    assert group.mark(label) == ""


@pytest.mark.parametrize(
    ("name", "label", "words", "part", "taken"),
    [
        ("electronics", "Electronics", PARTS.drives[0].name, "drive", PARTS.drives[0]),
        ("feedback", "Feedback", PARTS.feedback[2].name, "feedback", PARTS.feedback[2]),
        ("feedback", "Feedback", "not chosen", "feedback", None),
        ("brake", "Brake", PARTS.brakes[1].name, "brake", PARTS.brakes[1]),
        ("brake", "Brake", "brake, own figures", "brake", part_edits.OWN_BRAKE),
        ("transmission", "To the load", PARTS.transmissions[3].name, "transmission", PARTS.transmissions[3]),
    ],
)
def test_a_part_is_picked_in_one_undo_step(
    window: MainWindow, name: str, label: str, words: str, part: str, taken: object
) -> None:
    before, group = window.document.project, opened(window, name)
    choose(group, label, words)
    assert getattr(candidate(window), part) == taken
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before
    editor = group.columns[0][label]
    assert isinstance(editor, QComboBox)
    own = getattr(before.candidates[0], part)
    none = {"brake": "none", "transmission": "direct drive"}
    assert editor.currentText() == (own.name if own is not None else none[part])


def test_a_picked_part_brings_its_fields_and_an_edited_one_is_offered_again(window: MainWindow) -> None:
    group = opened(window, "brake")
    assert not number(group, "Holds").isVisible()
    choose(group, "Brake", PARTS.brakes[0].name)
    assert number(group, "Holds").isVisible()
    assert not number(group, "Holds", 1).isVisible()
    type_into(number(group, "Holds").line, "0.4 N*m")
    edited = candidate(window).brake
    assert edited is not None
    assert edited.holding_torque == 0.4
    choose(group, "Brake", "none")
    choose(group, "Brake", f"{PARTS.brakes[0].name} (as before)")
    assert candidate(window).brake == edited


def test_figures_to_begin_with_are_said_to_be_assumed_until_one_is_entered(window: MainWindow) -> None:
    group = opened(window, "feedback")
    choose(group, "Feedback", "encoder, own figures")
    assert group.mark("Feedback") == "A: assumed: figures to begin with, enter your own"
    type_into(number(group, "Counts a turn").line, "8192")
    assert group.mark("Feedback") == ""
    assert candidate(window).feedback == Encoder(name=part_edits.OWN_ENCODER.name, counts=8192)


def test_a_part_that_the_open_variant_cannot_carry_stays_and_says_so(window: MainWindow) -> None:
    group = opened(window, "brake")
    choose(group, "Brake", PARTS.brakes[0].name, 1)  # the enclosed one can have it
    window.document.edit(edits.change_candidate(window.document.project, 1, variant="open rotor"), "Open")
    window.recompute.run_now()
    assert candidate(window, 1).brake == PARTS.brakes[0]
    assert group.results is not None
    assert "B: Variant: the open rotor variant cannot be had with brake" in group.results.reasons.text()


def test_leads_are_a_resistance_or_a_cable(window: MainWindow) -> None:
    before, group = window.document.project, opened(window, "cable")
    choose(group, "Leads by", "cross-section")
    assert candidate(window).lead_resistance == 0.0
    assert not number(group, "One lead").isVisible()
    type_into(number(group, "Cross-section").line, "0.75")
    type_into(number(group, "Length").line, "2 m")
    assert candidate(window).cable == Cable(length=2.0, section=0.75)
    choose(group, "Leads by", "wire gauge")
    type_into(number(group, "Gauge, AWG").line, "18.5")
    assert "whole number" in group.mark("Gauge, AWG")
    type_into(number(group, "Gauge, AWG").line, "18")
    assert candidate(window).cable == Cable(length=2.0, gauge=18)
    while window.document.undo_stack.canUndo():
        window.document.undo_stack.undo()
    assert window.document.project == before


def test_currents_are_typed_as_rms_where_one_prefers_it(window: MainWindow) -> None:
    group = opened(window, "electronics")
    window.document.edit(
        edits.change_candidate(window.document.project, 1, commutation="six-step"), "Six-step"
    )
    currents = window.bench.inputs.what_drives_it.electronics.currents
    assert currents is not None
    currents.setCurrentIndex(1)
    currents.activated.emit(1)
    for index, amplitude in ((0, 10.0 * math.sqrt(2.0)), (1, 10.0 * math.sqrt(1.5))):
        type_into(number(group, "Peak current", index).line, "10")
        assert candidate(window, index).drive.peak_current == pytest.approx(amplitude)
        assert number(group, "Peak current", index).line.text() == "10"
    window.recompute.run_now()
    assert group.results is not None
    row = next(row for row in group.results.table.rows if row.label == "Peak current")
    assert row.unit == "A rms"
    assert [cell is not None and cell.text.split(" of ")[1] for cell in row.cells] == ["10.0", "10.0"]
    currents.activated.emit(0)
    assert number(group, "Peak current").line.text().startswith("14.142135")
    row = next(row for row in group.results.table.rows if row.label == "Peak current")
    assert row.unit == "A"


def test_what_is_said_of_six_step_is_not_asked_of_a_sine(window: MainWindow) -> None:
    group = opened(window, "electronics")
    window.document.edit(
        edits.change_candidate(window.document.project, 1, commutation="six-step"), "Six-step"
    )
    shown = {(label, index): group.columns[index][label].isVisible() for label in ("Modulation", "Switching")
             for index in (0, 1)}  # fmt: skip
    assert shown == {
        ("Modulation", 0): True, ("Modulation", 1): False, ("Switching", 0): False, ("Switching", 1): True,
    }  # fmt: skip
    choose(group, "Commutations", "six-step", 1)
    choose(group, "Feedback", "Hall, none", 1)
    assert candidate(window, 1).drive.commutations == ("six-step",)
    assert candidate(window, 1).drive.feedback_kinds == ("Hall sensors", "sensorless")


def test_a_force_taken_back_leaves_nothing_asked(window: MainWindow) -> None:
    window.document.edit(edits.change_candidate(window.document.project, 0, shaft_force=None), "None")
    group = opened(window, "shaft")
    assert "A nothing pulls at the shaft" in group.summary.text()
    type_into(number(group, "Radial force").line, "12")
    assert candidate(window).shaft_force == ShaftForce(radial=12.0)
    assert group.mark("Wanted life") == "A: missing: life of the bearings is not checked"
    type_into(number(group, "Radial force").line, "0")
    assert candidate(window).shaft_force is None


def test_why_a_candidate_is_dropped_may_be_empty(window: MainWindow) -> None:
    group = opened(window, "verdict")
    editor = group.columns[1]["Dropped for"]
    assert isinstance(editor, TextInput)
    type_into(editor, "too hot in the box")
    assert candidate(window, 1).dropped_because == "too hot in the box"
    assert group.summary.text() == "A not dropped; B dropped: too hot in the box"
    type_into(editor, "")
    assert candidate(window, 1).dropped_because == ""
    long = "as measured. " * 40  # longer than a name may be
    window.document.edit(edits.change_candidate(window.document.project, 1, dropped_because=long), "Say")
    assert editor.text() == long


def test_the_folded_groups_have_no_fields_and_open_ones_are_named(window: MainWindow) -> None:
    panel = window.bench.inputs.what_drives_it
    assert not any(group.is_filled for group in panel.groups)
    for group in panel.groups:
        group.set_open(True)
    names = [line.accessibleName() for line in panel.findChildren(QLineEdit)]
    names += [choice.accessibleName() for choice in panel.findChildren(QComboBox)]
    assert all(names)
    assert len(set(names)) == len(names)


def test_no_label_is_cut(window: MainWindow) -> None:
    panel = window.bench.inputs.what_drives_it
    for group in panel.groups:
        group.set_open(True)
    labels = [label for label in panel.findChildren(QLabel) if label.width() == LABEL_WIDTH and label.text()]
    assert len(labels) > 60
    assert [one.text() for one in labels if one.sizeHint().width() > LABEL_WIDTH] == []


def test_units_and_read_only_reach_the_groups(window: MainWindow) -> None:
    group = opened(window, "electronics")
    units = window.preferences.display_units
    window.preferences.display_units = units.with_units({Kind.ELECTRICAL_FREQUENCY: "eRPM"})
    assert number(group, "Electr. freq.").line.text() == "150000"  # 2500 Hz
    window.document.open(window.document.project, "from a newer version")
    assert number(group, "PWM").line.isReadOnly()
    assert not group.columns[0]["Electronics"].isEnabled()


def test_candidates_come_and_go_under_open_groups(window: MainWindow) -> None:
    group = opened(window, "shaft")
    type_into(number(group, "Axial force", 1).line, "99", then_enter=False)
    window.document.edit(edits.remove_candidate(window.document.project, 1), "Remove")
    assert len(group.columns) == 1
    force = candidate(window).shaft_force
    assert force is not None
    assert force.axial == 0.0
    window.document.undo_stack.undo()
    type_into(number(group, "Axial force", 1).line, "5")
    assert edits.part_at(candidate(window, 1), ("shaft_force", "axial")) == 5.0


@pytest.mark.parametrize(
    ("name", "part", "words"),
    [("electronics", "drive", "the electronics"), ("feedback", "feedback", "the feedback")],
)
def test_a_part_of_the_project_has_a_name_of_its_own(
    window: MainWindow, name: str, part: str, words: str
) -> None:
    group = opened(window, name)
    editor = group.columns[1]["Name"]
    assert isinstance(editor, TextInput)
    type_into(editor, "measured ones")
    assert getattr(candidate(window, 1), part).name == "measured ones"
    assert window.document.undo_stack.undoText() == f"Set name of {words} of B to measured ones"
    type_into(editor, " ")
    assert editor.text() == "measured ones"
    assert group.mark("Name") == "B: Name must not be empty; the old one is kept"


def test_a_new_candidate_has_the_leads_of_the_chosen_one(window: MainWindow) -> None:
    project = part_edits.wire_motor(window.document.project, 0, "gauge")
    window.document.edit(edits.change_candidate(project, 0, choke=1e-4), "Wire")
    window.candidate_asked("add", -1)
    added = window.document.project.candidates[-1]
    assert (added.cable, added.choke) == (candidate(window).cable, 1e-4)


def test_what_a_candidate_of_another_document_had_is_not_offered(window: MainWindow) -> None:
    group = opened(window, "brake")
    choose(group, "Brake", PARTS.brakes[0].name)
    type_into(number(group, "Holds").line, "0.4 N*m")
    choose(group, "Brake", "none")
    editor = group.columns[0]["Brake"]
    assert isinstance(editor, QComboBox)
    assert editor.findText(f"{PARTS.brakes[0].name} (as before)") >= 0
    window.document.open(window.document.project)
    assert editor.findText(f"{PARTS.brakes[0].name} (as before)") < 0
