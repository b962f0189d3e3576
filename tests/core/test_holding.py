"""A holding brake on a candidate: torque, drop, emergency stop, coil heat, and what is easily got wrong.

Hand figures: statics, constant acceleration, Ohm's law. The load is a mass on a drum, the brake is invented.
"""

from __future__ import annotations

import math
import re

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.findings import Finding
from core.project.application import Supply
from core.project.candidate import Candidate
from core.project.fittings import Cable, HoldingBrake
from core.project.load import Load
from core.project.mechanism import DrumWinch, ScrewDrive
from core.project.motion import DwellStep, MoveStep
from core.project.project import Project
from core.project.transmission import Transmission
from core.results import CandidateResult, Margin
from core.sentences import as_text
from core.units import DisplayUnits
from tests.core.projects import candidate, project, segment

MASS, RADIUS, RATIO = 3.0, 0.02, 10.0
PULL = MASS * 9.81 * RADIUS / RATIO  # 58.86 mN m at the motor shaft
BRAKE = HoldingBrake(
    holding_torque=0.15, engage_delay=0.02, release_delay=0.03, largest_stop_energy=20.0, heat_power=1.0,
    pull_in_power=6.0, hold_voltage_share=0.5, pull_in_time=0.2, inertia=0.0, highest_temp=120.0,
)  # fmt: skip
GEAR = Transmission(ratio=RATIO, input_inertia=2e-6)


def winch(brake: HoldingBrake | None, transmission: Transmission = GEAR, **fields: object) -> Project:
    load = Load(
        mechanism=DrumWinch(mass=MASS, drum_radius=RADIUS, inclination=0.5 * math.pi, drum_inertia=1e-4),
        motion=(
            MoveStep(distance=-1.0, duration=4.0, acceleration_share=0.25, deceleration_share=0.25),
            DwellStep(duration=2.0),
            MoveStep(distance=1.0, duration=4.0, acceleration_share=0.25, deceleration_share=0.25),
            DwellStep(duration=10.0, held=False),
        ),
    )
    chosen = replace(candidate(brake=brake, transmission=transmission), **fields)
    base = project(candidates=(chosen,))
    return replace(base, application=replace(base.application, duty_from="load", load=load))


def first(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def margin(result: CandidateResult, code: str) -> Margin:
    found = result.margin(code)
    assert found is not None, [one.criterion for one in result.margins]
    return found


def finding(result: CandidateResult, code: str) -> Finding | None:
    return next((one for one in result.findings if one.code == code), None)


def whole_inertia(chosen: Candidate) -> float:
    variant = chosen.chosen_variant
    assert variant is not None
    return variant.rotor_inertia + 2e-6 + (MASS * RADIUS**2 + 1e-4) / RATIO**2


def test_a_brake_must_hold_the_pull_of_gravity_with_its_factor() -> None:
    held = margin(first(winch(BRAKE)), "brake_holding_torque")
    assert held.demand == pytest.approx(2.0 * PULL)
    assert (held.limit, held.status) == (0.15, "met")
    weak = margin(first(winch(replace(BRAKE, holding_torque=0.1))), "brake_holding_torque")
    assert weak.status == "missed"


def test_the_friction_of_a_gear_is_no_help_for_a_brake() -> None:
    lossy = Transmission(ratio=RATIO, input_inertia=2e-6, efficiency=0.7, drag_torque=0.01)
    held = margin(first(winch(BRAKE, lossy)), "brake_holding_torque")
    assert held.demand == pytest.approx(2.0 * PULL)


def test_torque_at_rest_is_what_a_brake_must_hold_where_the_duty_is_entered() -> None:
    duty = (segment(1.0, 0.03, 100.0), segment(2.0, 0.04, 0.0), segment(1.0, -0.05, 80.0))
    held = margin(first(project(*duty, candidates=(candidate(brake=BRAKE),))), "brake_holding_torque")
    assert held.demand == pytest.approx(2.0 * 0.05)  # the steady lowering pulls more than the hold
    level = first(project(segment(1.0, 0.03, 100.0), candidates=(candidate(brake=BRAKE),)))
    assert margin(level, "brake_holding_torque").status == "not checked"
    assert margin(level, "brake_energy").status == "not checked"
    assert first(project(*duty)).margin("brake_holding_torque") is None


def test_drop_and_energy_of_a_stop_while_lowering() -> None:
    """Top speed of 1 m in 4 s with quarters for the ramps: 1/3 m/s, 166.7 rad/s at the motor."""
    base = winch(BRAKE)
    needs = replace(base.application.requirements, largest_drop=3.0)
    result = first(replace(base, application=replace(base.application, requirements=needs)))
    inertia, speed, delay = whole_inertia(base.candidates[0]), RATIO / RADIUS / 3.0, 0.02
    engaged = speed + PULL / inertia * delay
    angle = speed * delay + 0.5 * PULL / inertia * delay**2 + 0.5 * inertia * engaged**2 / (0.15 - PULL)
    drop = margin(result, "brake_drop")
    assert drop.demand == pytest.approx(angle / RATIO, rel=1e-9)
    assert drop.limit == 3.0
    energy = margin(result, "brake_energy")
    assert energy.demand == pytest.approx(0.15 * 0.5 * inertia * engaged**2 / (0.15 - PULL), rel=1e-9)
    told = finding(result, "brake_drop")
    assert told is not None
    assert told.values["while_moving_m"] == pytest.approx(angle / RATIO * RADIUS, rel=1e-9)
    from_rest = 0.5 * PULL / inertia * delay**2
    from_rest += 0.5 * inertia * (PULL / inertia * delay) ** 2 / (0.15 - PULL)
    assert told.values["from_rest_m"] == pytest.approx(from_rest / RATIO * RADIUS, rel=1e-9)


def test_a_brake_weaker_than_the_load_never_stops_it() -> None:
    result = first(winch(replace(BRAKE, holding_torque=0.05)))
    energy = margin(result, "brake_energy")
    assert (energy.status, energy.told_by) == ("missed", "brake_holding_torque")
    assert finding(result, "brake_drop") is None


def test_a_load_that_pulls_without_a_brake_is_a_finding() -> None:
    missing = finding(first(winch(None)), "no_brake_for_a_pulling_load")
    assert missing is not None
    assert missing.values["needed_Nm"] == pytest.approx(2.0 * PULL)
    assert finding(first(winch(BRAKE)), "no_brake_for_a_pulling_load") is None


def test_a_gear_that_locks_itself_is_not_taken_for_a_brake() -> None:
    locking = Transmission(ratio=RATIO, efficiency=0.4)
    result = first(winch(None, locking))
    assert finding(result, "self_locking_is_no_brake") is not None
    assert finding(result, "no_brake_for_a_pulling_load") is None
    assert finding(first(winch(BRAKE, locking)), "self_locking_is_no_brake") is None
    screw = ScrewDrive(mass=20.0, lead=0.002, efficiency=0.35, inclination=0.5 * math.pi)
    base = winch(None)
    load = base.application.load
    assert load is not None
    moved = replace(
        load, mechanism=screw, motion=(MoveStep(distance=0.1, duration=4.0), DwellStep(duration=1.0))
    )
    lifted = replace(base, application=replace(base.application, load=moved))
    assert finding(first(lifted), "self_locking_is_no_brake") is not None


def test_a_holding_brake_used_at_every_stop_is_told_its_heat() -> None:
    """Two stops in a cycle of 20 s."""
    result = first(winch(BRAKE))
    told, energy = finding(result, "holding_brake_only"), margin(result, "brake_energy").demand
    assert told is not None
    assert energy is not None
    assert told.values["power_W"] == pytest.approx(2.0 * energy / 20.0)
    assert told.severity == "note"
    hot = finding(first(winch(replace(BRAKE, heat_power=0.01))), "holding_brake_only")
    assert hot is not None
    assert hot.severity == "warning"


def test_many_stops_an_hour_are_a_plain_number() -> None:
    """1 W for an hour over the energy of one stop, to three digits."""
    result = first(winch(BRAKE))
    told, energy = finding(result, "holding_brake_only"), margin(result, "brake_energy").demand
    assert told is not None
    assert energy is not None
    said = re.search(r"enough for (\d+) such stops an hour", as_text(told.text, DisplayUnits()))
    assert said is not None
    assert float(said[1]) == pytest.approx(3600.0 * 1.0 / energy, rel=5e-3)


def test_the_order_of_brake_and_torque_is_told_with_its_delays() -> None:
    told = finding(first(winch(BRAKE)), "brake_sequence")
    assert told is not None
    assert told.values == {"release_delay_s": 0.03, "engage_delay_s": 0.02}


def test_voltage_that_a_coil_loses_in_its_cable_is_told() -> None:
    """0.25 A through 2 x 30 m; 0.14 mm2 has at least 0.0172 ohm mm2/m: 1.84 V of 24 V and more."""
    thin = winch(BRAKE, lead_resistance=0.0, cable=Cable(length=30.0, section=0.14, temp=20.0))
    told = finding(first(thin), "brake_coil_voltage")
    assert told is not None
    assert 1.8 < told.values["lost_V"] < 2.3
    assert told.severity == "warning"
    wide = Supply(nominal_voltage=24.0, lowest_voltage=24.0, highest_voltage=26.0)
    short = winch(BRAKE, lead_resistance=0.0, cable=Cable(length=0.5, section=1.5))
    short = replace(short, application=replace(short.application, supply=wide))
    assert finding(first(short), "brake_coil_voltage") is None


def test_the_coil_heats_the_motor_by_its_mean_power() -> None:
    """Open for 10 s of 20 s, one release: 0.2 s at 6 W, then 9.8 s at a quarter of it."""
    warm, cold = first(winch(BRAKE)), first(winch(replace(BRAKE, on_motor=False)))
    told = finding(warm, "brake_coil_heat")
    assert told is not None
    assert told.values["mean_W"] == pytest.approx((0.2 * 6.0 + 9.8 * 1.5) / 20.0)
    assert (warm.coil_power, cold.coil_power) == (told.values["mean_W"], 0.0)
    assert warm.flows is not None
    assert cold.flows is not None
    assert warm.flows.heat_in["other heat"].sum() == pytest.approx(told.values["mean_W"])
    assert "other heat" not in cold.flows.heat_in
    assert finding(cold, "brake_coil_heat") is None
    assert warm.peaks[0].temp > cold.peaks[0].temp
    assert warm.band is not None
    assert warm.band.outside is not None
    outside = next(peak for peak in warm.peaks if peak.role == "outside")
    assert warm.band.outside[1] == pytest.approx(outside.temp, abs=0.05)


def test_a_brake_on_the_motor_has_a_temperature_limit() -> None:
    result = first(winch(BRAKE))
    outside = next(peak for peak in result.peaks if peak.role == "outside")
    assert margin(result, "brake_temperature").demand == pytest.approx(outside.temp)
    assert first(winch(replace(BRAKE, on_motor=False))).margin("brake_temperature") is None
