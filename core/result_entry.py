"""The base of everything in a result file, and the rule for values that JSON cannot hold."""

from __future__ import annotations

import math
from typing import Annotated

import msgspec
from msgspec import Meta

Reasons = Annotated[dict[str, str], Meta(description="why values of this object are null, by their names")]


class Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Base of everything in a result file."""


def finite(value: float | None) -> float | None:
    """Return a number as JSON can hold it: null where it is infinite."""
    return None if value is None or not math.isfinite(value) else value
