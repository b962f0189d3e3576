"""Published figures of feedback and electrical frequency, and the swing of the speed by integration.

`read` in a source means that the number was seen in a public text. Tolerances cover the rounding of the
published number.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.numeric import FloatArray
from core.physics.electrical_frequency import (
    electrical_frequency,
    frequency_limit,
    speed_at_frequency,
    stated_limit,
)
from core.physics.feedback import Encoder, HallSensors, edge_rate, position_step
from core.physics.low_speed import (
    cogging_speed_swing,
    hall_start_torque,
    linear_speed_dip,
    lowest_smooth_speed,
)
from core.physics.winding import cogging_periods

RPM = math.pi / 30.0
TURN = 2.0 * math.pi  # rad/s of one turn a second
MODELICA = "Modelica BLDC library documentation ('p*2*m edges per revolution'); read"
GURU = (
    "B. S. Guru & H. R. Hiziroglu, Electric Machinery and Transformers, Ex. 7.5, p. 420 [as re-worked in a "
    "public textbook-companion notebook; the printed page was not seen]; read"
)
DISCUSSION = "public discussion among drive engineers, number stated there"
PRACTICE = "common practice, no source"
FIRST_PRINCIPLES = "first principles; textbook fact known from memory; memory"


def hall_step_degrees(pole_pairs: int) -> float:
    return math.degrees(position_step(HallSensors(pole_pairs).edges_per_turn))


# what, our value, expected, relative tolerance, source
ROWS: list[tuple[str, Callable[[], float], float, float, str]] = [
    ("P01b: Hall resolution, 8 pole pairs", lambda: hall_step_degrees(8), 7.5, 1e-6, MODELICA),
    ("states of three sensors on 14 poles", lambda: HallSensors(7).edges_per_turn, 42, 1e-9, PRACTICE),
    ("degrees of these", lambda: hall_step_degrees(7), 8.6, 0.005, PRACTICE),
    ("periods a turn of 7 pole pairs", lambda: float(electrical_frequency(TURN, 7)), 7, 1e-9, PRACTICE),
    ("P03: Hz of 16 poles at 375 rpm", lambda: float(electrical_frequency(375 * RPM, 8)), 50, 1e-6, GURU),
    (
        "Hall updates, steps of 15 degrees, 10 rad/s",
        lambda: float(edge_rate(24, 10)),
        38.2,
        0.001,
        DISCUSSION,
    ),
    ("counts per pole pair, 18", lambda: Encoder(20000).counts_per_pole_pair(18), 1111.11, 1e-5, DISCUSSION),
    ("counts per pole pair, 21", lambda: Encoder(20000).counts_per_pole_pair(21), 952.38, 1e-5, DISCUSSION),
    ("drift, 21", lambda: math.degrees(Encoder(20000).angle_drift(21)), 2.9, 0.01, DISCUSSION),
    (
        "drift in counts, 21",
        lambda: Encoder(20000).angle_drift(21) / (2 * math.pi) * Encoder(20000).counts_per_pole_pair(21),
        7.6,
        0.005,
        DISCUSSION,
    ),
    (
        "Hz of 63 000 electrical rpm",
        lambda: frequency_limit(63000 * RPM, "electrical speed"),
        1050,
        1e-9,
        "60 revolutions a minute are one hertz, by hand",
    ),
    (
        "rpm at these, 21 pole pairs",
        lambda: float(speed_at_frequency(1050.0, 21)) / RPM,
        3000,
        1e-9,
        "63 000 over 21, by hand",
    ),
    (
        "Hz at 48 V of 110 rpm/V, 21 pole pairs",
        lambda: float(electrical_frequency(48 * 110 * RPM, 21)),
        1848,
        1e-9,
        "5280/60 * 21, by hand",
    ),
    ("C02a: ripple over mean", lambda: hall_start_torque().ripple, 0.1403, 0.0003, FIRST_PRINCIPLES),
    ("C02b: ripple over peak", lambda: 1.0 - hall_start_torque().least, 0.134, 0.0003, FIRST_PRINCIPLES),
]


@pytest.mark.parametrize(
    ("ours", "expected", "rel_tol"), [row[1:4] for row in ROWS], ids=[r[0] for r in ROWS]
)
def test_row(ours: Callable[[], float], expected: float, rel_tol: float) -> None:
    assert ours() == pytest.approx(expected, rel=rel_tol)


def test_whole_counts_per_pole_pair_lose_nothing() -> None:
    assert Encoder(4096).angle_drift(8) == 0.0
    assert Encoder(20000).counts_lost_per_turn(18) == 20000 - 18 * 1111


def test_three_ways_to_state_a_frequency_limit_agree() -> None:
    # a motor with one pole pair turning at 60 000 rpm has 1000 periods a second
    assert frequency_limit(60000 * RPM, "speed of a two-pole motor") == pytest.approx(1000.0)
    assert stated_limit(1000.0, "electrical speed") == pytest.approx(60000 * RPM)
    assert stated_limit(1000.0, "electrical frequency") == 1000.0


def turned(torque: float, periods: int, inertia: float, start_speed: float) -> tuple[float, float, float]:
    """Integrate J dw/dt = -T sin(n theta) over whole periods; return lowest, highest and mean speed."""

    def slope(_time: float, state: FloatArray) -> list[float]:
        return [float(state[1]), -torque / inertia * math.sin(periods * state[0])]

    def crest(_time: float, state: FloatArray) -> float:
        return float(periods * state[0]) - math.pi

    def passed(_time: float, state: FloatArray) -> float:
        return float(periods * state[0]) - 8.0 * math.pi

    passed.terminal = True  # type: ignore[attr-defined]
    # in the notch, at theta = 0, the speed is highest; a crest lies half a period on
    horizon = 1e3 / (periods * start_speed)
    run = solve_ivp(
        slope,
        (0.0, horizon),
        np.array([0.0, start_speed]),
        events=[crest, passed],
        rtol=1e-11,
        atol=1e-13,
        max_step=horizon / 5e3,
    )
    assert run.status == 1
    assert run.y_events is not None
    return float(run.y_events[0][0, 1]), float(run.y[1].max()), float(run.y[0, -1] / run.t[-1])


@pytest.mark.parametrize("start_over_least", [1.0005, 1.05, 1.5, 10.0])
def test_swing_of_the_speed_against_integration(start_over_least: float) -> None:
    torque, inertia, periods = 2e-3, 1e-4, cogging_periods(12, 7)
    # at this speed in the notch the rotor just comes over the next crest
    least = math.sqrt(4.0 * torque / (inertia * periods))
    lowest, highest, mean = turned(torque, periods, inertia, least * start_over_least)
    swing = cogging_speed_swing(torque, periods, inertia, mean)
    assert float(swing.highest) == pytest.approx(highest, rel=1e-8)
    assert float(swing.lowest) == pytest.approx(lowest, rel=1e-6)
    assert float(swing.ripple) == pytest.approx((highest - lowest) / mean, rel=1e-6)
    assert lowest_smooth_speed(torque, periods, inertia, (highest - lowest) / mean) == pytest.approx(
        mean, rel=1e-6
    )


def test_linear_dip_is_the_limit_of_fast_running() -> None:
    lowest, highest, mean = turned(2e-3, 84, 1e-4, 20.0)
    assert float(linear_speed_dip(2e-3, 84, 1e-4, mean)) == pytest.approx(0.5 * (highest - lowest), rel=1e-6)


def test_start_torque_against_an_average_over_angles() -> None:
    angles = (np.arange(200000) + 0.5) / 200000 * math.pi / 3.0 - math.pi / 6.0
    start = hall_start_torque()
    assert start.mean == pytest.approx(float(np.cos(angles).mean()), rel=1e-9)
    assert start.least == pytest.approx(float(np.cos(angles).min()), rel=1e-5)
