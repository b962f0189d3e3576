"""Add motors and other parts to a parts file; a part of the same name is never replaced unasked."""

from __future__ import annotations

from msgspec.structs import replace

from core.catalogue.parts_file import PartsFile
from core.errors import AmpturnError
from core.project.motor import Motor

_LISTS = {
    "motors": "motor",
    "drives": "electronics",
    "transmissions": "transmission",
    "feedback": "feedback device",
    "brakes": "brake",
}


class NameTakenError(AmpturnError, ValueError):
    """Parts of these names are in the file already; each is said as "motor disc 60"."""

    def __init__(self, names: tuple[str, ...]) -> None:
        shown = ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
        super().__init__(f"it already has {shown}")
        self.names = names

    def __reduce__(self) -> tuple[type[NameTakenError], tuple[tuple[str, ...]]]:
        return type(self), (self.names,)


def add_motor(parts: PartsFile, motor: Motor, replacing: bool = False) -> PartsFile:
    """Return the parts with a motor more, in place of the one of its name only if `replacing`."""
    return add_parts(parts, PartsFile(motors=(motor,)), replacing)


def add_parts(parts: PartsFile, more: PartsFile, replacing: bool = False) -> PartsFile:
    """Return the parts with others added; `NameTakenError` where names are taken, unless `replacing`."""
    taken = taken_names(parts, more)
    if taken and not replacing:
        raise NameTakenError(taken)
    lists = {}
    for name in _LISTS:
        new = {part.name: part for part in getattr(more, name)}
        kept = [new.pop(part.name, part) for part in getattr(parts, name)]
        lists[name] = (*kept, *new.values())
    return replace(parts, **lists)


def taken_names(parts: PartsFile, more: PartsFile) -> tuple[str, ...]:
    """Return which parts of `more` have the name of another one in `parts`; equal parts do not count."""
    found = []
    for name, word in _LISTS.items():
        there = {part.name: part for part in getattr(parts, name)}
        found += [f"{word} {part.name}" for part in getattr(more, name) if there.get(part.name, part) != part]
    return tuple(found)
