"""Frozen records against what the standard library makes of the same class."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from collections.abc import Callable
from dataclasses import field
from typing import Any

import pytest

from core.records import dataclass

Decorator = Callable[[type], type]
BOTH: tuple[Decorator, Decorator] = (
    dataclass(frozen=True, slots=True),
    dataclasses.dataclass(frozen=True, slots=True),
)


def made_by(decorator: Decorator) -> Any:
    """Return a class with every kind of field that records use."""

    class Part:
        """A part."""

        name: str
        length: float = 1.0
        marks: list[int] = field(default_factory=list)
        doubled: float = field(init=False, repr=False)
        hidden: str = field(default="as ever", init=False)
        note: str = field(default="", compare=False)

        def __post_init__(self) -> None:
            object.__setattr__(self, "doubled", 2.0 * self.length)

    return decorator(Part)


@dataclass(frozen=True, slots=True)
class Point:
    """A record at the top of a module, where pickling finds it."""

    x: float
    y: float = 0.0


@dataclass(frozen=True, slots=True)
class Empty:
    """A record without fields."""


CALLS: dict[str, Callable[[Any], object]] = {
    "what is made": lambda part: dataclasses.astuple(part("a", 2.0)),
    "by keyword": lambda part: dataclasses.astuple(part(name="a", marks=[1], note="n")),
    "shown": lambda part: repr(part("a", 2.0)),
    "as a dictionary": lambda part: dataclasses.asdict(part("a")),
    "parameters": lambda part: [
        (p.name, p.kind, p.default is inspect.Parameter.empty)
        for p in inspect.signature(part).parameters.values()
    ],
    "fields": lambda part: [(f.name, f.type, f.init, f.repr) for f in dataclasses.fields(part)],
    "slots": lambda part: part.__slots__,
    "names to match": lambda part: part.__match_args__,
    "equal": lambda part: part("a") == part("a"),
    "a note does not count": lambda part: part("a", note="n") == part("a"),
    "not equal": lambda part: part("a") == part("a", 3.0),
    "not equal to something else": lambda part: part("a") == ("a", 1.0),
    "replaced": lambda part: dataclasses.astuple(dataclasses.replace(part("a"), length=5.0)),
    "has no dictionary": lambda part: hasattr(part("a"), "__dict__"),
    "lists are not shared": lambda part: part("a").marks is part("a").marks,
    "copied": lambda part: copy.copy(part("a", 2.0)).doubled,
}


@pytest.mark.parametrize("call", CALLS.values(), ids=CALLS)
def test_as_the_standard_library_has_it(call: Callable[[Any], object]) -> None:
    ours, theirs = (call(made_by(decorator)) for decorator in BOTH)
    assert ours == theirs


REFUSED: dict[str, Callable[[Any], object]] = {
    "assignment": lambda part: setattr(part("a"), "name", "b"),
    "deletion": lambda part: delattr(part("a"), "name"),
    "a parameter missing": lambda part: part(),
    "a parameter too much": lambda part: part("a", colour="red"),
    "a list has no hash": lambda part: hash(part("a")),
    "a field that is not given": lambda part: dataclasses.replace(part("a"), hidden="b"),
}


@pytest.mark.parametrize("call", REFUSED.values(), ids=REFUSED)
def test_refuses_what_the_standard_library_refuses(call: Callable[[Any], object]) -> None:
    errors = []
    for decorator in BOTH:
        with pytest.raises(Exception) as caught:  # noqa: PT011 - the kinds are compared below
            call(made_by(decorator))
        errors.append((caught.type, str(caught.value).rpartition("Part.")[2]))
    assert errors[0][1] == errors[1][1]
    assert errors[0][0] is errors[1][0]


def test_refuses_a_new_attribute() -> None:
    """The standard library refuses it too, by a defect of its own with another error."""
    with pytest.raises(dataclasses.FrozenInstanceError, match="colour"):
        Point(1.0).colour = "red"  # type: ignore[attr-defined]


def test_hash_and_copies() -> None:
    point = Point(1.0, 2.0)
    assert len({point, Point(1.0, 2.0), Point(1.0)}) == 2
    assert pickle.loads(pickle.dumps(point)) == copy.deepcopy(point) == point
    assert Empty() == Empty()
    assert repr(Empty()) == "Empty()"
    assert len({Empty(), Empty()}) == 1


def test_matches_by_position() -> None:
    match Point(1.0, 2.0):
        case Point(x, y):
            assert (x, y) == (1.0, 2.0)


def test_a_method_of_the_class_is_kept() -> None:
    @dataclass(frozen=True, slots=True)
    class Loud:
        """Shows itself in its own way."""

        name: str

        def __repr__(self) -> str:
            return self.name.upper()

    assert repr(Loud("here")) == "HERE"


def test_other_options_are_those_of_the_standard_library() -> None:
    @dataclass(slots=True)
    class Count:
        """Counts."""

        number: int = 0

    count = Count()
    count.number += 1
    assert count == Count(1)
