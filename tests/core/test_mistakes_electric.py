"""Every mistake around winding, supply, electronics, feedback, cable, shaft, brake and faults is told.

One row for each mistake that inputs can show: the project in which it is made, and the code of the finding,
caution, margin or fault that tells it. The same project without the mistake must not tell it, so that no row
is met by something that is always there. What the trade gets wrong: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project.feedback import Encoder, HallSensors, MotionQuality, Sensorless
from core.project.fittings import BearingData, Cable, HoldingBrake, ShaftBearings, ShaftForce
from core.project.load import Load
from core.project.mechanism import DrumWinch, ScrewDrive
from core.project.motion import DwellStep, MoveStep
from core.project.project import Project
from core.project.transmission import Transmission
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

STEADY = segment(10.0, 0.05, 150.0)
STOPS = (
    segment(0.3, 0.03, 0.0, 250.0),
    segment(1.0, 0.03, 250.0),
    segment(0.05, 0.03, 250.0, 0.0),
    segment(1.0, 0.0, 0.0),
)


def first(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def told(of: Project) -> set[str]:
    """Return the codes of all that a reader is told of the first candidate, deferred tables included."""
    result = first(of)
    codes = {finding.code for finding in result.findings} | {caution.code for caution in result.cautions}
    codes |= {margin.criterion for margin in result.margins if margin.status == "missed"}
    if result.winding_study is not None:
        codes |= {finding.code for finding in result.winding_study.findings}
    if result.faults is not None:
        codes |= {row.code for row in result.faults.rows}
    return codes


def supplied(of: Project, **fields: object) -> Project:
    return replace(of, application=replace(of.application, supply=replace(of.application.supply, **fields)))


def moving(of: Project, **fields: object) -> Project:
    requirements = replace(of.application.requirements, motion=MotionQuality(**fields))  # type: ignore[arg-type]
    return replace(of, application=replace(of.application, requirements=requirements))


def chosen(*duty: object, **fields: object) -> Project:
    return project(*(duty or (STEADY,)), candidates=(candidate(**fields),))  # type: ignore[arg-type]


def driven(*duty: object, commutation: str = "sinusoidal", **fields: object) -> Project:
    base = candidate(commutation=commutation)
    return project(
        *(duty or (STEADY,)),  # type: ignore[arg-type]
        candidates=(replace(base, drive=replace(base.drive, **fields)),),
    )


def with_winding(*duty: object, **fields: object) -> Project:
    base = candidate(commutation="six-step")
    assert base.motor is not None
    assert base.chosen_winding is not None
    motor = replace(base.motor, windings=(replace(base.chosen_winding, **fields),))
    return project(*(duty or (STEADY,)), candidates=(replace(base, motor=motor),))  # type: ignore[arg-type]


def with_motor(**fields: object) -> Project:
    base = candidate()
    assert base.motor is not None
    return project(STEADY, candidates=(replace(base, motor=replace(base.motor, **fields)),))


def pulled(force: ShaftForce | None) -> Project:
    bearing = BearingData(dynamic_rating=2000.0, static_rating=1000.0)
    bearings = ShaftBearings(front=bearing, rear=bearing, front_distance=0.005, span=0.03, preload=10.0)
    base = candidate(shaft_force=force)
    assert base.motor is not None
    return project(STEADY, candidates=(replace(base, motor=replace(base.motor, bearing_data=bearings)),))


BRAKE = HoldingBrake(holding_torque=0.15, engage_delay=0.02, release_delay=0.03, pull_in_power=6.0)
LIFT = DrumWinch(mass=3.0, drum_radius=0.02, inclination=0.5 * math.pi, drum_inertia=1e-4)
LEVEL = DrumWinch(mass=3.0, drum_radius=0.02, inclination=0.0, drum_inertia=1e-4)


def lifted(
    brake: HoldingBrake | None,
    mechanism: DrumWinch | ScrewDrive = LIFT,
    transmission: Transmission | None = None,
    **fields: object,
) -> Project:
    gear = transmission or Transmission(ratio=10.0, input_inertia=2e-6)
    move = MoveStep(distance=-1.0, duration=4.0, acceleration_share=0.25, deceleration_share=0.25)
    steps = (move, DwellStep(duration=2.0), replace(move, distance=1.0), DwellStep(duration=4.0))
    one = replace(candidate(brake=brake, transmission=gear), **fields)
    base = project(candidates=(one,))
    load = Load(mechanism=mechanism, motion=steps)
    return replace(base, application=replace(base.application, duty_from="load", load=load))


def on_battery(takes: str) -> Project:
    return supplied(project(*STOPS), takes_energy_back=takes, battery_energy=1e5, capacitance=1e-3)


SINK = {"takes_energy_back": "no", "capacitance": 1e-3}
RATED = replace(candidate(), drive=replace(candidate().drive, highest_supply=40.0))


def braked(**supply: object) -> Project:
    return supplied(project(*STOPS, candidates=(RATED,)), **(SINK | supply))


SCREW_LIFT = ScrewDrive(mass=20.0, lead=0.002, efficiency=0.35, inclination=0.5 * math.pi, screw_inertia=2e-5)
SMALL_LOAD = ScrewDrive(mass=0.5, lead=0.005, inclination=0.0, efficiency=0.9, screw_inertia=2e-5)
HEAVY_LOAD = DrumWinch(mass=30.0, drum_radius=0.05, inclination=0.0, drum_inertia=1e-4)

Make = Callable[[], Project]
# need, mistake, what tells it, the project with the mistake, the same without it
MISTAKES: list[tuple[int, str, str, Make, Make]] = [
    (11, "motor current read as supply current", "supply_is_not_motor_current",
     lambda: project(segment(10.0, 0.15, 20.0)),
     lambda: supplied(project(segment(10.0, 0.05, 250.0)), lowest_voltage=10.5)),
    (12, "rms rating entered as amplitude", "current_stated_as_amplitude",
     lambda: driven(continuous_current=1.6), lambda: driven(continuous_current=20.0)),
    (12, "sine by Hall signals expected smooth from rest", "halls_not_smooth_from_rest",
     lambda: moving(chosen(feedback=HallSensors()), lowest_speed=1.0),
     lambda: moving(chosen(feedback=Encoder(counts=7000)), lowest_speed=1.0)),
    (21, "no headroom at the lowest voltage", "voltage_reserve",
     lambda: supplied(project(STEADY), lowest_voltage=7.0), lambda: project(STEADY)),
    (21, "chosen by the nominal voltage", "winding_does_at_nominal_voltage_only",
     lambda: supplied(project(segment(10.0, 0.05, 480.0)), lowest_voltage=15.0),
     lambda: project(segment(10.0, 0.05, 100.0))),
    (21, "another winding expected to give more torque per watt", "windings_gain_no_torque",
     lambda: project(STEADY), lambda: with_winding()),
    (22, "fresh battery taken for its end", "lowest_voltage_assumed",
     lambda: supplied(project(STEADY), lowest_voltage=None), lambda: project(STEADY)),
    (22, "source resistance forgotten until it browns out", "supply_power_out_of_reach",
     lambda: supplied(project(STEADY), source_resistance=20.0), lambda: project(STEADY)),
    (22, "supply above what the electronics stand", "supply_above_rating",
     lambda: driven(highest_supply=25.0), lambda: driven(highest_supply=40.0)),
    (23, "a supply that cannot sink", "supply_cannot_sink",
     lambda: braked(capacitance=1e-4), lambda: braked(takes_energy_back="yes")),
    (23, "small mass taken for no energy", "energy_not_in_the_load",
     lambda: supplied(lifted(None, SMALL_LOAD), **SINK), lambda: supplied(lifted(None, HEAVY_LOAD), **SINK)),
    (23, "electronics rated just above the supply", "rating_close_to_supply",
     lambda: supplied(driven(*STOPS, highest_supply=27.0), **SINK), lambda: braked()),
    (23, "many short reversals pump the bus", "bus_pumped",
     lambda: braked_often(), lambda: braked()),
    (23, "clamp without enough power", "clamp_power",
     lambda: braked(clamp_voltage=35.0, clamp_resistance=5.0, clamp_power=0.01),
     lambda: braked(clamp_voltage=35.0, clamp_resistance=5.0, clamp_power=50.0)),
    (23, "clamp resistor too large", "clamp_resistance_too_large",
     lambda: braked(clamp_voltage=35.0, clamp_resistance=1e4),
     lambda: braked(clamp_voltage=35.0, clamp_resistance=1.0)),
    (23, "clamp above what it is to protect", "clamp_above_rating",
     lambda: braked(clamp_voltage=45.0, clamp_resistance=5.0),
     lambda: braked(clamp_voltage=35.0, clamp_resistance=5.0)),
    (23, "clamp below the supply", "clamp_below_supply",
     lambda: braked(clamp_voltage=25.0, clamp_resistance=5.0),
     lambda: braked(clamp_voltage=35.0, clamp_resistance=5.0)),
    (23, "a full battery takes nothing", "battery_full",
     lambda: on_battery("yes"), lambda: on_battery("no")),
    (24, "commutation ends before the voltage", "commutation_ends_before_voltage",
     lambda: driven(largest_electrical_frequency=300.0), lambda: driven(largest_electrical_frequency=5e3)),
    (24, "frequency limit passed", "electrical_frequency",
     lambda: driven(largest_electrical_frequency=100.0), lambda: driven(largest_electrical_frequency=5e3)),
    (24, "too few pulses in an electrical period", "few_pulses_per_period",
     lambda: driven(pwm_frequency=1200.0), lambda: driven(pwm_frequency=50e3)),
    (25, "slow pulses on a low inductance", "current_ripple",
     lambda: driven(pwm_frequency=1.5e3), lambda: driven(pwm_frequency=100e3)),
    (25, "ripple heats at no load", "ripple_heats",
     lambda: driven(pwm_frequency=1.5e3), lambda: driven(pwm_frequency=100e3)),
    (25, "control slower than the winding", "slow_current_control",
     lambda: driven(pwm_frequency=1.5e3), lambda: driven(pwm_frequency=100e3)),
    (26, "electronics stronger than the motor", "electronics_above_motor_current",
     lambda: driven(peak_current=500.0), lambda: driven(peak_current=3.0)),
    (26, "peak current without its time", "peak_current_time",
     lambda: driven(continuous_current=1.0, peak_current=60.0, peak_time=0.5),
     lambda: driven(continuous_current=20.0, peak_current=60.0, peak_time=0.5)),
    (26, "long overload behind an RMS value", "long_overload_of_electronics",
     lambda: driven(continuous_current=1.0), lambda: driven(continuous_current=20.0)),
    (26, "full current at standstill", "standstill_current",
     lambda: driven(segment(5.0, 0.05, 0.0), segment(5.0, 0.0, 0.0), continuous_current=3.0,
                    standstill_share=0.3),
     lambda: driven(segment(5.0, 0.05, 0.0), segment(5.0, 0.0, 0.0), continuous_current=20.0)),
    (27, "speed loop faster than Hall edges", "hall_loop_too_slow",
     lambda: moving(chosen(feedback=HallSensors()), lowest_speed=1.0, loop_bandwidth=20.0),
     lambda: moving(chosen(feedback=HallSensors()), lowest_speed=100.0, loop_bandwidth=20.0)),
    (27, "no sensor with a high breakaway torque", "sensorless_breakaway",
     lambda: chosen(segment(1.0, 0.08, 0.0, 100.0), segment(1.0, 0.0, 100.0, 0.0), feedback=Sensorless()),
     lambda: chosen(segment(1.0, 0.001, 0.0, 10.0), segment(1.0, 0.0, 10.0, 0.0), feedback=Sensorless())),
    (27, "no sensor where a start under load is asked", "sensorless_start_under_load",
     lambda: moving(chosen(feedback=Sensorless()), start_torque_share=0.8),
     lambda: moving(chosen(feedback=Sensorless()), start_torque_share=0.1)),
    (27, "counts not divisible by the pole pairs", "counts_per_pole_pair",
     lambda: chosen(feedback=Encoder(counts=1009, index=False)),
     lambda: chosen(feedback=Encoder(counts=7 * 8 * 9 * 10 * 11, index=False))),
    (27, "encoder on the wrong side of the gear", "sensor_before_backlash",
     lambda: moving(geared(Encoder(counts=10080)), position_accuracy=0.005),
     lambda: moving(geared(Encoder(counts=10080)), position_accuracy=0.1)),
    (27, "encoder beyond its frequency", "feedback_signal_too_fast",
     lambda: chosen(feedback=Encoder(counts=10080, largest_signal_frequency=1e3)),
     lambda: chosen(feedback=Encoder(counts=10080, largest_signal_frequency=1e6))),
    (27, "how finely a speed is read is assumed", "speed_reading_assumed",
     lambda: moving(chosen(feedback=HallSensors()), lowest_speed=1.0, speed_ripple=0.05),
     lambda: moving(chosen(feedback=HallSensors()), lowest_speed=1.0)),
    (28, "cogging at slow speed", "smooth_running",
     lambda: moving(chosen(feedback=Encoder(counts=10080)), lowest_speed=0.05, speed_ripple=0.001),
     lambda: moving(chosen(feedback=Encoder(counts=10080)), lowest_speed=100.0, speed_ripple=0.05)),
    (28, "a fast winding for slow motion", "winding_much_too_fast",
     lambda: moving(chosen(segment(10.0, 0.05, 5.0)), lowest_speed=1.0),
     lambda: moving(chosen(segment(10.0, 0.05, 300.0)), lowest_speed=1.0)),
    (29, "long supply leads", "long_supply_leads",
     lambda: supplied(project(STEADY), cable=Cable(length=2.0, section=1.5)),
     lambda: supplied(project(STEADY), cable=Cable(length=0.3, section=1.5))),
    (29, "long motor cable", "long_motor_cable",
     lambda: chosen(lead_resistance=0.0, cable=Cable(length=10.0, section=1.5)),
     lambda: chosen(lead_resistance=0.0, cable=Cable(length=1.0, section=1.5))),
    (35, "linear law up to the peak current", "linear_law_assumed",
     lambda: with_winding(linear_current=None, saturated_current=None, saturated_torque=None),
     lambda: saturated(0.01)),
    (35, "torque beyond the linear range", "torque_beyond_linear_range",
     lambda: saturated(0.2), lambda: saturated(0.01)),
    (35, "a sensor in the winding taken to protect the magnets", "winding_sensor_not_for_magnets",
     lambda: with_motor(magnet_limit=90.0), lambda: with_motor(magnet_limit=200.0)),
    (35, "no limit of the magnets", "magnet_limit_unknown",
     lambda: with_motor(magnet_limit=None), lambda: with_motor(magnet_limit=120.0)),
    (35, "demagnetisation current of another temperature", "demagnetisation_at_lower_temp",
     lambda: with_winding(demagnetisation_current=50.0, demagnetisation_temp=20.0,
                          second_demagnetisation_current=None, second_demagnetisation_temp=None),
     lambda: with_winding(demagnetisation_current=50.0, demagnetisation_temp=200.0,
                          second_demagnetisation_current=None, second_demagnetisation_temp=None)),
    (37, "small pulley, belt tightened by feel", "shaft_force_too_large",
     lambda: pulled(ShaftForce(radial=900.0, distance=0.015, wanted_life=20e3)),
     lambda: pulled(ShaftForce(radial=10.0, distance=0.015, wanted_life=20e3))),
    (37, "wheel hung on the motor shaft", "force_far_from_bearings",
     lambda: pulled(ShaftForce(radial=50.0, distance=0.06)),
     lambda: pulled(ShaftForce(radial=50.0, distance=0.01))),
    (37, "axial force without a thought", "axial_force_on_shaft",
     lambda: pulled(ShaftForce(radial=10.0, axial=30.0, distance=0.01)),
     lambda: pulled(ShaftForce(radial=10.0, distance=0.01))),
    (37, "force beyond half of the rating", "bearing_beyond_rating",
     lambda: pulled(ShaftForce(radial=1500.0, distance=0.01)),
     lambda: pulled(ShaftForce(radial=50.0, distance=0.01))),
    (38, "no brake for a load that pulls", "no_brake_for_a_pulling_load",
     lambda: lifted(None), lambda: lifted(BRAKE)),
    (38, "holding brake used for service", "holding_brake_only",
     lambda: lifted(BRAKE), lambda: lifted(None)),
    (38, "self-locking taken for a brake", "self_locking_is_no_brake",
     lambda: lifted(None, transmission=Transmission(ratio=10.0, efficiency=0.4)), lambda: lifted(None)),
    (38, "brake released before the torque", "brake_sequence", lambda: lifted(BRAKE), lambda: lifted(None)),
    (38, "voltage of the coil lost in the cable", "brake_coil_voltage",
     lambda: lifted(BRAKE, lead_resistance=0.0, cable=Cable(length=50.0, section=0.25)),
     lambda: supplied(
         lifted(BRAKE, lead_resistance=0.0, cable=Cable(length=0.2, section=2.5)), lowest_voltage=24.0)),
    (38, "brake too weak", "brake_holding_torque",
     lambda: lifted(replace(BRAKE, holding_torque=0.03)), lambda: lifted(BRAKE)),
    (40, "recovery of all energy assumed", "battery_full",
     lambda: on_battery("yes"), lambda: on_battery("no")),
    (41, "speed after a lost signal", "over_speed",
     lambda: with_motor_speed(300.0), lambda: with_motor_speed(5000.0)),
    (41, "frozen or swapped feedback", "feedback_lost",
     lambda: chosen(feedback=HallSensors()), lambda: chosen(feedback=Sensorless())),
    (41, "trip while braking", "trip_while_braking", lambda: braked(), lambda: project(STEADY)),
]  # fmt: skip


def braked_often() -> Project:
    duty = (
        segment(0.1, -0.2, 300.0), segment(0.1, 0.002, 300.0), segment(0.1, -0.2, 300.0),
        segment(2.0, 0.1, 300.0),
    )  # fmt: skip
    return supplied(project(*duty, candidates=(RATED,)), **SINK)


def geared(encoder: Encoder) -> Project:
    gear = Transmission(ratio=5.0, backlash=0.02)
    return chosen(segment(10.0, 0.05, 30.0), transmission=gear, feedback=encoder)


def saturated(torque: float) -> Project:
    constants = first(project(STEADY, candidates=(candidate(commutation="six-step"),))).constants
    assert constants is not None
    return with_winding(
        segment(10.0, torque, 50.0),
        linear_current=5.0,
        saturated_current=10.0,
        saturated_torque=7.5 * constants.torque_constant,
        peak_current=None,
    )


def with_motor_speed(largest: float) -> Project:
    base = candidate()
    assert base.motor is not None
    variants = tuple(replace(variant, largest_speed=largest) for variant in base.motor.variants)
    return project(STEADY, candidates=(replace(base, motor=replace(base.motor, variants=variants)),))


@pytest.mark.parametrize(
    ("code", "made", "avoided"),
    [row[2:] for row in MISTAKES],
    ids=[f"{need}: {mistake}" for need, mistake, *_ in MISTAKES],
)
def test_mistake_is_told_and_only_where_it_is_made(code: str, made: Make, avoided: Make) -> None:
    assert code in told(made())
    assert code not in told(avoided())


def test_every_need_around_the_motor_has_its_mistakes() -> None:
    needs = {11, 12, 21, 22, 23, 24, 25, 26, 27, 28, 29, 35, 37, 38, 40, 41}
    assert {need for need, *_ in MISTAKES} == needs


def test_current_that_holds_is_paid_by_the_battery() -> None:
    """Holding is no rest: the battery pays the copper loss of every second, and its run time is shorter."""
    turn, rest = segment(1.0, 0.05, 150.0), segment(9.0, 0.0, 0.0)
    free, held = (
        first(supplied(project(turn, one), battery_energy=1e5))
        for one in (rest, replace(rest, shaft_torque=0.05))
    )
    detail = [result.supply_detail for result in (free, held)]
    batteries = [one.battery for one in detail if one is not None]
    assert batteries[0] is not None
    assert batteries[1] is not None
    assert free.losses is not None
    assert held.losses is not None
    more = held.losses.copper + held.losses.leads_and_switches
    more -= free.losses.copper + free.losses.leads_and_switches
    assert more > 0.0
    assert batteries[1].net - batteries[0].net == pytest.approx(10.0 * more, rel=0.05)
    assert batteries[1].run_time < batteries[0].run_time


def test_signals_of_a_stopped_feedback_are_in_the_table_of_faults() -> None:
    table = first(chosen(feedback=HallSensors())).faults
    assert table is not None
    for code in ("lost_feedback", "frozen_feedback", "jam", "supply_lost", "shorted_winding"):
        row = table.row(code)
        assert row is not None, code
        assert row.measure
