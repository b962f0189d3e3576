"""The base of everything that stands in a file, and the number types with their rules.

Each rule is stated once, as the annotation of the field. It is checked when a file is read, when a
value is built in code and when it is edited (`msgspec.structs.replace`), and it stands in the JSON
Schema. Keys that this version does not know are kept in `unknown_keys` and written back.

Files of saved types do without `from __future__ import annotations`: as texts their 1600 annotations would
each have to be compiled when the first file is read.
"""

from __future__ import annotations

import functools
import math
import operator
import sys
import typing
from collections.abc import Callable
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from core.errors import InputRangeError, ProjectFileError

UNKNOWN_KEYS = "_unknown_keys"

Positive = Annotated[float, Meta(gt=0.0)]
NotNegative = Annotated[float, Meta(ge=0.0)]
Share = Annotated[float, Meta(ge=0.0, le=1.0)]
Temperature = Annotated[float, Meta(ge=-273.15, le=2000.0)]
Name = Annotated[str, Meta(min_length=1, max_length=200)]
Text = Annotated[str, Meta(max_length=20_000)]
Count = Annotated[int, Meta(ge=1)]

# No quantity of a drive lies beyond these sizes, while products and quotients of several such numbers would
# leave the range of floating-point numbers. Zero is allowed.
SMALLEST_SIZE, LARGEST_SIZE = 1e-30, 1e15

_COMPARE: dict[str, tuple[Callable[[float, float], bool], str]] = {
    "gt": (operator.gt, ">"),
    "ge": (operator.ge, ">="),
    "lt": (operator.lt, "<"),
    "le": (operator.le, "<="),
}
# The last part of a JSON key that is a unit, as it reads in a message; the first one that fits counts.
_UNITS = {
    "_rad_or_m_per_s3": "rad/s3 or m/s3", "_rad_or_m_per_s2": "rad/s2 or m/s2",
    "_rad_or_m_per_s": "rad/s or m/s", "_rad_or_m": "rad or m", "_N_s_per_m": "N s/m",
    "_Nm_s_per_rad": "N m s/rad", "_Nm_per_rad": "N m/rad", "_W_K_at_1_rad_s": "W/K",
    "_kg_m2": "kg m2", "_rad_s_V": "rad/s/V", "_V_s_rad": "V s/rad", "_Nm_A": "N m/A",
    "_W_m2K": "W/(m2 K)", "_K_m2_W": "K m2/W", "_W_mK": "W/(m K)", "_m2": "m2",
    "_per_K": "1/K", "_K_W": "K/W", "_J_K": "J/K", "_W_K": "W/K", "_rad_s": "rad/s",
    "_Nm": "N m", "_degC": "degC", "_ohm": "ohm", "_mm2": "mm2", "_kg": "kg", "_Hz": "Hz", "_H": "H",
    "_F": "F", "_J": "J", "_h": "h",
    "_V": "V", "_A": "A", "_W": "W", "_K": "K", "_s": "s", "_m": "m", "_N": "N",
}  # fmt: skip


class Saved(msgspec.Struct, frozen=True, kw_only=True):
    """Base of everything that is written to a project or parts file.

    Parameters
    ----------
    unknown_keys : dict
        Keys found in the file that this version does not know, kept to be written back.
    """

    unknown_keys: dict[str, Any] = msgspec.field(default_factory=dict, name=UNKNOWN_KEYS)

    def __post_init__(self) -> None:
        for field, unit, rules in _rules(type(self)):
            value = getattr(self, field)
            if value is None:
                continue
            if not math.isfinite(value):
                raise InputRangeError(field, value, unit, "a finite number")
            if value and not SMALLEST_SIZE <= abs(value) <= LARGEST_SIZE:
                rule = f"0 or from {SMALLEST_SIZE:g} to {LARGEST_SIZE:g} in size"
                raise InputRangeError(field, value, unit, rule)
            for name, bound in rules:
                holds, sign = _COMPARE[name]
                if not holds(value, bound):
                    raise InputRangeError(field, value, unit, f"{sign} {bound:g}")
        for field, shortest, longest in _text_rules(type(self)):
            text = getattr(self, field)
            if text is None:
                continue
            if not shortest <= len(text) <= longest:
                rule = f"must have {shortest} to {longest} characters"
                raise ProjectFileError(field, rule, text, True)
            # half of a pair of UTF-16, as a broken paste can hold, would make the project unsaveable
            if not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text):
                raise ProjectFileError(field, "holds half a character, which no file can hold", text, True)


@functools.cache
def _rules(kind: type[Saved]) -> tuple[tuple[str, str, tuple[tuple[str, float], ...]], ...]:
    """Return (field, unit, bounds) of each number field of a saved type."""
    found = []
    keys = {field.name: field.encode_name for field in msgspec.structs.fields(kind)}
    for name, annotation in typing.get_type_hints(kind, include_extras=True).items():
        meta = _number_meta(annotation)
        if meta is not None:
            bounds = tuple(
                (rule, getattr(meta, rule)) for rule in _COMPARE if getattr(meta, rule) is not None
            )
            found.append((name, unit_of_key(keys[name]), bounds))
    return tuple(found)


@functools.cache
def _text_rules(kind: type[Saved]) -> tuple[tuple[str, int, int], ...]:
    """Return (field, shortest, longest) of each text field of a saved type."""
    found = []
    for name, annotation in typing.get_type_hints(kind, include_extras=True).items():
        options = typing.get_args(annotation) if type(None) in typing.get_args(annotation) else (annotation,)
        for option in options:
            metas = typing.get_args(option)[1:] if typing.get_origin(option) is Annotated else ()
            if option is str or (metas and typing.get_args(option)[0] is str):
                bounds = next((meta for meta in metas if isinstance(meta, Meta)), Meta())
                longest = sys.maxsize if bounds.max_length is None else bounds.max_length
                found.append((name, bounds.min_length or 0, longest))
    return tuple(found)


def _number_meta(annotation: Any) -> Meta | None:
    """Return the bounds of a number annotation (empty bounds for a plain number), None for others."""
    if annotation is float:
        return Meta()
    if typing.get_origin(annotation) is Annotated and typing.get_args(annotation)[0] in (float, int):
        return next((m for m in typing.get_args(annotation)[1:] if isinstance(m, Meta)), Meta())
    for argument in typing.get_args(annotation):  # float | None
        meta = _number_meta(argument)
        if meta is not None and type(None) in typing.get_args(annotation):
            return meta
    return None


def unit_of_key(key: str) -> str:
    """Return the unit that closes a JSON key, or an empty text.

    Examples
    --------
    >>> unit_of_key("rotor_inertia_kg_m2"), unit_of_key("pole_pairs"), unit_of_key("speed_rad_or_m_per_s")
    ('kg m2', '', 'rad/s or m/s')
    """
    return next((unit for suffix, unit in _UNITS.items() if key.endswith(suffix)), "")
