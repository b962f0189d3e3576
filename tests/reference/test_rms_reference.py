"""RMS of duty cycles against published worked examples.

Each source was read as re-worked in a public textbook-companion notebook; the printed pages were not seen.
"""

from __future__ import annotations

import numpy as np
import pytest

from core.physics.rms_torque import rms_is_valid, rms_of_segments

TURN = 2.0 * np.pi / 60.0


def constant_segments(values: list[float], times: list[float], weights: list[float] | None = None) -> float:
    x = np.array(values)
    return rms_of_segments(np.array(times), x, x, None if weights is None else np.array(weights))


def test_reversing_rolling_mill() -> None:
    """D01: G. K. Dubey, Fundamentals of Electrical Drives, Ex. 4.2, p. 52. The notebook says the printed
    answer differs and that its own is arithmetically right."""
    reversal = 10_000 * 400 * TURN / 5.0
    rms = constant_segments([25_000, 0, reversal, 0, 20_000, 0, -reversal, 0], [10, 1, 5, 1, 15, 1, 5, 1])
    assert rms == pytest.approx(45974.8686976, rel=1e-6)
    assert rms == pytest.approx(45975, rel=2e-4)
    assert rms * 200 * TURN / 1e3 == pytest.approx(962.895, rel=2e-4)  # D01b


def test_ramp_counts_a_third_and_braking_by_its_magnitude() -> None:
    """D02: G. K. Dubey, Fundamentals of Electrical Drives, Ex. 4.3, p. 53."""
    start, end = np.array([0.0, 500.0, -400.0, 0.0]), np.array([400.0, 500.0, -400.0, 0.0])
    rms = rms_of_segments(np.array([5.0, 5.0, 4.0, 2.0]), start, end)
    assert rms == pytest.approx(367.139846199, rel=1e-6)
    assert rms == pytest.approx(367, rel=2e-3)


def test_five_steps_with_dwell() -> None:
    """D03: B. R. Gupta and V. Singhal, Fundamentals of Electric Drives and Control, Ex. 4.6, p. 59."""
    rms = constant_segments([50, 100, 150, 120, 0], [20, 20, 10, 20, 15])
    assert rms == pytest.approx(94.7442377574, rel=1e-6)


def test_reduced_cooling_at_rest_is_another_convention() -> None:
    """D06: B. L. Theraja and A. K. Theraja, A Textbook of Electrical Technology, vol. III, Ex. 45.1,
    p. 1796: the rest counts a third. The plain RMS of the same cycle is 58.63 kW."""
    values, times = [100.0, 75.0, 50.0, 0.0], [10.0, 10.0, 20.0, 20.0]
    weighted = constant_segments(values, times, [1, 1, 1, 1 / 3])
    assert weighted == pytest.approx(66.4803945321, rel=1e-6)
    assert constant_segments(values, times) == pytest.approx(58.63, rel=1e-4)


def test_rest_weighted_a_third_in_horsepower() -> None:
    """D07: I. L. Kosow, Electric Machinery and Transformers, Ex. 13.7, p. 466."""
    rms = constant_segments([200, 20, 0, 100], [5, 5, 10, 10], [1, 1, 1 / 3, 1])
    assert rms == pytest.approx(113.766678526, rel=1e-6)


def test_servo_cycle_with_friction_and_dwell() -> None:
    """D21: constructed, from memory: T_acc = J a + T_f, T_dec = -J a + T_f, rest counted."""
    accelerating = 0.0002 * 200 / 0.1
    rms = constant_segments([accelerating + 0.05, 0.05, -accelerating + 0.05, 0.0], [0.1, 0.3, 0.1, 0.5])
    assert rms == pytest.approx(0.182345825288, rel=1e-6)


def test_validity_is_a_fifth_of_the_winding_time_constant() -> None:
    """Common practice, no source."""
    assert rms_is_valid(2.0, 10.0)
    assert not rms_is_valid(2.01, 10.0)
