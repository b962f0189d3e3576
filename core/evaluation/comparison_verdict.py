"""The verdict on two candidates, in one sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from core.charts.display_axis import letter
from core.evaluation.comparison_rows import TIE
from core.evaluation.torque_ratio import TorqueRatio
from core.records import dataclass
from core.results import CandidateResult, Margin, Result
from core.sentences import Sentence, joined, sentence
from core.units import Kind

Standing = Literal["nothing", "excluded", "missed", "open", "met"]
_TIE_MARGIN = 5e-4  # less is not seen in per cent with one decimal


@dataclass(frozen=True, slots=True)
class Clause:
    """Who leads in one respect (0, 1, or None where nobody does) and by how much, in words.

    `undecided` says that the uncertainty leaves it open; with nobody leading otherwise, both are equal, or
    the quantity is not `known`.
    """

    leader: int | None
    words: Sentence
    undecided: bool = False
    known: bool = True


def verdict(
    result: Result, first: int, second: int, ratio: TorqueRatio | None, speed: float | None
) -> Sentence:
    """Return who is ahead, why and by how much, or why that is not decided.

    `speed` is the mean speed of the cycle at the axis of the ratio, where the torques are compared. [rad/s]
    """
    indices = (first, second)
    found = tuple(result.candidates[index] for index in indices)
    standings = tuple(standing(candidate) for candidate in found)
    if "nothing" in standings:
        return _nothing(indices, found)
    ranks = [{"excluded": 0, "missed": 1}.get(one, 2) for one in standings]
    torque = torque_clause(indices, ratio, speed)
    if ranks[0] != ranks[1]:
        return _one_falls(indices, found, ranks, torque)
    if ranks[0] == 0:
        reasons = [joined(f"{letter(i)} by ", _why_out(one)) for i, one in zip(indices, found, strict=True)]
        return joined("Neither can be used: both are excluded, ", reasons[0], "; ", reasons[1], ".")
    head = "Neither meets its targets: " if ranks[0] == 1 else ""
    if not head and "open" in standings:
        head = "As far as it is checked: "
    return joined(head, _both_stand(indices, found, torque))


def standing(candidate: CandidateResult) -> Standing:
    """Return how a candidate stands by its required criteria, the worst first."""
    if not candidate.margins:
        return "nothing"
    statuses = {margin.status for margin in candidate.margins if margin.required}
    if "excluded" in statuses:
        return "excluded"
    if "missed" in statuses:
        return "missed"
    return "open" if "not checked" in statuses else "met"


def torque_clause(indices: tuple[int, int], ratio: TorqueRatio | None, speed: float | None) -> Clause:
    """Return who leads in continuous torque at the mean speed, with the band of the ratio."""
    found = None if ratio is None or speed is None else ratio.at(speed)
    if ratio is None or speed is None or found is None:
        words = "the continuous torques at the mean speed are not known of both"
        return Clause(None, sentence(words), known=False)
    where = "at rest" if speed == 0.0 else "at the mean speed of {speed}"
    where += " of the load" if ratio.at_load and speed > 0.0 else ""
    value, low, high = found
    numbers = {"speed": (speed, Kind.SPEED)} if speed > 0.0 else {}
    if abs(value - 1.0) <= TIE:
        return Clause(None, sentence(f"the continuous torque {where} is the same", **numbers))
    leader = 0 if value > 1.0 else 1
    if leader == 1:  # told from the one that leads
        value, low, high = 1.0 / value, _inverse(high), _inverse(low)
    other = letter(indices[1 - leader])
    numbers["times"] = (value, Kind.NUMBER)
    words = f"its continuous torque {where} is {{times}} times that of {other}"
    if low is None or high is None:
        return Clause(leader, sentence(f"{words}, no uncertainty known", **numbers))
    numbers |= {"low": (low, Kind.NUMBER), "high": (high, Kind.NUMBER)}
    if low <= 1.0:
        words = (
            f"the continuous torque of {letter(indices[leader])} {where} is {{times}} times that of {other}, "
            "but the band of {low} to {high} includes 1"
        )
        return Clause(None, sentence(words, **numbers), undecided=True)
    return Clause(leader, sentence(f"{words} ({{low}} to {{high}})", **numbers))


def _inverse(value: float | None) -> float | None:
    if value is None:
        return None
    return 1.0 / value if value > 0.0 else float("inf")


def margin_clause(indices: tuple[int, int], found: Sequence[CandidateResult]) -> Clause:
    """Return who leads at the governing margin."""
    governing = [candidate.governing for candidate in found]
    above = [None if margin is None else margin.above_target for margin in governing]
    first, second = above
    if first is None or second is None or governing[0] is None or governing[1] is None:
        return Clause(None, sentence("the governing margins have no numbers to compare"), known=False)
    if abs(first - second) <= _TIE_MARGIN:
        words = joined("the governing margin (", governing[0].label, ") is the same, ", _distance("", first))
        return Clause(None, words)
    leader = 0 if first > second else 1
    mine, theirs = governing[leader], governing[1 - leader]
    assert mine is not None  # both are, see above
    assert theirs is not None
    against = letter(indices[1 - leader])
    words = joined(
        f"its governing margin ({mine.label}) is ", _distance("", max(first, second)),
        f", that of {against} ",
        "" if theirs.label == mine.label else f"({theirs.label}) ", _distance("", min(first, second)),
    )  # fmt: skip
    return Clause(leader, words)


def _distance(head: str, above: float) -> Sentence:
    side = "above" if above >= 0.0 else "below"
    return sentence(f"{head}{{far}} {side} its target", far=(abs(above), Kind.RATIO))


def _both_stand(indices: tuple[int, int], found: tuple[CandidateResult, ...], torque: Clause) -> Sentence:
    """Return the verdict on two that both meet, or both miss, what is required."""
    margin = margin_clause(indices, found)
    names = [letter(index) for index in indices]
    if torque.undecided:
        tail = margin.words if margin.leader is None else joined(f"{names[margin.leader]}: ", margin.words)
        return joined("Undecided within the uncertainty: ", torque.words, "; ", tail, ".")
    leaders = {clause.leader for clause in (margin, torque) if clause.leader is not None}
    if not leaders:
        equal = margin.known and torque.known
        head = f"{names[0]} and {names[1]} are equal: " if equal else "Undecided: "
        return joined(head, margin.words, "; ", torque.words, ".")
    if len(leaders) == 2 and margin.leader is not None and torque.leader is not None:
        return joined(
            f"Neither is ahead in both: {names[margin.leader]} at the governing margin, ", margin.words,
            f"; {names[torque.leader]} in torque, ", torque.words, ".",
        )  # fmt: skip
    return joined(f"{names[leaders.pop()]} is ahead: ", margin.words, "; ", torque.words, ".")


def _one_falls(
    indices: tuple[int, int], found: tuple[CandidateResult, ...], ranks: Sequence[int], torque: Clause
) -> Sentence:
    """Return the verdict where one is excluded or misses a target and the other stands better."""
    fallen = ranks.index(min(ranks))
    lost, left = letter(indices[fallen]), letter(indices[1 - fallen])
    out = ranks[fallen] == 0
    why = (
        joined(f"{lost} is excluded by ", _why_out(found[fallen]))
        if out
        else joined(f"{lost} misses ", _missed(found[fallen]))
    )
    if ranks[1 - fallen] == 1:
        head = joined("Neither can be used as it is: ", why, f", {left} misses ", _missed(found[1 - fallen]))
    else:
        unchecked = standing(found[1 - fallen]) == "open"
        meets = "meets all that is checked" if unchecked else "meets every required criterion"
        head = joined(f"{left} is ahead: it {meets}, while ", why)
    leader = "" if torque.leader is None else f"{letter(indices[torque.leader])}: "
    return joined(head, "; ", leader, torque.words, ".")


def _nothing(indices: tuple[int, int], found: tuple[CandidateResult, ...]) -> Sentence:
    parts = []
    for index, candidate in zip(indices, found, strict=True):
        if not candidate.margins:
            lacks = ", ".join(candidate.missing) or "what it is made of"
            parts.append(f"{letter(index)} lacks {lacks}")
    return joined("Not to be compared yet: ", "; ".join(dict.fromkeys(parts)), ".")


def _why_out(candidate: CandidateResult) -> Sentence:
    margin = _first(candidate, "excluded")
    return joined(margin.label, f" ({margin.why})" if isinstance(margin.why, str) and margin.why else "")


def _missed(candidate: CandidateResult) -> Sentence:
    margin = _first(candidate, "missed")
    above = margin.above_target
    if above is None:
        return joined(margin.label, " beyond any number")
    return joined(margin.label, ", ", _distance("", above))


def _first(candidate: CandidateResult, status: str) -> Margin:
    """Return the worst required margin of a status; the margins come in that order."""
    return next(margin for margin in candidate.margins if margin.required and margin.status == status)
