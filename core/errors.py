"""Errors the core raises. Wrong input is an error; a motor that gets too hot is a finding."""

from __future__ import annotations


class AmpturnError(Exception):
    """Base of every error that a caller can act on."""


class InputRangeError(AmpturnError, ValueError):
    """A number is outside the range in which the equation holds.

    The parts stay available so that a window can mark the right field.
    """

    def __init__(self, name: str, value: float, unit: str, rule: str) -> None:
        super().__init__(f"{name} must be {rule}, got {value:g} {unit}".rstrip())
        self.name, self.value, self.unit, self.rule = name, value, unit, rule

    def __reduce__(self) -> tuple[type[InputRangeError], tuple[str, float, str, str]]:
        # pickled by its parts: an executor of processes must be able to send the error back
        return type(self), (self.name, self.value, self.unit, self.rule)


class UnitError(AmpturnError, ValueError):
    """A typed quantity cannot be read: the number is ambiguous or the unit is unknown."""


class ProjectFileError(AmpturnError, ValueError):
    """A project or parts file is refused. `place` is the path of the bad value, as `$.a.b[2]`."""

    def __init__(self, place: str, rule: str, value: object = None, has_value: bool = False) -> None:
        got = f", got {_shortened(value)}" if has_value else ""
        super().__init__(f"{place}: {rule}{got}")
        self.place, self.rule, self.value, self.has_value = place, rule, value, has_value

    def __reduce__(self) -> tuple[type[ProjectFileError], tuple[str, str, object, bool]]:
        return type(self), (self.place, self.rule, self.value, self.has_value)


class NewerVersionError(ProjectFileError):
    """The file was written by a later version: it may be looked at but not saved over."""


def _shortened(value: object, limit: int = 60) -> str:
    text = repr(value)
    return text if len(text) <= limit else text[: limit - 3] + "..."
