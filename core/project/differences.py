"""In which inputs the candidates of a project differ, field by field and in words.

The candidates are walked field by field, so that an input that is added later cannot be left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import msgspec

from core.project.project import Project
from core.project.saved import Saved
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.sheet.field_kinds import in_si, kind_of_field, unit_of_field, words_of_field
from core.units import format_number

ABSENT: Final = "not given"
# What names a thing or tells a story is no input; a candidate's own name differs always.
_NO_INPUTS: Final = frozenset({"unknown_keys", "note", "notes", "origin"})
_NO_INPUTS_OF_CANDIDATE: Final = _NO_INPUTS | {"name", "dropped_because", "hand_over"}
_WORDS: Final = {"motor": "frame", "drive": "electronics", "kind": "kind"}


@dataclass(frozen=True, slots=True)
class Difference:
    """An input in which candidates differ: what it is called, and its value for each candidate in order.

    `place` is where it lies in the candidate, as `("drive", "continuous_current")`.
    """

    place: tuple[str, ...]
    name: str
    values: tuple[str | Sentence, ...]


def differences(project: Project) -> tuple[Difference, ...]:
    """Return every input that is not the same for all candidates, in the order of the fields.

    Where candidates have different parts (frame, electronics, feedback, brake) the part is one difference;
    its figures belong to it and are not listed. Parts of one name are compared figure by figure.

    Examples
    --------
    >>> from core.project.candidate import Candidate
    >>> a, b = Candidate(name="a"), Candidate(name="b", commutation="six-step")
    >>> [(one.name, one.values) for one in differences(Project(candidates=(a, b)))]
    [('Commutation', ('sinusoidal', 'six-step'))]
    """
    if len(project.candidates) < 2:
        return ()
    found = _of_parts((), "", project.candidates, _NO_INPUTS_OF_CANDIDATE)
    return tuple(Difference(one.place, one.name[:1].upper() + one.name[1:], one.values) for one in found)


def _of_parts(
    place: tuple[str, ...], prefix: str, parts: tuple[Saved, ...], left_out: frozenset[str]
) -> Iterator[Difference]:
    """Yield the differences between values of one type, field by field."""
    for field in msgspec.structs.fields(type(parts[0])):
        values = tuple(getattr(part, field.name) for part in parts)
        if field.name in left_out or all(value == values[0] for value in values):
            continue
        words = _WORDS.get(field.name, words_of_field(field.name))
        name = f"{prefix}, {words}" if prefix else words
        inner = (*place, field.name)
        if _can_be_walked(values):
            yield from _of_parts(inner, name, values, _NO_INPUTS)
        elif _are_rows_alike(values):
            yield from _of_rows(inner, name, values)
        else:
            shown = tuple(_shown(part, field, value) for part, value in zip(parts, values, strict=True))
            yield Difference(inner, name, shown)


def _of_rows(place: tuple[str, ...], name: str, rows: tuple[Any, ...]) -> Iterator[Difference]:
    for number, values in enumerate(zip(*rows, strict=True)):
        row_name = str(getattr(values[0], "name", "") or getattr(values[0], "kind", "") or number + 1)
        if any(value != values[0] for value in values):
            yield from _of_parts((*place, str(number)), f"{name} {row_name}", values, _NO_INPUTS)


def _can_be_walked(values: tuple[Any, ...]) -> bool:
    """Return whether values are saved ones of one type and, where they have names, of one name."""
    kinds, names = {type(value) for value in values}, {getattr(value, "name", None) for value in values}
    return len(kinds) == len(names) == 1 and isinstance(values[0], Saved)


def _are_rows_alike(values: tuple[Any, ...]) -> bool:
    if not all(isinstance(value, tuple) and value for value in values):
        return False
    lengths = {len(value) for value in values}
    return len(lengths) == 1 and all(_can_be_walked(row) for row in zip(*values, strict=True))


def _shown(part: Saved, field: msgspec.structs.FieldInfo, value: Any) -> str | Sentence:
    """Return a value in words, a quantity in the units of whoever reads."""
    if value is None or value == "":
        return ABSENT
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        kind = kind_of_field(part, field.name, field.encode_name, travels=False)
        if kind is not None:
            return sentence("{value}", value=(in_si(float(value), field.encode_name), kind))
        number = str(value) if isinstance(value, int) else format_number(value)
        return f"{number} {unit_of_field(field.encode_name)}".rstrip()
    if isinstance(value, Saved):
        return str(getattr(value, "name", "") or _in_short(value))
    if isinstance(value, tuple):
        return f"{len(value)} entries" if len(value) != 1 else "1 entry"
    return str(value)


def _in_short(part: Saved) -> str | Sentence:
    """Return a part that has no name by the figures that are not as they begin."""
    words = []
    for field in msgspec.structs.fields(type(part)):
        value = getattr(part, field.name)
        if field.name not in _NO_INPUTS and value is not None and value != field.default:
            words.append(f"{words_of_field(field.name)} {_shown(part, field, value)}")
    return ", ".join(words) or "given"
