"""What a result file says about feedback: each kind against what is asked of the motion."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from core.feedback_results import FeedbackCell, FeedbackRow, Verdict
from core.project.drive import FeedbackKind
from core.result_entry import Entry, finite
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits, si_symbol


class FeedbackCellEntry(Entry, frozen=True, kw_only=True):
    """One requirement against one feedback; `ability` is null where there is none or data are missing."""

    requirement: str
    demand: float
    ability: float | None
    unit: str
    verdict: Verdict
    reason: str


class FeedbackEntry(Entry, frozen=True, kw_only=True):
    """One feedback; null in `taken` and `fits` where the parts do not say."""

    kind: FeedbackKind
    name: str
    chosen: bool
    taken: Annotated[bool | None, Meta(description="whether the electronics take this kind")]
    fits: Annotated[bool | None, Meta(description="whether the variant can carry it")]
    verdict: Verdict
    edges: Annotated[int, Meta(description="per turn of its own shaft")]
    position_error: float | None = msgspec.field(name="position_error_rad")
    start_torque: float | None = msgspec.field(name="start_torque_share")
    requirements: tuple[FeedbackCellEntry, ...]


def feedback_entries(candidate: CandidateResult, units: DisplayUnits) -> tuple[FeedbackEntry, ...]:
    """Return the table of feedback of a candidate; nothing where no motor could be evaluated."""
    table = candidate.feedback_table
    return () if table is None else tuple(_entry(row, units) for row in table.rows)


def _entry(row: FeedbackRow, units: DisplayUnits) -> FeedbackEntry:
    return FeedbackEntry(
        kind=row.kind,
        name=row.name,
        chosen=row.chosen,
        taken=row.taken,
        fits=row.fits,
        verdict=row.verdict,
        edges=row.edges,
        position_error=row.position_error,
        start_torque=row.start_torque,
        requirements=tuple(_cell(cell, units) for cell in row.cells),
    )


def _cell(cell: FeedbackCell, units: DisplayUnits) -> FeedbackCellEntry:
    return FeedbackCellEntry(
        requirement=cell.requirement,
        demand=cell.demand,
        ability=finite(cell.ability),
        unit=si_symbol(cell.kind),
        verdict=cell.verdict,
        reason=as_text(cell.reason, units),
    )
