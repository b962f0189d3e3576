"""What would help a candidate: what each single change gains, largest first, and why some gain nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from core.evaluate import evaluate_candidate
from core.evaluation.change_reasons import (
    NOTABLE,
    Comparison,
    barrier,
    left_open,
    peaks_open,
    reason_of,
    winding_peak,
)
from core.evaluation.single_changes import Proposal, single_changes
from core.project import edits
from core.project.project import Project
from core.records import dataclass
from core.results import CandidateResult, Margin
from core.sentences import Sentence

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


@dataclass(frozen=True, slots=True)
class Standing:
    """How a candidate stands: what governs, and the numbers that a change should move.

    `least_margin` is the smallest margin minus its target, None where the candidate is ruled out or fails
    beyond any number. `winding_temp` is the peak in the repeating state [degC].
    """

    governing: Margin | None
    least_margin: float | None
    torque_reserve: float | None
    winding_temp: float | None


@dataclass(frozen=True, slots=True)
class Change:
    """One single change with what it gains.

    `gained` is the growth of the smallest margin minus target, None where there is no number before or
    after. `reason` says why nothing is gained, or what governs then; it is empty where the same criterion
    governs with more margin. `is_open` says that the doubt about the heat is larger than the gain,
    `temp_is_open` that it is larger than the difference of the two winding temperatures.
    """

    proposal: Proposal
    before: Standing
    after: Standing
    gained: float | None
    reason: str | Sentence
    is_open: bool
    temp_is_open: bool = False

    @property
    def label(self) -> str | Sentence:
        """The change in words."""
        return self.proposal.label

    @property
    def kind(self) -> Literal["application", "candidate"]:
        """Whether it makes another candidate, or changes the application of all."""
        return self.proposal.kind

    @property
    def helps(self) -> bool:
        """Whether anything is gained: margin, or a candidate that was ruled out comes in."""
        if self.gained is None:
            return self.before.least_margin is None and self.after.least_margin is not None
        return self.gained > NOTABLE and not self.is_open


def what_helps(project: Project, index: int, measured: ImportedTrace | None = None) -> tuple[Change, ...]:
    """Return every single change of a candidate with what it gains, largest first.

    Empty where there is no duty that could be evaluated. `measured` as for `core.evaluate.evaluate`.
    """
    changes: tuple[Change, ...] = ()
    for step in what_helps_steps(project, index, measured):
        changes = step or ()
    return changes


def what_helps_steps(
    project: Project, index: int, measured: ImportedTrace | None = None
) -> Iterator[tuple[Change, ...] | None]:
    """Yield None after each piece of work and the changes at the end, so that a window can go on between.

    Nothing is yielded where there is no duty that could be evaluated.
    """
    application, candidate = project.application, project.candidates[index]
    before = evaluate_candidate(application, candidate, index, measured)
    if before.duty is None:
        return
    yield None
    old, changes = standing(before), []
    for proposal in single_changes(application, candidate):
        other = proposal.application or application
        after = evaluate_candidate(other, proposal.candidate or candidate, index, measured)
        yield None
        if proposal.subject == "variant":  # its reason asks for the doubt about the heat of both
            for one in (before, after):
                _ = one.band
                yield None
        new, gained = standing(after), None
        if old.least_margin is not None and new.least_margin is not None:
            gained = new.least_margin - old.least_margin
        both = Comparison(proposal, application, candidate, before, after, gained)
        changes.append(
            Change(proposal, old, new, gained, reason_of(both), bool(left_open(both)), peaks_open(both))
        )
    yield tuple(sorted(changes, key=_order))


def with_change(project: Project, change: Change) -> Project:
    """Return the project with a change made: one more candidate, or another application."""
    candidate, application = change.proposal.candidate, change.proposal.application
    if candidate is not None:
        return edits.add_candidate(project, candidate)
    assert application is not None  # a proposal has one of them
    return edits.change_application(
        project, duty_cycle=application.duty_cycle, load=application.load, site=application.site
    )


def standing(result: CandidateResult) -> Standing:
    """Return how a candidate stands."""
    above = [margin.above_target for margin in result.margins if margin.above_target is not None]
    least = min(above) if above and barrier(result) is None else None
    return Standing(result.governing, least, result.torque_reserve, winding_peak(result))


def _order(change: Change) -> tuple[int, float, float]:
    """Sort key: what comes in first, then by margin gained, where that is equal by torque reserve."""
    before, after = change.before, change.after
    rank = 1
    if (before.least_margin is None) != (after.least_margin is None):
        rank = 0 if before.least_margin is None else 2
    gained = change.gained if change.gained is not None and abs(change.gained) > NOTABLE else 0.0
    return rank, -gained, -(after.torque_reserve or 0.0)
