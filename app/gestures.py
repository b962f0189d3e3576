"""What mouse and keys do in the views: the modifiers that views ask for, and the list that Help shows.

Commands of the menus are not in it: the list of keys takes them from the actions themselves.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt

from core.records import dataclass

KEEP_DIRECTION: Final = Qt.KeyboardModifier.ShiftModifier
ROUND_VALUES: Final = Qt.KeyboardModifier.ControlModifier
LARGE_STEPS: Final = Qt.KeyboardModifier.ShiftModifier

CHIP_KEYS: Final[dict[str, str]] = {
    "F2": "rename",
    "Del": "remove",
    "Ctrl+Left": "move left",
    "Ctrl+Right": "move right",
    "Ctrl+D": "duplicate",
}

CHARTS: Final = "In a chart"
POINTS: Final = "On a point, level, corner or edge"
FIELDS: Final = "In a field with a number"
CANDIDATES: Final = "On a candidate in the head of the window"
LISTS: Final = "In margins, findings and the flow of heat"
TABLE: Final = "In the segment table"
PANES: Final = "Between panes"
EVERYWHERE: Final = "Everywhere"


@dataclass(frozen=True, slots=True)
class Gesture:
    """Where it is done, by which keys or movement of the hand, and what it does."""

    where: str
    how: str
    what: str


def _name(modifier: Qt.KeyboardModifier) -> str:
    return {Qt.KeyboardModifier.ShiftModifier: "Shift", Qt.KeyboardModifier.ControlModifier: "Ctrl"}[modifier]


GESTURES: Final = (
    Gesture(POINTS, "drag", "change it; everything follows"),
    Gesture(POINTS, f"{_name(KEEP_DIRECTION)} while dragging", "keep to the direction that moved more"),
    Gesture(POINTS, f"{_name(ROUND_VALUES)} while dragging", "stop at round values"),
    Gesture(POINTS, "Escape while dragging", "put it back"),
    Gesture(POINTS, "double click", "type its value in the segment table"),
    Gesture(CHARTS, "Tab", "go to the next point, then on to the next pane"),
    Gesture(CHARTS, "arrow keys", "change the point that was gone to by a small step"),
    Gesture(CHARTS, f"{_name(LARGE_STEPS)} with arrow keys", "change it by ten steps"),
    Gesture(CHARTS, "wheel, or two fingers apart", "show more or less, about the cursor"),
    Gesture(CHARTS, "drag beside the points, or with the middle button", "move about in a chart"),
    Gesture(CHARTS, "double click beside the points, or Home", "show all of it again"),
    Gesture(CHARTS, "rest on it", "show what is there, with its values"),
    Gesture(FIELDS, "Return", "take what was typed, in any unit"),
    Gesture(FIELDS, "Escape", "put back what was there"),
    Gesture(FIELDS, "Up, Down", "change the second digit by one"),
    Gesture(FIELDS, f"{_name(LARGE_STEPS)} with Up, Down", "change it by ten"),
    Gesture(FIELDS, "drag the unit sideways", "change the value step by step"),
    *(Gesture(CANDIDATES, key, words) for key, words in CHIP_KEYS.items()),
    Gesture(CANDIDATES, "click", "choose it"),
    Gesture(CANDIDATES, "double click", "rename it"),
    Gesture(CANDIDATES, "drag sideways", "put it in another place"),
    Gesture(CANDIDATES, "right click", "list what can be done with it"),
    Gesture(LISTS, "Return, Space or click", "open what is selected"),
    Gesture(LISTS, "Escape", "close it again"),
    Gesture(TABLE, "Return", "take the cell and go to the one below"),
    Gesture(TABLE, "Tab", "go to the next cell, from the last one out of the table"),
    Gesture(TABLE, "right click", "list what can be done with the rows"),
    Gesture(PANES, "drag", "share the room"),
    Gesture(PANES, "double click", "take the usual shares"),
    Gesture(EVERYWHERE, "drop a file on the window", "open a project, a sheet or a measured trace"),
    Gesture(EVERYWHERE, "Tab, Shift with Tab", "go to the next control, or to the one before"),
)
