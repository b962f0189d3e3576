"""The repeating state of whole projects against scipy's integrator and the instantaneous laws.

Independent of the exact solution: torque, drag, cooling and both temperature feedbacks are taken at every
instant and integrated by LSODA; nothing is averaged over pieces.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import brentq, minimize_scalar, root

from core.evaluate import evaluate
from core.evaluation.duty import duty_at_shaft, duty_trace
from core.evaluation.feed import Feed
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.motor_model import MotorModel, motor_model
from core.evaluation.operating_rows import standing_copper_factor
from core.evaluation.temperatures import CycleTemperatures, cycle_temperatures
from core.numeric import FloatArray
from core.physics.drag import air_drag_torque, core_drag_torque
from core.physics.heat_network import link_conductance_at, node_matrices
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RepeatingState
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.project.project_file import read_project
from tests.core.projects import candidate, project, random_duty, segment

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
SWITCHING = 0.3  # of built-in electronics [W/A]


def solved(of: Project, index: int) -> tuple[ShaftDuty, MotorModel, HeatModel, CycleTemperatures]:
    application = of.application
    motor = motor_model(application.site, application.requirements, of.candidates[index])
    assert motor is not None
    if motor.drive.built_in:  # a loss of switching without the ripple that pulses have
        motor = dataclasses.replace(motor, feed=Feed(None, SWITCHING))
    heat = heat_model(application.site, motor)
    assert isinstance(heat, HeatModel)
    duty = duty_at_shaft(duty_trace(application.duty_cycle), motor.inertia)
    assert duty is not None
    return duty, motor, heat, cycle_temperatures(duty, motor, heat)


def heat_flow(
    duty: ShaftDuty, part: int, local: float, temps: FloatArray, motor: MotorModel, heat: HeatModel
) -> FloatArray:
    """Return the heat into every node at one instant. [W]"""
    network, law = heat.network, heat.law
    share = local / duty.duration[part]
    speed = duty.speed_start[part] + share * (duty.speed_end - duty.speed_start)[part]
    torque = duty.torque_start[part] + share * (duty.torque_end - duty.torque_start)[part]
    size, moving = abs(speed), speed != 0.0
    core, air = (float(f(motor.drag, size)) * moving for f in (core_drag_torque, air_drag_torque))
    em = torque + np.sign(speed) * (core + air)
    at_rest = float(standing_copper_factor(motor, np.array([speed]))[0])
    resistance = (law.copper_constant + temps[network.winding]) / (law.copper_constant + law.winding_ref_temp)
    flux = 1.0 + law.magnet_temp_coefficient * (temps[network.magnets] - law.magnet_ref_temp)
    conductance = link_conductance_at(network, np.array([speed]), temps[None])
    matrix, inflow = node_matrices(network, conductance)
    flow: FloatArray = inflow[0] - matrix[0] @ temps
    constant = motor.torque_constant * flux / at_rest**0.5
    current = current_by_hand(motor, abs(em) / constant)
    flow[network.winding] += copper_factor(motor) * motor.constants.resistance * resistance * current**2
    if motor.drive.built_in:
        flow[network.outside] += devices_by_hand(motor, current)
    flow[network.core] += core * size
    if network.air >= 0:
        flow[network.air] += air * size
    return flow


def copper_factor(motor: MotorModel) -> float:
    return 1.0 if motor.commutation == "six-step" else 0.75


def current_by_hand(motor: MotorModel, linear: float) -> float:
    """Return the current whose torque on the hyperbola is that of a linear one, by a search."""
    law = motor.saturation
    if law is None or linear <= law.linear_current:
        return linear

    def missing(current: float) -> float:
        x = current / law.linear_current - 1.0
        return law.linear_current * (1.0 + x / (1.0 + law.bend * x)) - linear

    return float(brentq(missing, linear, 1e4 * linear, xtol=1e-12))


def devices_by_hand(motor: MotorModel, current: float) -> float:
    """Return what two switches (six-step) or three half bridges lose: 2 or 1.5 times R I^2, and U I f t."""
    share = 2.0 if motor.commutation == "six-step" else 1.5
    return share * motor.drive.on_resistance * current**2 + motor.feed.switching_loss_per_ampere * current


def integrated_cycle(
    duty: ShaftDuty, motor: MotorModel, heat: HeatModel, start: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return node temperatures at the end of one cycle from `start`, and their peaks on the way."""
    from scipy.integrate import solve_ivp

    temps, peak = np.array(start), np.array(start)
    for part in range(duty.duration.size):

        def slope(time: float, now: FloatArray, part: int = part) -> FloatArray:
            rate: FloatArray = heat_flow(duty, part, time, now, motor, heat) / heat.network.capacity
            return rate

        solution = solve_ivp(
            slope,
            (0.0, float(duty.duration[part])),
            temps,
            method="LSODA",
            rtol=1e-10,
            atol=1e-9,
            t_eval=np.linspace(0.0, float(duty.duration[part]), 60),
        )
        temps = solution.y[:, -1]
        peak = np.maximum(peak, solution.y.max(axis=1))
    return temps, peak


def assert_repeats(of: Project, index: int, tolerance: float) -> None:
    duty, motor, heat, temps = solved(of, index)
    state = temps.state
    assert isinstance(state, RepeatingState)
    end, peak = integrated_cycle(duty, motor, heat, state.start_temp)
    # a small error of the cycle map grows by 1/(1 - rho) in the repeating state
    drift = np.abs(end - state.start_temp).max() / (1.0 - state.spectral_radius)
    assert drift < tolerance
    np.testing.assert_allclose(peak, state.peak, atol=tolerance)


@pytest.mark.parametrize("index", [0, 1])
@pytest.mark.parametrize("name", ["sample_carousel.json", "orchard_sprayer.json"])
def test_sample_projects_repeat(name: str, index: int) -> None:
    assert_repeats(read_project(SAMPLES / name), index, 0.02)


@pytest.mark.parametrize("seed", [2, 7, 11])
def test_random_reversing_cycles_repeat(seed: int) -> None:
    for index in (0, 1):
        assert_repeats(project(*random_duty(seed)), index, 0.02)


DUTY = (segment(1.0, 0.16, 0.0, 150.0), segment(3.0, 0.02, 150.0), segment(1.0, -0.12, 150.0, 0.0),
        segment(2.0, 0.14, 0.0), segment(14.0, 0.0, 0.0))  # fmt: skip


def bent(commutation: str, torque: float = 5.0) -> Candidate:
    """A winding that is linear to 2 A only; at 8 A it makes 5/8 (or so) of the torque of a linear one."""
    base = candidate(commutation=commutation)
    assert base.motor is not None
    assert base.chosen_winding is not None
    six_step = evaluate(project(DUTY[1], candidates=(candidate(commutation="six-step"),))).candidates[0]
    assert six_step.constants is not None
    winding = replace(
        base.chosen_winding,
        linear_current=2.0,
        saturated_current=8.0,
        saturated_torque=torque * six_step.constants.torque_constant,
        peak_current=None,
    )
    return replace(base, motor=replace(base.motor, windings=(winding,)))


def built_in(base: Candidate) -> Candidate:
    drive = replace(
        base.drive, built_in=True, on_resistance=0.05, pwm_frequency=1e5, switching_time=2e-7, idle_power=0.0
    )
    return replace(base, drive=drive)


@pytest.mark.parametrize("commutation", ["sinusoidal", "six-step"])
@pytest.mark.parametrize("built", [False, True])
def test_saturated_cycles_with_built_in_electronics_repeat(commutation: str, built: bool) -> None:
    """Up to four times the loss of a linear machine; 0.1 K because one flux counts for the whole cycle."""
    chosen = built_in(bent(commutation)) if built else bent(commutation)
    assert_repeats(project(*DUTY, candidates=(chosen,)), 0, 0.1)


def test_saturated_bursts_just_below_their_run_away_repeat() -> None:
    """Five per cent of a cycle are beyond the linear range; to a motor that starts too hot it is a run-away.

    The integrated cycle tells that the state is there. Near the end of all states one flux for the whole
    cycle, and the residual that is allowed, cost more than elsewhere.
    """
    burst = (segment(0.2, 0.192, 100.0), segment(3.8, 0.0, 100.0))
    assert_repeats(project(*burst, candidates=(bent("six-step"),)), 0, 0.3)
    more = (segment(0.2, 0.200, 100.0), segment(3.8, 0.0, 100.0))
    assert not isinstance(solved(project(*more, candidates=(bent("six-step"),)), 0)[3].state, RepeatingState)


def test_the_coolest_state_of_a_saturated_cycle_is_the_one_that_is_reached() -> None:
    """A motor that starts hot enough asks for torque that no current makes, and would stay at 249 degC."""
    burst = (segment(0.02, 0.226, 100.0), segment(3.98, 0.0, 100.0))
    of = project(*burst, candidates=(bent("six-step"),))
    assert_repeats(of, 0, 0.3)


def test_reserve_ends_at_the_largest_torque_of_all_states_within_the_limits() -> None:
    """A steep bend, a lasting torque: over the temperature of the winding it has a maximum."""
    lasting = segment(10.0, 0.03, 100.0)
    duty, motor, heat, temps = solved(project(lasting, candidates=(bent("six-step", torque=2.5),)), 0)
    network, law, bend = heat.network, heat.law, motor.saturation
    assert bend is not None
    w = network.winding
    drag = sum(float(f(motor.drag, 100.0)) for f in (core_drag_torque, air_drag_torque))
    idle = dataclasses.replace(duty, torque_start=np.array([-drag]), torque_end=np.array([-drag]))

    def torque_at(winding: float) -> float:
        """Return the shaft torque at which the winding stays at a temperature, all nodes steady."""

        def flows(unknown: FloatArray) -> FloatArray:
            nodes = unknown.copy()
            nodes[w] = winding
            flow = heat_flow(idle, 0, 0.0, nodes, motor, heat)
            flow[w] += unknown[w]  # the copper loss
            return flow

        found = root(flows, np.where(np.arange(len(network.nodes)) == w, 5.0, 0.8 * winding), tol=1e-12)
        assert found.success, found.message
        loss, magnets = float(found.x[w]), float(found.x[network.magnets])
        warmer = (law.copper_constant + winding) / (law.copper_constant + law.winding_ref_temp)
        flux = 1.0 + law.magnet_temp_coefficient * (magnets - law.magnet_ref_temp)
        current = (loss / (copper_factor(motor) * motor.constants.resistance * warmer)) ** 0.5
        x = max(current / bend.linear_current - 1.0, 0.0)
        effective = min(current, bend.linear_current) + bend.linear_current * x / (1.0 + bend.bend * x)
        return float(motor.torque_constant * flux * effective - drag)

    limit = float(heat.limit[w])
    bounds = (heat.ambient + 10.0, limit)
    best = minimize_scalar(lambda temp: -torque_at(temp), bounds=bounds, method="bounded")
    assert best.x < limit - 10.0  # a state at the limit is none that is reached
    assert temps.reserve.end == "run-away"
    assert temps.reserve.factor == pytest.approx(-best.fun / 0.03, rel=1e-3)


@pytest.mark.parametrize("commutation", ["sinusoidal", "six-step"])
def test_reserve_of_a_saturated_cycle_brings_the_multiplied_cycle_to_its_limit(commutation: str) -> None:
    """The torques multiplied by the reserve: the same motor then has the reserve 1."""
    chosen = built_in(bent(commutation))
    first = evaluate(project(*DUTY, candidates=(chosen,))).candidates[0]
    plain = evaluate(project(*DUTY, candidates=(built_in(candidate(commutation=commutation)),))).candidates[0]
    reserve = first.torque_reserve
    assert reserve is not None
    assert plain.torque_reserve is not None
    assert 1.0 < reserve < 0.95 * plain.torque_reserve
    inertia = solved(project(*DUTY, candidates=(chosen,)), 0)[1].inertia
    more = tuple(grown(one, reserve, inertia) for one in DUTY)
    again = evaluate(project(*more, candidates=(chosen,))).candidates[0]
    assert again.torque_reserve == pytest.approx(1.0, rel=1e-3)


def grown(one: Segment, factor: float, inertia: float) -> Segment:
    """Multiply what the motor delivers, the acceleration of its rotor included."""
    along = inertia * (one.speed_end - one.speed_start) / one.duration
    return replace(one, shaft_torque=factor * (one.shaft_torque + along) - along)
