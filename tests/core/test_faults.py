"""The table of faults of a candidate against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.fault_results import FaultRow, FaultTable
from core.project.application import Supply
from core.project.candidate import Candidate
from core.project.feedback import Sensorless
from core.project.project import Project
from core.sentences import as_text
from tests.core.projects import candidate, project, segment
from tests.core.test_holding import BRAKE, PULL, whole_inertia, winch

TOP = 10.0 / 0.02 / 3.0  # highest motor speed of the winch [rad/s]


def faults(of: Project) -> FaultTable:
    table = evaluate(of).candidates[0].faults
    assert table is not None
    return table


def row(of: Project, code: str) -> FaultRow:
    found = faults(of).row(code)
    assert found is not None, [one.code for one in faults(of).rows]
    return found


def test_the_inertia_is_that_of_rotor_gear_and_load() -> None:
    table = faults(winch(None))
    assert table.whole_inertia
    assert table.inertia == pytest.approx(whole_inertia(winch(None).candidates[0]), rel=1e-9)
    entered = faults(project(segment(1.0, 0.02, 100.0)))
    assert not entered.whole_inertia
    assert "rotor alone" in as_text(entered.rows[1].effect)


def test_without_a_brake_the_load_falls() -> None:
    falls = row(winch(None), "supply_lost")
    inertia = whole_inertia(winch(None).candidates[0])
    acceleration = falls.values["speed_after_1s_rad_s"]
    assert 0.9 * PULL / inertia < acceleration < PULL / inertia  # less the drag of the motor
    assert "falls" in as_text(falls.effect)
    assert falls.energy == pytest.approx(0.5 * inertia * TOP**2)


def test_with_a_brake_the_load_stops() -> None:
    stops = row(winch(BRAKE), "supply_lost")
    inertia = whole_inertia(winch(BRAKE).candidates[0])
    engaged = TOP + PULL / inertia * 0.02
    assert stops.values["time_s"] == pytest.approx(0.02 + inertia * engaged / (0.15 - PULL), rel=1e-9)


def test_a_level_axis_coasts_against_its_drag() -> None:
    """Between the drag at rest and that at the highest speed: J w / T."""
    base = project(segment(1.0, 0.02, 300.0), candidates=(candidate(),))
    coasts = row(base, "supply_lost")
    variant = base.candidates[0].chosen_variant
    assert variant is not None
    low, high = (point.drag_torque for point in (variant.no_load[0], variant.no_load[-1]))
    longest = variant.rotor_inertia * 300.0 / (0.3 * low)
    assert variant.rotor_inertia * 300.0 / high < coasts.values["time_s"] < longest


def test_a_lost_signal_brings_full_speed_at_full_torque() -> None:
    table = faults(winch(None))
    lost, free = table.row("lost_feedback"), table.row("loss_of_load")
    assert lost is not None
    assert free is not None
    assert lost.values["speed_rad_s"] == free.values["speed_rad_s"]
    torque = table.inertia * lost.values["speed_rad_s"] / lost.values["time_s"]
    assert torque > PULL  # the pull adds to that of the motor
    assert lost.energy == pytest.approx(0.5 * table.inertia * lost.values["speed_rad_s"] ** 2)
    motor = winch(None).candidates[0].motor
    assert motor is not None
    assert lost.values["wrong_angle_rad"] == pytest.approx(0.5 * math.pi / motor.pole_pairs)
    blind = winch(None, feedback=Sensorless())
    assert faults(blind).row("lost_feedback") is None


def test_a_jammed_rotor_heats_like_its_copper_alone_while_it_is_short() -> None:
    """A doubled current takes a quarter of the time at most, and a warm start less than a cold one."""
    low = row(project(segment(1.0, 0.02, 50.0), candidates=(with_peak(6.0),)), "jam")
    high = row(project(segment(1.0, 0.02, 50.0), candidates=(with_peak(12.0),)), "jam")
    assert high.values["time_from_cold_s"] < 0.25 * low.values["time_from_cold_s"]
    assert high.values["time_from_warm_s"] < high.values["time_from_cold_s"]


def with_peak(current: float) -> Candidate:
    chosen = candidate()
    return replace(chosen, drive=replace(chosen.drive, peak_current=current))


def test_a_shorted_winding_tells_what_it_does_to_the_magnets() -> None:
    shorted = row(winch(None), "shorted_winding")
    result = evaluate(winch(None)).candidates[0]
    assert result.constants is not None
    k = result.constants.back_emf_constant / math.sqrt(3.0) * (1.0 - 0.0011 * 95.0)
    resistance = 0.5 * result.constants.resistance * (1.0 + 0.00393 * (5.0 - 25.0))
    motor = winch(None).candidates[0].motor
    assert motor is not None
    reactance = 0.5 * result.constants.inductance * motor.pole_pairs * TOP
    expected = k * TOP / math.hypot(resistance, reactance)
    assert shorted.values["current_A"] == pytest.approx(expected, rel=1e-3)
    assert shorted.values["first_peak_A"] >= shorted.values["current_A"]
    assert shorted.values["demagnetisation_A"] == pytest.approx(18.5)


@pytest.mark.parametrize("top", [50.0, 900.0])
def test_a_shorted_winding_brakes_most_at_equal_resistance_and_reactance_if_it_comes_there(
    top: float,
) -> None:
    slowed = project(segment(1.0, 0.01, top), candidates=(candidate(),))
    shorted, constants = row(slowed, "shorted_winding"), evaluate(slowed).candidates[0].constants
    motor = slowed.candidates[0].motor
    assert constants is not None
    assert motor is not None
    k = constants.back_emf_constant / math.sqrt(3.0) * (1.0 - 0.0011 * 95.0)
    resistance = 0.5 * constants.resistance * (235.0 + 5.0) / (235.0 + 25.0)
    per_speed = motor.pole_pairs * 0.5 * constants.inductance  # reactance per rad/s
    highest = max(
        1.5 * (k * w) ** 2 * resistance / (resistance**2 + (per_speed * w) ** 2) / w
        for w in np.linspace(1.0, top, 20_000).tolist()
    )
    assert shorted.values["strongest_torque_Nm"] == pytest.approx(highest, rel=1e-3)


def test_a_trip_while_braking_coasts_where_nothing_takes_the_energy() -> None:
    duty = (segment(0.05, 0.05, 0.0, 300.0), segment(1.0, 0.01, 300.0), segment(0.05, -0.2, 300.0, 0.0))
    base = project(*duty, candidates=(candidate(),))
    tripped = row(base, "trip_while_braking")
    assert tripped.values["returned_J"] > 0.0
    assert "coasts" in as_text(tripped.effect)
    sinks = Supply(nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=26.0, takes_energy_back="yes")
    taken = replace(base, application=replace(base.application, supply=sinks))
    assert faults(taken).row("trip_while_braking") is None


def test_the_table_waits_until_it_is_asked_for() -> None:
    result = evaluate(winch(BRAKE)).candidates[0]
    assert result.faults_later is not None
    assert not result.faults_later.known
