"""Turns or ratio of one's own, sought family by family in a process beside this one.

Each is handed over as soon as it is found, with what it comes to and what governs it then. Where an end of
the range is left open, it lies as far from the listed value as in the study of ratios.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from threading import Event
from typing import TYPE_CHECKING, Final, Literal

from core.errors import AmpturnError
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.shortlist.choices import Choices
from core.shortlist.each_candidate import evaluate_each
from core.shortlist.free_ratio import free_ratios, ratio_families, takes_any_ratio
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.one_variable import require_range
from core.shortlist.runner import Task
from core.shortlist.special_winding import six_step_constant, special_windings, winding_families
from core.shortlist.workers import leave_to_parent, one_thread_each

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

FreeKind = Literal["turns", "ratio"]
Ends = tuple[float | None, float | None]
"""Torque constants of six-step commutation [N m/A] or ratios; None where an end is left open."""

SPAN: Final = 4.0  # an open end lies at the listed value by this factor down or up
_LOOK: Final = 0.1  # how often a cancel is looked for [s]


@dataclass(frozen=True, slots=True)
class FreeValue:
    """A candidate with the turns or the ratio that suit it best.

    `number` and `listed` are number and words of the candidate it is made from. `value` and `met`, the range
    in which every requirement is met, are torque constants of six-step commutation [N m/A] or ratios.
    `turns_factor` is turns over those of the listed winding, None for a ratio; `turns_per_coil` is None where
    the parts do not tell them. `outcome` is a list of this candidate alone.
    """

    number: int
    listed: str
    candidate: Candidate
    value: float
    turns_factor: float | None
    turns_per_coil: int | None
    met: tuple[float, float] | None
    outcome: Listing


def no_free_ratio(application: Application, choices: Choices) -> str:
    """Return why no ratio is free, empty where one is."""
    if application.duty_from == "segments":
        return "The duty is given at the motor shaft, where no ratio changes it."
    if application.duty_from == "trace":
        return "The duty is a measured trace, which no ratio changes."
    if not any(takes_any_ratio(one) for block in choices.blocks for one in block.transmissions):
        return "No transmission of the list takes any ratio: each is fitted to its motor."
    return ""


def families(kind: FreeKind, listing: Listing, choices: Choices) -> list[int]:
    """Return numbers of the best listed candidate of each family, best first."""
    return (winding_families if kind == "turns" else ratio_families)(listing, choices)


def each_free_value(
    kind: FreeKind, task: Task, numbers: Sequence[int], ends: Ends, cancel: Event
) -> Generator[FreeValue | None]:
    """Yield for each numbered candidate the turns or the ratio that suit it best, None where there are none.

    They are sought in one process beside this one. After `cancel` is set, or when the iterator is closed,
    the process is ended, whatever it is at.

    Raises
    ------
    AmpturnError
        If the ends are not positive numbers with the smaller one first, if a ratio is not free, or if the
        process has died.
    """
    from multiprocessing import get_context  # slow to import, and seldom needed

    _require_ends(kind, ends)
    spawn = get_context("spawn")  # not forked: a process with a window or threads must not be copied
    ours, theirs = spawn.Pipe(duplex=False)
    process = spawn.Process(target=_seek, args=(theirs, kind, task, tuple(numbers), ends), daemon=True)
    with one_thread_each():
        process.start()
    theirs.close()  # so that an end of the process is noticed
    try:
        for _ in numbers:
            while not ours.poll(_LOOK):
                if cancel.is_set():
                    return
            if cancel.is_set():
                return
            yield _received(ours)
    finally:
        process.terminate()
        process.join()
        ours.close()


def free_value(kind: FreeKind, task: Task, number: int, ends: Ends) -> FreeValue | None:
    """Return the turns or the ratio that suit a numbered candidate best, None where it has none to vary."""
    application, choices, measured = task.application, task.choices, task.measured
    listed = choices.candidate(number)
    if kind == "ratio":
        if listed.transmission is None:
            return None
        ratios = _range(ends, listed.transmission.ratio)
        for ratio in free_ratios(application, choices, [number], ratios, measured):
            value, met = ratio.best.value, ratio.best.met
            outcome = _outcome(task, ratio.candidate)
            return FreeValue(number, listed.name, ratio.candidate, value, None, None, met, outcome)
        return None
    constant = six_step_constant(application, listed)
    if constant is None:
        return None
    for one in special_windings(application, choices, [number], _range(ends, constant), measured):
        return FreeValue(
            number,
            listed.name,
            one.candidate,
            one.torque_constant,
            one.turns_factor,
            one.turns_per_coil,
            one.met,
            _outcome(task, one.candidate),
        )
    return None


def _require_ends(kind: FreeKind, ends: Ends) -> None:
    """Refuse ends that are no range, before a process is started for them."""
    name, unit = ("torque constant", "N m/A") if kind == "turns" else ("ratio", "")
    given = next((end for end in ends if end is not None), None)
    if given is not None:
        require_range(name, *_range(ends, given), unit)


def _range(ends: Ends, listed: float) -> tuple[float, float]:
    """Return both ends, an open one set from the listed value, or from the other end where that is beyond."""
    low, high = ends
    return (
        min(listed, listed if high is None else high) / SPAN if low is None else low,
        max(listed, listed if low is None else low) * SPAN if high is None else high,
    )


def _outcome(task: Task, candidate: Candidate) -> Listing:
    gathered = ListingInProgress()
    gathered.add(evaluate_each(task.application, [candidate], task.measured))
    return gathered.listing()


def _received(ours: Connection) -> FreeValue | None:
    try:
        found = ours.recv()
    except EOFError as error:
        raise AmpturnError("the process that sought turns or ratio has died") from error
    if isinstance(found, str):
        raise AmpturnError(found)
    return found if isinstance(found, FreeValue) else None


def _seek(theirs: Connection, kind: FreeKind, task: Task, numbers: tuple[int, ...], ends: Ends) -> None:
    """Seek in the process beside, and send each; a refusal is sent as its words."""
    leave_to_parent()
    try:
        for number in numbers:
            theirs.send(free_value(kind, task, number, ends))
    except AmpturnError as error:
        theirs.send(str(error))
