"""From a result to chart descriptions: the right arrays, the right words, and sane axes for odd input."""

from __future__ import annotations

from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from core.charts.chart import Chart, Series
from core.charts.cycle_chart import SPEED_LANE, TEMPERATURE_LANE, TORQUE_LANE, cycle_chart
from core.charts.display_axis import shown_candidates, time_words
from core.charts.speed_torque_chart import speed_torque_chart
from core.charts.temperature_chart import state_words, temperature_chart
from core.deferred import Deferred
from core.evaluate import evaluate
from core.findings import Finding
from core.project.edits import add_candidate, change_application, change_candidate, change_segment
from core.project.project import Project
from core.project.project_file import read_project
from core.results import CandidateResult, LoadPoints, Result
from core.units import DisplayUnits, Kind

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
UNITS = DisplayUnits()


@pytest.fixture(scope="module")
def project() -> Project:
    return read_project(SAMPLES / "sample_carousel.json")


@pytest.fixture(scope="module")
def result(project: Project) -> Result:
    return evaluate(project)


def chosen(result: Result) -> CandidateResult:
    candidate = result.chosen_candidate
    assert candidate is not None
    return candidate


def loads(result: Result) -> LoadPoints:
    points = chosen(result).load_points
    assert points is not None
    return points


def series(chart: Chart, name: str, panel: int = 0) -> Series:
    return next(s for s in chart.panels[panel].series if s.id == name)


def ids(chart: Chart, panel: int = 0) -> list[str]:
    return [s.id for s in chart.panels[panel].series]


def with_chosen(result: Result, **fields: object) -> Result:
    """Return the result with fields of the chosen candidate replaced."""
    candidates = list(result.candidates)
    assert result.chosen is not None
    candidates[result.chosen] = with_fields(candidates[result.chosen], **fields)  # type: ignore[arg-type]
    return with_fields(result, candidates=tuple(candidates))


def test_plane_holds_every_point_of_the_chosen_candidate(result: Result) -> None:
    chart = speed_torque_chart(result, UNITS, selected=2)
    points = {p.id: p for p in chart.panels[0].points}
    for k in range(len(loads(result).speed)):
        point = points[f"segment {k}"]
        assert (point.x, point.y) == (loads(result).speed[k], loads(result).torque[k])
        assert point.text == str(k + 1)
        assert point.selected == (k == 2)
        assert chart.x_range()[0] <= point.x <= chart.x_range()[1]
        low, high = chart.panels[0].y_range()
        assert low < point.y < high
    rms = chosen(result).rms
    assert rms is not None
    assert (points["rms"].x, points["rms"].y) == (rms.speed, rms.torque)
    assert ("not valid here" in points["rms"].label) is not rms.valid


def test_plane_curves_are_those_of_the_result_within_the_voltage(result: Result) -> None:
    chart = speed_torque_chart(result, UNITS)
    for candidate in result.candidates:
        curves = candidate.curves
        assert curves is not None
        assert curves.continuous is not None
        assert curves.voltage_limit is not None
        drawn = series(chart, f"{candidate.index} continuous")
        seen = np.isfinite(drawn.y)
        assert np.array_equal(drawn.y[seen], curves.continuous[seen])
        assert np.all(drawn.y[seen] <= curves.voltage_limit[seen] * (1.0 + 1e-6))


def test_same_voltage_limit_is_drawn_once_in_ink(project: Project) -> None:
    candidate = project.candidates[0]
    twins = replace(project, candidates=(candidate, replace(candidate, name="twin")), chosen=candidate.name)
    chart = speed_torque_chart(evaluate(twins), UNITS)
    limits = [s for s in chart.panels[0].series if "voltage limit" in s.id and "braking" not in s.id]
    assert [(s.id, s.style.role) for s in limits] == [("voltage limit", "soft")]


def test_different_voltage_limits_are_drawn_in_their_colours(result: Result) -> None:
    other = with_fields(
        result.candidates[1],
        curves=with_fields(
            result.candidates[1].curves,  # type: ignore[type-var]
            voltage_limit=0.8 * result.candidates[1].curves.voltage_limit,  # type: ignore[union-attr,operator]
        ),
    )
    chart = speed_torque_chart(with_fields(result, candidates=(result.candidates[0], other)), UNITS)
    roles = {s.id: s.style.role for s in chart.panels[0].series if s.id.endswith("voltage limit")}
    assert roles == {"0 voltage limit": "candidate", "1 voltage limit": "candidate"}


def test_segment_that_reverses_is_drawn_on_both_sides(result: Result) -> None:
    points = with_fields(loads(result), other_speed=np.array([-50.0, 0.0, 0.0, 0.0]))
    chart = speed_torque_chart(with_chosen(result, load_points=points), UNITS)
    line = series(chart, "segment 0 travel")
    torque = float(points.torque[0])
    assert line.x.tolist() == [float(points.speed[0]), 0.0, 0.0, 0.0, 50.0]
    assert np.isnan(line.y[2])
    assert line.y[[0, 1, 3, 4]].tolist() == [torque, torque, -torque, -torque]


def test_headline_states_the_conditions(project: Project) -> None:
    site = replace(project.application.site, ambient=40.0)
    supply = replace(project.application.supply, lowest_voltage=21.6)
    chart = speed_torque_chart(evaluate(change_application(project, site=site, supply=supply)), UNITS)
    assert chart.headline.startswith("at 40 °C, 21.6 V, worst of hot and cold, ")
    bare = change_application(project, site=replace(site, ambient=None))
    assert speed_torque_chart(evaluate(bare), UNITS).headline.startswith("ambient not given")


def test_display_units_reach_axes_and_words(result: Result) -> None:
    units = UNITS.with_units({Kind.TORQUE: "oz*in", Kind.TEMPERATURE: "°F"})
    plane, cycle = speed_torque_chart(result, units), cycle_chart(result, units)
    assert plane.panels[0].y.title == "torque ozf·in"
    # 1 ozf·in = 7.0615518e-3 N m (ounce and inch of 1959, standard gravity)
    assert plane.panels[0].y.shown(7.0615518e-3) == pytest.approx(1.0, rel=1e-7)
    assert cycle.panels[TEMPERATURE_LANE].y.shown(100.0) == pytest.approx(212.0)


def test_cycle_lanes_are_the_duty(result: Result) -> None:
    chart = cycle_chart(result, UNITS, selected=1)
    duty = result.duty
    assert np.array_equal(series(chart, "torque", TORQUE_LANE).y, duty.shaft_torque)
    assert np.array_equal(series(chart, "speed", SPEED_LANE).y, duty.speed)
    assert np.array_equal(series(chart, "speed", SPEED_LANE).x, duty.time)
    assert chart.x_range() == (0.0, duty.edges[-1])
    spans = chart.panels[TORQUE_LANE].spans
    assert [(s.start, s.end, s.label) for s in spans] == [
        (duty.edges[k], duty.edges[k + 1], str(k + 1)) for k in range(len(spans))
    ]
    assert [s.shaded for s in spans] == [k == 1 for k in range(len(spans))]


def test_winding_is_drawn_at_its_hottest_place_below_its_own_limit(result: Result) -> None:
    chart = cycle_chart(result, UNITS)
    candidate = chosen(result)
    assert candidate.cycle is not None
    peak = next(p for p in candidate.peaks if p.role == "winding")
    allowance = result.project.application.requirements.hot_spot_allowance
    drawn = series(chart, f"{candidate.index} winding", TEMPERATURE_LANE)
    mean = candidate.cycle.temps[:, candidate.cycle.nodes.index(peak.node)]
    assert np.array_equal(drawn.y, mean + allowance)
    # The peak of the margins is the peak of the curve, up to the spacing of its samples.
    assert drawn.y.max() == pytest.approx(peak.temp, abs=0.2)
    rule = next(r for r in chart.panels[TEMPERATURE_LANE].rules if r.label.startswith("winding limit"))
    assert rule.y == peak.limit


def test_heating_up_is_the_envelope_of_the_result(result: Result) -> None:
    chart = temperature_chart(result, UNITS)
    candidate = chosen(result)
    trace = candidate.heating_up
    assert trace is not None
    band = next(b for b in chart.panels[0].bands if b.id == f"{candidate.index} winding")
    column = trace.nodes.index("winding")
    allowance = result.project.application.requirements.hot_spot_allowance
    assert np.array_equal(band.x, trace.time)
    assert np.array_equal(band.low, trace.lowest[:, column] + allowance)
    assert np.array_equal(band.high, trace.highest[:, column] + allowance)
    assert trace.settled_after is not None
    assert series(chart, "settled").x[0] == trace.settled_after


def test_run_away_is_said_in_words(result: Result) -> None:
    finding = Finding("thermal_run_away", "serious", "text", {"time_to_limit_s": 960.0})
    away = with_chosen(result, cycle=None, peaks=(), findings=(finding,))
    words = state_words(chosen(away), UNITS)
    assert words == "runs away, never settles; first limit after 16 min"
    assert words in cycle_chart(away, UNITS).headline
    assert words in temperature_chart(away, UNITS).headline


def test_candidate_without_repeating_state_is_named_in_the_lane(result: Result) -> None:
    assert result.chosen == 0
    finding = Finding("thermal_run_away", "serious", "text", {"time_to_limit_s": 960.0})
    other = with_fields(result.candidates[1], cycle=None, peaks=(), findings=(finding,))
    chart = cycle_chart(with_fields(result, candidates=(result.candidates[0], other)), UNITS)
    assert [note.text for note in chart.panels[TEMPERATURE_LANE].notes] == [
        "B runs away, never settles; first limit after 16 min"
    ]


def test_endless_rise_does_not_flatten_the_rest(result: Result) -> None:
    trace = chosen(result).heating_up
    assert trace is not None
    wild = with_fields(trace, lowest=trace.lowest * 1e6, highest=trace.highest * 1e6)
    chart = temperature_chart(with_chosen(result, heating_up_later=Deferred(lambda: wild)), UNITS)
    assert chart.panels[0].y_range()[1] < 400.0


@pytest.mark.parametrize("builder", [speed_torque_chart, cycle_chart, temperature_chart])
def test_missing_parts_still_give_a_chart_with_a_reason(builder: object, project: Project) -> None:
    assert callable(builder)
    nothing = Project()
    no_motor = change_candidate(project, 0, motor=None, winding=None, variant=None)
    no_cycle = change_application(project, duty_cycle=())
    no_site = change_application(project, site=replace(project.application.site, ambient=None))
    no_supply = change_application(project, supply=replace(project.application.supply, lowest_voltage=None))
    for odd in (nothing, no_motor, no_cycle, no_site, no_supply):
        chart = builder(evaluate(odd), UNITS)
        assert chart.summary.endswith(".")
        for panel in chart.panels:
            low, high = panel.y_range()
            assert np.isfinite([low, high]).all()
            assert low < high


def test_a_lane_of_nothing_but_zeros_has_a_height(project: Project) -> None:
    at_rest = project
    for k in range(len(project.application.duty_cycle)):
        at_rest = change_segment(at_rest, k, shaft_torque=0.0, speed_start=0.0, speed_end=0.0)
    chart = cycle_chart(evaluate(at_rest), UNITS)
    for lane in (TORQUE_LANE, SPEED_LANE):
        low, high = chart.panels[lane].y_range()
        assert low < 0.0 < high


@pytest.mark.parametrize(
    ("symbols", "torque", "speed"),
    [
        # the next step of 1, 2 or 5 times a power of ten above 0.1 N m and 100 rad/s, in the unit of the axis
        ({}, 100.0, 1000.0),  # 954.93 rpm
        ({Kind.TORQUE: "N·m", Kind.SPEED: "rad/s"}, 0.1, 100.0),
        ({Kind.SPEED: "rev/s"}, 100.0, 20.0),  # 15.92 rev/s
    ],
)
def test_axes_of_an_empty_project_end_at_round_numbers(
    symbols: dict[Kind, str], torque: float, speed: float
) -> None:
    units = UNITS.with_units(symbols)
    nothing = evaluate(Project())
    cycle, plane = cycle_chart(nothing, units), speed_torque_chart(nothing, units)
    for lane, top in ((TORQUE_LANE, torque), (SPEED_LANE, speed)):
        axis = cycle.panels[lane].y
        assert axis.ticks is not None
        assert [axis.shown(tick) for tick in axis.ticks] == pytest.approx([0.0, top])
    assert plane.x.shown(plane.x_range()[1]) == pytest.approx(speed)
    assert plane.panels[0].y.shown(plane.panels[0].y_range()[1]) == pytest.approx(torque)


def test_more_candidates_than_looks_keep_the_chosen_one(project: Project) -> None:
    many = project
    for _ in range(5):
        many = add_candidate(many, project.candidates[0])
    many = replace(many, chosen=many.candidates[6].name)
    result = evaluate(many)
    assert [c.index for c in shown_candidates(result)] == [0, 1, 2, 6]
    assert "6 continuous" in ids(speed_torque_chart(result, UNITS))
    assert "6 winding" in ids(cycle_chart(result, UNITS), TEMPERATURE_LANE)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.0005, "0.5 ms"), (0.3, "300 ms"), (12.0, "12 s"), (1440.0, "24 min"), (90000.0, "25 h")],
)
def test_times_are_said_in_a_unit_that_suits(seconds: float, words: str) -> None:
    assert time_words(seconds, UNITS) == words


def test_the_time_unit_is_the_users_where_he_chose_one() -> None:
    assert time_words(0.3, UNITS.with_units({Kind.TIME: "ms"})) == "300 ms"
    assert time_words(1440.0, UNITS.with_units({Kind.TIME: "ms"})) == "1440000 ms"
