"""The window of turns against hand calculation and against a scan; limit cases of the table."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.errors import InputRangeError
from core.physics.losses import SeriesPath
from core.physics.machine_constants import Commutation, MachineConstants
from core.physics.winding import rewound
from core.physics.winding_study import (
    WindingNeeds,
    WindingSupply,
    current_need,
    fastest_winding,
    turns_window,
    voltage_need,
    winding_table,
)

FLAT = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
SINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
ONE_POINT = WindingNeeds(np.array([0.12]), np.array([500.0]), 20.0, (25.0, 25.0), (25.0, 25.0))
CYCLE = WindingNeeds(
    np.array([0.12, 0.2, -0.1, 0.05]),
    np.array([300.0, 100.0, 300.0, 400.0]),
    12.7,
    (20.0, 120.0),
    (20.0, 90.0),
    lasting_torque=0.08,
    peak_current=12.0,
    lasting_current=6.0,
)
TOLERANT = WindingSupply("sinusoidal", SeriesPath(0.05, 0.01), 0.1, 0.1)


def test_window_with_leads_is_the_quadratic_solved_by_hand() -> None:
    # k w = 15 V, R I = 3.2 V, path 2*0.5 ohm * 4 A = 4 V, drop 1 V: 18.2 N + 4/N + 1 = 20
    window = turns_window(FLAT, ONE_POINT, WindingSupply("six-step", SeriesPath(0.5, 0.0, 1.0)))
    root = math.sqrt(19.0**2 - 4.0 * 18.2 * 4.0)
    assert window.highest_by_voltage == pytest.approx((19.0 + root) / 36.4, rel=1e-5)
    assert window.lowest_by_voltage == pytest.approx((19.0 - root) / 36.4, rel=1e-5)


def test_no_turns_reach_where_the_leads_take_all() -> None:
    # least of 18.2 N + 6/N + 1 is 2 sqrt(18.2*6) + 1 = 21.9 V
    window = turns_window(FLAT, ONE_POINT, WindingSupply("six-step", SeriesPath(0.75, 0.0, 1.0)))
    assert not window.is_open
    assert (window.lowest_by_voltage, window.highest_by_voltage) == (math.inf, 0.0)


@pytest.mark.parametrize("commutation", ["six-step", "sinusoidal"])
def test_window_agrees_with_a_scan(commutation: Commutation) -> None:
    supply = replace(TOLERANT, commutation=commutation)
    window = turns_window(SINE, CYCLE, supply)
    for turns in np.geomspace(0.01, 4.0, 60):
        reached = voltage_need(rewound(SINE, float(turns)), CYCLE, supply).utilisation <= 1.0
        assert reached == (window.lowest_by_voltage <= turns <= window.highest_by_voltage)
    peak, lasting = current_need(rewound(SINE, window.lowest_by_current), CYCLE, supply)
    assert max(peak / 12.0, lasting / 6.0) == pytest.approx(1.0, rel=1e-9)


def test_braking_only_finds_more_turns_than_without_leads() -> None:
    braking = replace(CYCLE, em_torque=np.array([-0.2]), speed=np.array([300.0]))
    supply = WindingSupply("sinusoidal", SeriesPath(0.5, 0.0))
    most = turns_window(SINE, braking, supply).highest_by_voltage
    assert most > turns_window(SINE, braking, WindingSupply("sinusoidal")).highest_by_voltage
    assert voltage_need(rewound(SINE, most), braking, supply).utilisation == pytest.approx(1.0, rel=1e-6)


def test_tolerance_by_hand() -> None:
    # strong magnets: 15*1.1 + 0.8*1.05 * 4/1.1; weak: 15*0.9 + 0.8*1.05 * 4/0.9
    supply = WindingSupply("six-step", back_emf_tolerance=0.1, resistance_tolerance=0.05)
    strong = 16.5 + 0.84 * 4.0 / 1.1
    assert voltage_need(FLAT, ONE_POINT, supply).utilisation == pytest.approx(strong / 20.0, rel=1e-6)
    assert current_need(FLAT, ONE_POINT, supply)[0] == pytest.approx(4.0 / 0.9)
    stall = replace(ONE_POINT, speed=np.array([0.0]))
    assert voltage_need(FLAT, stall, supply).utilisation == pytest.approx(0.84 * 4.0 / 0.9 / 20.0, rel=1e-6)


def test_hot_corner_by_hand() -> None:
    # 235 + 120 over 235 + 25; magnets 65 K hotter at -0.11 %/K weaken the torque, cold ones raise the EMF
    needs = replace(ONE_POINT, winding_temps=(25.0, 120.0), magnet_temps=(25.0, 90.0), speed=np.array([0.0]))
    need = voltage_need(FLAT, needs, WindingSupply("six-step"))
    flux = 1.0 + FLAT.magnet_temp_coefficient * 65.0
    assert need.utilisation == pytest.approx(3.2 * 355.0 / 260.0 / flux / 20.0, rel=1e-9)
    assert need.case == "hot winding, hot magnets"


def test_table_and_the_fastest_that_fits() -> None:
    windings = {f"{turns:g}": rewound(SINE, turns) for turns in (0.5, 0.7, 0.9, 1.0, 1.4, 2.0)}
    rows = winding_table(windings, CYCLE, TOLERANT)
    window = turns_window(SINE, CYCLE, TOLERANT)
    for row in rows:
        assert row.fits == (window.fastest <= float(row.name) <= window.highest_by_voltage)
    fastest = fastest_winding(rows)
    assert fastest is not None
    assert fastest.name == "0.9"
    assert "above" in str(rows[0].reason)
    assert "point 4" in str(rows[-1].reason)


def test_a_missing_limit_is_not_a_pass() -> None:
    rows = winding_table({"one": SINE}, replace(CYCLE, lasting_current=None), TOLERANT)
    assert rows[0].fits is None
    assert "continuous current, which is missing" in str(rows[0].reason)
    assert fastest_winding(rows) is None


def test_points_at_rest_without_torque_need_no_voltage() -> None:
    idle = replace(ONE_POINT, em_torque=np.array([0.0]), speed=np.array([0.0]))
    assert turns_window(FLAT, idle, TOLERANT).highest_by_voltage == math.inf


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputRangeError, match="number of torques"):
        replace(ONE_POINT, speed=np.array([1.0, 2.0]))
    with pytest.raises(InputRangeError, match="back_emf_tolerance"):
        WindingSupply(back_emf_tolerance=1.0)
    with pytest.raises(InputRangeError, match="available voltage"):
        replace(ONE_POINT, available=0.0)
