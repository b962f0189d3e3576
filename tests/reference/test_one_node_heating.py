"""Textbook examples of one time constant, worked through the repeating state and the torque reserve.

Numbers, sources and basis stand in `one_node_heating.json`; "read" there means a public companion notebook
of the textbook, the printed page was not seen. A network of one node with constant resistance is the
textbooks' motor; power at constant speed is proportional to torque, so a rating is the torque reserve of
a cycle whose loaded part carries the continuous loss. A short-time rating (S2) is a cycle whose rest is
1000 time constants. Tolerance against the full-precision value 1e-4, that of the torque reserve; 1e-6
for temperatures.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.physics.heat_pieces import CopperLaw
from core.physics.segment_maps import piece_modes, temperatures_within
from core.physics.temperatures import RepeatingState, repeating_state
from core.physics.torque_reserve import torque_reserve
from tests.core.heat_cycles import chain_network, one_node_cycle

ROWS: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads((Path(__file__).parent / "one_node_heating.json").read_text(encoding="utf-8"))
}
CONSTANT = CopperLaw(copper_constant=1e12)
CAPACITY = 60.0
NETWORK = chain_network(np.array([CAPACITY]), ambient=0.0)
REST = 1000.0


def matches(row: str, value: float, rel: float) -> None:
    assert value == pytest.approx(ROWS[row]["recomputed"], rel=rel)
    assert value == pytest.approx(ROWS[row]["expected"], rel=ROWS[row]["rel_tol"] + rel)


def overload(on: float, off: float, heating: float, cooling: float, constant_share: float = 0.0) -> float:
    """Factor on the rated power with a rated rise of 1 K; constant_share: constant over copper loss."""
    conductance = CAPACITY / np.array([heating, cooling])
    rated = conductance[0] * 1.0
    copper = rated / (1.0 + constant_share)
    cycle = one_node_cycle(
        np.array([on, off]), conductance, np.array([copper, 0.0]), np.array([copper * constant_share, 0.0])
    )
    return torque_reserve(NETWORK, cycle, CONSTANT, np.array([1.0])).factor


def test_cyclic_load_reaches_its_highest_rise() -> None:
    """H01a, H01b: 10 s loaded at a final rise of 104.42 K, 20 s idle at 15 K: from 40 K up to 49.89 K."""
    conductance = np.full(2, CAPACITY / 60.0)
    heat = conductance * np.array([ROWS["H01b"]["recomputed"], 15.0])
    state = repeating_state(
        NETWORK, one_node_cycle(np.array([10.0, 20.0]), conductance, np.zeros(2), heat), CONSTANT
    )
    assert isinstance(state, RepeatingState)
    matches("H01a", float(state.peak[0]), 1e-6)
    assert state.start_temp[0] == pytest.approx(40.0, rel=1e-6)


def test_cyclic_steady_maximum() -> None:
    """H08a: 30 min on towards 50 K, 45 min off, 110 and 150 min."""
    conductance = CAPACITY / np.array([110.0, 150.0])
    heat = np.array([50.0 * conductance[0], 0.0])
    cycle = one_node_cycle(np.array([30.0, 45.0]), conductance, np.zeros(2), heat)
    state = repeating_state(NETWORK, cycle, CONSTANT)
    assert isinstance(state, RepeatingState)
    matches("H08a", float(state.peak[0]), 1e-6)


@pytest.mark.parametrize(
    ("row", "rated", "on", "off", "heating", "cooling"),
    [("H02b", 20.0, 10.0, 10.0, 60.0, 90.0), ("H09b", 50.0, 15.0, 20.0, 80.0, 110.0)],
)
def test_intermittent_rating(
    row: str, rated: float, on: float, off: float, heating: float, cooling: float
) -> None:
    matches(row, rated * overload(on, off, heating, cooling), 1e-4)


@pytest.mark.parametrize(
    ("row", "rated", "time", "constant", "share"),
    [
        ("H02a", 20.0, 10.0, 60.0, 0.0),
        ("H04", 25.0, 0.5, 1.5, 0.9),
        ("H09a", 50.0, 15.0, 80.0, 0.0),
        ("H11", 25.0, 30.0, 90.0, 0.0),
        ("H13", 40.0, 0.5, 1.5, 0.0),
        ("H16", 1.0, 2.0, 1.5, 0.5),
    ],
)
def test_short_time_rating(row: str, rated: float, time: float, constant: float, share: float) -> None:
    matches(row, rated * overload(time, REST * constant, constant, constant, share), 1e-4)


def test_continuous_rating_from_a_short_time_rating() -> None:
    """H10: 50 kW for 25 min, time constant 90 min, constant loss 0.64 of the copper loss."""
    matches("H10", 50.0 / overload(25.0, REST * 90.0, 90.0, 90.0, 0.64), 1e-4)


def test_short_cycles_follow_the_rms_rule() -> None:
    """H17: a quarter of a cycle of 1e-4 time constants carries twice the continuous torque."""
    cycle = ROWS["H17"]["inputs"]["cycle/tau"]
    matches("H17", overload(0.25 * cycle, 0.75 * cycle, 1.0, 1.0), 1e-4)


def test_heating_curve_of_two_readings() -> None:
    """H06a, H06b: 57.71 min and 60 K give 30 K after 40 min and 45 K after 80 min."""
    constant, final = ROWS["H06a"]["recomputed"], ROWS["H06b"]["recomputed"]
    conductance = CAPACITY / constant
    modes = piece_modes(
        np.full((1, 1, 1), conductance), np.full((1, 1), conductance * final), np.zeros(1), np.array([80.0]),
        np.array([CAPACITY]), 0, CONSTANT,
    )  # fmt: skip
    course = temperatures_within(modes, np.zeros((1, 1)), np.array([0.5, 1.0]))
    readings = ROWS["H06a"]["inputs"]
    assert course[0, :, 0] == pytest.approx([readings["theta_40min"], readings["theta_80min"]], rel=1e-9)
