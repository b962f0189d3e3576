"""Where it sits: a mounting or surroundings bring their fields, and each value reaches the project."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.inputs.editors import ChoiceInput, QuantityInput
from app.main_window import MainWindow
from core.project import edits
from core.project.mounting import Box, Guard
from tests.app.whole_window import open_window, type_into

MOUNTING, AROUND = ("site", "mounting"), ("site", "around")

# (choice, way, field, typed, SI value by hand)
TYPED = [
    (MOUNTING, "resistance", "housing_ambient_resistance", "5,5", 5.5),
    (MOUNTING, "plate", "plate.side", "6 in", 0.1524),
    (MOUNTING, "plate", "plate.conductivity", "0.2", 0.2),
    (MOUNTING, "plate", "plate.joint_resistance", "3 K*cm²/W", 3e-4),
    (MOUNTING, "bracket", "bracket.section", "2 cm²", 2e-4),
    (MOUNTING, "bracket", "bracket.emissivity", "0.1", 0.1),
    (AROUND, "guard", "open_share", "25", 0.25),
    (AROUND, "guard", "clearance", "8", 0.008),
    (AROUND, "guard", "emissivity", "0.3", 0.3),
    (AROUND, "box", "width", "40 cm", 0.4),
    (AROUND, "box", "wall_conductivity", "160", 160.0),
    (AROUND, "box", "other_heat", "5000 mW", 5.0),
]


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    window = open_window(qtbot)[0]
    window.bench.inputs.where_it_sits.set_open(True)
    return window


def choose(window: MainWindow, place: tuple[str, ...], way: str) -> None:
    choice = window.bench.inputs.where_it_sits.inputs[place]
    assert isinstance(choice, ChoiceInput)
    index = choice.findData(way)
    assert index >= 0
    choice.setCurrentIndex(index)
    choice.activated.emit(index)


def field(window: MainWindow, *place: str) -> QuantityInput:
    editor = window.bench.inputs.where_it_sits.inputs[place]
    assert isinstance(editor, QuantityInput)
    return editor


def on_show(window: MainWindow) -> set[str]:
    """Return the last names of the conditional fields that can be seen."""
    group = window.bench.inputs.where_it_sits
    places = (place for place in group.inputs if place[:2] in (MOUNTING, AROUND) and len(place) > 2)
    return {place[-1] for place in places if group.inputs[place].isVisible()} - {"name"}


@pytest.mark.parametrize(("choice", "way", "name", "text", "value"), TYPED)
def test_typed_figure_of_a_way_reaches_the_project_and_undo_takes_it_back(
    window: MainWindow, choice: tuple[str, ...], way: str, name: str, text: str, value: float
) -> None:
    before = window.document.project
    choose(window, choice, way)
    chosen = window.document.project
    place = (*choice, *name.split("."))
    type_into(field(window, *place).line, text)
    assert edits.part_at(window.document.project.application, place) == pytest.approx(value, rel=1e-12)
    assert window.document.undo_stack.count() == 2
    window.document.undo_stack.undo()
    assert window.document.project == chosen
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_only_the_fields_of_the_chosen_way_are_on_show(window: MainWindow) -> None:
    assert on_show(window) == set()
    plate = {"side", "thickness", "conductivity", "emissivity", "joint_resistance"}
    choose(window, MOUNTING, "plate")
    assert on_show(window) == plate
    choose(window, AROUND, "guard")
    assert on_show(window) == plate | {"open_share", "clearance", "emissivity"}
    choose(window, MOUNTING, "insulated")
    assert on_show(window) == {"open_share", "clearance", "emissivity"}
    assert window.document.project.application.site.mounting.insulated
    choose(window, AROUND, "free")
    choose(window, MOUNTING, "as stated")
    assert on_show(window) == set()
    assert window.document.project.application.site.around is None
    assert window.document.project.application.site.mounting.as_stated


def test_choosing_starts_with_figures_that_the_file_takes(window: MainWindow) -> None:
    choose(window, AROUND, "guard")
    assert isinstance(window.document.project.application.site.around, Guard)
    choose(window, AROUND, "box")
    box = window.document.project.application.site.around
    assert isinstance(box, Box)
    assert field(window, *AROUND, "width").value() == box.width
    assert window.document.undo_stack.undoText() == "Set standing to in a box"


def test_mounting_takes_the_name_of_its_way_unless_it_has_its_own(window: MainWindow) -> None:
    site = window.document.project.application.site
    own = edits.change_application_part(window.document.project, (*MOUNTING, "name"), "my rig")
    window.document.edit(own, "name it")
    choose(window, MOUNTING, "plate")
    assert window.document.project.application.site.mounting.name == "my rig"
    choose(window, MOUNTING, "as stated")
    assert window.document.project.application.site.mounting.name == "my rig"
    assert site.mounting.as_stated


def test_resistance_taken_away_is_the_mounting_of_the_data_sheet(window: MainWindow) -> None:
    choose(window, MOUNTING, "resistance")
    type_into(field(window, *MOUNTING, "housing_ambient_resistance").line, "")
    assert window.document.project.application.site.mounting.as_stated
    assert on_show(window) == set()


def test_text_typed_into_a_field_that_goes_is_not_taken(window: MainWindow) -> None:
    choose(window, AROUND, "box")
    type_into(field(window, *AROUND, "width").line, "7", then_enter=False)
    choose(window, AROUND, "guard")
    guarded = window.document.project
    window.setFocus()
    assert window.document.project is guarded


def test_summary_says_how_high_and_behind_what(window: MainWindow) -> None:
    choose(window, AROUND, "box")
    type_into(field(window, "site", "altitude").line, "2 km")
    text = window.bench.inputs.where_it_sits.summary.text().replace("\N{NO-BREAK SPACE}", " ")
    assert "2000 m up" in text
    assert "in a box" in text
    air = window.bench.inputs.where_it_sits.inputs["site", "air"]
    assert isinstance(air, ChoiceInput)
    air.activated.emit(air.findData("vacuum"))
    text = window.bench.inputs.where_it_sits.summary.text()
    assert "vacuum" in text
    assert " up" not in text


def test_a_lowest_ambient_above_the_highest_is_marked_beside_its_field(window: MainWindow) -> None:
    mark = window.bench.inputs.where_it_sits.marks["site", "lowest_ambient"]
    type_into(field(window, "site", "ambient").line, "40")
    type_into(field(window, "site", "lowest_ambient").line, "45")
    assert mark.text() == "above the highest ambient: one cannot be right"
    type_into(field(window, "site", "lowest_ambient").line, "-5")
    assert mark.isHidden()
