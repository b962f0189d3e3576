"""Feedback in an evaluation: margins, mistakes, the caution of a lost signal, the table; numbers by hand."""

from __future__ import annotations

import math
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.findings import Finding
from core.project.candidate import Candidate, Drive
from core.project.feedback import Encoder, Feedback, HallSensors, MotionQuality, Sensorless
from core.project.motor import Motor
from core.project.transmission import Transmission
from core.result_json import encode_result
from core.results import CandidateResult, Margin
from tests.core.projects import candidate, project, segment, sheet_motor

RPM = math.pi / 30.0
DISCUSSION = "public discussion among drive engineers, number stated there"
SLOW = segment(10.0, 0.02, 100.0)


def motor_of(pole_pairs: int) -> Motor:
    return replace(sheet_motor(), pole_pairs=pole_pairs)


def result_of(feedback: Feedback | None, *duty: Any, motion: Any = None, **fields: Any) -> CandidateResult:
    one = project(*(duty or (SLOW,)), candidates=(candidate(feedback=feedback, **fields),))
    requirements = replace(one.application.requirements, motion=motion or MotionQuality())
    return evaluate(replace(one, application=replace(one.application, requirements=requirements))).candidates[
        0
    ]


def margin(result: CandidateResult, code: str) -> Margin:
    found = result.margin(code)
    assert found is not None
    return found


def finding(result: CandidateResult, code: str) -> Finding | None:
    return next((one for one in result.findings if one.code == code), None)


def values(result: CandidateResult, code: str) -> dict[str, float]:
    found = finding(result, code)
    assert found is not None
    return found.values


ASKED = MotionQuality(
    lowest_speed=10.0,
    speed_ripple=0.02,
    position_accuracy=0.01,
    loop_bandwidth=10.0,
    start_torque_share=0.5,
)
CODES = (
    "feedback_lowest_speed",
    "feedback_speed_ripple",
    "feedback_position",
    "feedback_bandwidth",
    "feedback_start",
)


def test_nothing_asked_and_nothing_chosen_is_silent() -> None:
    codes = {one.criterion for one in result_of(None).margins}
    assert not {code for code in codes if code.startswith(("feedback", "hall", "encoder", "smooth"))}


def test_what_is_asked_is_not_checked_without_a_feedback() -> None:
    result = result_of(None, motion=ASKED)
    for code in CODES:
        assert margin(result, code).status == "not checked"
        assert "feedback" in str(margin(result, code).why)


def test_a_chosen_feedback_without_anything_asked_shows_its_own_limits_only() -> None:
    result = result_of(HallSensors(largest_signal_frequency=5000.0, highest_temp=120.0))
    assert all(result.margin(code) is None for code in CODES)
    # 8 pole pairs at 100 rad/s: 8 * 100 / (2 pi) Hz
    assert margin(result, "feedback_frequency").demand == pytest.approx(800.0 / (2.0 * math.pi))
    assert result_of(HallSensors()).margin("feedback_frequency") is None  # its limit is not known


def test_hall_speed_loop_far_below_its_update_rate() -> None:
    """24 states of 15 degrees give 38.2 updates a second at 10 rad/s: DISCUSSION."""
    motion = MotionQuality(lowest_speed=10.0, loop_bandwidth=50.0)
    result = result_of(HallSensors(), motion=motion, motor=motor_of(4))
    found = values(result, "hall_loop_too_slow")
    assert found["edge_rate_Hz"] == pytest.approx(38.2, rel=0.001)
    assert found["wanted_Hz"] == 500.0
    row = margin(result, "feedback_bandwidth")
    assert row.status == "missed"
    assert row.utilisation == pytest.approx(50.0 / 3.82, rel=0.001)
    lowest = margin(result, "feedback_lowest_speed")
    assert lowest.demand == pytest.approx(500.0 * math.radians(15.0))  # rad/s: edges a second times step
    assert lowest.limit == 10.0
    # a gear of 20 makes the motor fast enough for it: 763 edges a second
    fast = result_of(HallSensors(), motion=motion, motor=motor_of(4), transmission=Transmission(ratio=20.0))
    assert finding(fast, "hall_loop_too_slow") is None
    assert margin(fast, "feedback_bandwidth").status == "met"


def test_counts_that_do_not_divide_by_the_pole_pairs() -> None:
    """20 000 counts at 21 pole pairs drift by 2.9 degrees electrical: DISCUSSION."""
    drifting = result_of(Encoder(counts=20_000), motor=motor_of(21))
    drift = values(drifting, "counts_per_pole_pair")["drift_rad"]
    assert math.degrees(drift) == pytest.approx(2.9, rel=0.01)
    assert finding(result_of(Encoder(counts=4096), motor=motor_of(8)), "counts_per_pole_pair") is None
    absolute = Encoder(counts=20_000, start="absolute")
    assert finding(result_of(absolute, motor=motor_of(21)), "counts_per_pole_pair") is None
    endless = result_of(Encoder(counts=20_000, index=False), motor=motor_of(21))
    assert margin(endless, "feedback_angle").status == "missed"


def test_encoder_before_the_backlash() -> None:
    gear = Transmission(ratio=20.0, backlash=math.radians(1.0))
    motion = MotionQuality(position_accuracy=math.radians(0.2))
    before = result_of(Encoder(counts=3600), motion=motion, transmission=gear)
    found = values(before, "sensor_before_backlash")
    assert math.degrees(found["half_backlash_rad"]) == pytest.approx(0.5)
    assert math.degrees(found["step_rad"]) == pytest.approx(0.1 / 20.0)
    row = margin(before, "feedback_position")
    assert row.status == "missed"
    assert row.demand == pytest.approx(math.radians(0.505))
    behind = result_of(Encoder(counts=3600, at_load=True), motion=motion, transmission=gear)
    assert finding(behind, "sensor_before_backlash") is None
    assert margin(behind, "feedback_position").demand == pytest.approx(math.radians(0.1))


def test_encoder_behind_the_gear_does_not_tell_the_electrical_angle() -> None:
    gear = Transmission(ratio=20.0, backlash=math.radians(1.0))
    behind = Encoder(counts=3600, at_load=True)
    # 8 pole pairs: 8 * 20 * (0.1 + 0.5) degrees
    found = values(result_of(behind, transmission=gear), "encoder_behind_gear")
    assert math.degrees(found["angle_rad"]) == pytest.approx(96.0)
    helped = result_of(replace(behind, start="Hall sensors"), transmission=gear)
    assert finding(helped, "encoder_behind_gear") is None
    assert helped.margin("feedback_angle") is None


def test_encoder_beyond_its_frequency_and_speed() -> None:
    encoder = Encoder(counts=4096, largest_signal_frequency=50e3, largest_speed=2500 * RPM)
    fast = result_of(encoder, segment(10.0, 0.0, 3000 * RPM))
    # 1024 lines, 50 turns a second
    assert values(fast, "feedback_signal_too_fast")["demand_Hz"] == pytest.approx(51_200.0)
    assert values(fast, "encoder_too_fast")["demand_rad_s"] == pytest.approx(3000 * RPM)
    assert margin(fast, "encoder_speed").utilisation == pytest.approx(1.2)
    gear = Transmission(ratio=2.0)
    slow = result_of(replace(encoder, at_load=True), segment(10.0, 0.0, 3000 * RPM), transmission=gear)
    assert margin(slow, "feedback_frequency").demand == pytest.approx(25_600.0)
    assert finding(slow, "feedback_signal_too_fast") is None
    assert finding(slow, "encoder_too_fast") is None


def test_sinusoidal_current_by_hall_signals_is_not_smooth_from_rest() -> None:
    """Between the edges of three sensors: cos 30 degrees and 14.0 %, first principles."""
    motion = MotionQuality(speed_ripple=0.02, lowest_speed=10.0)
    found = values(result_of(HallSensors(), motion=motion), "halls_not_smooth_from_rest")
    assert found["least_torque_share"] == pytest.approx(0.866, abs=5e-4)
    assert found["torque_ripple"] == pytest.approx(0.1403, rel=3e-4)
    for other in (
        result_of(HallSensors()),  # nothing asked
        result_of(HallSensors(), motion=motion, commutation="six-step"),
        result_of(Encoder(counts=4096), motion=motion),
    ):
        assert finding(other, "halls_not_smooth_from_rest") is None


def test_sensorless_with_a_high_breakaway_torque() -> None:
    def leaves_rest(torque: float) -> CandidateResult:
        ramp = (segment(1.0, torque, 0.0, 100.0), segment(1.0, 0.0, 100.0, 0.0))
        return result_of(Sensorless(start_torque_share=0.3), *ramp)

    light = leaves_rest(0.002)
    assert finding(light, "sensorless_breakaway") is None
    assert light.curves is not None
    assert light.curves.continuous is not None
    held = float(light.curves.continuous[0])
    heavy = values(leaves_rest(0.5 * held), "sensorless_breakaway")
    assert heavy["start_Nm"] == pytest.approx(0.3 * held)
    assert heavy["needed_Nm"] > 0.5 * held  # with rotor and drag
    # from motion there is no start
    assert finding(result_of(Sensorless(), segment(1.0, 0.5 * held, 50.0)), "sensorless_breakaway") is None
    asked = result_of(Sensorless(start_torque_share=0.3), motion=MotionQuality(start_torque_share=0.5))
    assert values(asked, "sensorless_start_under_load")["start_torque_share"] == 0.3
    assert margin(asked, "feedback_start").status == "missed"


def test_sensorless_has_a_lowest_speed_and_no_position() -> None:
    motion = MotionQuality(lowest_speed=1.0, position_accuracy=0.1)
    result = result_of(Sensorless(least_emf_share=0.1), motion=motion)
    assert result.constants is not None
    lowest = margin(result, "feedback_lowest_speed")
    assert lowest.status == "missed"
    cold = 0.1 * 26.0 / result.constants.back_emf_constant  # hot magnets have less EMF
    assert lowest.demand is not None
    assert cold < lowest.demand < 1.25 * cold
    assert margin(result, "feedback_position").status == "missed"
    assert margin(result, "feedback_position").margin is None


def test_a_fast_winding_for_slow_motion() -> None:
    motion = MotionQuality(lowest_speed=1.0)
    slow = result_of(HallSensors(), segment(10.0, 0.02, 5.0), motion=motion)
    assert slow.constants is not None
    # space-vector: 0.95 of 21 V between two leads at the peak
    reach = 0.95 * 21.0 / slow.constants.back_emf_constant
    assert values(slow, "winding_much_too_fast")["reach_rad_s"] == pytest.approx(reach, rel=1e-6)
    assert finding(result_of(HallSensors(), SLOW, motion=motion), "winding_much_too_fast") is None
    assert finding(result_of(HallSensors(), segment(10.0, 0.02, 5.0)), "winding_much_too_fast") is None


def test_electronics_that_do_not_take_the_feedback_rule_it_out() -> None:
    drive: Drive = replace(candidate().drive, feedback_kinds=("Hall sensors",))
    refused = margin(result_of(Encoder(counts=4096), drive=drive), "feedback_kind")
    assert refused.status == "excluded"
    assert "encoder" in str(refused.why)
    assert margin(result_of(HallSensors(), drive=drive), "feedback_kind").status == "met"
    assert result_of(HallSensors()).margin("feedback_kind") is None  # nothing is stated


def test_hall_board_and_encoder_have_temperatures() -> None:
    both = Encoder(counts=4096, start="Hall sensors", highest_temp=90.0)
    motor = replace(sheet_motor(), hall_limit=110.0)
    result = result_of(both, motor=motor)
    flows = result.flows
    assert flows is not None
    peaks = dict(zip(flows.nodes, flows.temps.max(axis=0), strict=True))
    for code, limit in (("hall_temperature", 110.0), ("encoder_temperature", 90.0)):
        row = margin(result, code)
        assert row.limit == limit
        assert row.demand == pytest.approx(float(peaks[str(row.where).split(",")[0]]), abs=1e-6)
        assert row.demand is not None
        assert row.utilisation == pytest.approx((row.demand - 40.0) / (limit - 40.0))
    unknown = margin(result_of(Encoder(counts=4096)), "encoder_temperature")
    assert unknown.status == "not checked"


def test_a_lost_signal_lets_the_motor_run_to_its_no_load_speed() -> None:
    frame = sheet_motor()
    free = replace(frame, variants=tuple(replace(one, no_load=()) for one in frame.variants))  # no drag
    free = replace(free, magnet_temp_coefficient=0.0)
    result = result_of(HallSensors(), motor=free)
    caution = next(one for one in result.cautions if one.code == "feedback_lost")
    assert result.constants is not None
    assert caution.values["run_away_rad_s"] == pytest.approx(
        0.95 * 26.0 / result.constants.back_emf_constant, rel=1e-6
    )
    for other in (result_of(None), result_of(Sensorless())):
        assert not any(one.code == "feedback_lost" for one in other.cautions)


def test_table_of_feedback() -> None:
    drive = replace(candidate().drive, feedback_kinds=("Hall sensors", "encoder"))
    encoder = Encoder(name="chosen one", counts=4096, start="absolute")
    table = result_of(encoder, motion=ASKED, drive=drive).feedback_table
    assert table is not None
    halls, chosen, without = table.rows
    assert [row.kind for row in table.rows] == ["Hall sensors", "encoder", "sensorless"]
    assert [row.chosen for row in table.rows] == [False, True, False]
    assert [row.taken for row in table.rows] == [True, True, False]
    assert [row.fits for row in table.rows] == [True, True, True]
    assert (halls.edges, chosen.edges, without.edges) == (48, 4096, 48)
    # 10 rad/s, direct drive: 48 states and 4096 counts times 10 / (2 pi) turns a second
    assert halls.edge_rate == pytest.approx(480.0 / (2.0 * math.pi))
    assert chosen.edge_rate == pytest.approx(40960.0 / (2.0 * math.pi))
    assert without.edge_rate is None
    assert chosen.verdict == "unknown"  # the limit of its signal is not known
    assert {cell.verdict for cell in chosen.cells if cell.requirement != "signal frequency"} == {"pass"}
    assert halls.verdict == without.verdict == "fail"
    position = next(cell for cell in halls.cells if cell.requirement == "position accuracy")
    # a state of 7.5 degrees and 4 degrees electrical over 8 pole pairs
    assert position.ability == pytest.approx(math.radians(8.0))
    assert position.verdict == "fail"


def test_table_says_what_the_variant_cannot_carry() -> None:
    opened: Candidate = candidate(variant="open rotor")
    table = result_of(Encoder(counts=4096), variant="open rotor", motor=opened.motor).feedback_table
    assert table is not None
    assert [row.fits for row in table.rows] == [True, False, True]
    assert table.rows[1].verdict == "fail"


def test_result_file_holds_the_table() -> None:
    encoder = Encoder(name="chosen one", counts=4096, start="absolute")
    one = project(SLOW, candidates=(candidate(feedback=encoder),))
    requirements = replace(one.application.requirements, motion=MotionQuality(position_accuracy=0.01))
    result = evaluate(replace(one, application=replace(one.application, requirements=requirements)))
    rows = msgspec.json.decode(encode_result(result, result.candidates))["candidates"][0]["feedback"]
    assert [row["kind"] for row in rows] == ["Hall sensors", "encoder", "sensorless"]
    position = next(cell for cell in rows[1]["requirements"] if cell["requirement"] == "position accuracy")
    assert position["ability"] == pytest.approx(2.0 * math.pi / 4096)
    assert (position["unit"], position["verdict"]) == ("rad", "pass")
    assert rows[2]["position_error_rad"] is None


def test_a_torque_held_at_rest_is_compared_with_what_a_standing_current_holds() -> None:
    """The cycle holds 20 mN·m for a second; without a sensor a share of what lasts at rest counts."""
    halting = (segment(1.0, 0.02, 100.0), segment(1.0, 0.02, 0.0))
    for share, held, verdict in ((0.3, 0.02, "pass"), (0.05, 0.02, "fail")):
        result = result_of(Sensorless(start_torque_share=share), *halting)
        assert result.curves is not None
        assert result.curves.continuous is not None
        lasting = float(result.curves.continuous[0])
        assert lasting > held / 0.3  # or the first case would be none
        assert lasting < held / 0.05
        assert result.feedback_table is not None
        row = next(one for one in result.feedback_table.rows if one.kind == "sensorless")
        cell = next(one for one in row.cells if one.requirement == "torque held at rest")
        assert cell.demand == pytest.approx(held, rel=1e-9)
        assert cell.ability == pytest.approx(share * lasting, rel=1e-12)
        assert cell.verdict == verdict
        halls = next(one for one in result.feedback_table.rows if one.kind == "Hall sensors")
        assert all(one.requirement != "torque held at rest" for one in halls.cells)
    turning = result_of(Sensorless(), SLOW).feedback_table
    assert turning is not None
    assert all(one.requirement != "torque held at rest" for row in turning.rows for one in row.cells)
