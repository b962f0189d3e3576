"""The transmission of each candidate in the window: chosen, edited, marked where it is assumed or missing."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.files import SAMPLE_FOLDER
from app.inputs.candidate_group import CandidateGroup
from app.inputs.editors import QuantityInput, TextInput
from app.inputs.part_input import PartInput
from app.inputs.transmission_rows import ANY_RATIO, DIRECT, OWN, read_ratios
from app.main_window import MainWindow
from core.errors import AmpturnError
from core.project import edits
from core.project.transmission import Transmission
from core.units import Kind
from tests.app.whole_window import open_window, type_into

PART, RATIOS = "To the load", "Ratios to have"


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    window = open_window(qtbot)[0]
    window.files.open_sample(SAMPLE_FOLDER / "tide_pool_winch.json")
    group(window).set_open(True)
    return window


def group(window: MainWindow) -> CandidateGroup:
    return window.bench.inputs.what_drives_it.transmission


def gear(window: MainWindow, index: int = 0) -> Transmission:
    found = window.document.project.candidates[index].transmission
    assert found is not None
    return found


def number(window: MainWindow, label: str, index: int = 0) -> QuantityInput:
    editor = group(window).columns[index][label]
    assert isinstance(editor, QuantityInput)
    return editor


def words(window: MainWindow, label: str, index: int = 0) -> TextInput:
    editor = group(window).columns[index][label]
    assert isinstance(editor, TextInput)
    return editor


def choose(window: MainWindow, geared: bool, index: int = 0) -> None:
    pick(window, gear_before(window, index) if geared else DIRECT, index)


def pick(window: MainWindow, words: str, index: int = 0) -> None:
    """Pick a transmission by its words in the list."""
    editor = parts(window, index)
    row = editor.findText(words)
    assert row >= 0, [editor.itemText(i) for i in range(editor.count())]
    editor.setCurrentIndex(row)
    editor.activated.emit(row)


def parts(window: MainWindow, index: int = 0) -> PartInput:
    editor = group(window).columns[index][PART]
    assert isinstance(editor, PartInput)
    return editor


def gear_before(window: MainWindow, index: int) -> str:
    """Return the words of what the candidate had before it drove directly, or of one's own figures."""
    editor = parts(window, index)
    texts = [editor.itemText(i) for i in range(editor.count())]
    return next((text for text in texts if text.endswith("(as before)")), OWN)


def mark(window: MainWindow, label: str) -> str:
    return group(window).mark(label)


@pytest.mark.parametrize(
    ("label", "field", "text", "value"),
    [
        ("Ratio, to 1", "ratio", "25", 25.0),
        ("Efficiency", "efficiency", "120 %", None),
        ("Efficiency", "efficiency", "90", 0.9),
        ("Driven back", "back_driving_efficiency", "70 %", 0.7),
        ("Drag, input", "drag_torque", "2 mN*m", 0.002),
        ("Inertia, input", "input_inertia", "3 kg*mm^2", 3e-6),
        ("Backlash", "backlash", "60 arcmin", 0.017453292519943295),
        ("Cont. torque", "continuous_torque", "1500 mN*m", 1.5),
        ("Peak torque", "intermittent_torque", "4", 4.0),
        ("Input speed", "largest_input_speed", "100 rev/s", 628.3185307179587),
    ],
)
def test_a_figure_of_one_candidate_is_one_undo_step(
    window: MainWindow, label: str, field: str, text: str, value: float | None
) -> None:
    before = window.document.project
    type_into(number(window, label).line, text)
    if value is None:
        assert window.document.project is before
        assert mark(window, label).startswith("A: ")
        return
    assert getattr(gear(window), field) == pytest.approx(value, rel=1e-12)
    assert gear(window, 1) == before.candidates[1].transmission
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_direct_drive_keeps_the_transmission_in_mind(window: MainWindow) -> None:
    type_into(number(window, "Ratio, to 1").line, "25")  # so that it is one's own, which no shelf has
    kept = gear(window)
    choose(window, geared=False)
    assert window.document.project.candidates[0].transmission is None
    assert not number(window, "Ratio, to 1").isVisible()
    assert number(window, "Ratio, to 1", 1).isVisible()
    choose(window, geared=True)
    assert gear(window) == kept
    assert number(window, "Ratio, to 1").isVisible()
    assert window.document.undo_stack.count() == 3


def test_while_all_drive_directly_only_the_choice_is_asked(window: MainWindow) -> None:
    for index in (0, 1):
        choose(window, geared=False, index=index)
    assert group(window).summary.text() == "direct drive"
    assert group(window).columns[0][PART].isVisible()
    assert not any(group(window).columns[i]["Name"].isVisible() for i in (0, 1))
    assert mark(window, "Driven back") == ""


def test_a_perfect_gear_is_marked_as_assumed(window: MainWindow) -> None:
    window.document.edit(
        edits.change_candidate(window.document.project, 0, transmission=Transmission(ratio=5.0)), "Take"
    )
    assert mark(window, "Efficiency") == "A: assumed: no loss"
    assert mark(window, "Driven back") == "A: assumed: 2 − 1/efficiency"
    assert mark(window, "Peak torque") == "A: missing: peak torque at the load is not checked"
    type_into(number(window, "Efficiency").line, "85")
    assert mark(window, "Efficiency") == ""


def test_a_ratio_that_was_never_entered_is_marked_as_assumed(window: MainWindow) -> None:
    choose(window, geared=False)
    window.document.open(window.document.project)  # what it had before is forgotten with the document
    choose(window, geared=True)
    assert gear(window) == Transmission()
    assert mark(window, "Ratio, to 1") == "A: assumed: load and motor turn alike"
    type_into(number(window, "Ratio, to 1").line, "7")
    assert mark(window, "Ratio, to 1") == ""


def test_ratios_are_typed_as_a_list(window: MainWindow) -> None:
    editor = words(window, RATIOS)
    assert editor.text() == "9; 14; 18; 25; 36"
    type_into(editor, "40; 12,5 20")
    assert gear(window).available_ratios == (12.5, 20.0, 40.0)
    assert words(window, RATIOS).text() == "12.5; 20; 40"
    type_into(editor, "12; -3")
    assert gear(window).available_ratios == (12.5, 20.0, 40.0)
    assert mark(window, RATIOS) == "A: -3 is no ratio: write numbers above 0, as 9; 14; 25, or any"
    type_into(editor, ANY_RATIO)
    assert gear(window).available_ratios == ()


@pytest.mark.parametrize("text", ["abc", "0", "5 mm", "1,234", "5;;x"])
def test_what_is_no_ratio_is_refused(text: str) -> None:
    with pytest.raises(AmpturnError):
        read_ratios(text)


def test_what_differs_is_seen_and_summed_up(window: MainWindow) -> None:
    type_into(number(window, "Ratio, to 1", 1).line, "25")
    summed = group(window).summary.text().replace("\xa0", " ")
    assert summed == "A 18.0 : 1, efficiency 82.0 %; B 25.0 : 1, efficiency 82.0 %"
    window.recompute.run_now()
    result = window.recompute.result
    assert result is not None
    speeds = [abs(one.duty.speed).max() for one in result.candidates if one.duty is not None]
    assert speeds[1] / speeds[0] == pytest.approx(25.0 / 18.0)


def test_candidates_come_and_go(window: MainWindow) -> None:
    window.document.edit(edits.remove_candidate(window.document.project, 1), "Remove")
    assert len(group(window).columns) == 1
    window.document.undo_stack.undo()
    assert len(group(window).columns) == 2
    type_into(number(window, "Ratio, to 1", 1).line, "9")
    assert gear(window, 1).ratio == 9.0


def test_units_and_read_only_reach_the_fields(window: MainWindow) -> None:
    units = window.preferences.display_units
    window.preferences.display_units = units.with_units({Kind.LOAD_TORQUE: "mN*m"})
    assert number(window, "Cont. torque").line.text() == "1400"
    window.document.open(window.document.project, "from a newer version")
    assert number(window, "Ratio, to 1").line.isReadOnly()
    assert not group(window).columns[0][PART].isEnabled()


def test_text_typed_for_a_candidate_that_goes_is_dropped(window: MainWindow) -> None:
    type_into(number(window, "Ratio, to 1", 1).line, "99", then_enter=False)
    window.document.edit(edits.remove_candidate(window.document.project, 1), "Remove")
    assert gear(window).ratio == 18.0
