"""`dataclass(frozen=True, slots=True)` of the standard library, made in a quarter of the time.

The standard library compiles six methods for each class, which takes a third of a millisecond; for all the
values of core and window that was a sixth of a start. Here only `__init__` is compiled, since its speed
counts with every value that is made; the other methods differ in nothing but the names of the fields. The
fields themselves are still collected by the standard library, so `field`, `fields`, `replace`, `asdict` and
`match` work as ever. With any other options `dataclass` is that of the standard library.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass  # type checkers know what it makes of a class
else:

    def dataclass(**options: bool) -> Callable[[type[_Made]], type[_Made]]:
        """Return the decorator that makes a class with fields: quickly a frozen one with slots."""
        return _record if options == {"frozen": True, "slots": True} else dataclasses.dataclass(**options)


_Made = TypeVar("_Made")

_NOT_GIVEN = object()  # stands in `__init__` for a default that is made anew for each value


def _record(plain: type[_Made]) -> type[_Made]:
    made = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True)(plain)
    fields = dataclasses.fields(made)  # type: ignore[arg-type]
    methods = {
        "__init__": _init_of(made, fields),
        "__repr__": _repr_of(fields),
        **_comparing(fields),
        **_COMMON,
    }
    for name, method in methods.items():
        if name not in plain.__dict__:
            setattr(made, name, method)
    return made


def _init_of(made: type, fields: tuple[dataclasses.Field[Any], ...]) -> Callable[..., None]:
    """Return `__init__`, which sets each slot by its own descriptor: the class forbids assignments."""
    known: dict[str, object] = {"_NOT_GIVEN": _NOT_GIVEN}
    parameters, lines = [], []
    for field in fields:
        name = field.name
        known[f"_set_{name}"] = getattr(made, name).__set__
        given = name
        if field.default is not dataclasses.MISSING:
            known[f"_default_{name}"] = field.default
            parameter, given = f"{name}=_default_{name}", name if field.init else f"_default_{name}"
        elif field.default_factory is not dataclasses.MISSING:
            known[f"_make_{name}"] = field.default_factory
            parameter = f"{name}=_NOT_GIVEN"
            given = f"_make_{name}() if {name} is _NOT_GIVEN else {name}" if field.init else f"_make_{name}()"
        elif field.init:
            parameter = name
        else:
            continue  # `__post_init__` sets it
        if field.init:
            parameters.append(parameter)
        lines.append(f"_set_{name}(self, {given})")
    if hasattr(made, "__post_init__"):
        lines.append("self.__post_init__()")
    source = f"def __init__({', '.join(('self', *parameters))}):\n {'; '.join(lines) or 'pass'}\n"
    exec(compile(source, f"<fields of {made.__qualname__}>", "exec"), known)
    init: Any = known["__init__"]
    init.__qualname__ = f"{made.__qualname__}.__init__"
    return init  # type: ignore[no-any-return]


def _comparing(fields: tuple[dataclasses.Field[Any], ...]) -> dict[str, Callable[..., Any]]:
    """Return equality and hash over the fields that count."""
    values = _values_of(tuple(field.name for field in fields if field.compare))

    def equals(self: object, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def hashed(self: object) -> int:
        return hash(values(self))

    return {"__eq__": equals, "__hash__": hashed}


def _values_of(names: tuple[str, ...]) -> Callable[[object], object]:
    return attrgetter(*names) if names else lambda _record: ()


def _repr_of(fields: tuple[dataclasses.Field[Any], ...]) -> Callable[[object], str]:
    names = tuple(field.name for field in fields if field.repr)

    def shown(self: object) -> str:
        values = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{self.__class__.__qualname__}({values})"

    return shown


def _refuse_set(self: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_delete(self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    """Return what copying and pickling keep."""
    return [getattr(self, field.name) for field in dataclasses.fields(self)]


def _take_state(self: Any, state: list[object]) -> None:
    for field, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, field.name, value)


_COMMON: dict[str, Callable[..., Any]] = {
    "__setattr__": _refuse_set,
    "__delattr__": _refuse_delete,
    "__getstate__": _state,
    "__setstate__": _take_state,
}
