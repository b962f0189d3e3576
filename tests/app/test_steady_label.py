"""Running text that is held: nothing is laid out for a new number, but for another row there is room."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.widgets.steady_label import SteadyLabel

_LONG = "Housing reaches 66.0 °C at 40 °C ambient, which is more than a hand can bear for long."


class _Asked(QObject):
    """Counts how often a layout is asked for."""

    def __init__(self, watched: QWidget) -> None:
        super().__init__(watched)
        self.times = 0
        watched.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        self.times += event.type() is QEvent.Type.LayoutRequest
        return False


def _shown(qtbot: QtBot) -> tuple[QWidget, SteadyLabel, _Asked]:
    around, label = QWidget(), SteadyLabel(_LONG)
    qtbot.addWidget(around)
    column = QVBoxLayout(around)
    column.addWidget(label)
    column.addStretch(1)
    around.resize(220, 300)
    with qtbot.waitExposed(around):
        around.show()
    QApplication.processEvents()
    return around, label, _Asked(around)


def test_a_new_number_lays_nothing_out_while_it_is_held(qtbot: QtBot) -> None:
    _, label, asked = _shown(qtbot)
    label.setText(_LONG.replace("66.0", "67.1"))
    QApplication.processEvents()
    assert asked.times > 0  # as any label does
    label.hold(True)
    QApplication.processEvents()
    asked.times = 0
    label.setText(_LONG.replace("66.0", "68.2"))
    QApplication.processEvents()
    assert asked.times == 0
    assert "68.2" in label.text()


def test_another_row_has_its_room_even_while_it_is_held(qtbot: QtBot) -> None:
    _, label, asked = _shown(qtbot)
    label.hold(True)
    before = label.height()
    label.setText(f"{_LONG} {_LONG}")
    QApplication.processEvents()
    assert asked.times > 0
    assert label.height() >= label.heightForWidth(label.width()) > before


def test_it_follows_the_window_again_when_it_is_let_go(qtbot: QtBot) -> None:
    around, label, _ = _shown(qtbot)
    label.hold(True)
    label.hold(False)
    around.resize(420, 300)
    QApplication.processEvents()
    assert label.width() > 220
