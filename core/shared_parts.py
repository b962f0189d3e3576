"""Let a value share the parts that it has in common with an older one.

What is remembered between evaluations is found by identity (`core.evaluation.remembered`). A value that
was copied has new parts throughout, so that nothing would be found; with the older parts put back where they
are equal, it is again as an edit would have made it.
"""

from __future__ import annotations

from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

Value = TypeVar("Value")


def sharing(new: Value, old: object) -> Value:
    """Return `new`, with each part that equals the same part of `old` being that one.

    Parts are the fields of structures and the members of tuples.

    Examples
    --------
    >>> inner = (1.5, "a")
    >>> copy = sharing((tuple([1.5, "a"]), 2), (inner, 1))
    >>> copy, copy[0] is inner
    (((1.5, 'a'), 2), True)
    """
    if type(new) is not type(old):
        return new
    if new == old:
        return old
    if isinstance(new, tuple):
        old_members = old if isinstance(old, tuple) else ()
        rest = new[len(old_members) :]
        return (*map(sharing, new, old_members), *rest)  # type: ignore[return-value]
    if isinstance(new, Struct):
        names = new.__struct_fields__
        return replace(new, **{name: sharing(getattr(new, name), getattr(old, name)) for name in names})
    return new
