"""The whole evaluation: flow, consistency between plane and margins, missing data, energy, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.optimize import brentq

from core.evaluate import evaluate
from core.evaluation.criterion import governing
from core.evaluation.motor_model import motor_of
from core.physics.drag import drag_torque, fit_no_load_points
from core.physics.heating_up import HeatingUp
from core.project import edits
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.motor import DataSheetHeat, VariantKind
from core.project.mounting import Mounting
from core.project.project import Project
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits
from tests.core.projects import CLEAN, candidate, project, random_duty, segment, sheet_motor

THERMAL = ("torque_reserve", "winding_temperature", "magnet_temperature")
seeds = st.integers(0, 10_000)


def first(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def margin_of(result: CandidateResult, code: str) -> float:
    margin = result.margin(code)
    assert margin is not None
    if margin.margin is None:
        assert margin.status == "missed", margin
        return -np.inf
    return margin.margin


@settings(max_examples=25, deadline=None)
@example(101, 0.0, 3.0)  # saturation leaps where the reserve ends
@given(seeds, st.floats(0.0, 50.0).map(lambda temp: round(temp, 3)), st.floats(0.5, 30.0))
def test_more_ambient_never_raises_a_thermal_margin(seed: int, ambient: float, more: float) -> None:
    duty = random_duty(seed)
    cool, warm = (
        evaluate(project(*duty, ambient=t, lowest_ambient=-10.0)) for t in (ambient, ambient + more)
    )
    for before, after in zip(cool.candidates, warm.candidates, strict=True):
        for code in THERMAL:
            assert margin_of(after, code) <= margin_of(before, code) + 1e-4, code


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_a_mirrored_cycle_has_the_same_margins(seed: int) -> None:
    duty = random_duty(seed)
    mirrored = tuple(
        replace(s, shaft_torque=-s.shaft_torque, speed_start=-s.speed_start, speed_end=-s.speed_end)
        for s in duty
    )
    one, other = first(project(*duty)), first(project(*mirrored))
    for left, right in zip(one.margins, other.margins, strict=True):
        assert left.criterion == right.criterion
        assert (left.status, left.margin is None) == (right.status, right.margin is None)
        if left.margin is not None:
            assert left.margin == pytest.approx(right.margin, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("dimensioned", [False, True], ids=["data sheet", "dimensions"])
@settings(max_examples=15, deadline=None)
@given(seed=seeds)
def test_cutting_a_segment_in_two_changes_nothing(dimensioned: bool, seed: int) -> None:
    """From dimensions next to nothing: each part takes surface coefficients at its own mean temperatures."""
    duty = random_duty(seed)
    chosen = (candidate() if dimensioned else candidate(motor=sheet_motor()),)
    middle = 0.5 * (duty[0].speed_start + duty[0].speed_end)
    half = 0.5 * duty[0].duration
    cut = (
        replace(duty[0], duration=half, speed_end=middle),
        replace(duty[0], duration=half, speed_start=middle),
        *duty[1:],
    )
    one, other = (first(project(*each, candidates=chosen)) for each in (duty, cut))
    for margin in one.margins:
        if margin.margin is not None:
            close = 2e-3 if dimensioned else 2e-4
            assert margin_of(other, margin.criterion) == pytest.approx(margin.margin, abs=close)


@pytest.mark.parametrize("variant", ["open rotor", "enclosed"])
@pytest.mark.parametrize("speed", [0.0, 40.0, 250.0, 400.0])
def test_a_lasting_torque_on_the_continuous_curve_has_the_reserve_one(
    variant: VariantKind, speed: float
) -> None:
    chosen = candidate(variant=variant)
    curves = first(project(segment(1.0, 0.01, speed), candidates=(chosen,))).curves
    assert curves is not None
    assert curves.continuous is not None
    assert curves.continuous_braking is not None
    for curve, direction in ((curves.continuous, 1.0), (curves.continuous_braking, -1.0)):
        if speed == 0.0 and direction < 0.0:
            continue
        # one speed of the curve itself, so that nothing is interpolated
        index = int(np.argmin(np.abs(curves.speed - speed)))
        lasting = project(segment(7.0, float(curve[index]), float(curves.speed[index])), candidates=(chosen,))
        assert first(lasting).torque_reserve == pytest.approx(1.0, abs=2e-4)


@pytest.mark.parametrize("commutation", ["sinusoidal", "six-step"])
@pytest.mark.parametrize("resistance", [0.0, 0.4])
def test_a_point_on_the_voltage_limit_uses_the_whole_voltage(commutation: str, resistance: float) -> None:
    chosen = candidate(commutation=commutation)
    base = project(segment(1.0, 0.01, 100.0), candidates=(chosen,))
    supply = replace(base.application.supply, source_resistance=resistance)
    base = edits.change_application(base, supply=supply)
    curves = first(base).curves
    assert curves is not None
    assert curves.voltage_limit is not None
    usable = np.flatnonzero(np.isfinite(curves.voltage_limit) & (curves.speed > 0.0))
    for index in usable[:: max(1, usable.size // 6)]:
        duty = (segment(1.0, float(curves.voltage_limit[index]), float(curves.speed[index])),)
        reached = first(edits.change_application(base, duty_cycle=duty))
        assert margin_of(reached, "voltage_reserve") == pytest.approx(0.0, abs=2e-3)


def test_margins_come_smallest_first_and_the_first_governs() -> None:
    result = first(project(*random_duty(3)))
    above = [m.above_target for m in result.margins if m.above_target is not None]
    assert above == sorted(above)
    assert result.governing is result.margins[0] is governing(result.margins)


@pytest.mark.parametrize("commutation", ["sinusoidal", "six-step"])
@pytest.mark.parametrize("drop", [0.0, 1.4])
def test_supply_power_is_shaft_power_and_losses(commutation: str, drop: float) -> None:
    duty = (
        segment(0.2, 0.05, 0.0, 200.0),
        segment(0.5, 0.03, 200.0),
        segment(0.3, -0.02, 200.0, 0.0),
        segment(0.5, 0.0, 0.0),
    )
    chosen = candidate(commutation=commutation)
    chosen = replace(chosen, drive=replace(chosen.drive, device_drop=drop))
    result = first(project(*duty, candidates=(chosen,)))
    assert result.losses is not None
    assert result.supply is not None
    shaft = sum(s.shaft_torque * s.duration * 0.5 * (s.speed_start + s.speed_end) for s in duty) / 1.5
    losses = result.losses
    lost = losses.copper + losses.core_and_bearing + losses.windage + losses.leads_and_switches + losses.idle
    # the supply side takes winding and magnets at their means, the heat side at each instant
    assert result.supply.mean_power == pytest.approx(shaft + lost, rel=2e-3)


def test_a_held_current_stands_at_its_worst_angle_in_leads_switches_and_supply() -> None:
    """Held, all power is loss; of one current the losses are as the resistances and the drop of a pair."""
    chosen = candidate(commutation="six-step", lead_resistance=0.05)
    chosen = replace(chosen, drive=replace(chosen.drive, device_drop=0.6, on_resistance=0.02))
    result = first(project(segment(1.0, 0.06, 0.0), candidates=(chosen,)))
    losses, supply, constants = result.losses, result.supply, result.constants
    assert losses is not None
    assert supply is not None
    assert constants is not None
    lost = losses.copper + losses.core_and_bearing + losses.windage + losses.leads_and_switches + losses.idle
    assert supply.mean_power == pytest.approx(lost, rel=1e-9)
    # 0.06 N m at sqrt(3)/2 of the crest of the EMF, magnets weakened at their temperature
    flux = 1.0 - 0.0011 * (next(one.mean for one in result.peaks if one.role == "magnets") - 25.0)
    current = 0.06 / (math.sqrt(3.0) / 2.0 * constants.back_emf_constant * flux)
    by_hand = 2.0 * (0.05 + 0.02) * current**2 + 0.6 * current
    assert losses.leads_and_switches == pytest.approx(by_hand, rel=1e-6)


def test_rms_point_counts_the_rest_and_says_when_it_holds() -> None:
    short = first(project(segment(0.1, 0.05, 100.0), segment(0.1, 0.0, 0.0)))
    assert short.rms is not None
    assert short.rms.valid
    assert short.rms.speed == pytest.approx(50.0)
    long = first(project(segment(300.0, 0.05, 100.0), segment(300.0, 0.0, 0.0)))
    assert long.rms is not None
    assert not long.rms.valid
    assert "not valid" in str(long.rms.statement)


def test_nothing_is_checked_silently_when_data_are_missing() -> None:
    base = project(*random_duty(1))
    blind = edits.change_application(base, site=replace(base.application.site, ambient=None))
    result = first(blind)
    assert "the ambient temperature" in result.missing
    for code in THERMAL:
        margin = result.margin(code)
        assert margin is not None
        assert margin.status == "not checked"
        assert margin.required
        assert "ambient" in str(margin.why)
    unfed = edits.change_application(base, supply=type(base.application.supply)())
    voltage = first(unfed).margin("voltage_reserve")
    assert voltage is not None
    assert voltage.status == "not checked"
    empty = first(edits.change_application(base, duty_cycle=()))
    assert "a duty cycle" in empty.missing
    assert {m.status for m in empty.margins if m.criterion in THERMAL} == {"not checked"}
    assert empty.curves is not None
    assert empty.curves.continuous is not None


def test_a_candidate_without_a_motor_says_what_it_lacks() -> None:
    bare = replace(candidate(), motor=None, winding=None, variant=None)
    result = first(project(*random_duty(1), candidates=(bare,)))
    assert result.missing == ("a motor",)
    assert not result.margins
    assert result.governing is None
    unwound = replace(candidate(), winding=None, variant=None)
    assert first(project(*random_duty(1), candidates=(unwound,))).missing == (
        "a winding",
        "a variant (open rotor or enclosed)",
    )


def test_surroundings_rule_the_open_rotor_out() -> None:
    wet = replace(CLEAN, liquid="yes")
    result = first(project(*random_duty(1), candidates=(candidate(variant="open rotor"),), surroundings=wet))
    liquid = result.margin("liquid")
    assert liquid is not None
    assert liquid.status == "excluded"
    assert result.governing is liquid
    unknown = first(project(*random_duty(1), surroundings=replace(CLEAN, liquid="unknown"),
                            candidates=(candidate(variant="open rotor"),)))  # fmt: skip
    asked = unknown.margin("liquid")
    assert asked is not None
    assert asked.status == "not checked"
    assert asked.required


def test_touch_counts_only_where_fingers_reach() -> None:
    duty = (segment(1.0, 0.05, 200.0),)
    out_of_reach = first(project(*duty)).margin("outside_temperature")
    assert out_of_reach is not None
    assert out_of_reach.status == "met"
    assert out_of_reach.margin is None
    reached = first(project(*duty, surroundings=replace(CLEAN, reach_of_fingers="yes")))
    touched = reached.margin("outside_temperature")
    outside = next(p for p in reached.peaks if p.role == "outside")
    assert touched is not None
    assert touched.margin == pytest.approx(1 - (outside.temp - 40.0) / (65.0 - 40.0))


def test_a_limit_at_ambient_is_missed_with_the_reason() -> None:
    hot = first(project(segment(1.0, 0.0, 0.0), ambient=130.0))
    magnets = hot.margin("magnet_temperature")
    assert magnets is not None
    assert magnets.status == "missed"
    assert magnets.margin is None
    assert "not above the ambient" in str(magnets.why)


def test_run_away_is_a_finding_with_a_time_and_the_reserve_still_says_how_far() -> None:
    base = candidate()  # of electronics whose current is no question here
    chosen = replace(base, drive=replace(base.drive, continuous_current=None))
    result = first(project(segment(1.0, 0.5, 50.0), candidates=(chosen,)))
    finding = next(f for f in result.findings if f.code == "thermal_run_away")
    assert 0.0 < finding.values["time_to_limit_s"] < 3600.0
    winding = result.margin("winding_temperature")
    assert winding is not None
    assert winding.status == "missed"
    assert winding.margin is None
    assert result.torque_reserve is not None
    assert 0.0 < result.torque_reserve < 1.0
    assert result.governing is result.margin("torque_reserve")
    assert any(caution.code == "thermal_run_away" for caution in result.cautions)


def test_a_jump_of_speed_is_noticed() -> None:
    result = first(project(segment(1.0, 0.01, 100.0), segment(1.0, 0.01, 50.0)))
    jumps = [f for f in result.findings if f.code == "speed_jumps"]
    assert [f.segment for f in jumps] == [0, 1]


def test_a_better_plate_helps_and_a_plastic_bracket_hurts() -> None:
    duty = (segment(1.0, 0.04, 150.0),)
    reserves = [
        first(project(*duty, mounting=Mounting(name="given", housing_ambient_resistance=r))).torque_reserve
        for r in (4.0, 8.0, 14.0)
    ]
    assert None not in reserves
    assert reserves == sorted(reserves, reverse=True)  # type: ignore[type-var]


def test_the_standing_motor_carries_less_at_its_hottest_phase() -> None:
    # magnets without a limit, so that the winding is what ends the reserve
    motor = replace(sheet_motor(), magnet_limit=None, winding_limit=125.0)
    chosen = (candidate(motor=motor),)
    speed, standing = 2.0, first(project(segment(1.0, 0.05, 0.0), candidates=chosen))
    turning = first(project(segment(1.0, 0.05, speed), candidates=chosen))
    assert standing.torque_reserve is not None
    assert turning.torque_reserve is not None
    variant = chosen[0].chosen_variant
    assert variant is not None
    assert isinstance(variant.heat, DataSheetHeat)
    r_wh, r_ha = variant.heat.winding_housing_resistance, variant.heat.housing_ambient_resistance
    drag = drag_torque(
        fit_no_load_points(*np.array([(p.speed, p.drag_torque) for p in variant.no_load]).T)[0], speed
    )
    # by hand: three phases side by side on one housing, each with its share of the loss and its own R

    def per_kelvin(shares: tuple[float, ...]) -> tuple[float, float]:
        """Return the loss per kelvin of 235 degC + t with the hottest phase at 115 degC, and the housing."""

        def housing(loss: float) -> float:
            whole = sum(s * loss / (1.0 - 3.0 * r_wh * s * loss) for s in shares)
            return 40.0 + r_ha * whole * (235.0 + 40.0) / (1.0 - r_ha * whole)

        def hottest(loss: float) -> float:
            return (235.0 + housing(loss)) / (1.0 - 3.0 * r_wh * max(shares) * loss) - 235.0 - 115.0

        found = float(brentq(hottest, 0.0, 0.3 / (r_ha + r_wh)))
        return found, housing(found)

    square = [
        loss * (1.0 - 0.0011 * (magnets - 25.0)) ** 2
        for loss, magnets in (per_kelvin((1 / 3, 1 / 3, 1 / 3)), per_kelvin((2 / 3, 1 / 6, 1 / 6)))
    ]
    expected = np.sqrt(square[1] / square[0])
    ratio = 0.05 * standing.torque_reserve / (0.05 * turning.torque_reserve + drag)
    assert ratio == pytest.approx(expected, rel=5e-3)


def test_evaluation_is_pure() -> None:
    one = project(*random_duty(5))
    again = Project(application=one.application, candidates=tuple(replace(c) for c in one.candidates))
    left, right = evaluate(one).candidates[0], evaluate(again).candidates[0]
    assert left.margins == right.margins
    assert left.findings == right.findings


def test_load_points_of_the_plane_lie_in_the_direction_of_motion() -> None:
    backwards = (Segment(duration=0.5, shaft_torque=-0.03, speed_start=0.0, speed_end=-100.0),)
    points = first(project(*backwards)).load_points
    assert points is not None
    inertia = candidate().chosen_variant
    assert inertia is not None
    assert points.speed[0] == 100.0
    assert points.direction[0] == -1.0
    assert points.torque[0] == pytest.approx(0.03 + inertia.rotor_inertia * 200.0)


def test_power_that_the_supply_cannot_deliver_misses_the_voltage_reserve() -> None:
    """A source of 21 V behind 3 ohm delivers U^2/(4 R) = 36.75 W at most; the load alone takes 24 W, its
    copper and drag some 18 W more. Half the voltage that is left there would be enough for this winding."""
    base = project(segment(1.0, 0.12, 200.0), candidates=(candidate(winding="12 V"),))
    margins, limits = [], []
    for resistance in (0.5, 3.0):
        supply = replace(base.application.supply, source_resistance=resistance)
        result = first(edits.change_application(base, supply=supply))
        margins.append(result.margin("voltage_reserve"))
        assert result.curves is not None
        assert result.curves.voltage_limit is not None
        limits.append(float(np.interp(200.0, result.curves.speed, result.curves.voltage_limit)))
    assert margins[0] is not None
    assert margins[1] is not None
    assert margins[0].status == "met"
    assert (margins[1].status, margins[1].margin) == ("missed", None)
    assert "cannot deliver" in as_text(margins[1].why, DisplayUnits())
    assert limits[0] > 0.12 > limits[1]
    assert limits[1] * 200.0 < 36.75


def test_energy_back_is_that_of_a_cold_motor_and_currents_see_the_drop_of_the_source() -> None:
    """Braking 0.4 N m from 300 rad/s: a warm winding eats the whole of it, a cold one does not. By hand, with
    the constants of the demo winding, without its saturation, summed over 20 000 steps of the ramp."""
    duty = (segment(0.1, 0.4, 0.0, 300.0), segment(0.1, -0.4, 300.0, 0.0))
    linear = with_winding(linear_current=None, saturated_current=None, saturated_torque=None)
    base = project(*duty, candidates=(linear,))
    supply = replace(base.application.supply, source_resistance=0.1)
    result = first(edits.change_application(base, supply=supply))
    chosen = candidate()
    assert chosen.motor is not None
    assert chosen.chosen_variant is not None
    assert result.constants is not None
    law, _ = fit_no_load_points(
        np.array([p.speed for p in chosen.chosen_variant.no_load]),
        np.array([p.drag_torque for p in chosen.chosen_variant.no_load]),
    )
    speed = 300.0 * (np.arange(20_000) + 0.5) / 20_000
    torque = -0.4 - chosen.chosen_variant.rotor_inertia * 300.0 / 0.1 + drag_torque(law, speed)
    cold = 5.0
    constant = result.constants.torque_constant * (1.0 - 0.0011 * (cold - 25.0))
    loop = result.constants.resistance * (235.0 + cold) / 260.0 + 2.0 * (0.02 + 0.01)
    power = torque * speed + 0.75 * loop * (torque / constant) ** 2
    assert result.supply is not None
    assert result.supply.energy_back == pytest.approx(0.1 * np.maximum(-power, 0.0).mean(), rel=5e-3)
    assert result.supply.energy_back > 0.1
    assert result.supply.peak_current is not None
    # U = 21 V - R I and P = U I
    peak = result.supply.peak_current
    assert peak * (21.0 - 0.1 * peak) == pytest.approx(result.supply.peak_power, rel=1e-9)


def with_winding(**fields: object) -> Candidate:
    chosen = candidate()
    assert chosen.motor is not None
    assert chosen.chosen_winding is not None
    return replace(chosen, motor=replace(chosen.motor, windings=(replace(chosen.chosen_winding, **fields),)))


def with_motor(**fields: object) -> Candidate:
    chosen = candidate()
    assert chosen.motor is not None
    return replace(chosen, motor=replace(chosen.motor, **fields))


def codes(chosen: Candidate) -> set[str]:
    result = first(project(segment(1.0, 0.02, 100.0), candidates=(chosen,)))
    return {finding.code for finding in result.findings}


def test_a_demagnetisation_current_is_told_apart_from_one_for_hotter_magnets() -> None:
    """The demo magnets may reach 120 degC; one current alone tells no line over the temperature."""

    def stated(temp: float | None) -> set[str]:
        one_point = {"second_demagnetisation_current": None, "second_demagnetisation_temp": None}
        return codes(with_winding(demagnetisation_temp=temp, **one_point))

    assert "demagnetisation_at_lower_temp" in stated(80.0)
    assert "demagnetisation_temp_assumed" in stated(None)
    found = stated(120.0)
    assert not found & {"demagnetisation_at_lower_temp", "demagnetisation_temp_assumed"}
    assert "current_ripple_not_counted" in found


def test_magnets_without_a_limit_are_taken_as_hot_as_the_winding() -> None:
    """Thermal class 155 less 10 K of hot spot: 145 degC, flux 1 - 0.0011 * 120 = 0.868."""
    duty = (segment(1.0, 0.02, 0.0), segment(1.0, 0.05, 0.0))
    peak = first(project(*duty, candidates=(with_motor(magnet_limit=None),))).margin("peak_current")
    known = first(project(*duty)).margin("peak_current")
    assert peak is not None
    assert peak.demand is not None
    assert known is not None
    assert known.demand is not None
    assert peak.demand / known.demand == pytest.approx((1.0 - 0.0011 * 95.0) / 0.868, rel=1e-9)


def test_drag_beyond_the_peak_torque_misses_it() -> None:
    """50 mA make 1.4 mN m, less than the drag of the demo motor at any speed."""
    chosen = with_winding(peak_current=0.05, demagnetisation_current=None)
    margin = first(project(segment(1.0, 0.0005, 200.0), candidates=(chosen,))).margin("peak_torque")
    assert margin is not None
    assert (margin.status, margin.margin) == ("missed", None)
    assert "drag alone" in as_text(margin.why, DisplayUnits())


def test_over_speed_counts_the_hot_magnets() -> None:
    """Hot magnets (120 degC) run 1/(1 - 0.0011 * 95) = 1.117 times as fast on the same voltage.

    The drag takes a part of it back: the voltage of one phase is that of EMF, resistance and reactance.
    """
    base = project(segment(1.0, 0.02, 100.0), candidates=(candidate(),))
    chosen = base.candidates[0]
    assert chosen.motor is not None
    result = first(base)
    assert result.constants is not None
    phase_constant = result.constants.back_emf_constant / np.sqrt(3.0)
    at_reference = 0.95 * 26.0 / np.sqrt(3.0) / phase_constant
    variant = replace(chosen.motor.variants[1], largest_speed=1.05 * at_reference)
    motor = replace(chosen.motor, variants=(variant,))
    slower = first(project(segment(1.0, 0.02, 100.0), candidates=(replace(chosen, motor=motor),)))
    caution = next(c for c in slower.cautions if c.code == "over_speed")
    reach = caution.values["no_load_rad_s"]
    assert 0.95 * at_reference / 0.8955 < reach < at_reference / 0.8955
    model = motor_of(base.application, chosen)
    assert model is not None
    k, w_e = 0.8955 * phase_constant, reach * motor.pole_pairs
    current = float(drag_torque(model.drag, reach)) / (1.5 * k)
    resistance = model.constants.resistance * (1.0 + 0.00393 * (5.0 - 25.0))  # cold winding, 5 degC
    loop = 0.5 * (resistance + model.path.loop_resistance)
    voltage = np.hypot(k * reach + loop * current, 0.5 * model.constants.inductance * w_e * current)
    assert voltage == pytest.approx(0.95 * 26.0 / np.sqrt(3.0), rel=1e-4)


def test_a_six_step_drive_that_holds_needs_the_current_of_the_sector_edge() -> None:
    """At rest beside the edge of a sector the torque is cos(30 deg) k_e I, not the mean (3/pi) k_e I."""
    ratio = (3.0 / np.pi) / np.cos(np.pi / 6.0)
    six_step = first(project(segment(1.0, 0.05, 0.0), candidates=(candidate(commutation="six-step"),)))
    sinusoidal = first(project(segment(1.0, 0.05, 0.0), candidates=(candidate(),)))
    for result, constant in ((six_step, 3.0 / np.pi / ratio), (sinusoidal, np.sqrt(3.0) / 2.0)):
        assert result.constants is not None
        # magnets at their limit of 120 degC; both constants are sqrt(3)/2 k_e
        current = 0.05 / (constant * result.constants.back_emf_constant * (1.0 - 0.0011 * 95.0))
        for code in ("peak_current", "continuous_current"):
            margin = result.margin(code)
            assert margin is not None
            assert margin.demand == pytest.approx(current, rel=1e-9)
        peak = result.margin("peak_torque")
        assert peak is not None
        assert result.curves is not None
        assert result.curves.peak is not None
        # the motor's own peak current is below that of the test electronics
        assert peak.limit == pytest.approx(result.curves.peak[0], rel=1e-9)


def test_a_motor_that_creeps_on_a_ramp_warms_its_phases_as_unevenly_as_at_constant_speed() -> None:
    """At 0.03 rad/s, 8 pole pairs, one electrical period is 26 s, longer than the winding's 18 s: the phase
    factor is 1 + 1/sqrt(1 + (2 * 0.24 * 18.2)^2) = 1.114 there. The ramps have the same mean speed."""
    ramps = (segment(20.0, 0.09, 0.0, 0.06), segment(20.0, 0.09, 0.06, 0.0))
    creep, constant = first(project(*ramps)), first(project(segment(40.0, 0.09, 0.03)))
    peaks = [next(p for p in result.peaks if p.role == "winding") for result in (creep, constant)]
    assert peaks[0].temp == pytest.approx(peaks[1].temp, abs=0.05)
    assert peaks[0].temp - 10.0 > peaks[0].mean + 1.0


def test_rms_point_of_a_lasting_torque_does_not_speak_of_its_cycle() -> None:
    """60 s are over three times the winding time constant, which would rule an RMS torque out."""
    lasting = first(project(segment(60.0, 0.05, 100.0))).rms
    changing = first(project(segment(60.0, 0.05, 100.0), segment(60.0, 0.05, 200.0))).rms
    assert lasting is not None
    assert changing is not None
    assert lasting.valid
    assert "never change" in as_text(lasting.statement, DisplayUnits())
    assert not changing.valid


def test_a_missing_or_contradicting_supply_voltage_is_said() -> None:
    base = project(segment(1.0, 0.02, 100.0))
    supply = base.application.supply

    def found(**fields: object) -> set[str]:
        result = first(edits.change_application(base, supply=replace(supply, **fields)))
        return {finding.code for finding in result.findings}

    both = {"lowest_voltage_assumed", "supply_voltages_contradict"}
    assert not found() & both
    assert found(lowest_voltage=None) & both == {"lowest_voltage_assumed"}
    assert found(lowest_voltage=25.0) & both == {"supply_voltages_contradict"}
    assert found(nominal_voltage=None, highest_voltage=20.0) & both == {"supply_voltages_contradict"}


def test_a_lowest_ambient_above_the_highest_is_said_and_the_start_taken_at_the_highest() -> None:
    base = project(segment(1.0, 0.02, 100.0))
    highest = base.application.site.ambient
    assert highest is not None

    def at(lowest: float) -> CandidateResult:
        return first(edits.change_application_part(base, ("site", "lowest_ambient"), lowest))

    turned = [one for one in at(highest + 5.0).findings if one.code == "ambient_temperatures_contradict"]
    assert [one.values for one in turned] == [{"lowest_degC": highest + 5.0, "highest_degC": highest}]
    assert not [one for one in at(highest).findings if one.code == "ambient_temperatures_contradict"]
    assert margin_of(at(highest + 5.0), "voltage_reserve") == margin_of(at(highest), "voltage_reserve")


def test_a_long_overload_of_the_electronics_is_said_also_across_the_end_of_the_cycle() -> None:
    """0.12 N m take about 0.12/0.0277 = 4.3 A: above 3 A for 0.8 s at the start and 0.7 s at the end, 1.5 s
    in one stretch as the cycle repeats; alone each is short."""
    chosen = candidate()
    chosen = replace(chosen, drive=replace(chosen.drive, continuous_current=3.0))
    joined = (segment(0.8, 0.12, 50.0), segment(9.0, 0.005, 50.0), segment(0.7, 0.12, 50.0))
    apart = (*joined, segment(0.5, 0.005, 50.0))
    found = [
        [f for f in first(project(*duty, candidates=(chosen,))).findings if "overload" in f.code]
        for duty in (joined, apart)
    ]
    assert not found[1]
    assert found[0][0].values["overload_time_s"] == pytest.approx(1.5)


@pytest.mark.parametrize(("sound", "shown"), [(3, 3), (1, 1), (0, 1)])
def test_a_course_beyond_numbers_is_cut_where_it_leaves_them(
    monkeypatch: pytest.MonkeyPatch, sound: int, shown: int
) -> None:
    high = np.array([[50.0, 40.0], [90.0, 60.0], [200.0, 80.0], [np.inf, 90.0]])
    high[sound:, 0] = [np.inf, np.nan, np.nan, np.nan][: 4 - sound]
    course = HeatingUp(np.arange(4.0), high - 1.0, high, np.inf, np.full(2, np.inf))
    monkeypatch.setattr("core.evaluation.temperatures._from_cold", lambda *_: course)
    trace = first(project(segment(1.0, 0.01, 50.0))).heating_up
    assert trace is not None
    assert trace.time.size == shown
    assert np.isfinite(trace.highest).all()
    assert np.isfinite(trace.lowest).all()


def test_ripple_counts_as_left_out_only_where_no_switching_frequency_is_known() -> None:
    one = candidate()
    switched = replace(one, drive=replace(one.drive, pwm_frequency=50e3))
    assert "current_ripple_not_counted" in codes(one)
    assert "current_ripple_not_counted" not in codes(switched)
