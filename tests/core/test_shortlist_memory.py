"""What parts mean is kept by their identity, and the older half is forgotten when there is too much."""

from __future__ import annotations

from functools import partial

from core.project.drive import Drive
from core.shortlist.batch.memory import Memory


def test_the_same_part_is_asked_for_once_and_an_equal_one_again() -> None:
    memory: Memory[int] = Memory(10)
    asked: list[Drive] = []

    def answer(drive: Drive) -> int:
        def make() -> int:
            asked.append(drive)
            return len(asked)

        return memory.get((drive, 1.5, "word"), make)

    one, equal = Drive(name="a"), Drive(name="a")
    assert [answer(one), answer(one), answer(equal), answer(one)] == [1, 1, 2, 1]
    assert asked == [one, equal]


def test_numbers_and_words_are_told_apart_by_value() -> None:
    memory: Memory[str] = Memory(10)
    assert memory.get((1.5, "x"), lambda: "first") == "first"
    assert memory.get((3.0 / 2.0, "x"), lambda: "second") == "first"
    assert memory.get((1.5, "y"), lambda: "third") == "third"


def test_the_older_half_is_forgotten_and_the_newer_kept() -> None:
    memory: Memory[int] = Memory(4)
    parts = [Drive(name=f"{k}") for k in range(5)]
    for part in parts:
        memory.get((part,), partial(int, part.name))
    made = [memory.get((part,), lambda: -1) for part in parts[2:]]
    assert made == [2, 3, 4]
    assert memory.get((parts[0],), lambda: -1) == -1
