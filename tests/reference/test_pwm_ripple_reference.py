"""Ripple of the switching: standard facts and a switched simulation in the time domain."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError, UnitError
from core.physics.pwm_ripple import (
    SWITCHINGS,
    Switching,
    carrier_ripple_rms,
    choke_for_loss,
    choke_for_ripple,
    path_inductance,
    periods_per_time_constant,
    ripple_copper_loss,
    ripple_peak_to_peak,
    triangle_rms,
    worst_voltage_ratio,
)
from core.physics.voltage import Modulation
from tests.reference.switched_path import Ripple, run_path, run_three_legs

LINK, INDUCTANCE, FREQUENCY = 24.0, 100e-6, 50e3
PERIOD = 1.0 / FREQUENCY


def simulated(switching: Switching, ratio: float, periods: float) -> Ripple:
    """Run one path whose time constant is so many periods; the EMF leaves a mean current of zero."""
    resistance = INDUCTANCE / (periods * PERIOD)
    low, duty = (0.0, ratio) if switching == "unipolar" else (-LINK, 0.5 * (1.0 + ratio))
    return run_path(LINK, low, duty, resistance, INDUCTANCE, FREQUENCY, emf=ratio * LINK)


def test_largest_ripple_of_both_kinds() -> None:
    """Vdc/(4 L f), doubled by switching between both signs; first principles, textbook fact from memory."""
    for switching, expected in (("unipolar", 1.2), ("bipolar", 2.4)):
        ratio = worst_voltage_ratio(switching)  # type: ignore[arg-type]
        ripple = ripple_peak_to_peak(switching, LINK, ratio, INDUCTANCE, FREQUENCY)  # type: ignore[arg-type]
        assert float(ripple) == pytest.approx(expected, rel=1e-6)


def test_rms_of_a_triangle() -> None:
    """dI/(2 sqrt 3) of 1.2 A; first principles, textbook fact from memory."""
    assert triangle_rms(1.2) == pytest.approx(0.34641, rel=1e-5)


@pytest.mark.parametrize("switching", SWITCHINGS)
@pytest.mark.parametrize("ratio", [0.05, 0.3, 0.5, 0.8])
def test_straight_edges_meet_the_simulation(switching: Switching, ratio: float) -> None:
    run = simulated(switching, ratio, periods=100.0)
    ripple = float(ripple_peak_to_peak(switching, LINK, ratio, INDUCTANCE, FREQUENCY))
    assert run.mean == pytest.approx(0.0, abs=1e-9)
    assert ripple == pytest.approx(run.peak_to_peak, rel=1e-5)
    assert triangle_rms(ripple) == pytest.approx(run.rms, rel=1e-5)


@pytest.mark.parametrize("switching", SWITCHINGS)
@pytest.mark.parametrize(("periods", "largest_error"), [(1.0, 0.0209), (0.5, 0.0834)])
def test_short_time_constant_errs_on_the_safe_side(
    switching: Switching, periods: float, largest_error: float
) -> None:
    """The stated error (T/tau)^2/48 holds, for peak to peak and for rms, over the whole duty."""
    errors = []
    for ratio in np.linspace(0.02, 0.98, 25):
        run = simulated(switching, float(ratio), periods)
        ripple = float(ripple_peak_to_peak(switching, LINK, float(ratio), INDUCTANCE, FREQUENCY))
        errors.append(1.0 - run.peak_to_peak / ripple)
        assert triangle_rms(ripple) >= run.rms
    assert min(errors) > 0.0
    assert 0.85 * largest_error < max(errors) < largest_error


@pytest.mark.parametrize("switching", SWITCHINGS)
@pytest.mark.parametrize(("lowest", "highest"), [(0.0, 1.0), (0.0, 0.3), (0.7, 0.95), (0.2, 0.6)])
def test_worst_duty_of_a_range(switching: Switching, lowest: float, highest: float) -> None:
    """No duty of the range has more ripple in the simulation."""
    worst = worst_voltage_ratio(switching, lowest, highest)
    ripple = float(ripple_peak_to_peak(switching, LINK, worst, INDUCTANCE, FREQUENCY))
    runs = [simulated(switching, float(d), 50.0).peak_to_peak for d in np.linspace(lowest, highest, 31)]
    assert max(runs) == pytest.approx(ripple, rel=2e-3)  # of a coarse grid and of the bent edges


@pytest.mark.parametrize("modulation", ["space-vector", "sine-triangle"])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.8, 0.999])
@pytest.mark.parametrize("pulses", [12, 41, 300])
def test_three_legs_meet_the_simulation(modulation: Modulation, share: float, pulses: int) -> None:
    vector = modulation == "space-vector"
    peak = share * (LINK / math.sqrt(3.0) if vector else 0.5 * LINK)
    angles = np.arange(4) * 2.0 * math.pi / pulses / 4 if pulses < 100 else [0.0]
    squares = [
        run_three_legs(LINK, peak, INDUCTANCE, FREQUENCY, pulses, zero_sequence=vector, angle=float(a)) ** 2
        for a in angles
    ]
    ours = float(carrier_ripple_rms(LINK, peak, INDUCTANCE, FREQUENCY, modulation))
    assert ours == pytest.approx(math.sqrt(np.mean(squares)), rel=1e-4)


def test_three_legs_with_a_short_time_constant() -> None:
    """One carrier period of time constant takes 0.7 % off the ripple."""
    resistance = INDUCTANCE * FREQUENCY
    run = run_three_legs(LINK, 10.0, INDUCTANCE, FREQUENCY, 300, zero_sequence=True, resistance=resistance)
    ours = float(carrier_ripple_rms(LINK, 10.0, INDUCTANCE, FREQUENCY))
    assert 0.992 < run / ours < 0.994


@pytest.mark.parametrize("modulation", ["space-vector", "sine-triangle"])
def test_carrier_ripple_rises_with_the_voltage(modulation: Modulation) -> None:
    top = LINK / math.sqrt(3.0) if modulation == "space-vector" else 0.5 * LINK
    ripple = carrier_ripple_rms(LINK, np.linspace(0.0, top, 101), INDUCTANCE, FREQUENCY, modulation)
    assert ripple[0] == 0.0
    assert (np.diff(ripple) > 0.0).all()


def test_ripple_heats_two_or_three_phases() -> None:
    """By hand: phase resistance 0.4 ohm, 0.5 A rms in two or in three phases."""
    assert ripple_copper_loss("six-step", 0.5, 0.8) == pytest.approx(2 * 0.4 * 0.25)
    assert ripple_copper_loss("sinusoidal", 0.5, 0.8) == pytest.approx(3 * 0.4 * 0.25)


def test_choke_brings_the_simulated_ripple_to_its_target() -> None:
    choke = choke_for_ripple(INDUCTANCE, 1.2, 0.3)
    with_choke = path_inductance(INDUCTANCE, choke)
    run = run_path(LINK, 0.0, 0.5, 1e-3, with_choke, FREQUENCY, emf=12.0)
    assert run.peak_to_peak == pytest.approx(0.3, rel=1e-5)
    # 0.8 ohm and the rms of 1.2 A: 0.096 W; a quarter of it needs half the ripple
    loss = 0.8 * 1.2**2 / 12.0
    with_choke = path_inductance(INDUCTANCE, choke_for_loss(INDUCTANCE, loss, loss / 4.0))
    run = run_path(LINK, 0.0, 0.5, 1e-3, with_choke, FREQUENCY, emf=12.0)
    assert 0.8 * run.rms**2 == pytest.approx(loss / 4.0, rel=1e-5)


def test_no_choke_where_none_is_needed() -> None:
    assert choke_for_ripple(INDUCTANCE, 0.2, 0.3) == 0.0
    assert choke_for_loss(INDUCTANCE, 0.0, 0.1) == 0.0


def test_lead_and_choke_count_twice() -> None:
    assert path_inductance(100e-6, 20e-6, 1e-6) == pytest.approx(142e-6)


def test_time_constant_in_periods() -> None:
    """By hand: 0.2 ms at 20 kHz are 4 periods."""
    assert periods_per_time_constant(100e-6, 0.5, 20e3) == pytest.approx(4.0)


def test_arrays_equal_scalars() -> None:
    ratios = np.array([-0.9, 0.0, 0.4])
    for switching in SWITCHINGS:
        together = ripple_peak_to_peak(switching, LINK, ratios, INDUCTANCE, FREQUENCY)
        alone = [float(ripple_peak_to_peak(switching, LINK, d, INDUCTANCE, FREQUENCY)) for d in ratios]
        assert together.tolist() == alone


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputRangeError, match="voltage_ratio must be -1 to 1"):
        ripple_peak_to_peak("unipolar", LINK, 1.01, INDUCTANCE, FREQUENCY)
    with pytest.raises(InputRangeError, match="inductance must be > 0"):
        ripple_peak_to_peak("bipolar", LINK, 0.5, 0.0, FREQUENCY)
    with pytest.raises(UnitError, match="switching"):
        ripple_peak_to_peak("both", LINK, 0.5, INDUCTANCE, FREQUENCY)  # type: ignore[arg-type]
    with pytest.raises(InputRangeError, match="lowest voltage ratio"):
        worst_voltage_ratio("unipolar", 0.6, 0.4)
    with pytest.raises(InputRangeError, match="phase_voltage"):
        carrier_ripple_rms(LINK, 14.0, INDUCTANCE, FREQUENCY)
    with pytest.raises(InputRangeError, match="target must be > 0"):
        choke_for_ripple(INDUCTANCE, 1.0, 0.0)
