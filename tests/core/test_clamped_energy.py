"""What the supply gives where a clamp burns what braking returns: against a bus followed step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.clamp_energy import burned_energy
from core.project.application import Supply
from tests.core.projects import segment
from tests.core.test_supply_course import CONSTANT, RESISTANCE, ROTOR, SUPPLY, segments_result

STEPS = 100_000  # of each part
SPEED = 200.0  # [rad/s]
# Speed up, run with a load, stop; a stroke that gives back more than it takes; a rest.
DUTY = (
    segment(0.2, 0.1, 0.0, SPEED),
    segment(0.5, 0.05, SPEED, SPEED),
    segment(0.3, -0.2, SPEED, 0.0),
    segment(0.2, -0.15, 0.0, -SPEED),
    segment(0.2, 0.25, -SPEED, 0.0),
    segment(0.6, 0.0, 0.0, 0.0),
)


def powers() -> tuple[FloatArray, FloatArray]:
    """Power of the drive and length of each step of the cycle, from torque and speed alone. [W, s]"""
    power, length = [], []
    for part in DUTY:
        share = (np.arange(STEPS) + 0.5) / STEPS
        speed = part.speed_start + share * (part.speed_end - part.speed_start)
        torque = part.shaft_torque + ROTOR * (part.speed_end - part.speed_start) / part.duration
        power.append(torque * speed + RESISTANCE * (torque / CONSTANT) ** 2)
        length.append(np.full(STEPS, part.duration / STEPS))
    return np.concatenate(power), np.concatenate(length)


def given_by_source(held: float, burns: bool) -> tuple[float, float]:
    """Mean power of the source and of the clamp, the bus followed through ten cycles. [W, W]"""
    power, length = powers()
    on_bus = 0.0
    for _ in range(10):
        source = clamp = 0.0
        for energy in (power * length).reshape(-1, 100).sum(axis=1).tolist():
            on_bus -= energy
            if on_bus < 0.0:  # the source feeds
                source, on_bus = source - on_bus, 0.0
            elif burns and on_bus > held:
                clamp, on_bus = clamp + on_bus - held, held
    return source / length.sum(), clamp / length.sum()


def mean_power(supply: Supply) -> float:
    found = segments_result(*DUTY, supply=supply).supply
    assert found is not None
    return found.mean_power


@pytest.mark.parametrize("capacitance", [0.0, 1e-3, 10e-3, 0.1])
@pytest.mark.parametrize("takes", ["no", "unknown"])
def test_the_source_gives_again_what_the_clamp_burns(capacitance: float, takes: str) -> None:
    """The highest voltage is 48 V, the clamp switches at 54 V: C/2 (54^2 - 48^2) stays on the bus."""
    supply = replace(
        SUPPLY,
        takes_energy_back=takes,
        capacitance=capacitance,
        clamp_voltage=54.0,
        clamp_resistance=20.0,
    )
    source, clamp = given_by_source(0.5 * capacitance * (54.0**2 - 48.0**2), burns=True)
    assert clamp > 0.0 or capacitance == 0.1
    assert mean_power(supply) == pytest.approx(source, rel=2e-5)


def test_without_a_clamp_all_is_used_again_and_a_supply_that_sinks_takes_it() -> None:
    source, _ = given_by_source(math.inf, burns=False)
    power, length = powers()
    assert source == pytest.approx(float(power @ length) / float(length.sum()), rel=1e-9)
    assert mean_power(SUPPLY) == pytest.approx(source, rel=2e-5)
    sinks = replace(SUPPLY, takes_energy_back="yes", clamp_voltage=54.0, clamp_resistance=20.0)
    assert mean_power(sinks) == pytest.approx(source, rel=2e-5)


def test_the_charge_of_what_is_burned_comes_from_the_source_again() -> None:
    """At a resistance of zero the current is the power over the voltage; with one, the sag comes on top."""
    clamped = replace(SUPPLY, capacitance=1e-3, clamp_voltage=54.0, clamp_resistance=20.0)
    source, _ = given_by_source(0.5e-3 * (54.0**2 - 48.0**2), burns=True)
    found = segments_result(*DUTY, supply=clamped).supply
    assert found is not None
    assert found.mean_current == pytest.approx(source / 48.0, rel=2e-5)
    weak = segments_result(*DUTY, supply=replace(clamped, capacitance=0.0, source_resistance=0.3)).supply
    assert weak is not None
    power, length = powers()
    driving = np.maximum(power, 0.0)
    current = driving / (24.0 + np.sqrt(24.0**2 - 0.3 * driving))  # of 48 V behind 0.3 ohm
    assert weak.mean_current == pytest.approx(float(current @ length) / float(length.sum()), rel=1e-3)


def test_a_cycle_that_returns_more_than_it_takes_asks_nothing_of_the_source() -> None:
    lowering = (segment(1.0, -0.2, SPEED, SPEED), segment(1.0, 0.0, 0.0, 0.0))
    kept = segments_result(*lowering).supply
    sunk = segments_result(*lowering, supply=replace(SUPPLY, takes_energy_back="yes")).supply
    assert kept is not None
    assert (kept.mean_power, kept.mean_current) == (0.0, 0.0)
    power = -0.2 * SPEED + RESISTANCE * (0.2 / CONSTANT) ** 2
    assert sunk is not None
    assert sunk.mean_power == pytest.approx(0.5 * power, rel=1e-9)


def test_many_rows_burn_what_each_burns_step_by_step() -> None:
    rng = np.random.default_rng(7)
    returned = rng.normal(scale=5.0, size=(60, 25))
    capacity = rng.uniform(0.0, 12.0, 60)
    by_hand = []
    for row, rim in zip(returned, capacity, strict=True):
        level = 0.0
        for _ in range(400):
            lost = 0.0
            for energy in row:
                level = max(level + energy, 0.0)
                lost, level = lost + max(level - rim, 0.0), min(level, rim)
        by_hand.append(lost)
    assert burned_energy(returned, capacity) == pytest.approx(np.array(by_hand), abs=1e-9)
    one_by_one = [float(burned_energy(*pair)) for pair in zip(returned, capacity, strict=True)]
    assert one_by_one == pytest.approx(by_hand, abs=1e-9)
    assert float(burned_energy(np.zeros(3), 1.0)) == 0.0


def test_a_capacity_below_zero_is_refused() -> None:
    with pytest.raises(InputRangeError, match="capacity"):
        burned_energy(np.array([1.0]), -1.0)
