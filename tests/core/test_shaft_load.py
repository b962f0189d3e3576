"""Forces on the shaft end: statics, life over a cycle, the diagram of allowed forces, belts and gears."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.errors import InputRangeError, UnitError
from core.physics.bearing_life import Bearing, rating_life
from core.physics.shaft_forces import belt_shaft_force, belt_squeeze_force, gear_mesh_forces
from core.physics.shaft_load import (
    BearingPair,
    allowed_radial_force,
    bearing_axial_forces,
    bearing_reactions,
    shaft_life,
)

PAIR = BearingPair(
    Bearing(1200.0, 450.0), Bearing(900.0, 330.0), front_distance=0.004, span=0.022, preload=8.0
)


@pytest.mark.parametrize("distance", [0.0, 0.005, 0.040])
def test_forces_and_moments_balance(distance: float) -> None:
    front, rear = bearing_reactions(PAIR, 55.0, distance)
    place = np.array([distance, -0.004, -0.026])  # along the axis, out of the flange positive
    force = np.array([55.0, -float(front), float(rear)])
    assert force.sum() == pytest.approx(0.0, abs=1e-12)
    assert place @ force == pytest.approx(0.0, abs=1e-12)


def test_locating_bearing_takes_the_axial_force() -> None:
    front, rear = bearing_axial_forces(PAIR, np.array([-20.0, 20.0]))
    assert front.tolist() == [28.0, 28.0]
    assert rear.tolist() == [8.0, 8.0]
    front, rear = bearing_axial_forces(replace(PAIR, locating="rear"), 20.0)
    assert (float(front), float(rear)) == (8.0, 28.0)


@pytest.mark.parametrize("axial", [0.0, 15.0, 60.0])
@pytest.mark.parametrize("locating", ["front", "rear"])
def test_allowed_force_gives_exactly_the_wanted_life(axial: float, locating: str) -> None:
    pair, wanted = replace(PAIR, locating=locating), 4e8
    for distance in (0.0, 0.010, 0.030):
        force = float(allowed_radial_force(pair, distance, axial, wanted))
        assert force > 0.0
        life = shaft_life(pair, force, distance, axial, np.ones(1))
        assert life.life == pytest.approx(wanted, rel=1e-9)


def test_allowed_force_falls_with_the_distance_and_ends_with_the_axial_force() -> None:
    distances = np.linspace(0.0, 0.05, 26)
    force = allowed_radial_force(PAIR, distances, 10.0, 1e9)
    assert np.all(np.diff(force) < 0.0)
    assert np.all(allowed_radial_force(PAIR, distances, 500.0, 1e9) == 0.0)


def test_force_at_the_front_bearing_leaves_the_rear_alone() -> None:
    flush = BearingPair(Bearing(1000.0, 400.0), Bearing(1.0, 1.0), front_distance=0.0, span=0.02)
    assert float(allowed_radial_force(flush, 0.0, 0.0, 1e6)) == pytest.approx(1000.0)


def test_life_of_a_cycle_is_the_sum_of_its_damage() -> None:
    radial, turns = np.array([20.0, 80.0, 200.0]), np.array([10.0, 3.0, 0.0])
    pair = replace(PAIR, preload=0.0)
    life = shaft_life(pair, radial, 0.010, 0.0, turns)
    front = radial * (0.010 + 0.004 + 0.022) / 0.022
    damage = sum(n / float(rating_life(1200.0, p)) for p, n in zip(front, turns, strict=True))
    assert life.front_life == pytest.approx(13.0 / damage)
    assert life.life == min(life.front_life, life.rear_life)


def test_belt_force_holds_both_strands() -> None:
    """Both strands tensioned so that the slack one just keeps a pull: the sum is at least the pull itself."""
    torque, diameter = 0.4, 0.020
    tight, slack = 60.0, 20.0
    assert (tight - slack) * diameter / 2.0 == pytest.approx(torque)
    assert float(belt_shaft_force(-torque, diameter, 2.0)) == pytest.approx(tight + slack)


def test_gear_forces_are_the_components_of_one_normal_force() -> None:
    alpha, beta = math.radians(20.0), math.radians(15.0)
    forces = gear_mesh_forces(-1.2, 0.024, alpha, beta)
    normal = float(forces.tangential) / (math.cos(alpha) * math.cos(beta))
    square = forces.tangential**2 + forces.separating**2 + forces.axial**2
    assert math.sqrt(float(square)) == pytest.approx(normal)
    assert float(forces.separating) == pytest.approx(normal * math.sin(alpha))
    assert float(forces.axial) == pytest.approx(normal * math.cos(alpha) * math.sin(beta))
    assert float(gear_mesh_forces(1.2, 0.024).radial) == pytest.approx(100.0 / math.cos(alpha))


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: replace(PAIR, span=0.0), "span"),
        (lambda: replace(PAIR, preload=-1.0), "preload"),
        (lambda: bearing_reactions(PAIR, 1.0, -0.001), "distance"),
        (lambda: belt_shaft_force(1.0, 0.0), "pulley diameter"),
        (lambda: belt_shaft_force(1.0, 0.01, 0.5), "belt factor"),
        (lambda: belt_squeeze_force(20.0, 0.0, 0.1), "deflection"),
        (lambda: gear_mesh_forces(1.0, 0.02, 0.9), "pressure angle"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]


def test_locating_bearing_is_one_of_the_two() -> None:
    with pytest.raises(UnitError, match="locating bearing"):
        replace(PAIR, locating="middle")
