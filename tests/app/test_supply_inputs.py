"""Cable, clamp and battery of the supply, and what is asked of the motion: typed, chosen, undone."""

from __future__ import annotations

import math

import pytest
from pytestqt.qtbot import QtBot

from app.inputs.application_group import ApplicationGroup
from app.inputs.editors import ChoiceInput, QuantityInput
from app.main_window import MainWindow
from core.project import edits
from core.project.fittings import Cable
from tests.app.whole_window import open_window, type_into

CABLE = ("supply", "cable")
MOTION = ("requirements", "motion")
FIGURES = [
    (("supply", "capacitance"), "2200", 2.2e-3),
    (("supply", "clamp_voltage"), "40", 40.0),
    (("supply", "battery_energy"), "50", 180e3),
    ((*MOTION, "lowest_speed"), "30", math.pi),
    ((*MOTION, "speed_ripple"), "2", 0.02),
    ((*MOTION, "position_accuracy"), "6 arcmin", math.radians(0.1)),
    ((*MOTION, "loop_bandwidth"), "25", 25.0),
    ((*MOTION, "edges_per_bandwidth"), "20", 20.0),
    ((*MOTION, "start_torque_share"), "50", 0.5),
    (("requirements", "holding_factor"), "1.5", 1.5),
    (("requirements", "largest_drop"), "2", math.radians(2.0)),
    (("requirements", "largest_ripple"), "30", 0.3),
    (("requirements", "targets", "supply"), "5", 0.05),
    (("requirements", "targets", "ripple"), "5", 0.05),
    (("requirements", "targets", "feedback"), "5", 0.05),
    (("requirements", "targets", "brake"), "5", 0.05),
    (("requirements", "targets", "bearing"), "5", 0.05),
]


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def fields(window: MainWindow, place: tuple[str, ...]) -> ApplicationGroup:
    """Return the group that holds a field, opened."""
    panel = window.bench.inputs
    outer, inner = (
        (panel.what_feeds_it, panel.supply_more)
        if place[0] == "supply"
        else (panel.what_it_must_meet, panel.motion)
    )
    for group in (outer, inner):
        group.set_open(True)
    return outer if place in outer.inputs else inner


def number(window: MainWindow, place: tuple[str, ...]) -> QuantityInput:
    editor = fields(window, place).inputs[place]
    assert isinstance(editor, QuantityInput)
    return editor


def mark(window: MainWindow, place: tuple[str, ...]) -> str:
    label = fields(window, place).marks[place]
    return "" if label.isHidden() else label.text()


def choose(window: MainWindow, words: str) -> None:
    editor = fields(window, CABLE).inputs[CABLE]
    assert isinstance(editor, ChoiceInput)
    row = editor.findText(words)
    editor.setCurrentIndex(row)
    editor.activated.emit(row)


def cable_of(window: MainWindow) -> Cable | None:
    return window.document.project.application.supply.cable


@pytest.mark.parametrize(("place", "text", "value"), FIGURES)
def test_a_typed_figure_is_one_undo_step(
    window: MainWindow, place: tuple[str, ...], text: str, value: float
) -> None:
    before, editor = window.document.project, number(window, place)
    type_into(editor.line, text)
    assert edits.part_at(window.document.project.application, place) == pytest.approx(value)
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before
    assert editor.value() == edits.part_at(before.application, place)


def test_a_voltage_that_contradicts_another_is_marked_beside_its_field(window: MainWindow) -> None:
    lowest, nominal, highest = (("supply", f"{name}_voltage") for name in ("lowest", "nominal", "highest"))
    for place, text in ((lowest, "22"), (nominal, "24"), (highest, "26")):
        type_into(number(window, place).line, text)
    assert [mark(window, place) for place in (lowest, highest)] == ["", ""]
    type_into(number(window, lowest).line, "25")
    assert mark(window, lowest) == "above the nominal voltage: one cannot be right"
    assert mark(window, highest) == ""
    type_into(number(window, lowest).line, "27")
    assert mark(window, lowest) == "above the nominal and the highest voltage: one cannot be right"
    assert mark(window, highest) == "below the lowest voltage: one cannot be right"
    type_into(number(window, highest).line, "28")
    assert mark(window, lowest) == "above the nominal voltage: one cannot be right"
    assert mark(window, highest) == ""


def test_a_cable_to_the_source_brings_its_fields(window: MainWindow) -> None:
    before = window.document.project
    length, section, gauge = ((*CABLE, name) for name in ("length", "section", "gauge"))
    assert not number(window, length).isVisible()
    choose(window, "by cross-section")
    assert number(window, section).isVisible()
    assert not number(window, gauge).isVisible()
    type_into(number(window, length).line, "3 m")
    type_into(number(window, section).line, "1,5")
    assert cable_of(window) == Cable(length=3.0, section=1.5)
    choose(window, "by wire gauge")
    type_into(number(window, gauge).line, "12")
    assert cable_of(window) == Cable(length=3.0, gauge=12)
    choose(window, "none")
    assert cable_of(window) is None
    while window.document.undo_stack.canUndo():
        window.document.undo_stack.undo()
    assert window.document.project == before


@pytest.mark.parametrize(
    ("text", "reason"), [("14.5", "whole number"), ("99", "between -3"), ("thin", "'thin'")]
)
def test_a_gauge_that_cannot_be_is_refused_and_kept(window: MainWindow, text: str, reason: str) -> None:
    choose(window, "by wire gauge")
    before, editor = window.document.project, number(window, (*CABLE, "gauge"))
    type_into(editor.line, text)
    assert window.document.project is before
    assert reason in editor.message.text()
    assert editor.line.text() == text


def test_a_clamp_asks_for_its_resistor(window: MainWindow) -> None:
    resistor, power = ("supply", "clamp_resistance"), ("supply", "clamp_power")
    assert not number(window, resistor).isVisible()
    type_into(number(window, ("supply", "clamp_voltage")).line, "40")
    assert mark(window, resistor) == "missing: bus voltage on braking is not checked"
    type_into(number(window, resistor).line, "10")
    type_into(number(window, power).line, "50")
    assert mark(window, resistor) == mark(window, power) == ""
    supply = window.document.project.application.supply
    assert (supply.clamp_voltage, supply.clamp_resistance, supply.clamp_power) == (40.0, 10.0, 50.0)


def test_what_nobody_entered_is_marked_as_assumed(window: MainWindow) -> None:
    factor = ("requirements", "holding_factor")
    assert mark(window, factor) == "assumed: common practice"
    type_into(number(window, factor).line, "1.5")
    assert mark(window, factor) == ""
    assert mark(window, (*MOTION, "edges_per_bandwidth")) == "assumed: common practice"
    type_into(number(window, ("supply", "source_resistance")).line, "0")
    assert mark(window, ("supply", "source_resistance")) == "assumed: source without resistance"


def test_folded_groups_are_summed_up(window: MainWindow) -> None:
    panel = window.bench.inputs
    assert panel.supply_more.summary.text() == "no cable, no clamp"
    assert panel.motion.summary.text() == "nothing asked of the motion"
    place = (*MOTION, "lowest_speed")
    window.document.edit(edits.change_application_part(window.document.project, place, math.pi), "Ask")
    assert panel.motion.summary.text().replace("\xa0", " ") == "lowest speed 30.0 rpm"
    assert not panel.motion.is_filled
