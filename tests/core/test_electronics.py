"""What the electronics can do against what the cycle asks, and what is easily mistaken about them."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.motor_model import motor_of
from core.findings import Finding
from core.project.application import Targets
from core.project.drive import Drive
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.results import CandidateResult, Margin
from core.sentences import as_text
from core.units import DisplayUnits
from tests.core.projects import candidate, project, segment


def driven(*duty: Segment, commutation: str = "sinusoidal", **fields: object) -> Project:
    base = candidate(commutation=commutation)
    return project(*duty, candidates=(replace(base, drive=replace(base.drive, **fields)),))


def first(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def margin(result: CandidateResult, code: str) -> Margin:
    found = result.margin(code)
    assert found is not None, [one.criterion for one in result.margins]
    return found


def finding(result: CandidateResult, code: str) -> Finding | None:
    return next((one for one in result.findings if one.code == code), None)


STEADY = segment(10.0, 0.05, 150.0)


def test_the_highest_supply_voltage_must_be_within_the_range_of_the_electronics() -> None:
    # the highest voltage of the project is 26 V
    inside = margin(first(driven(STEADY, highest_supply=30.0)), "highest_supply")
    assert inside.utilisation == pytest.approx(26.0 / 30.0)
    assert inside.status == "met"
    assert margin(first(driven(STEADY, highest_supply=25.0)), "highest_supply").status == "missed"
    assert margin(first(driven(STEADY)), "highest_supply").status == "not checked"


def test_commutation_that_the_electronics_cannot_do_rules_the_candidate_out() -> None:
    result = first(driven(STEADY, commutations=("six-step",)))
    assert margin(result, "commutation").status == "excluded"
    assert result.governing is not None
    assert result.governing.criterion == "commutation"
    assert margin(first(driven(STEADY, commutations=("sinusoidal",))), "commutation").status == "met"
    assert first(driven(STEADY)).margin("commutation") is None


def current_at(torque: float, speed: float) -> float:
    points = first(driven(segment(5.0, torque, speed))).load_points
    assert points is not None
    return float(points.current[0])


def test_the_time_above_the_continuous_current_counts_against_the_time_of_the_peak() -> None:
    duty = (segment(2.0, 0.10, 150.0), segment(0.5, 0.10, 150.0), segment(5.0, 0.01, 150.0))
    between = 0.5 * (current_at(0.10, 150.0) + current_at(0.01, 150.0))
    run = margin(first(driven(*duty, continuous_current=between, peak_time=4.0)), "peak_current_time")
    assert run.demand == pytest.approx(2.5)
    assert run.utilisation == pytest.approx(2.5 / 4.0)
    assert run.segment == 0
    late = margin(first(driven(*duty, continuous_current=between, peak_time=2.0)), "peak_current_time")
    assert late.status == "missed"
    unknown = first(driven(*duty, continuous_current=between))
    assert margin(unknown, "peak_current_time").status == "not checked"
    assert finding(unknown, "long_overload_of_electronics") is not None
    never = margin(first(driven(*duty, continuous_current=40.0)), "peak_current_time")
    assert never.status == "met"


def test_the_run_goes_on_over_the_end_of_the_cycle_and_begins_within_a_ramp() -> None:
    high, low = current_at(0.10, 150.0), current_at(0.02, 150.0)
    level = 0.5 * (high + low)
    duty = (segment(2.0, 0.10, 150.0), segment(5.0, 0.02, 150.0), segment(1.0, 0.10, 150.0))
    run = margin(first(driven(*duty, continuous_current=level, peak_time=10.0)), "peak_current_time")
    assert run.demand == pytest.approx(3.0)
    assert run.segment == 2
    assert run.instant == pytest.approx(7.0)
    # acceleration raises the current with the inertia: up and down at the same torque
    whole = margin(first(driven(STEADY, continuous_current=1e-3, peak_time=10.0)), "peak_current_time")
    assert whole.status == "missed"
    assert whole.margin is None
    assert whole.told_by == "continuous_current"


def test_at_rest_the_electronics_carry_their_share_of_the_continuous_current() -> None:
    duty = (segment(5.0, 0.05, 0.0), segment(5.0, 0.01, 0.0))
    result = first(driven(*duty, standstill_share=0.5))
    held = margin(result, "standstill_current")
    assert result.load_points is not None
    assert held.limit == pytest.approx(0.5 * 20.0)
    assert held.demand == pytest.approx(float(result.load_points.current[0]))
    assert held.segment == 0
    assert first(driven(*duty)).margin("standstill_current") is None
    assert margin(first(driven(STEADY, standstill_share=0.5)), "standstill_current").status == "met"


def test_the_air_around_the_electronics_has_a_limit() -> None:
    # 40 degC in the project
    assert margin(first(driven(STEADY, highest_ambient=50.0)), "electronics_ambient").status == "met"
    assert margin(first(driven(STEADY, highest_ambient=30.0)), "electronics_ambient").status == "missed"
    assert first(driven(STEADY)).margin("electronics_ambient") is None
    built_in = first(driven(STEADY, highest_ambient=85.0, built_in=True))
    around = margin(built_in, "electronics_ambient")
    outside = next(peak for peak in built_in.peaks if peak.role == "outside")
    assert around.utilisation == pytest.approx((outside.temp - 40.0) / 45.0)
    assert finding(built_in, "built_in_electronics_heat") is not None
    assert margin(first(driven(STEADY, built_in=True)), "electronics_ambient").status == "not checked"


def test_few_pulses_in_an_electrical_period_are_a_finding() -> None:
    model = motor_of(driven(STEADY).application, driven(STEADY).candidates[0])
    assert model is not None
    frequency = 150.0 * model.constants.pole_pairs / (2.0 * math.pi)
    assert finding(first(driven(STEADY, pwm_frequency=10.5 * frequency)), "few_pulses_per_period") is None
    few = finding(first(driven(STEADY, pwm_frequency=9.5 * frequency)), "few_pulses_per_period")
    assert few is not None
    assert few.values["electrical_frequency_Hz"] == pytest.approx(frequency)


def test_a_control_slower_than_the_electrical_time_constant_is_a_finding() -> None:
    of = driven(STEADY)
    model = motor_of(of.application, of.candidates[0])
    assert model is not None
    loop = model.constants.resistance + 2.0 * (0.02 + 0.01)  # leads and switches of the test candidate
    tau = model.winding_inductance / loop
    assert finding(first(driven(STEADY, control_frequency=4.0 / tau)), "slow_current_control") is None
    near = finding(first(driven(STEADY, control_frequency=2.0 / tau)), "slow_current_control")
    assert near is not None
    assert near.severity == "warning"
    assert near.values["time_constant_s"] == pytest.approx(tau)
    slow = finding(first(driven(STEADY, control_frequency=0.5 / tau)), "slow_current_control")
    assert slow is not None
    assert slow.severity == "serious"


def test_commutation_can_end_before_the_voltage_does() -> None:
    of = driven(STEADY, largest_electrical_frequency=250.0)
    model = motor_of(of.application, of.candidates[0])
    assert model is not None
    ends = finding(first(of), "commutation_ends_before_voltage")
    assert ends is not None
    # first principles: one turn is p periods
    assert ends.values["commutation_ends_rad_s"] == pytest.approx(
        250.0 * 2.0 * math.pi / model.constants.pole_pairs
    )
    text = as_text(ends.text, DisplayUnits())
    assert f"{model.constants.pole_pairs} pole pairs" in text
    far = first(driven(STEADY, largest_electrical_frequency=50e3))
    assert finding(far, "commutation_ends_before_voltage") is None


def test_a_current_missed_as_amplitude_but_met_as_effective_value_is_said() -> None:
    demand = margin(first(driven(STEADY)), "continuous_current").demand
    assert demand is not None
    doubtful = first(driven(STEADY, continuous_current=demand * 0.85))
    said = finding(doubtful, "current_stated_as_amplitude")
    assert said is not None
    assert said.values["rms_A"] == pytest.approx(demand / math.sqrt(2.0), rel=1e-6)
    assert (
        finding(first(driven(STEADY, continuous_current=demand * 0.5)), "current_stated_as_amplitude") is None
    )
    assert finding(first(driven(STEADY)), "current_stated_as_amplitude") is None


def test_electronics_stronger_than_the_motor_and_ampere_of_the_supply_are_said() -> None:
    of = driven(segment(5.0, 0.10, 20.0), peak_current=500.0)
    model = motor_of(of.application, of.candidates[0])
    assert model is not None
    assert model.peak_current is not None
    result = first(of)
    stronger = finding(result, "electronics_above_motor_current")
    assert stronger is not None
    assert stronger.values["motor_A"] == model.peak_current
    # slow and with high torque the supply delivers little current at full voltage
    apart = finding(result, "supply_is_not_motor_current")
    assert apart is not None
    assert apart.values["motor_A"] > 1.5 * apart.values["supply_A"]
    weaker = first(driven(STEADY, peak_current=0.5 * model.peak_current))
    assert finding(weaker, "electronics_above_motor_current") is None


def test_the_ripple_has_a_margin_a_cost_and_a_choke_that_cures_it() -> None:
    duty = (segment(4.0, 0.02, 100.0), segment(4.0, 0.05, 250.0))
    of = driven(*duty, commutation="six-step", pwm_frequency=4e3)
    result = first(of)
    ripple = result.ripple
    assert ripple is not None
    assert ripple.choke is not None
    assert ripple.choke > 0.0
    assert ripple.share is not None
    listed = margin(result, "current_ripple")
    assert listed.demand == ripple.share
    assert listed.limit == 0.4
    cured = replace(of.candidates[0], choke=ripple.choke)
    after = first(replace(of, candidates=(cured,)))
    assert after.ripple is not None
    assert after.ripple.choke == pytest.approx(0.0, abs=0.02 * ripple.choke)
    assert after.ripple.share is not None
    assert after.ripple.share == pytest.approx(0.4, rel=0.02)


def test_the_degrees_that_ripple_costs_are_those_of_an_evaluation_without_it() -> None:
    duty = (segment(4.0, 0.02, 100.0), segment(4.0, 0.06, 250.0))
    with_ripple = first(driven(*duty, commutation="six-step", pwm_frequency=4e3))
    without = first(driven(*duty, commutation="six-step"))
    assert with_ripple.ripple is not None
    warm, cool = (
        next(peak.mean for peak in result.peaks if peak.role == "winding")
        for result in (with_ripple, without)
    )
    assert warm - cool > 1.0
    assert with_ripple.ripple.winding_rise is not None
    # surface coefficients that grow with the temperature are held: on the high side, never on the low one
    assert 0.98 < with_ripple.ripple.winding_rise / (warm - cool) < 1.18


def test_ripple_that_heats_without_load_is_a_finding_and_fast_pulses_are_not() -> None:
    idle = segment(10.0, 0.0, 200.0)
    slow = first(driven(idle, commutation="six-step", switching="bipolar", pwm_frequency=5e3))
    said = finding(slow, "ripple_heats")
    assert said is not None
    assert said.values["winding_rise_K"] > 3.0
    fast = first(driven(idle, commutation="six-step", switching="bipolar", pwm_frequency=200e3))
    assert finding(fast, "ripple_heats") is None


def test_a_missing_pulse_frequency_is_asked_for_only_where_the_inductance_is_low() -> None:
    low = first(driven(STEADY, commutation="six-step"))
    asked = margin(low, "current_ripple")
    assert asked.status == "not checked"
    of = driven(STEADY, commutation="six-step")
    choked = first(replace(of, candidates=(replace(of.candidates[0], choke=5e-3),)))
    not_asked = margin(choked, "current_ripple")
    assert not_asked.status == "not checked"
    assert not_asked.required is False


def test_the_target_of_the_ripple_is_that_of_the_project() -> None:
    of = driven(STEADY, pwm_frequency=20e3)
    requirements = replace(of.application.requirements, targets=Targets(ripple=0.3), largest_ripple=0.2)
    own = first(replace(of, application=replace(of.application, requirements=requirements)))
    listed = margin(own, "current_ripple")
    assert (listed.target, listed.limit) == (0.3, 0.2)
    assert isinstance(of.candidates[0].drive, Drive)
