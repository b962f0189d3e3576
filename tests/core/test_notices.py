"""Cautions and findings as a list: order, merging, counting."""

from __future__ import annotations

from core.findings import Caution, Finding
from core.notices import Notice, name_of, notices
from core.results import CandidateResult, Margin
from core.sentences import sentence
from core.units import DisplayUnits, Kind
from tests.core.test_margin_rows import margin

UNITS = DisplayUnits()


def candidate(
    index: int = 0,
    findings: tuple[Finding, ...] = (),
    cautions: tuple[Caution, ...] = (),
    margins: tuple[Margin, ...] = (),
    missing: tuple[str, ...] = (),
    name: str = "frame",
) -> CandidateResult:
    return CandidateResult(index, name, margins, None, findings, cautions, missing)


def shown(*candidates: CandidateResult) -> list[Notice]:
    return list(notices(candidates, UNITS))


HOT = Caution("hot", "Hot surface", sentence("It reaches {t}.", t=(66.0, Kind.TEMPERATURE)))
TOO_FAST = Finding("fast", "serious", "Too fast.", {}, 1)
NO_DRAG = Finding("drag", "warning", "No drag is given.")
GUESS = Finding("guess", "assumed", "The plate is taken as steel.")
NOTE = Finding("how", "note", "The law goes through all points.")


def test_cautions_come_first_and_notes_last() -> None:
    one = candidate(findings=(NOTE, GUESS, NO_DRAG, TOO_FAST), cautions=(HOT,), missing=("No ambient.",))
    two = candidate(index=0, margins=(margin("heat", None, status="not checked"),))
    ranks = [notice.rank for notice in shown(one)]
    assert ranks == ["caution", "serious", "warning", "still needed", "assumed", "notes"]
    assert [notice.rank for notice in shown(two)] == ["not checked"]
    assert shown() == []


def test_what_is_the_same_for_both_is_said_once() -> None:
    both = shown(candidate(0, (TOO_FAST,), (HOT,)), candidate(1, (TOO_FAST,), (HOT,)))
    assert [notice.title for notice in both] == ["Hot surface, both", "Serious, both, segment 2"]
    assert both[1].segment == 1
    assert both[0].candidates == (0, 1)


def test_three_are_all_and_two_of_three_are_named() -> None:
    a, b, c = (candidate(i, cautions=(HOT,), name=f"frame {i}") for i in range(3))
    assert shown(a, b, c)[0].title == "Hot surface, all candidates"
    assert shown(a, b, candidate(2))[0].title == "Hot surface, A frame 0, B frame 1"


def test_other_numbers_are_another_finding() -> None:
    cool = Caution("hot", "Hot surface", sentence("It reaches {t}.", t=(61.0, Kind.TEMPERATURE)))
    found = shown(candidate(0, cautions=(HOT,)), candidate(1, cautions=(cool,), name="other"))
    assert [notice.title for notice in found] == ["Hot surface, A frame", "Hot surface, B other"]
    assert "66.0" in found[0].text
    assert "61.0" in found[1].text


def test_numbers_are_in_display_units() -> None:
    units = UNITS.with_units({Kind.TEMPERATURE: "°F"})
    # 66 degC * 9/5 + 32 = 150.8 degF
    assert "151" in notices([candidate(cautions=(HOT,))], units)[0].text


def test_not_checked_is_counted_by_criterion_and_says_why() -> None:
    a = candidate(
        0, margins=(margin("heat", None, status="not checked"), margin("life", None, status="not checked"))
    )
    b = candidate(1, margins=(margin("heat", None, status="not checked"), margin("life", 0.5)))
    (notice,) = shown(a, b)
    assert notice.title == "2 criteria are not checked"
    assert notice.text.splitlines() == ["Heat: no reason given", "Life (A): no reason given"]


def test_assumptions_are_counted_once_for_both() -> None:
    (notice,) = shown(candidate(0, (GUESS, GUESS)), candidate(1, (GUESS,)))
    assert notice.title == "1 input is assumed"
    assert notice.text == "The plate is taken as steel."
    assert shown(candidate(0, (GUESS,)), candidate(1))[0].text == "The plate is taken as steel. (A)"


def test_what_is_needed_stands_together_by_candidate() -> None:
    found = shown(candidate(0, missing=("the ambient", "a winding")), candidate(1, missing=("the ambient",)))
    assert [(n.title, n.text) for n in found] == [
        ("Still needed, both", "the ambient"),
        ("Still needed, A frame", "a winding"),
    ]


def test_a_letter_is_not_said_twice() -> None:
    assert name_of(candidate(name="A frame 34"), 0) == "A frame 34"
    assert name_of(candidate(name="Aluminium"), 0) == "A Aluminium"


def test_whole_text() -> None:
    assert shown(candidate(cautions=(HOT,)))[0].whole == "Hot surface, A frame\nIt reaches 66.0\u00a0°C."
