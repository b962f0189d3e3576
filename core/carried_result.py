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


@dataclass(frozen=True, slots=True)
class CarriedResult:
    """A result without its deferred values; `later` names those that it had."""

    result: CandidateResult
    later: tuple[str, ...]


def carried(result: CandidateResult) -> CarriedResult:
    """Return a result as it can be sent to another process."""
    later = tuple(name for name in _LATER if getattr(result, name) is not None)
    without: dict[str, Any] = dict.fromkeys(later)
    return CarriedResult(replace(result, **without), later)


def arrived(sent: CarriedResult, evaluate: Callable[[], CandidateResult]) -> CandidateResult:
    """Return a result that was sent; `evaluate` gives it whole, for whoever asks for what is deferred."""
    whole = Deferred(evaluate)
    later: dict[str, Any] = {name: Deferred(partial(_value_of, whole, name)) for name in sent.later}
    return replace(sent.result, **later)


def _value_of(whole: Deferred[CandidateResult], name: str) -> object:
    deferred: Deferred[object] = getattr(whole.value(), name)
    return deferred.value()
