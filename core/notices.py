"""Cautions and findings of all candidates as one list for people: cautions first, then by severity.

What is the same for several candidates is said once, with the names of those it holds for.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal, get_args

from core.charts.display_axis import letter
from core.findings import Finding, Severity
from core.records import dataclass
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits

CLOSING: Final = (
    "An engineering estimate. Local codes, standards and licensed practice decide "
    "wherever someone could be hurt."
)
Rank = Literal["caution", "serious", "warning", "still needed", "not checked", "assumed", "notes"]
_RANKS: Final[tuple[Rank, ...]] = get_args(Rank)
_TITLES: Final[dict[Rank, str]] = {"serious": "Serious", "warning": "Warning"}
_OWN_CARD: Final[dict[Severity, Rank]] = {"serious": "serious", "warning": "warning"}


@dataclass(frozen=True, slots=True)
class Notice:
    """One entry of the list. `candidates` are those it holds for, `segment` where it happens."""

    rank: Rank
    title: str
    text: str
    candidates: tuple[int, ...]
    segment: int | None = None

    @property
    def whole(self) -> str:
        """Title and text as one piece, for copying and for screen readers."""
        return f"{self.title}\n{self.text}"


def notices(candidates: Sequence[CandidateResult], units: DisplayUnits) -> tuple[Notice, ...]:
    """Return what people should know about these candidates, in the order in which it matters."""
    found = _cautions(candidates, units) + _findings(candidates, units)
    found += _still_needed(candidates) + _not_checked(candidates, units)
    found += _gathered(candidates, units, "assumed", "assumed", ("input is assumed", "inputs are assumed"))
    found += _gathered(candidates, units, "note", "notes", ("note", "notes on how this was computed"))
    return tuple(sorted(found, key=lambda notice: _RANKS.index(notice.rank)))


def who(indices: Sequence[int], candidates: Sequence[CandidateResult]) -> str:
    """Return the candidates in words: by name, "both" of two, "all" of more.

    A candidate whose name already begins with its letter is not given it twice.
    """
    if len(indices) == len(candidates) > 1:
        return "both" if len(candidates) == 2 else "all candidates"
    return ", ".join(name_of(candidates[index], index) for index in indices)


def name_of(candidate: CandidateResult, index: int) -> str:
    """Return a candidate's letter and name."""
    mark = letter(index)
    return candidate.name if candidate.name.split(" ")[0] == mark else f"{mark} {candidate.name}"


def _cautions(candidates: Sequence[CandidateResult], units: DisplayUnits) -> list[Notice]:
    same: dict[tuple[str, str], list[int]] = {}
    for index, candidate in enumerate(candidates):
        for caution in candidate.cautions:
            indices = same.setdefault((caution.title, as_text(caution.text, units)), [])
            indices += [] if index in indices else [index]
    return [
        Notice("caution", f"{title}, {who(indices, candidates)}", text, tuple(indices))
        for (title, text), indices in same.items()
    ]


def _findings(candidates: Sequence[CandidateResult], units: DisplayUnits) -> list[Notice]:
    same: dict[tuple[Rank, str, int | None], list[int]] = {}
    for index, finding in _all_findings(candidates):
        rank = _OWN_CARD.get(finding.severity)
        if rank is None:
            continue  # gathered with others of its severity
        indices = same.setdefault((rank, as_text(finding.text, units), finding.segment), [])
        indices += [] if index in indices else [index]
    return [
        Notice(
            severity,
            f"{_TITLES[severity]}, {_place(segment, indices, candidates)}",
            text,
            tuple(indices),
            segment,
        )
        for (severity, text, segment), indices in same.items()
    ]


def _place(segment: int | None, indices: Sequence[int], candidates: Sequence[CandidateResult]) -> str:
    names = who(indices, candidates)
    return names if segment is None else f"{names}, segment {segment + 1}"


def _all_findings(candidates: Sequence[CandidateResult]) -> list[tuple[int, Finding]]:
    return [(i, finding) for i, candidate in enumerate(candidates) for finding in candidate.findings]


def _still_needed(candidates: Sequence[CandidateResult]) -> list[Notice]:
    """Return what has to be given before the rest can be computed, once for those who lack the same."""
    lacking: dict[str, list[int]] = {}
    for index, candidate in enumerate(candidates):
        for what in dict.fromkeys(candidate.missing):
            lacking.setdefault(what, []).append(index)
    groups: dict[tuple[int, ...], list[str]] = {}
    for what, indices in lacking.items():
        groups.setdefault(tuple(indices), []).append(what)
    return [
        Notice("still needed", f"Still needed, {who(indices, candidates)}", "\n".join(needed), indices)
        for indices, needed in groups.items()
    ]


def unchecked(candidates: Sequence[CandidateResult], units: DisplayUnits) -> dict[tuple[str, str], list[int]]:
    """Return the criteria that are not checked: (label, reason) -> candidates."""
    same: dict[tuple[str, str], list[int]] = {}
    for index, candidate in enumerate(candidates):
        for margin in candidate.margins:
            if margin.status == "not checked":
                same.setdefault((margin.label, as_text(margin.why, units)), []).append(index)
    return same


def _not_checked(candidates: Sequence[CandidateResult], units: DisplayUnits) -> list[Notice]:
    same = unchecked(candidates, units)
    if not same:
        return []
    count = len({label for label, _ in same})
    title = f"{counted(count, 'criterion is', 'criteria are')} not checked"
    lines = [
        f"{label}{_of(indices, candidates)}: {why or 'no reason given'}"
        for (label, why), indices in same.items()
    ]
    return [_collected("not checked", title, lines, list(same.values()))]


def _gathered(
    candidates: Sequence[CandidateResult],
    units: DisplayUnits,
    severity: Severity,
    rank: Rank,
    words: tuple[str, str],
) -> list[Notice]:
    """Return all findings of one severity as one notice that counts them."""
    same: dict[tuple[str, str], list[int]] = {}
    codes: dict[str, None] = {}
    for index, finding in _all_findings(candidates):
        if finding.severity == severity:
            codes.setdefault(finding.code)
            indices = same.setdefault((finding.code, as_text(finding.text, units)), [])
            indices += [] if index in indices else [index]
    if not same:
        return []
    title = counted(len(codes), *words)
    lines = [
        f"{text}{_of(indices, candidates)}"
        for code in codes
        for (own, text), indices in same.items()
        if own == code
    ]
    return [_collected(rank, title, lines, list(same.values()))]


def _collected(rank: Rank, title: str, lines: list[str], indices: list[list[int]]) -> Notice:
    return Notice(rank, title, "\n".join(lines), tuple(sorted({i for some in indices for i in some})))


def _of(indices: Sequence[int], candidates: Sequence[CandidateResult]) -> str:
    """Return the letters of the candidates in brackets, nothing where it holds for all."""
    if len(indices) == len(candidates):
        return ""
    return f" ({', '.join(letter(index) for index in indices)})"


def counted(count: int, one: str, many: str) -> str:
    """Return a count with its noun.

    Examples
    --------
    >>> counted(1, "input is", "inputs are"), counted(12, "input is", "inputs are")
    ('1 input is', '12 inputs are')
    """
    return f"{count} {one if count == 1 else many}"
