"""Display units: presets, the window behind follows while one chooses, and Cancel puts back what was."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from app import units_dialog
from app.main_window import MainWindow
from app.units_dialog import UnitsDialog
from core.unit_presets import PRESETS
from core.units import DisplayUnits, Kind
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def test_a_preset_fills_all_lists_and_is_marked(qtbot: QtBot) -> None:
    dialog = UnitsDialog(DisplayUnits())
    qtbot.addWidget(dialog)
    assert dialog.presets["Drive engineer"].isChecked()
    dialog.presets["Inch and ounce"].click()
    assert dialog.chosen() == PRESETS["Inch and ounce"]
    assert dialog.lists[Kind.TORQUE].currentText() == "ozf·in"
    assert "77.00" in dialog.example.text()
    dialog.lists[Kind.TORQUE].setCurrentText("N·cm")
    assert not any(button.isChecked() for button in dialog.presets.values())


@pytest.mark.parametrize("accepted", [True, False])
def test_the_window_follows_and_cancel_puts_back(
    window: MainWindow, monkeypatch: pytest.MonkeyPatch, accepted: bool
) -> None:
    before, seen = window.preferences.display_units, []

    def choose(dialog: UnitsDialog) -> int:
        dialog.presets["SI as calculated"].click()
        seen.append(window.bench.inputs.what_moves.facts.text())
        answer = QDialog.DialogCode.Accepted if accepted else QDialog.DialogCode.Rejected
        return int(answer.value)

    monkeypatch.setattr(units_dialog.UnitsDialog, "exec", choose)
    window.choose_units()
    assert "0.117" in seen[0]  # the sample's largest torque, 117 mN·m, in N·m
    wanted = PRESETS["SI as calculated"] if accepted else before
    assert window.preferences.display_units == wanted
