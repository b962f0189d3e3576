"""The result of a candidate on its way between processes.

What is deferred holds the models of its evaluation and stays behind. Where the result arrives, such a value
is computed by evaluating the candidate there, once, when it is first asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from functools import partial
from typing import Any, Final

from core.deferred import Deferred
from core.records import dataclass
from core.results import CandidateResult

_LATER: Final = tuple(field.name for field in fields(CandidateResult) if field.name.endswith("_later"))
_CARRIED: Final = tuple(field.name for field in fields(CandidateResult) if field.name not in _LATER)


@dataclass(frozen=True, slots=True)
class CarriedResult:
    """What of a result is sent: the values that are not those of the one before; `later` are deferred."""

    values: dict[str, Any]
    later: tuple[str, ...]


def carried(result: CandidateResult, before: CandidateResult | None = None) -> CarriedResult:
    """Return a result as it can be sent to another process, which has the one before already."""
    values = {name: getattr(result, name) for name in _CARRIED}
    if before is not None:
        values = {name: value for name, value in values.items() if value is not getattr(before, name)}
    return CarriedResult(values, tuple(name for name in _LATER if getattr(result, name) is not None))


def arrived(
    sent: CarriedResult, evaluate: Callable[[], CandidateResult], before: CandidateResult | None = None
) -> CandidateResult:
    """Return a result that was sent; `evaluate` gives it whole, for whoever asks for what is deferred.

    What is as `before` is that very value, so that nobody who compares draws it again.
    """
    whole = Deferred(evaluate)
    later: dict[str, Any] = dict.fromkeys(_LATER)
    later |= {name: Deferred(partial(_value_of, whole, name)) for name in sent.later}
    if before is None:
        return CandidateResult(**sent.values, **later)
    return replace(before, **sent.values, **later)


def _value_of(whole: Deferred[CandidateResult], name: str) -> object:
    deferred: Deferred[object] = getattr(whole.value(), name)
    return deferred.value()
