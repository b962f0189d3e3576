"""A chunk of candidates gives what each gives alone: status and numbers of every margin, to 1e-9.

The expected numbers are those of the single evaluation, which the tests of its parts hold to outside sources.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate_candidate
from core.project.application import Application, Site
from core.project.candidate import Candidate, Drive
from core.project.feedback import Sensorless
from core.project.fittings import HoldingBrake, ShaftForce
from core.project.load import TraceColumnChoice, TraceSource
from core.project.project_file import read_project
from core.project.transmission import Transmission
from core.shortlist.batch import chunk, evaluate_chunk
from core.shortlist.batch.choices import Choices
from core.shortlist.chunk_result import ABSENT, OBJECTIVES, STATUSES, ChunkResult
from core.trace_source import open_trace
from tests.core.projects import candidate, project, random_duty, segment
from tests.core.shortlist_pool import differences, random_application, random_candidates

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"


def assert_equal_to_the_single_evaluation(application: Application, candidates: list[Candidate]) -> None:
    result = evaluate_chunk(application, candidates)
    for row, one in enumerate(candidates):
        assert differences(application, one, result, row) == [], f"{row}: {one.name}"


@pytest.mark.parametrize("seed", range(16))
def test_random_candidates_equal_the_single_evaluation(seed: int) -> None:
    rng = np.random.default_rng(seed)
    application = random_application(rng)
    candidates = random_candidates(rng, 14, seed == 0, application.duty_from)
    assert_equal_to_the_single_evaluation(application, candidates)


@pytest.mark.parametrize("seed", range(100, 108))
def test_the_heat_of_candidates_that_are_ruled_out_would_be_the_same_too(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chunk, "ruled_out_by", lambda board: np.full(board.count, ABSENT))
    rng = np.random.default_rng(seed)
    application = random_application(rng)
    candidates = random_candidates(rng, 14, False, application.duty_from)
    assert_equal_to_the_single_evaluation(application, candidates)


def test_who_is_ruled_out_misses_or_is_excluded_in_the_full_evaluation() -> None:
    out = 0
    for seed in range(200, 205):
        rng = np.random.default_rng(seed)
        application = random_application(rng)
        candidates = random_candidates(rng, 12, False, application.duty_from)
        result = evaluate_chunk(application, candidates)
        for row, one in enumerate(candidates):
            if result.ruled_out_by[row] == ABSENT:
                continue
            out += 1
            code = result.columns[result.ruled_out_by[row]].code
            full = {m.criterion: m for m in evaluate_candidate(application, one, 0).margins}[code]
            assert full.required
            assert full.status in ("missed", "excluded")
    assert out > 10


def demo_chunk() -> tuple[Application, list[Candidate]]:
    made = project(*random_duty(5))
    kinds = [candidate(winding=name, variant=kind) for name in ("12 V", "24 V", "36 V")
             for kind in ("open rotor", "enclosed")]  # fmt: skip
    return made.application, kinds


def test_the_company_of_a_candidate_changes_nothing() -> None:
    rng = np.random.default_rng(31)
    application = random_application(rng, loads=False)
    candidates = random_candidates(rng, 30, False)
    together = evaluate_chunk(application, candidates)
    for row, one in enumerate(candidates[:12]):
        alone = evaluate_chunk(application, [one])
        for k, column in enumerate(alone.columns):
            at = together.column(column.code)
            assert alone.status[0, k] == together.status[row, at]
            np.testing.assert_array_equal(alone.margin[0, k], together.margin[row, at])


def test_an_empty_chunk_has_neither_rows_nor_columns() -> None:
    application, _ = demo_chunk()
    result = evaluate_chunk(application, [])
    assert len(result) == 0
    assert result.columns == ()
    assert set(result.objectives) == set(OBJECTIVES)


def test_a_candidate_without_a_motor_has_no_margins() -> None:
    application, candidates = demo_chunk()
    result = evaluate_chunk(application, [Candidate(name="nothing"), candidates[0]])
    assert (result.status[0] == ABSENT).all()
    assert result.governing[0] == ABSENT
    assert np.isnan(result.objectives["smallest_margin"][0])
    assert (result.status[1] != ABSENT).any()


@pytest.mark.parametrize("what", ["no ambient", "no voltage", "no duty", "a trace"])
def test_an_application_that_lacks_something_gives_what_the_single_evaluation_gives(what: str) -> None:
    application, candidates = demo_chunk()
    column = TraceColumnChoice(number=0, unit="s")
    trace = TraceSource(file="trace.csv", time=column, torque=column, speed=column)
    lacking = {
        "no ambient": replace(application, site=Site()),
        "no voltage": replace(application, supply=type(application.supply)()),
        "no duty": replace(application, duty_cycle=()),
        "a trace": replace(application, duty_from="trace", trace=trace),
    }
    assert_equal_to_the_single_evaluation(lacking[what], candidates)


def test_a_measured_trace_is_evaluated_where_it_is_given() -> None:
    made = read_project(SAMPLES / "greenhouse_cart_measured.json")
    source = made.application.trace
    assert source is not None
    measured = open_trace(source, SAMPLES)
    result = evaluate_chunk(made.application, made.candidates, measured)
    for row, one in enumerate(made.candidates):
        single = evaluate_candidate(made.application, one, 0, measured)
        reserve = {margin.criterion: margin for margin in single.margins}["torque_reserve"]
        assert result.limit[row, result.column("torque_reserve")] == reserve.limit
        assert result.whole[row]


def test_a_cycle_without_any_torque_is_told_as_such() -> None:
    application, candidates = demo_chunk()
    still = replace(application, duty_cycle=(segment(5.0, 0.0, 0.0),))
    assert_equal_to_the_single_evaluation(still, candidates)
    result = evaluate_chunk(still, candidates)
    reserve = result.column("torque_reserve")
    assert {STATUSES[k] for k in result.status[:, reserve].tolist()} == {"met"}


def test_objectives_follow_the_margins() -> None:
    application, candidates = demo_chunk()
    result = evaluate_chunk(application, candidates)
    above = np.where(np.isnan(result.margin), np.inf, result.margin - result.target)
    numbered = np.isfinite(result.objectives["smallest_margin"])
    np.testing.assert_array_equal(result.objectives["smallest_margin"][numbered], above.min(axis=1)[numbered])
    assert numbered.any()


def test_rows_that_are_not_whole_leave_their_heat_unchecked() -> None:
    application, candidates = demo_chunk()
    dusty = replace(application.site.surroundings, dust="yes")
    application = replace(application, site=replace(application.site, surroundings=dusty))
    result = evaluate_chunk(application, candidates)
    out = ~result.whole
    assert out.any()
    assert not out.all()
    np.testing.assert_array_equal(result.ruled_out_by[out], result.column("dust"))
    assert {STATUSES[k] for k in result.status[out, result.column("torque_reserve")].tolist()} == {
        "not checked"
    }
    assert np.isnan(result.objectives["mean_losses"][out]).all()
    assert np.isfinite(result.objectives["mean_losses"][~out]).all()


def test_arrays_have_one_row_per_candidate_and_one_column_per_criterion() -> None:
    application, candidates = demo_chunk()
    result: ChunkResult = evaluate_chunk(application, candidates)
    shape = (len(candidates), len(result.columns))
    for name in ("status", "demand", "limit", "margin", "target", "required"):
        assert getattr(result, name).shape == shape
    assert len({column.code for column in result.columns}) == shape[1]
    for values in result.objectives.values():
        assert values.shape == shape[:1]


def test_distinct_choices_of_many_parts_are_never_mixed_up() -> None:
    rng = np.random.default_rng(9)
    motors = [replace(candidate().motor, name=f"motor {k}") for k in range(300)]  # type: ignore[type-var]
    made = [
        Candidate(
            name=f"{k}",
            motor=motors[int(rng.integers(300))],
            drive=Drive(name=f"{k}"),
            brake=HoldingBrake(holding_torque=1.0 + k),
            shaft_force=ShaftForce(radial=float(k)),
            transmission=Transmission(ratio=1.0 + k),
            feedback=Sensorless(name=f"{k}"),
            lead_resistance=float(rng.random()),
            choke=float(rng.random()),
        )
        for k in range(400)
    ]
    found = Choices(made).by(
        "motor", "drive", "brake", "shaft_force", "transmission", "feedback", "choke", "lead_resistance"
    )
    assert len(found) == len(made)
    assert sorted(found.first.tolist()) == list(range(len(made)))
    assert all(rows.size == 1 for rows in found.rows())
