"""Findings and cautions: what an evaluation noticed, as codes with numbers.

A finding is about the calculation or the choice (an assumption, a contradiction, a run-away);
a caution is about people (a turning rotor, a hot surface). Both carry numbers in SI units, and a
plain sentence written beside the equation that produced them.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Literal

from core.records import dataclass

if TYPE_CHECKING:
    from core.sentences import Sentence

Severity = Literal["note", "assumed", "warning", "serious"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the evaluation noticed.

    `code` is stable and made for programs; `text` is the sentence for people; `values` holds the
    numbers in SI units, keyed by name with the unit (`time_to_limit_s`); `segment` counts from 0.
    """

    code: str
    severity: Severity
    text: str | Sentence
    values: dict[str, float] = field(default_factory=dict)
    segment: int | None = None


@dataclass(frozen=True, slots=True)
class Caution:
    """Something that can hurt someone, with the numbers that make it real here."""

    code: str
    title: str
    text: str | Sentence
    values: dict[str, float] = field(default_factory=dict)
