"""The order of the margins, what stays open, and the words for what has no number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.margin_rows import kept_order, margin_rows, order_of, outcome, percent
from core.results import CandidateResult, Margin, Status
from core.units import Kind


def margin(code: str, value: float | None, target: float = 0.1, status: Status | None = None) -> Margin:
    found: Status = status or ("met" if value is not None and value >= target else "missed")
    return Margin(
        criterion=code,
        label=code.title(),
        kind=Kind.NUMBER,
        unit="",
        demand=None,
        limit=None,
        utilisation=None,
        margin=value,
        target=target,
        status=found,
        required=True,
        where="",
        why="",
        equation="",
    )


def candidate(*margins: Margin, index: int = 0) -> CandidateResult:
    return CandidateResult(
        index=index,
        name="frame",
        margins=margins,
        governing=None,
        findings=(),
        cautions=(),
        missing=(),
    )


def test_order_is_by_margin_minus_target_of_the_worst_candidate() -> None:
    a = candidate(margin("speed", 0.30, 0.05), margin("torque", 0.30, 0.15), margin("heat", 0.90))
    b = candidate(margin("speed", 0.30, 0.05), margin("torque", 0.30, 0.15), margin("heat", 0.12), index=1)
    # above target: heat of b 0.02, torque 0.15, speed 0.25
    assert order_of(margin_rows([a, b])).criteria == ("heat", "torque", "speed")
    assert order_of(margin_rows([a])).criteria == ("torque", "speed", "heat")
    assert margin_rows([a, b])["heat"].worst[0] == 1


def test_excluded_come_first_then_missed_without_a_number_and_unchecked_stand_apart() -> None:
    a = candidate(
        margin("unknown", None, status="not checked"),
        margin("dust", None, status="met"),
        margin("heat", -0.5),
        margin("run-away", None, status="missed"),
        margin("swarf", None, status="excluded"),
        margin("speed", 0.9),
    )
    assert order_of(margin_rows([a])).criteria == ("swarf", "run-away", "heat", "speed", "dust")


def test_what_one_candidate_could_not_check_is_ordered_by_the_other() -> None:
    a, b = candidate(margin("heat", None, status="not checked")), candidate(margin("heat", 0.2), index=1)
    rows = margin_rows([a, b])
    assert rows["heat"].worst[0] == 1
    assert order_of(rows).criteria == ("heat",)


def test_a_criterion_of_one_candidate_only() -> None:
    rows = margin_rows([candidate(margin("heat", 0.2)), candidate(margin("length", 0.5), index=1)])
    assert rows["length"].margins[0] is None
    assert outcome(rows["length"].margins[0]) == "–"


def test_five_stay_open_and_whatever_is_not_met() -> None:
    met = [margin(f"m{i}", 0.5) for i in range(9)]
    assert order_of(margin_rows([candidate(*met)])).open_count == 5
    assert order_of(margin_rows([candidate(*met[:3])])).open_count == 3
    missed = [margin(f"x{i}", -0.5) for i in range(7)]
    assert order_of(margin_rows([candidate(*met, *missed)])).open_count == 7
    assert order_of({}).open_count == 0


@given(
    st.lists(st.floats(-2.0, 1.0), min_size=8, max_size=8),
    st.lists(st.floats(-2.0, 1.0), min_size=8, max_size=8),
)
def test_a_kept_order_does_not_depend_on_the_numbers(before: list[float], after: list[float]) -> None:
    first = order_of(margin_rows([candidate(*(margin(f"m{i}", x) for i, x in enumerate(before)))]))
    rows = margin_rows([candidate(*(margin(f"m{i}", x) for i, x in enumerate(after)))])
    assert kept_order(first, rows) == first


def test_a_kept_order_drops_what_is_gone_and_appends_what_is_new() -> None:
    rows = margin_rows([candidate(margin("a", 0.1), margin("b", 0.2), margin("c", 0.3))])
    kept = kept_order(
        order_of(rows), margin_rows([candidate(margin("d", -1.0), margin("c", 0.0), margin("a", 0.0))])
    )
    assert kept.criteria == ("a", "c", "d")
    assert kept.open_count == 2


@pytest.mark.parametrize(
    ("value", "target", "text"),
    [
        (0.2, 0.15, "+20 %"),
        (-0.04, 0.0, "−4 %"),
        (0.0, 0.5, "0 %"),
        (0.149, 0.15, "+14.9 %"),
        (0.15, 0.15, "+15 %"),
        (-12.5, 0.1, "−1250 %"),
        (-0.001, 0.1, "0 %"),
        (math.inf, 0.1, "+∞ %"),
        (-math.inf, 0.1, "−∞ %"),
        (math.nan, 0.1, "– %"),
    ],
)
def test_percent(value: float, target: float, text: str) -> None:
    assert percent(value, target).replace("\u00a0", " ") == text


def test_words_where_there_is_no_number() -> None:
    statuses: tuple[Status, ...] = ("met", "missed", "not checked", "excluded")
    assert [outcome(margin("x", None, status=s)) for s in statuses] == list(statuses)
