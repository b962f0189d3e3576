"""One grammar wherever a number is typed: a field, the segment table, a paste; refused in place."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.inputs.editors import QuantityInput
from app.main_window import MainWindow
from app.table_models.segment_model import COLUMNS
from core.segment_paste import PasteError, read_segments
from core.units import DisplayUnits
from tests.app.whole_window import open_window, type_into

FIELDS = (
    (("site", "ambient"), "40 deg", "does not say which degree"),
    (("site", "ambient"), "1,234", "ambiguous"),
    (("site", "altitude"), "5 ms", "is a unit of time, not of altitude"),
    (("supply", "lowest_voltage"), "24 v", "is V meant"),
    (("supply", "source_resistance"), "4k7", "accepted: Ω"),
)
TORQUES = (
    ("12 mN", "is a unit of force, not of torque"),
    ("3 kg·cm", "write kgf·cm"),
    ("3 oz", "is a mass"),
    ("5 oz·in²", "is a unit of moment of inertia"),
    ("1.234,5", "thousands separators"),
)


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


@pytest.mark.parametrize(("place", "typed", "said"), FIELDS)
def test_a_field_keeps_the_text_and_says_why(
    window: MainWindow, place: tuple[str, str], typed: str, said: str
) -> None:
    before = window.document.project
    groups = (window.bench.inputs.where_it_sits, window.bench.inputs.what_feeds_it)
    editor = next(group.inputs[place] for group in groups if place in group.inputs)
    assert isinstance(editor, QuantityInput)
    type_into(editor.line, typed)
    assert window.document.project is before
    assert editor.line.text() == typed
    assert said in editor.message.text()
    assert editor.message.isVisible()
    assert said in editor.line.accessibleDescription()


@pytest.mark.parametrize(("typed", "said"), TORQUES)
def test_a_cell_of_the_segment_table_says_the_same(window: MainWindow, typed: str, said: str) -> None:
    before = window.document.project
    model = window.bench.table.model
    column = next(i for i, one in enumerate(COLUMNS) if one.field == "shaft_torque")
    assert not model.setData(model.index(0, column), typed, Qt.ItemDataRole.EditRole)
    assert window.document.project is before
    assert said in window.bench.table.refusal.text()


@pytest.mark.parametrize(("typed", "said"), TORQUES)
def test_a_paste_says_the_same_with_the_place(typed: str, said: str) -> None:
    with pytest.raises(PasteError, match=r"row 2.*column 2") as refused:
        read_segments(f"1 s\t5 mN·m\t0\t0\n1 s\t{typed}\t0\t0", DisplayUnits())
    assert said in str(refused.value)
