"""Each conversion factor equals an integral of waves over a period."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError, UnitError
from core.physics.machine_constants import EmfShape
from core.physics.stated_figures import (
    CONVENTIONS,
    StatedFigure,
    back_emf_constant_of,
    back_emf_from_volts_per_1000_rpm,
    convention_factor,
    line_to_line,
    speed_constant_from_rpm_per_volt,
)
from tests.core.waveforms import ANGLE, PHASE_SHIFT, block_wave, mean_power, sine_wave, unit_phase_emf

SHAPES = [None, 120.0, 137.0, 160.0]


def factor(kind: str, convention: str, flat_top: float | None) -> float:
    shape: EmfShape = "sinusoidal" if flat_top is None else "trapezoidal"
    return convention_factor(kind, convention, shape, flat_top or 120.0)  # type: ignore[arg-type]


@pytest.mark.parametrize("flat_top", SHAPES)
def test_torque_constants_are_power_integrals(flat_top: float | None) -> None:
    emf = unit_phase_emf(flat_top)
    blocks = [block_wave(ANGLE - n * PHASE_SHIFT) for n in range(3)]
    sines = [sine_wave(ANGLE - n * PHASE_SHIFT) for n in range(3)]
    expected = {
        "per link ampere, six-step": mean_power(emf, blocks),
        "per peak phase ampere, sinusoidal": mean_power(emf, sines),
        "per rms phase ampere, sinusoidal": mean_power(emf, [math.sqrt(2.0) * s for s in sines]),
    }
    for convention, value in expected.items():
        assert factor("torque constant", convention, flat_top) == pytest.approx(value, rel=1e-7)


@pytest.mark.parametrize("flat_top", SHAPES)
def test_voltage_constants_are_peaks_and_rms_of_the_waves(flat_top: float | None) -> None:
    emf = unit_phase_emf(flat_top)
    line = emf[0] - emf[1]
    conducting = block_wave(ANGLE) * block_wave(ANGLE - PHASE_SHIFT) == -1.0
    expected = {
        "line-to-line peak": line.max(),
        "line-to-line rms": np.sqrt(np.mean(line**2)),
        "phase peak": emf[0].max(),
        "phase rms": np.sqrt(np.mean(emf[0] ** 2)),
        "mean of six-step": np.mean(np.abs(line[conducting])),
    }
    speed = {
        "of mean six-step voltage": expected["mean of six-step"],
        "of peak line-to-line voltage": expected["line-to-line peak"],
        "of rms line-to-line voltage": expected["line-to-line rms"],
    }
    for convention, value in expected.items():
        assert factor("back-EMF constant", convention, flat_top) == pytest.approx(value, rel=1e-7)
    for convention, value in speed.items():
        assert factor("speed constant", convention, flat_top) == pytest.approx(1.0 / value, rel=1e-7)


def test_trapezoid_of_120_degrees_under_sinusoidal_current() -> None:
    assert factor("torque constant", "per peak phase ampere, sinusoidal", 120.0) == pytest.approx(
        0.912, abs=5e-4
    )


def test_every_convention_is_covered_and_goes_back_to_the_same_constant() -> None:
    for kind, conventions in CONVENTIONS.items():
        for convention in conventions:
            unit = convention_factor(kind, convention)
            stated = unit / 0.03 if kind == "speed constant" else unit * 0.03
            figure = StatedFigure(stated, convention)  # type: ignore[arg-type]
            assert back_emf_constant_of(kind, figure) == pytest.approx(0.03, rel=1e-12)


def test_resistance_between_two_terminals_of_star_and_delta() -> None:
    branches = {"star": 0.4, "delta": 1.5}
    beside = branches["delta"] * 2 * branches["delta"] / (3 * branches["delta"])
    assert line_to_line(StatedFigure(0.4, "phase of star")) == pytest.approx(0.4 + 0.4)
    assert line_to_line(StatedFigure(1.5, "branch of delta")) == pytest.approx(beside)
    assert line_to_line(StatedFigure(0.8, "line-to-line"), "inductance") == 0.8


def test_units_of_speed() -> None:
    assert back_emf_from_volts_per_1000_rpm(1000 * 2 * math.pi / 60) == pytest.approx(1.0)
    assert speed_constant_from_rpm_per_volt(60 / (2 * math.pi)) == pytest.approx(1.0)


def test_bad_figures_are_refused() -> None:
    with pytest.raises(UnitError, match="convention of the torque constant"):
        convention_factor("torque constant", "per ampere")
    with pytest.raises(InputRangeError, match="back-EMF constant must be > 0"):
        back_emf_constant_of("back-EMF constant", StatedFigure(-0.1, "phase rms"))
    with pytest.raises(InputRangeError):
        back_emf_constant_of("back-EMF constant", StatedFigure(math.nan, "phase rms"))
    with pytest.raises(UnitError, match="'line-to-line'"):
        line_to_line(StatedFigure(1.0, "phase rms"))
    with pytest.raises(InputRangeError, match="resistance"):
        line_to_line(StatedFigure(0.0, "line-to-line"))
