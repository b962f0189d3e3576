"""Load and ratio study as charts: every number is Newton's second law or the scan itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from core.charts.chart import Chart, Series
from core.charts.cycle_chart import SPEED_LANE, TORQUE_LANE, cycle_chart
from core.charts.duty_in_plane import segment_ways, worst_points
from core.charts.load_chart import (
    ACCELERATION_LANE,
    POSITION_LANE,
    TERMS_LANE,
    load_chart,
    load_table,
    numbers_at,
)
from core.charts.load_chart import (
    SPEED_LANE as PAYLOAD_SPEED_LANE,
)
from core.charts.ratio_chart import (
    LANES,
    friction_words,
    ratio_chart,
    ratio_ticks,
    read_out,
    snapped_ratio,
    values_at,
)
from core.charts.speed_torque_chart import speed_torque_chart
from core.evaluate import evaluate
from core.evaluation.detached import can_be_edited, detached, detaching, is_taken_out
from core.evaluation.studies import RatioStudy, friction_range, ratio_study, ratio_study_steps
from core.project import edits
from core.project.load import Load
from core.project.mechanism import BeltDrive, DirectRotaryLoad, DrumWinch, RotaryFriction
from core.project.motion import DwellStep, FrictionRange, MoveStep, RampStep, RunStep
from core.project.transmission import Transmission
from core.results import DutyTrace, LoadCourse, Result
from core.units import DisplayUnits
from tests.core.test_load_side import with_load

UNITS = DisplayUnits()
TABLE = Load(
    mechanism=DirectRotaryLoad(inertia=0.01, steady_torque=0.0, friction=RotaryFriction(constant=0.2)),
    motion=(RampStep(end_speed=20.0, duration=0.5), RunStep(duration=1.0),
            RampStep(end_speed=0.0, duration=0.5), DwellStep(duration=2.0)),
    friction_range=FrictionRange(low=0.5, high=2.0),
)  # fmt: skip
GEAR = Transmission(ratio=3.0, efficiency=0.9, available_ratios=(2.0, 3.0, 5.0))


def course_of(load: Load) -> LoadCourse:
    course = evaluate(with_load(load)).load
    assert course is not None
    return course


def series(chart: Chart, panel: int, name: str) -> Series:
    return next(s for s in chart.panels[panel].series if s.id == name)


def test_stacked_causes_reach_up_to_their_sum() -> None:
    course = course_of(TABLE)
    panel = load_chart(course, UNITS).panels[TERMS_LANE]
    bands = {band.id: band for band in panel.bands}
    assert set(bands) == {"acceleration above", "acceleration below", "friction above"}
    at = bands["acceleration above"].x == 0.0
    # J alpha = 0.01 * 40 N m, friction on top of it
    assert bands["acceleration above"].high[at].max() == pytest.approx(0.4)
    assert bands["friction above"].low[at].max() == pytest.approx(0.4)
    assert bands["friction above"].high[at].max() == pytest.approx(0.6)
    total = series(load_chart(course, UNITS), TERMS_LANE, "sum")
    assert total.y.max() == pytest.approx(0.6)
    assert total.y.min() == pytest.approx(-0.2)
    assert len({band.hatch for band in panel.bands}) == 2, "two causes, told apart without colour"
    assert {band.style.role for band in panel.bands} == {"soft"}


def test_stacks_part_where_a_cause_changes_its_sign() -> None:
    lift = Load(
        mechanism=BeltDrive(mass=1.0, pulley_radius=0.02, inclination=math.pi / 2),
        motion=(MoveStep(distance=0.2, duration=0.5, profile="cycloid"), DwellStep(duration=0.5),
                MoveStep(distance=-0.2, duration=0.5, profile="cycloid"), DwellStep(duration=0.5)),
    )  # fmt: skip
    chart = load_chart(course_of(lift), UNITS)
    total = series(chart, TERMS_LANE, "sum")
    above, below = np.zeros(total.x.size), np.zeros(total.x.size)
    for band in chart.panels[TERMS_LANE].bands:
        assert np.array_equal(band.x, total.x)
        if band.id.endswith("above"):
            above += band.high - band.low
        else:
            below += band.low - band.high
    np.testing.assert_allclose(above + below, total.y, atol=1e-12)


def test_payload_lanes_have_the_units_of_the_payload() -> None:
    turning = load_chart(course_of(TABLE), UNITS)
    assert [turning.panels[k].y.unit for k in (POSITION_LANE, PAYLOAD_SPEED_LANE)] == ["°", "rpm"]
    hoist = Load(
        mechanism=DrumWinch(mass=0.5, drum_radius=0.015, inclination=math.pi / 2),
        motion=(MoveStep(distance=0.4, duration=1.0), DwellStep(duration=0.5),
                MoveStep(distance=-0.4, duration=1.0), DwellStep(duration=0.5)),
    )  # fmt: skip
    linear = load_chart(course_of(hoist), UNITS)
    assert [panel.y.unit for panel in linear.panels[1:]] == ["mm", "m/s", "m/s²"]
    position = series(linear, POSITION_LANE, "position")
    # a third of the time at each of +a, 0, -a: v = 1.5 d/t, a = 4.5 d/t^2
    assert position.y.max() == pytest.approx(0.4)
    assert series(linear, PAYLOAD_SPEED_LANE, "speed").y.max() == pytest.approx(0.6)
    assert series(linear, ACCELERATION_LANE, "acceleration").y.max() == pytest.approx(1.8)
    half = np.interp(1.0 / 6.0, position.x, position.y)
    assert half == pytest.approx(0.5 * 1.8 / 36.0, rel=0.01)


def test_shares_of_the_mean_square_add_up_and_one_dominates_in_words() -> None:
    course = course_of(TABLE)
    whole = load_table(course, None)
    shares = {term.cause: term.share for term in whole.terms}
    assert sum(shares.values()) == pytest.approx(1.0)
    # mean of T^2: 0.5 s of 0.6, 1 s of 0.2, 0.5 s of -0.2 N m (friction 0.2, acceleration 0.4 and -0.4)
    square = 0.5 * 0.36 + 1.0 * 0.04 + 0.5 * 0.04
    assert shares["acceleration"] == pytest.approx((0.5 * 0.4 * 0.6 + 0.5 * 0.4 * 0.2) / square)
    assert shares == pytest.approx({cause: course.rms_share[cause] for cause in shares})
    assert whole.words.startswith("Over the cycle acceleration dominates with 67 %")
    running = load_table(course, 1)
    assert running.terms[0].cause == "friction"
    assert running.terms[0].peak == pytest.approx(0.2)
    assert "In segment 2 friction dominates with 100 %" in running.words
    braking = load_table(course, 2)
    assert "acceleration dominates; friction relieves it" in braking.words
    assert load_table(course, 3).words == "In segment 4 the load asks for no torque."


def test_numbers_under_the_cursor() -> None:
    title, words = numbers_at(course_of(TABLE), 0.25, UNITS)
    assert title == "at 250 ms"
    lines = words.replace("\u00a0", " ").split("\n")
    assert lines[0] == "torque 0.600 N·m"
    assert "acceleration 0.400 N·m" in lines
    assert "speed 95.5 rpm" in lines  # half of 20 rad/s


def test_ways_in_the_plane_are_newton_with_the_rotor() -> None:
    duty = DutyTrace(
        time=np.array([0.0, 1.0, 1.0, 2.0, 2.0, 3.0]),
        shaft_torque=np.array([1.0, 2.0, 2.0, 2.0, -1.0, -1.0]),
        speed=np.array([0.0, 10.0, 10.0, 0.0, 0.0, -10.0]),
        edges=np.array([0.0, 2.0, 3.0]),
        segment=np.array([0, 0, 0, 0, 1, 1]),
        names=("there", "back"),
    )
    ways = segment_ways(duty, 0.05)
    np.testing.assert_allclose(ways[0][1], [1.5, 2.5, 1.5, 1.5])
    np.testing.assert_allclose(ways[1][0], [0.0, 10.0])
    np.testing.assert_allclose(ways[1][1], [1.5, 1.5])  # backwards, in the direction of the motion
    assert worst_points(duty, 0.05) == [(10.0, 2.5), (10.0, 1.5)]
    nothing = np.zeros(0)
    empty = DutyTrace(nothing, nothing, nothing, np.zeros(1), np.zeros(0, dtype=np.int64))
    assert worst_points(empty, 0.05) == []


def taken_out(torque_factor: float = 1.0) -> Result:
    of = with_load(TABLE, GEAR)
    project = detached(of, evaluate(of).duty)
    first = project.application.duty_cycle[0]
    return evaluate(edits.change_segment(project, 0, shaft_torque=first.shaft_torque * torque_factor))


def test_the_duty_of_the_load_stays_as_a_ghost() -> None:
    attached, result = evaluate(with_load(TABLE, GEAR)), taken_out(2.0)
    chart = cycle_chart(result, UNITS, with_settling=False)
    ghost = series(chart, TORQUE_LANE, "torque of the load")
    np.testing.assert_array_equal(ghost.y, attached.duty.shaft_torque)
    assert ghost.style.role == "soft"
    np.testing.assert_array_equal(series(chart, SPEED_LANE, "speed of the load").y, attached.duty.speed)
    chosen = attached.chosen_candidate
    assert chosen is not None
    assert chosen.load_points is not None
    rings = [p for p in speed_torque_chart(result, UNITS).panels[0].points if p.id.startswith("ghost")]
    np.testing.assert_allclose([ring.y for ring in rings], chosen.load_points.torque, atol=1e-9)
    np.testing.assert_allclose([ring.x for ring in rings], chosen.load_points.speed, atol=1e-9)
    assert not [p for p in speed_torque_chart(attached, UNITS).panels[0].points if p.id.startswith("ghost")]


def test_taking_out_happens_once_and_leads_back() -> None:
    of = with_load(TABLE, GEAR)
    result = evaluate(of)
    take = detaching(result)
    assert take(of) is take(of), "one drag computes from one project"
    out = take(of)
    assert is_taken_out(out)
    assert not is_taken_out(of)
    assert detached(out, result.duty) is out
    assert can_be_edited(result, of)
    assert not can_be_edited(result, out), "the result still shows the derived duty"
    assert can_be_edited(evaluate(out), out)
    assert [s.name for s in out.application.duty_cycle] == ["accelerate", "run", "decelerate", "hold"]


def study_of(gear: Transmission = GEAR) -> tuple[Result, RatioStudy]:
    of = with_load(TABLE, gear)
    study = ratio_study(of, 0)
    assert study is not None
    return evaluate(of), study


def test_the_study_comes_in_steps_and_ends_with_itself() -> None:
    of = with_load(TABLE, GEAR)
    steps = list(ratio_study_steps(of, 0))
    assert steps[:-1] == [None] * (len(steps) - 1)
    assert len(steps) > 30
    assert isinstance(steps[-1], RatioStudy)
    assert steps[-1].available == (2.0, 3.0, 5.0)
    assert np.all(np.diff(steps[-1].scan.ratio) > 0.0)


def test_the_largest_speed_is_the_load_speed_times_the_ratio() -> None:
    _, study = study_of()
    np.testing.assert_allclose(study.scan.values["largest_speed"], 20.0 * study.scan.ratio)


def test_ratio_lanes_stand_over_the_logarithm_and_name_what_can_be_had() -> None:
    result, study = study_of()
    chart = ratio_chart(result, 0, study, UNITS)
    assert len(chart.panels) == len(LANES)
    np.testing.assert_allclose(chart.panels[0].series[0].x, np.log(study.scan.ratio))
    assert chart.x.tick_words == ("2", "3", "5")
    now = series(chart, 0, "now")
    assert now.x[0] == pytest.approx(math.log(3.0))
    assert now.label == "now 3"
    for panel in chart.panels:
        low, high = panel.y_range()
        assert low < high
    assert study.window is not None
    (window,) = chart.panels[0].spans
    low, high = math.log(study.scan.ratio[0]), math.log(study.scan.ratio[-1])
    assert (window.start, window.end) == pytest.approx(
        (max(low, math.log(study.window.lowest)), min(high, math.log(study.window.highest)))
    )


def test_without_available_ratios_the_axis_has_round_ones() -> None:
    _, study = study_of(replace(GEAR, available_ratios=()))
    ticks = ratio_ticks(study)
    assert set(ticks) <= {0.7, 1.0, 1.5, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0}
    assert len(ticks) >= 5


def test_read_out_is_the_scan_and_a_click_snaps_to_what_can_be_had() -> None:
    _, study = study_of()
    at = int(np.argmin(np.abs(study.scan.ratio - 5.0)))
    for name, values in study.scan.values.items():
        assert values_at(study, 5.0)[name] == pytest.approx(values[at], nan_ok=True)
    title, numbers = read_out(study, 5.0, UNITS)
    assert title == "5 : 1, available"
    assert len(numbers) == len(LANES)
    assert snapped_ratio(study, 4.8, 0.05) == 5.0
    assert snapped_ratio(study, 4.0, 0.05) == 4.0
    assert snapped_ratio(study, 4.4444, 0.05) == 4.44


def test_friction_words_say_reserve_and_what_governs() -> None:
    of = with_load(TABLE, GEAR)
    results = friction_range(of, 0)
    words = friction_words(TABLE.friction_range, results, UNITS)
    assert words.startswith("Low friction, 0.5 times: torque reserve ")
    assert "; high friction, 2 times: torque reserve " in words
    assert words.count(" governs") == 2
    assert friction_words(TABLE.friction_range, (), UNITS) == ""
