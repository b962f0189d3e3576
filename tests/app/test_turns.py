"""Views that are read: one of them has each result of a drag, all have the last."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from app.document import ProjectDocument
from app.turns import Turns
from core.results import Result
from tests.app.synthetic_result import project, result


class _Reader:
    """Keeps what it was shown."""

    def __init__(self) -> None:
        self.seen: list[Result] = []

    def show(self, shown: Result) -> None:
        self.seen.append(shown)


def _desk() -> tuple[ProjectDocument, Turns, _Reader, _Reader]:
    document = ProjectDocument(project())
    return document, Turns(document, document), _Reader(), _Reader()


def test_outside_a_gesture_everybody_sees_everything(qtbot: QtBot) -> None:
    _, turns, one, other = _desk()
    first, second = result(), result(shift=1.0)
    for shown in (first, second):
        turns.show(shown, (one.show, other.show))
    assert one.seen == other.seen == [first, second]


def test_in_a_gesture_they_take_turns_and_its_end_is_for_all(qtbot: QtBot) -> None:
    document, turns, one, other = _desk()
    results = [result(shift=float(k)) for k in range(5)]
    document.begin_gesture()
    for shown in results[:4]:
        turns.show(shown, (one.show, other.show))
    assert one.seen == [results[0], results[2]]
    assert other.seen == [results[1], results[3]]
    document.end_gesture()
    turns.show(results[4], (one.show, other.show))
    assert one.seen[-1] is other.seen[-1] is results[4]
    assert len(one.seen) == len(other.seen) == 3


def test_when_the_hand_rests_the_one_who_waited_sees_the_newest(qtbot: QtBot) -> None:
    document, turns, one, other = _desk()
    document.begin_gesture()
    first, second, third = (result(shift=float(k)) for k in range(3))
    for shown in (first, second, third):
        turns.show(shown, (one.show, other.show))
    assert other.seen == [second]
    qtbot.waitUntil(lambda: other.seen == [second, third], timeout=2000)
    assert one.seen == [first, third]
    turns.catch_up()
    assert other.seen == [second, third]  # nobody sees a result twice
