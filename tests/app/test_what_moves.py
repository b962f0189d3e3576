"""The load in the window: asked for whole, edited in place, one undo step each, seen at once everywhere."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.files import SAMPLE_FOLDER
from app.inputs.editors import PartChoice, QuantityInput
from app.inputs.what_moves import WhatMoves
from app.inputs.what_moves_draft import DraftPanel
from app.inputs.what_moves_load import LoadPanel
from app.inputs.what_moves_rows import GRADE, MECHANISM
from app.inputs.what_moves_step import KINDS, StepRow
from app.main_window import MainWindow
from app.widgets.quantity_edit import PIXELS_PER_STEP, QuantityEdit
from core.load_draft import FORMS
from core.project import edits
from core.project.load import Load
from core.project.mechanism import BeltDrive, DrumWinch, RotaryTable, WheelDrive
from core.project.motion import DwellStep, MotionStep, MoveStep, RampStep, RunStep
from core.units import Kind
from tests.app.whole_window import open_window, type_into

WINCH = SAMPLE_FOLDER / "tide_pool_winch.json"
CART = SAMPLE_FOLDER / "greenhouse_cart.json"


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return opened(qtbot, WINCH)


def opened(qtbot: QtBot, sample: Path) -> MainWindow:
    window = open_window(qtbot)[0]
    window.files.open_sample(sample)
    window.recompute.run_now()
    return window


def moves(window: MainWindow) -> WhatMoves:
    return window.bench.inputs.what_moves


def panel(window: MainWindow) -> LoadPanel:
    found = moves(window).load
    assert found is not None
    return found


def load(window: MainWindow) -> Load:
    found = window.document.project.application.load
    assert found is not None
    return found


def winch(window: MainWindow) -> DrumWinch:
    mechanism = load(window).mechanism
    assert isinstance(mechanism, DrumWinch)
    return mechanism


def field(window: MainWindow, *place: str) -> QuantityInput:
    for group in panel(window).groups:
        group.set_open(True)
        editor = group.inputs.get(place)
        if editor is not None:
            assert isinstance(editor, QuantityInput)
            return editor
    raise AssertionError(f"no field for {place}")


def step(window: MainWindow, index: int) -> StepRow:
    return panel(window).motion.rows[index]


def step_field(window: MainWindow, index: int, name: str) -> QuantityInput:
    return next(
        editor
        for editor in step(window, index).inputs
        if isinstance(editor, QuantityInput) and editor.line.accessibleName().startswith(name)
    )


def choose(choice: PartChoice, words: str) -> None:
    """Choose as a hand does: the list tells it by `activated`."""
    index = choice.findText(words)
    assert index >= 0, f"{words} is not offered"
    choice.setCurrentIndex(index)
    choice.activated.emit(index)


def draft(window: MainWindow) -> DraftPanel:
    found = panel(window).draft
    assert found is not None
    return found


def duty_from(window: MainWindow) -> str:
    return window.document.project.application.duty_from


def undo_steps(window: MainWindow) -> int:
    return window.document.undo_stack.count()


def shown(widget: QWidget) -> bool:
    return not widget.isHidden()


def drag_unit(editor: QuantityEdit, steps: int, release: bool = True) -> None:
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    kinds = [(QEvent.Type.MouseButtonPress, 0, left)]
    kinds += [(QEvent.Type.MouseMove, n * PIXELS_PER_STEP, left) for n in range(1, steps + 1)]
    if release:
        kinds.append((QEvent.Type.MouseButtonRelease, steps * PIXELS_PER_STEP, none))
    for kind, x, held in kinds:
        at = QPointF(x + 0.5, 5.0)
        button = none if kind is QEvent.Type.MouseMove else left
        event = QMouseEvent(
            kind, at, editor.unit.mapToGlobal(at), button, held, Qt.KeyboardModifier.NoModifier
        )
        QApplication.sendEvent(editor.unit, event)


def test_a_project_of_segments_says_so_and_shows_no_load(qtbot: QtBot) -> None:
    window = open_window(qtbot)[0]
    assert moves(window).load is None
    assert moves(window).source.currentText() == "segments, entered"
    assert shown(moves(window).to_table)
    assert not shown(moves(window).follow)


def test_a_load_is_asked_for_whole_and_comes_as_one_undo_step(qtbot: QtBot) -> None:
    window = open_window(qtbot)[0]
    before = window.document.project
    choose(moves(window).source, "load and motion")
    assert window.document.project is before  # nothing is derived before it is known
    choose(panel(window).mechanism, "belt or rack")
    fields = draft(window).fields
    assert [place[0] for place in fields] == ["mass", "pulley_radius", "inclination"]
    assert all(one.line.placeholderText() == "needed" for one in fields.values())
    type_into(fields["mass",].line, "2 kg")
    type_into(fields["pulley_radius",].line, "20")
    assert draft(window).why.text() == "1 figure is needed before anything is derived"
    assert window.document.project is before
    type_into(fields["inclination",].line, "30")
    assert undo_steps(window) == 1
    assert window.document.undo_stack.undoText() == "Choose mechanism: belt or rack"
    assert load(window).mechanism == BeltDrive(mass=2.0, pulley_radius=0.02, inclination=math.radians(30.0))
    assert window.document.project.application.duty_from == "load"
    assert panel(window).draft is None
    window.document.undo_stack.undo()
    assert window.document.project == before
    assert not shown(panel(window))


def test_a_draft_can_be_left(qtbot: QtBot) -> None:
    window = open_window(qtbot)[0]
    before = window.document.project
    choose(moves(window).source, "load and motion")
    choose(panel(window).mechanism, "drum or winch")
    draft(window).cancel.click()
    assert window.document.project is before
    assert moves(window).source.currentText() == "segments, entered"
    assert not shown(panel(window))


@pytest.mark.parametrize("words", [form.words for form in FORMS])
def test_every_mechanism_can_be_asked_for_and_shown(window: MainWindow, words: str) -> None:
    panel(window).motion.set_open(True)
    if words == "drum or winch":
        choose(panel(window).mechanism, "rotary table")
        choose(panel(window).mechanism, words)  # back to what it is: nothing is asked
        assert panel(window).draft is None
        return
    choose(panel(window).mechanism, words)
    for place in draft(window).draft.lacking:
        type_into(draft(window).fields[place].line, "2" if "wheels" in place[0] else "1")
    assert panel(window).draft is None
    assert panel(window).mechanism.currentText() == words
    window.recompute.run_now()
    for group in panel(window).groups:
        group.set_open(True)
        assert group.inputs
    form = next(form for form in FORMS if form.words == words)
    assert len(load(window).motion) == (4 if form.linear else 0)  # metres do not become radians
    window.document.undo_stack.undo()
    assert panel(window).mechanism.currentText() == "drum or winch"


def test_a_draft_that_is_given_up_keeps_the_mechanism(window: MainWindow) -> None:
    before = window.document.project
    choose(panel(window).mechanism, "rotary table")
    assert not shown(panel(window).sketch)
    draft(window).cancel.click()
    assert window.document.project is before
    assert panel(window).mechanism.currentText() == "drum or winch"
    assert shown(panel(window).sketch)


def test_what_no_mechanism_can_be_is_refused_while_it_is_asked_and_afterwards(window: MainWindow) -> None:
    before = window.document.project
    editor = field(window, *MECHANISM, "inclination")
    type_into(editor.line, "-20")
    assert editor.message.text() == "Above level must be 0° to 90°: a rope only pulls"
    assert window.document.project is before
    choose(panel(window).mechanism, "wheels")
    slope = draft(window).fields["slope",]
    type_into(slope.line, "95")
    assert slope.message.text() == "Slope must be −90° to 90°"
    wheels = draft(window).fields["driven_wheels",]
    type_into(wheels.line, "1.5")
    assert wheels.message.text() == "Driven wheels must be a whole number"
    mass = draft(window).fields["mass",]
    assert mass.value() == 2.8  # the mass is the same, whatever carries it
    type_into(mass.line, "-1")
    assert "Mass must be ≥ 0" in mass.message.text()


def test_a_slope_may_be_given_as_a_grade(qtbot: QtBot) -> None:
    window = opened(qtbot, CART)
    grade = field(window, *GRADE)
    assert grade.value() == pytest.approx(0.03)
    type_into(grade.line, "100")
    mechanism = load(window).mechanism
    assert isinstance(mechanism, WheelDrive)
    assert math.degrees(mechanism.slope) == pytest.approx(45.0)  # 100 % is 45 degrees, not 90
    type_into(field(window, *MECHANISM, "slope").line, "90")
    assert grade.value() is None


def test_wheels_are_counted_in_whole_numbers(qtbot: QtBot) -> None:
    window = opened(qtbot, CART)
    editor = field(window, *MECHANISM, "driven_wheels")
    type_into(editor.line, "4")
    mechanism = load(window).mechanism
    assert isinstance(mechanism, WheelDrive)
    assert mechanism.driven_wheels == 4
    assert isinstance(mechanism.driven_wheels, int)
    type_into(editor.line, "6")
    assert editor.message.text() == "There must be at least as many wheels as driven ones"
    assert window.document.project.application.load is not None


@pytest.mark.parametrize(
    ("place", "text", "value"),
    [
        ((*MECHANISM, "drum_radius"), "2 in", 0.0508),
        ((*MECHANISM, "efficiency"), "80", 0.8),
        ((*MECHANISM, "counterweight"), "500 g", 0.5),
        ((*MECHANISM, "friction", "constant"), "3", 3.0),
        ((*MECHANISM, "friction", "breakaway_ratio"), "1.4", 1.4),
        (("load", "friction_range", "high"), "2,5", 2.5),
        (("load", "start_position"), "100", 0.1),
        (("load", "limits", "acceleration"), "0.3", 0.3),
        (("load", "coupling_stiffness"), "2 kN*m/rad", 2000.0),
    ],
)
def test_every_kind_of_figure_reaches_the_project(
    window: MainWindow, place: tuple[str, ...], text: str, value: float
) -> None:
    before = window.document.project
    type_into(field(window, *place).line, text)
    assert edits.part_at(window.document.project.application, place) == pytest.approx(value, rel=1e-12)
    assert undo_steps(window) == 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_dragging_the_mass_moves_everything_in_one_undo_step(window: MainWindow) -> None:
    before = window.document.project
    torque = window.recompute.result.duty.shaft_torque.max()  # type: ignore[union-attr]
    words = panel(window).sketch.sketch.description
    drag_unit(field(window, *MECHANISM, "mass"), 5)
    window.recompute.run_now()
    assert winch(window).mass == pytest.approx(3.3)  # five steps of 0.1 kg
    assert undo_steps(window) == 1
    assert not window.document.in_gesture
    result = window.recompute.result
    assert result is not None
    assert result.duty.shaft_torque.max() > 1.1 * torque
    assert "mass 3.30" in panel(window).sketch.sketch.description
    window.document.undo_stack.undo()
    window.recompute.run_now()
    assert window.document.project == before
    assert panel(window).sketch.sketch.description == words


def test_the_sketch_follows_the_selected_segment(window: MainWindow) -> None:
    words = []
    for segment in (1, 3):
        window.selection.select_segment(segment)
        words.append(panel(window).sketch.sketch.description)
    assert "2 run" in words[0]
    assert "4 hold" in words[1]
    assert "stands still" in words[1]
    assert panel(window).sketch.accessibleDescription() == words[1]


def test_steps_are_rows_of_fields_in_the_units_of_the_user(window: MainWindow) -> None:
    rows = panel(window).motion.rows
    assert [row.kind.currentText() for row in rows] == ["move", "hold", "move", "released"]
    assert step_field(window, 0, "Distance").line.text() == "−2400"
    type_into(step_field(window, 0, "Distance").line, "-1.5 m")
    type_into(step_field(window, 2, "Time").line, "9")
    type_into(step_field(window, 2, "Share of time slowing down").line, "25")
    first, _, third, _ = load(window).motion
    assert isinstance(first, MoveStep)
    assert isinstance(third, MoveStep)
    assert first.distance == -1.5
    assert (third.duration, third.deceleration_share) == (9.0, 0.25)
    assert undo_steps(window) == 3


def test_angles_of_a_turning_load_are_in_degrees(qtbot: QtBot) -> None:
    window = opened(qtbot, SAMPLE_FOLDER / "museum_turntable.json")
    distance = step_field(window, 0, "Distance")
    assert (distance.line.text(), distance.unit.text()) == ("180", "°")
    type_into(distance.line, "0.25 rev")
    first = load(window).motion[0]
    assert isinstance(first, MoveStep)
    assert first.distance == pytest.approx(0.5 * math.pi)


def test_a_step_without_time_is_refused_in_its_row(window: MainWindow) -> None:
    before = window.document.project
    type_into(step_field(window, 1, "Time").line, "0")
    assert window.document.project is before
    assert step(window, 1).mark.text() == "Time of step 2 must be > 0\xa0s"
    assert shown(step(window, 1).mark)


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("insert", (0, "new", 1, 2, 3)),
        ("duplicate", (0, 1, 1, 2, 3)),
        ("remove", (0, 2, 3)),
        ("move up", (1, 0, 2, 3)),
        ("move down", (0, 2, 1, 3)),
    ],
)
def test_the_number_of_a_step_opens_what_can_be_done(
    window: MainWindow, word: str, expected: tuple[int | str, ...]
) -> None:
    before = window.document.project
    steps = load(window).motion
    menu = step(window, 1).menu_button.menu()
    actions = {action.text().lower().removesuffix(" a step before"): action for action in menu.actions()}
    actions[word].trigger()
    assert len(panel(window).motion.rows) == len(expected)
    for found, wanted in zip(load(window).motion, expected, strict=True):
        assert found == (DwellStep(duration=34.0, held=False) if wanted == "new" else steps[int(wanted)])
    assert undo_steps(window) == 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_the_first_step_cannot_move_up(window: MainWindow) -> None:
    before = window.document.project
    step(window, 0).asked.emit("move up", 0)
    step(window, 3).asked.emit("move down", 3)
    assert window.document.project is before
    assert undo_steps(window) == 0


@pytest.mark.parametrize("kind", KINDS)
def test_a_step_becomes_another_kind_and_lasts_as_long(window: MainWindow, kind: str) -> None:
    choose(step(window, 2).kind, kind)
    made: MotionStep = load(window).motion[2]
    types = {"move": MoveStep, "ramp": RampStep, "run": RunStep, "hold": DwellStep, "released": DwellStep}
    assert type(made).__name__ == types[kind].__name__
    assert made.duration == 8.0
    assert getattr(made, "held", None) is {"hold": True, "released": False}.get(kind)
    assert step(window, 2).kind.currentText() == kind


def test_a_profile_is_chosen_and_brings_its_shares(window: MainWindow) -> None:
    profile = step(window, 0).profile
    assert profile is not None
    choose(profile, "S-curve")
    first = load(window).motion[0]
    assert isinstance(first, MoveStep)
    assert first.profile == "S-curve"
    assert len(step(window, 0).inputs) == 4  # distance, time, share of time, share of jerk
    again = step(window, 0).profile
    assert again is not None
    choose(again, "cycloid")
    assert len(step(window, 0).inputs) == 2


def test_there_and_back_in_one_press(qtbot: QtBot) -> None:
    window = opened(qtbot, WINCH)
    choose(panel(window).mechanism, "rotary table")
    for place in draft(window).draft.lacking:
        type_into(draft(window).fields[place].line, "1")
    window.recompute.run_now()
    assert isinstance(load(window).mechanism, RotaryTable)
    assert panel(window).motion.mark.text() == "needed: a motion of the load"
    panel(window).motion.way_back.click()
    window.recompute.run_now()
    assert not shown(panel(window).motion.mark)
    there, hold, back, _ = load(window).motion
    assert isinstance(there, MoveStep)
    assert isinstance(back, MoveStep)
    assert isinstance(hold, DwellStep)
    assert back.distance == -there.distance
    panel(window).motion.add_move.click()
    panel(window).motion.add_hold.click()
    assert len(panel(window).motion.rows) == 6
    panel(window).motion.way_back.click()
    assert len(load(window).motion) == 12


def test_a_motion_that_does_not_join_is_named_under_the_steps(window: MainWindow) -> None:
    choose(step(window, 1).kind, "run")
    window.recompute.run_now()
    assert panel(window).motion.mark.text().startswith("needed: a motion that fits together (")
    assert shown(panel(window).motion.mark)


def test_a_duty_taken_out_of_the_load_leads_back(window: MainWindow) -> None:
    choose(moves(window).source, "segments, entered")
    assert duty_from(window) == "segments"
    assert len(window.document.project.application.duty_cycle) == 8
    assert window.document.project.application.load is not None
    assert moves(window).facts.text().startswith("Taken out of the load: 8 segments in ")
    assert shown(moves(window).follow)
    moves(window).follow.click()
    assert duty_from(window) == "load"
    assert not shown(moves(window).follow)
    assert undo_steps(window) == 2


def test_segments_that_were_entered_are_kept_for_the_way_back(qtbot: QtBot) -> None:
    window = open_window(qtbot)[0]
    segments = window.document.project.application.duty_cycle
    choose(moves(window).source, "load and motion")
    choose(panel(window).mechanism, "inertia and torque")
    for place in draft(window).draft.lacking:
        type_into(draft(window).fields[place].line, "1")
    window.recompute.run_now()
    choose(moves(window).source, "segments, entered")
    assert window.document.project.application.duty_cycle == segments
    assert window.document.project.application.duty_from == "segments"


def test_another_document_takes_a_draft_away(window: MainWindow) -> None:
    choose(panel(window).mechanism, "wheels")
    window.files.open_sample(CART)
    assert panel(window).draft is None
    assert panel(window).mechanism.currentText() == "wheels"


def test_other_units_are_shown_everywhere(window: MainWindow) -> None:
    units = window.preferences.display_units.with_units({Kind.MASS: "lb", Kind.LENGTH: "m"})
    window.preferences.display_units = units
    window.recompute.run_now()
    mass = field(window, *MECHANISM, "mass")
    assert mass.unit.text() == "lb"
    assert float(mass.line.text()) == pytest.approx(2.8 / 0.45359237)
    assert step_field(window, 0, "Distance").line.text() == "−2.4"
    assert "drum radius 0.0300\xa0m" in panel(window).sketch.sketch.description


def test_a_read_only_project_can_be_looked_at_only(window: MainWindow) -> None:
    project = window.document.project
    window.document.open(project, "from a newer version")
    assert field(window, *MECHANISM, "mass").line.isReadOnly()
    assert step_field(window, 0, "Time").line.isReadOnly()
    assert not panel(window).mechanism.isEnabled()
    assert not panel(window).motion.add_move.isEnabled()
    assert not step(window, 0).menu_button.isEnabled()


def test_text_typed_for_a_step_never_lands_in_another(window: MainWindow) -> None:
    editor = step_field(window, 1, "Time")
    type_into(editor.line, "77", then_enter=False)
    step(window, 0).asked.emit("remove", 0)
    durations = [one.duration for one in load(window).motion]
    assert durations == [12.0, 8.0, 34.0]


def test_the_folded_group_sums_up_the_load(window: MainWindow) -> None:
    text = moves(window).summary.text().replace("\xa0", " ")
    assert text == "drum or winch, 2.80 kg, above level 90.0°; 4 steps in 60 s"


def test_keys_reach_every_step(window: MainWindow) -> None:
    row = step(window, 1)
    row.menu_button.setFocus()
    QTest.keyClick(row.menu_button, Qt.Key.Key_Tab)
    assert row.kind.hasFocus()
    QTest.keyClick(row.kind, Qt.Key.Key_Tab)
    assert step_field(window, 1, "Time").line.hasFocus()
    QTest.keyClick(step_field(window, 1, "Time").line, Qt.Key.Key_Up)
    assert load(window).motion[1].duration == 13.0
