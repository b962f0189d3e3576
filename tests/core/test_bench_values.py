"""Values to expect at a bench, against a calculation by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.bench_values import bench_values, first_time_above, warming_up
from core.project.application import Application, Supply
from core.project.candidate import Candidate
from core.project.motor import BackEmfConstant, Inductance, NoLoadPoint, Resistance, Winding
from core.results import HeatingUpTrace
from tests.core.projects import candidate, project, segment

AT_24_V = Application(supply=Supply(nominal_voltage=24.0))


def plain(drag: float = 0.0, **fields: object) -> Candidate:
    """Return 0.03 V s/rad line-to-line peak and 0.5 ohm at 25 degC on electronics that use 95 %."""
    one = candidate()
    assert one.motor is not None
    winding = Winding(
        name="plain",
        back_emf_constant=BackEmfConstant(value=0.03, convention="line-to-line peak"),
        resistance=Resistance(value=0.5),
        inductance=Inductance(value=1e-9),
    )
    points = tuple(NoLoadPoint(speed=speed, drag_torque=drag) for speed in (100.0, 300.0, 500.0, 700.0))
    variants = tuple(replace(variant, no_load=points) for variant in one.motor.variants)
    motor = replace(one.motor, windings=(winding,), variants=variants, pole_pairs=8)
    drive = replace(one.drive, on_resistance=0.0, largest_duty=0.95)
    return replace(one, motor=motor, winding="plain", drive=drive, lead_resistance=0.0, **fields)


def test_resistance_is_that_of_copper_at_20_and_25_degrees() -> None:
    """IEC 60034-1, resistance in proportion to 235 degC plus temperature (from memory): 0.5 * 255/260."""
    found = bench_values(AT_24_V, plain())
    assert found is not None
    assert found.resistance == pytest.approx((0.5 * 255.0 / 260.0, 0.5))


def test_back_emf_at_1000_rpm() -> None:
    """0.03 V s/rad at 104.72 rad/s, peak over rms is the root of two; 8 * 1000/60 turns a second."""
    found = bench_values(AT_24_V, plain())
    assert found is not None
    assert found.back_emf == pytest.approx(math.pi)
    assert found.back_emf_rms == pytest.approx(math.pi / math.sqrt(2.0))
    assert found.phase_frequency == pytest.approx(8000.0 / 60.0)
    assert found.hall_edges == 48


def test_magnets_that_were_stated_hot_are_stronger_at_the_bench() -> None:
    one = plain()
    assert one.motor is not None
    hot = replace(one, motor=replace(one.motor, magnet_ref_temp=125.0, magnet_temp_coefficient=-0.001))
    found = bench_values(AT_24_V, hot)
    assert found is not None
    assert found.back_emf == pytest.approx(1.1 * math.pi)  # 100 K cooler, 0.1 % each


def test_a_trapezoidal_back_emf_has_no_simple_rms_value() -> None:
    one = plain()
    assert one.motor is not None
    found = bench_values(AT_24_V, replace(one, motor=replace(one.motor, emf_shape="trapezoidal")))
    assert found is not None
    assert found.back_emf_rms is None


def test_without_drag_the_motor_turns_until_its_emf_is_the_voltage() -> None:
    """0.95 * 24 V over 0.03 V s/rad, line to line in sinusoidal commutation: 760 rad/s."""
    found = bench_values(AT_24_V, plain())
    assert found is not None
    assert found.no_load is not None
    assert found.no_load.speed == pytest.approx(760.0, rel=1e-6)
    assert found.no_load.current == pytest.approx(0.0, abs=1e-9)
    assert found.no_load.frequency == pytest.approx(8.0 * 760.0 / (2.0 * math.pi), rel=1e-6)


def test_drag_takes_current_and_speed() -> None:
    """Six-step, flat EMF: 0.003 N m over 0.03 N m/A is 0.1 A, which drops 0.05 V of 22.8 V."""
    one = plain(drag=0.003, commutation="six-step")
    assert one.motor is not None
    found = bench_values(AT_24_V, replace(one, motor=replace(one.motor, emf_shape="trapezoidal")))
    assert found is not None
    assert found.no_load is not None
    assert found.no_load.current == pytest.approx(0.1, rel=1e-6)
    assert found.no_load.speed == pytest.approx((22.8 - 0.05) / 0.03, rel=1e-4)


def test_nothing_is_expected_of_what_is_not_known() -> None:
    without = bench_values(Application(), plain())
    assert without is not None
    assert without.no_load is None
    assert bench_values(AT_24_V, Candidate(name="empty")) is None


def test_the_first_time_above_a_level_lies_between_two_times() -> None:
    """A straight line from 20 to 60 degC in 100 s passes 45.28 degC after 63.2 s."""
    line = np.array([[20.0], [40.0], [60.0]])
    course = HeatingUpTrace(np.array([0.0, 50.0, 100.0]), ("housing",), line, line, 100.0)
    share = 1.0 - math.exp(-1.0)
    level = 20.0 + 40.0 * share
    assert first_time_above(course, line[:, 0], level) == pytest.approx(100.0 * share)
    assert first_time_above(course, line[:, 0], 10.0) == 0.0
    assert first_time_above(course, line[:, 0], 61.0) is None


def test_warming_up_ends_where_the_cycle_is_hottest_and_settles() -> None:
    one = project(segment(1.0, 0.04, 200.0), segment(1.0, 0.0, 200.0))
    result = evaluate(one)
    for chosen, found in zip(one.candidates, result.candidates, strict=True):
        warm = warming_up(one.application, chosen, found)
        outside = next(peak for peak in found.peaks if peak.role == "outside")
        assert warm is not None
        assert warm.outside_end == outside.temp
        assert warm.outside_then == pytest.approx(
            40.0 + (1.0 - math.exp(-1.0)) * (outside.temp - 40.0), abs=0.5
        )
        assert found.heating_up is not None
        assert found.heating_up.settled_after is not None
        assert 0.0 < warm.time < found.heating_up.settled_after
        assert found.constants is not None
        rise = (235.0 + warm.winding) / 260.0
        assert warm.resistance == pytest.approx(found.constants.resistance * rise)


def test_a_motor_that_runs_away_has_no_temperature_to_expect() -> None:
    one = project(segment(1.0, 0.5, 200.0))
    found = evaluate(one).candidates[0]
    assert found.cycle is None
    assert warming_up(one.application, one.candidates[0], found) is None
