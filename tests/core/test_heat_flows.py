"""Flows of heat over one cycle: every node's balance closes, and each flow is what its law says."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from core.evaluate import evaluate
from core.evaluation.heat_flows import heat_flows, piece_conductance, speed_at
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.motor_model import MotorModel, motor_model
from core.evaluation.temperatures import CycleTemperatures, cycle_temperatures
from core.numeric import FloatArray
from core.physics.heat_from_geometry import geometry_network
from core.physics.heat_network import HeatNetwork
from core.physics.motor_dimensions import EnclosedRotor, HeatPlace, OpenRotor
from core.physics.shaft_duty import ShaftDuty, shaft_duty
from core.project.motor import VariantKind
from core.project.mounting import Box
from core.results import CandidateResult, HeatFlows
from core.trace_source import open_trace
from core.units import DisplayUnits, Kind
from tests.core.example_networks import random_motor
from tests.core.motor_by_hand import ENCLOSED, FRAME, OPEN
from tests.core.projects import candidate, project, random_duty, segment
from tests.core.test_trace_side import traced, written

STEADY = (segment(10.0, 0.03, 250.0),)
CHAIN = HeatNetwork(
    ("winding", "housing"), np.array([20.0, 150.0]), ("ambient air",), np.array([25.0]), np.array([0, 1]),
    np.array([1, 2]), np.array([1.0 / 1.74, 1.0 / 7.6]), np.zeros(2), np.zeros(2), np.ones(2), 0, 1, 1, 1, 1,
)  # fmt: skip
KINDS: tuple[VariantKind, ...] = ("open rotor", "enclosed")


def balance(flows: HeatFlows) -> FloatArray:
    """Return heat in less heat that flows off, as a share of all heat, shape (nodes,)."""
    net = np.zeros(len(flows.nodes) + len(flows.sinks))
    np.add.at(net, flows.ends[:, 0], -flows.mean_flow)
    np.add.at(net, flows.ends[:, 1], flows.mean_flow)
    into = np.sum(list(flows.heat_in.values()), axis=0)
    left: FloatArray = (net[: len(flows.nodes)] + into) / into.sum()
    return left


def flows_of(result: CandidateResult) -> HeatFlows:
    assert result.flows is not None
    return result.flows


def on_network(network: HeatNetwork, duty: ShaftDuty) -> tuple[CycleTemperatures, MotorModel]:
    """Return the repeating state of the enclosed demo motor with a network of its own."""
    whole = project(*STEADY)
    motor = motor_model(whole.application.site, whole.application.requirements, candidate())
    assert motor is not None
    heat = heat_model(whole.application.site, motor)
    assert isinstance(heat, HeatModel)
    own = replace(heat, network=network, limit=np.full(len(network.nodes), 180.0))
    return cycle_temperatures(duty, motor, own), motor


def a_duty(seed: int) -> ShaftDuty:
    rows = random_duty(seed, largest_torque=0.03)
    return shaft_duty(
        np.array([s.duration for s in rows]),
        np.array([s.shaft_torque for s in rows]),
        np.array([s.speed_start for s in rows]),
        np.array([s.speed_end for s in rows]),
        2e-5,
    )


@pytest.mark.parametrize("seed", range(6))
def test_every_node_gives_off_in_the_mean_what_it_takes_in(seed: int) -> None:
    result = evaluate(project(*random_duty(seed, largest_torque=0.03)))
    for one in result.candidates:
        assert np.abs(balance(flows_of(one))).max() < 1e-9


@pytest.mark.parametrize("rotating", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_the_balance_closes_on_any_network(seed: int, rotating: bool) -> None:
    duty = a_duty(seed)
    temps, motor = on_network(random_motor(seed, rotating=rotating), duty)
    assert np.abs(balance(heat_flows(temps, duty, motor))).max() < 1e-9


def test_the_balance_closes_where_laws_follow_the_temperature_and_other_heat_comes_in() -> None:
    boxed = project(*random_duty(2), around=Box(width=0.3, depth=0.25, height=0.2, other_heat=4.0))
    for one in evaluate(boxed).candidates:
        flows = flows_of(one)
        assert np.abs(balance(flows)).max() < 1e-9
        assert flows.heat_in["other heat"].sum() == pytest.approx(4.0)
        walls = [law for law in flows.laws if "Follows the temperatures" in str(law)]
        assert walls, "the walls of a box follow the temperatures"


@pytest.mark.parametrize("variant", [OPEN, ENCLOSED])
def test_the_balance_closes_on_networks_from_dimensions(variant: OpenRotor | EnclosedRotor) -> None:
    network = geometry_network(FRAME, variant, HeatPlace(25.0), highest_speed=600.0).network
    duty = a_duty(4)
    temps, motor = on_network(network, duty)
    flows = heat_flows(temps, duty, motor)
    assert np.abs(balance(flows)).max() < 1e-9
    assert "core to rotor across the magnetic gap" in flows.links
    lining = flows.laws[flows.links.index("winding to core through the slot lining")]
    assert str(lining).endswith("The same at every speed and temperature.")
    assert any(str(law).endswith("Follows the speed and the temperatures.") for law in flows.laws)


@pytest.mark.parametrize("step", [0.001, 0.0004])
def test_a_measured_trace_balances_within_the_table_of_its_speeds(tmp_path: Path, step: float) -> None:
    source = written(tmp_path, step)
    result = evaluate(traced(source), open_trace(source, tmp_path)).candidates[0]
    assert np.abs(balance(flows_of(result))).max() < 1e-4  # bins read the drag from a table over speed


@pytest.mark.parametrize("kind", KINDS)
def test_the_heat_by_cause_is_that_of_the_losses(kind: VariantKind) -> None:
    one = evaluate(project(*random_duty(5), candidates=(candidate(variant=kind),))).candidates[0]
    heat, losses = flows_of(one).heat_in, one.losses
    assert losses is not None
    assert heat["copper"].sum() == pytest.approx(losses.copper, rel=1e-9)
    assert heat["core and bearing"].sum() == pytest.approx(losses.core_and_bearing, rel=1e-9)
    # the windage of an open rotor leaves with the air
    inside = losses.windage if kind == "enclosed" else 0.0
    assert float(np.sum(heat.get("air drag", 0.0))) == pytest.approx(inside, rel=1e-9)


def test_a_steady_cycle_flows_as_ohm_has_it() -> None:
    """1.74 K/W from winding to housing, 7.6 K/W from there to air of 25 degC."""
    duty = shaft_duty(np.ones(1), np.array([0.03]), np.array([250.0]), np.array([250.0]), 0.0)
    temps, motor = on_network(CHAIN, duty)
    flows = heat_flows(temps, duty, motor)
    copper = float(flows.heat_in["copper"].sum())
    whole = float(np.sum(list(flows.heat_in.values())))
    assert whole > copper > 0.0
    assert flows.mean_flow.tolist() == pytest.approx([copper, whole], rel=1e-9)
    assert np.allclose(flows.flow, flows.mean_flow, rtol=1e-6)
    housing = 25.0 + 7.6 * whole
    assert flows.mean_temps.tolist() == pytest.approx([housing + 1.74 * copper, housing], rel=1e-9)


def test_the_course_has_the_mean_that_is_stated() -> None:
    """Within a cut ramp the conductance changes with the temperatures: far less than 1 % of the loss."""
    duty = (segment(20.0, 0.03, 0.0, 250.0), segment(30.0, 0.02, 250.0), segment(20.0, -0.01, 250.0, 0.0))
    for one in evaluate(project(*duty)).candidates:
        flows = flows_of(one)
        course = np.trapezoid(flows.flow, flows.time, axis=0) / flows.time[-1]
        assert np.abs(course - flows.mean_flow).max() < 0.01 * flows.mean_flow.max()
        assert flows.time[0] == 0.0
        assert flows.time[-1] == pytest.approx(70.0)
        assert flows.temps.shape == (flows.time.size, len(flows.nodes))


def test_flow_at_an_instant_takes_the_conductance_at_its_speed() -> None:
    """G = G_f + (G_n^3 + (g w^0.6)^3)^(1/3) written out for one link of a random motor."""
    network, duty = random_motor(3), a_duty(3)
    temps, motor = on_network(network, duty)
    flows = heat_flows(temps, duty, motor)
    link = 2  # stator to air: fixed, natural and driven by the rotor
    at = flows.time.size // 3
    speed = abs(float(speed_at(duty, flows.time[at : at + 1])[0]))
    driven = float(network.rotating[link]) * speed**0.6
    g = network.fixed[link] + (network.natural[link] ** 3 + driven**3) ** (1.0 / 3.0)
    assert flows.flow[at, link] == pytest.approx(g * (flows.temps[at, 1] - 25.0), rel=1e-9)


def test_speed_at_a_jump_is_that_after_it() -> None:
    duty = shaft_duty(np.array([1.0, 2.0]), np.zeros(2), np.array([0.0, 50.0]), np.array([100.0, 50.0]), 0.0)
    at = speed_at(duty, np.array([0.0, 0.25, 1.0, 2.0, 3.0]))
    assert at.tolist() == pytest.approx([0.0, 25.0, 50.0, 50.0, 50.0])


def test_the_mean_conductance_of_a_piece_may_span_parts() -> None:
    """g |w| without other parts: its mean over a piece is g times the mean speed."""
    one, none = np.ones(1), np.zeros(1)
    network = HeatNetwork(("winding",), one, ("air",), none, np.array([0]), np.array([1]), one, none,
                          2.0 * one, one, 0, 0, 0, 0)  # fmt: skip
    duty = shaft_duty(np.array([1.0, 1.0, 2.0]), np.zeros(3), np.array([0.0, 4.0, 4.0]),
                      np.array([4.0, 4.0, 0.0]), 0.0)  # fmt: skip
    found = piece_conductance(network, duty, np.array([0.5, 2.5, 1.0]))[:, 0]
    # areas under the speed: 0.5, then 1.5 + 4 + 3, then 1, over 0.5 s, 2.5 s and 1 s
    assert found.tolist() == pytest.approx([1.0 + 2.0 * 1.0, 1.0 + 2.0 * 8.5 / 2.5, 1.0 + 2.0 * 1.0])


def test_a_long_trace_has_the_mean_conductance_of_its_ramps() -> None:
    """Cut into ten thousand bits and into forty: the same speeds, so the same means."""
    network = random_motor(2)
    duration = np.array([1.0, 3.0, 2.0, 2.0])
    corners = np.array([0.0, 200.0, 200.0, 20.0, 0.0])

    def cut(bits: int) -> ShaftDuty:
        share = np.linspace(0.0, 1.0, bits + 1)
        starts = np.concatenate([a + (b - a) * share[:-1] for a, b in pairwise(corners)])
        ends = np.concatenate([a + (b - a) * share[1:] for a, b in pairwise(corners)])
        return shaft_duty(np.repeat(duration / bits, bits), np.zeros(4 * bits), starts, ends, 0.0)

    pieces = np.array([0.5, 0.5, 3.0, 4.0])
    fine, coarse = (piece_conductance(network, cut(bits), pieces) for bits in (2_500, 10))
    # the table of speeds is straight between its lines; |w|^0.6 from rest costs the ramps 1e-4
    assert np.allclose(fine, coarse, rtol=3e-4)


def test_the_law_names_its_parts_with_their_numbers() -> None:
    network, duty = random_motor(1), a_duty(1)
    temps, motor = on_network(network, duty)
    flows = heat_flows(temps, duty, motor)
    speed = float(np.abs(duty.speed_start + duty.speed_end) @ duty.duration / 2.0 / duty.duration.sum())
    units = DisplayUnits()
    driven = float(network.rotating[2]) * speed**0.6
    natural = float(network.natural[2])
    total = float(network.fixed[2]) + (natural**3 + driven**3) ** (1.0 / 3.0)
    words = flows.laws[2].text(units)
    for number in (total, float(network.fixed[2]), natural, driven):
        assert units.format_quantity(number, Kind.THERMAL_CONDUCTANCE) in words
    assert units.format_quantity(speed, Kind.SPEED) in words
    assert words.endswith("Follows the speed, not the temperatures.")
    assert "power 0.6" in words
    still = flows.laws[0].text(units)
    assert still.endswith("The same at every speed and temperature.")
    assert flows.links == ("winding to stator", "stator to rotor", "stator to air", "rotor to air")


def test_what_the_rotor_drives_only_beyond_a_speed_is_said_to_be_nothing_yet() -> None:
    """The cup in its housing stirs the air from the first vortices on (Taylor number), not before."""
    network = geometry_network(FRAME, ENCLOSED, HeatPlace(25.0), highest_speed=600.0).network
    duty = shaft_duty(np.ones(1), np.array([0.02]), np.array([3.0]), np.array([3.0]), 0.0)
    temps, motor = on_network(network, duty)
    flows = heat_flows(temps, duty, motor)
    law = str(flows.laws[flows.links.index("rim of the cup to the housing")])
    assert "nothing yet driven by the rotor" in law
    assert law.endswith("Follows the speed and the temperatures.")


def test_laws_speak_the_units_of_the_reader() -> None:
    duty = a_duty(0)
    temps, motor = on_network(CHAIN, duty)
    law = heat_flows(temps, duty, motor).laws[0]
    units = DisplayUnits().with_units({Kind.THERMAL_CONDUCTANCE: "mW/K"})
    assert "575\N{NO-BREAK SPACE}mW/K" in law.text(units)  # 1 / 1.74 K/W


def test_a_run_away_has_no_flows() -> None:
    hot = evaluate(project(segment(10.0, 0.6, 20.0))).candidates[0]
    assert any(finding.code == "thermal_run_away" for finding in hot.findings)
    assert hot.flows is None
