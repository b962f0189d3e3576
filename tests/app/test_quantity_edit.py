"""The quantity field: typing, refusing, restoring, stepping and dragging, as a user does them."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.widgets.quantity_edit import PIXELS_PER_STEP, QuantityEdit
from core.errors import InputRangeError
from core.units import DisplayUnits, Kind

Make = Callable[..., QuantityEdit]


@pytest.fixture
def make(qtbot: QtBot) -> Make:
    """Return a maker of a shown torque field with a second field to move the focus to."""

    pages: list[QWidget] = []  # qtbot holds them weakly

    def _make(**options: object) -> QuantityEdit:
        page = QWidget()
        pages.append(page)
        edit = QuantityEdit("Shaft torque", Kind.TORQUE, DisplayUnits(), **options)  # type: ignore[arg-type]
        other = QLineEdit()
        other.setObjectName("other")
        layout = QVBoxLayout(page)
        layout.addWidget(edit)
        layout.addWidget(other)
        qtbot.addWidget(page)
        with qtbot.waitActive(page):
            page.show()
            page.activateWindow()
        edit.setFocus()
        qtbot.waitUntil(edit.line.hasFocus)
        return edit

    return _make


def _leave(edit: QuantityEdit) -> None:
    other = edit.window().findChild(QLineEdit, "other")
    assert other is not None
    other.setFocus()


def _type(edit: QuantityEdit, text: str) -> None:
    edit.line.selectAll()
    QTest.keyClicks(edit.line, text)


def _heard(edit: QuantityEdit) -> list[object]:
    heard: list[object] = []
    edit.committed.connect(heard.append)
    edit.cleared.connect(lambda: heard.append("cleared"))
    edit.scrubbed.connect(lambda value, gesture: heard.append((value, gesture)))
    edit.scrub_started.connect(lambda gesture: heard.append(("start", gesture)))
    edit.scrub_finished.connect(lambda gesture: heard.append(("end", gesture)))
    return heard


def _mouse(edit: QuantityEdit, kind: QEvent.Type, x: float) -> None:
    """Send a left-button event to the unit, with the buttons field as a real mouse has it."""
    moving, left, none = kind is QEvent.Type.MouseMove, Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    held = none if kind is QEvent.Type.MouseButtonRelease else left
    at = QPointF(x, 5.0)
    event = QMouseEvent(
        kind,
        at,
        edit.unit.mapToGlobal(at),
        none if moving else left,
        held,
        Qt.KeyboardModifier.NoModifier,
    )
    QApplication.sendEvent(edit.unit, event)


def test_value_is_shown_in_the_display_unit_and_not_echoed(make: Make) -> None:
    edit = make()
    heard = _heard(edit)
    edit.setValue(0.0125)
    assert (edit.line.text(), edit.unit.text(), edit.value()) == ("12.5", "mN·m", 0.0125)
    assert heard == []
    assert edit.line.accessibleName() == "Shaft torque, mN·m"
    assert edit.line.toolTip().startswith("0.0125000 N·m")


def test_typed_text_is_kept_until_enter_and_committed_in_si(make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    heard = _heard(edit)
    _type(edit, "0,25 N*m")
    assert (edit.line.text(), edit.value(), heard) == ("0,25 N*m", 0.0125, [])
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert heard == [0.25]
    assert edit.line.text() == "250"
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert heard == [0.25]


def test_leaving_the_field_commits_once(qtbot: QtBot, make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    heard = _heard(edit)
    _type(edit, "13")
    _leave(edit)
    qtbot.waitUntil(lambda: heard == [0.013])
    edit.setFocus()
    _leave(edit)
    assert heard == [0.013]


def test_retyped_same_text_does_not_change_the_value(make: Make) -> None:
    edit = make()
    exact = 0.1 / 3.0
    edit.setValue(exact)
    heard = _heard(edit)
    shown = edit.line.text()
    _type(edit, shown)
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert heard == []
    assert edit.value() == exact


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("1,234", "ambiguous"),
        ("5 kg*cm", "kgf·cm"),
        ("abc", "does not begin with a number"),
        ("", "Shaft torque is needed"),
    ],
)
def test_refused_text_stays_marked_until_escape(make: Make, typed: str, reason: str) -> None:
    edit = make()
    edit.setValue(0.0125)
    heard = _heard(edit)
    _type(edit, typed)
    if not typed:
        QTest.keyClick(edit.line, Qt.Key.Key_Delete)
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert (edit.line.text(), edit.value(), heard) == (typed, 0.0125, [])
    assert edit.is_refused()
    assert edit.line.property("refused") is True
    assert edit.message.isVisible()
    assert reason in edit.message.text()
    assert edit.line.accessibleDescription() == edit.line.toolTip() == edit.message.text()

    QTest.keyClick(edit.line, Qt.Key.Key_Escape)
    assert edit.line.text() == "12.5"
    assert not edit.is_refused()
    assert edit.line.property("refused") is False
    assert not edit.message.isVisible()
    assert edit.line.accessibleDescription() == ""


def test_refused_text_survives_the_same_value_and_yields_to_a_new_one(qtbot: QtBot, make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    _type(edit, "1,234")
    _leave(edit)
    qtbot.waitUntil(edit.is_refused)
    edit.setValue(0.0125)
    assert edit.line.text() == "1,234"
    edit.setValue(0.02)
    assert (edit.line.text(), edit.is_refused()) == ("20", False)


def test_text_being_typed_survives_a_new_value_from_outside(make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    _type(edit, "7")
    edit.setValue(0.02)
    assert edit.line.text() == "7"
    QTest.keyClick(edit.line, Qt.Key.Key_Escape)
    assert edit.line.text() == "20"


def test_escape_with_nothing_to_restore_is_left_to_the_window(make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    _type(edit, "7")
    for accepted in (True, False):
        event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Escape, Qt.KeyboardModifier.NoModifier)
        edit.line.keyPressEvent(event)
        assert event.isAccepted() is accepted


def test_check_refuses_a_value_with_its_own_words(make: Make) -> None:
    def check(value: float) -> None:
        if value <= 0.0:
            raise InputRangeError("shaft torque", value, "N·m", "> 0")

    edit = make(check=check)
    heard = _heard(edit)
    _type(edit, "-3")
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert edit.message.text() == "shaft torque must be > 0, got -0.003 N·m"
    assert heard == []


def test_optional_field_may_be_emptied(make: Make) -> None:
    edit = make(optional=True)
    heard = _heard(edit)
    assert (edit.value(), edit.line.text(), edit.line.placeholderText()) == (None, "", "not given")
    edit.setValue(0.0125)
    edit.line.selectAll()
    QTest.keyClick(edit.line, Qt.Key.Key_Delete)
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert (heard, edit.value(), edit.is_refused()) == (["cleared"], None, False)
    edit.setValue(0.0125)
    edit.setValue(None)
    assert (edit.line.text(), heard) == ("", ["cleared"])


@pytest.mark.parametrize(
    ("start", "key", "shift", "expected"),
    [
        (0.0125, Qt.Key.Key_Up, False, 0.0135),
        (0.0125, Qt.Key.Key_Down, False, 0.0115),
        (0.0125, Qt.Key.Key_Up, True, 0.0225),
        (0.0, Qt.Key.Key_Down, False, -0.001),
        (0.25, Qt.Key.Key_Up, False, 0.26),
    ],
)
def test_arrow_steps_one_unit_in_the_second_digit(
    make: Make, start: float, key: Qt.Key, shift: bool, expected: float
) -> None:
    edit = make()
    edit.setValue(start)
    heard = _heard(edit)
    modifier = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
    QTest.keyClick(edit.line, key, modifier)
    assert heard == [pytest.approx(expected, rel=1e-15)]


def test_arrow_takes_a_given_step_and_starts_from_the_typed_text(make: Make) -> None:
    edit = make(step=0.005)
    edit.setValue(0.0125)
    heard = _heard(edit)
    _type(edit, "20")
    QTest.keyClick(edit.line, Qt.Key.Key_Up)
    assert heard == [0.025]


def test_arrow_on_an_empty_or_huge_value_does_no_harm(make: Make) -> None:
    edit = make(optional=True)
    heard = _heard(edit)
    QTest.keyClick(edit.line, Qt.Key.Key_Up)
    assert heard == []
    edit.setValue(1.7e305)
    QTest.keyClick(edit.line, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert all(isinstance(value, float) and math.isfinite(value) for value in heard)


def test_drag_on_the_unit_is_one_gesture(make: Make) -> None:
    edit = make(scrub=True, new_gesture=iter([41, 42]).__next__)
    edit.setValue(0.010)
    heard = _heard(edit)
    _mouse(edit, QEvent.Type.MouseButtonPress, 3.0)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 + PIXELS_PER_STEP)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 + 3.5 * PIXELS_PER_STEP)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 - 2.0 * PIXELS_PER_STEP)
    _mouse(edit, QEvent.Type.MouseButtonRelease, 3.0 - 2.0 * PIXELS_PER_STEP)
    assert heard == [("start", 41), (0.011, 41), (0.013, 41), (0.008, 41), ("end", 41)]
    assert (edit.value(), edit.line.text()) == (0.008, "8")


def test_click_on_the_unit_is_no_gesture(make: Make) -> None:
    edit = make(scrub=True)
    edit.setValue(0.010)
    heard = _heard(edit)
    _mouse(edit, QEvent.Type.MouseButtonPress, 3.0)
    _mouse(edit, QEvent.Type.MouseButtonRelease, 3.0)
    assert heard == []


def test_escape_during_a_drag_restores_and_ends_it(make: Make) -> None:
    edit = make(scrub=True, new_gesture=iter([41, 42]).__next__)
    edit.setValue(0.010)
    heard = _heard(edit)
    _mouse(edit, QEvent.Type.MouseButtonPress, 3.0)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 + PIXELS_PER_STEP)
    QTest.keyClick(edit.line, Qt.Key.Key_Escape)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 + 5.0 * PIXELS_PER_STEP)
    _mouse(edit, QEvent.Type.MouseButtonRelease, 3.0)
    assert heard == [("start", 41), (0.011, 41), (0.010, 41), ("end", 41)]
    assert edit.value() == 0.010
    _mouse(edit, QEvent.Type.MouseButtonPress, 3.0)
    _mouse(edit, QEvent.Type.MouseMove, 3.0 + PIXELS_PER_STEP)
    assert heard[-1] == (0.011, 42)


def test_drag_without_scrub_or_read_only_changes_nothing(make: Make) -> None:
    for edit in (make(), make(scrub=True)):
        edit.setValue(0.010)
        edit.set_read_only(True)
        heard = _heard(edit)
        _mouse(edit, QEvent.Type.MouseButtonPress, 3.0)
        _mouse(edit, QEvent.Type.MouseMove, 50.0)
        _mouse(edit, QEvent.Type.MouseButtonRelease, 50.0)
        QTest.keyClick(edit.line, Qt.Key.Key_Up)
        QTest.keyClicks(edit.line, "9")
        assert (heard, edit.line.text()) == ([], "10")


def test_other_display_units_show_the_same_value(make: Make) -> None:
    edit = make()
    edit.setValue(0.0125)
    heard = _heard(edit)
    edit.set_display_units(DisplayUnits().with_units({Kind.TORQUE: "N*cm"}))
    assert (edit.line.text(), edit.unit.text(), edit.value(), heard) == ("1.25", "N·cm", 0.0125, [])
    _type(edit, "2")
    QTest.keyClick(edit.line, Qt.Key.Key_Return)
    assert heard == [0.02]


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e300, 5e-324])
def test_any_float_can_be_shown(make: Make, value: float) -> None:
    edit = make()
    edit.setValue(value)
    assert edit.line.text()
