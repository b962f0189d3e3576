"""Which figure wins, and what is said when two figures contradict each other."""

from __future__ import annotations

import math

import pytest

from core.errors import InputRangeError
from core.findings import Finding
from core.physics.data_sheet_conventions import agreeing_conventions, canonical_constants
from core.physics.machine_constants import MachineConstants
from core.physics.stated_figures import StatedFigure, speed_constant_from_rpm_per_volt

KT_RMS = StatedFigure(0.55, "per rms phase ampere, sinusoidal")


def converted(**stated: StatedFigure) -> tuple[MachineConstants, tuple[Finding, ...]]:
    return canonical_constants(
        resistance=StatedFigure(0.4, "phase of star"),
        inductance=StatedFigure(0.5e-3, "branch of delta"),
        pole_pairs=7,
        resistance_temp=20.0,
        **stated,  # type: ignore[arg-type]
    )


def test_stated_pair_agrees_as_phase_current_and_line_rms() -> None:
    # 0.55 N m/A_rms and 0.318 V_rms s/rad: their ratio is the root of three (stated by a user, computed)
    assert pytest.approx(math.sqrt(3.0), rel=2e-3) == 0.55 / 0.318
    constants, findings = converted(
        torque_constant=KT_RMS, back_emf_constant=StatedFigure(0.318, "line-to-line rms")
    )
    assert findings == ()
    assert constants.back_emf_constant == pytest.approx(0.318 * math.sqrt(2.0))
    assert constants.resistance == pytest.approx(0.8)
    assert constants.inductance == pytest.approx(0.5e-3 * 2 / 3)
    assert constants.resistance_ref_temp == 20.0


def test_misread_pair_is_reported_with_the_reading_that_fits() -> None:
    constants, (finding,) = converted(
        torque_constant=KT_RMS, back_emf_constant=StatedFigure(0.318, "phase rms")
    )
    assert finding.code == "constants_disagree"
    assert finding.severity == "warning"
    assert "'line-to-line rms'" in str(finding.text)
    assert "sqrt 3" in str(finding.text)
    assert finding.values["ratio"] == pytest.approx(math.sqrt(3.0), rel=3e-3)
    # reported, not repaired
    assert constants.back_emf_constant == pytest.approx(0.318 * math.sqrt(6.0))


def test_likeliest_pair_changes_one_reading() -> None:
    pairs = agreeing_conventions(
        "torque constant", KT_RMS, "back-EMF constant", StatedFigure(0.318, "phase rms")
    )
    assert pairs[0].readings_changed == 1
    assert pairs[0].second == "line-to-line rms"
    assert all(abs(pair.spread) <= 0.03 for pair in pairs)


def test_speed_constant_of_peak_volts_read_as_mean() -> None:
    """The factor pi/3 between 9549 and 9119: small, but seen."""
    k_e = 0.030
    k_n = speed_constant_from_rpm_per_volt(30.0 / math.pi / k_e)
    _, (finding,) = converted(
        torque_constant=StatedFigure(3.0 / math.pi * k_e, "per link ampere, six-step"),
        speed_constant=StatedFigure(k_n, "of mean six-step voltage"),
    )
    assert "near pi/3" in str(finding.text)
    assert "'of peak line-to-line voltage'" in str(finding.text)


def test_order_of_trust() -> None:
    torque = StatedFigure(0.030, "per link ampere, six-step")
    emf = StatedFigure(0.031, "line-to-line peak")
    speed = StatedFigure(1.0 / 0.029, "of peak line-to-line voltage")
    alone, _ = converted(speed_constant=speed)
    assert alone.back_emf_constant == pytest.approx(0.029)
    two, _ = converted(speed_constant=speed, torque_constant=torque)
    assert two.back_emf_constant == pytest.approx(0.030 * math.pi / 3.0)
    three, findings = converted(speed_constant=speed, torque_constant=torque, back_emf_constant=emf)
    assert three.back_emf_constant == 0.031
    assert len(findings) == 2


def test_nothing_fits_is_said() -> None:
    _, (finding,) = converted(
        torque_constant=StatedFigure(1.0, "per link ampere, six-step"),
        back_emf_constant=StatedFigure(0.01, "line-to-line peak"),
    )
    assert "No pair of conventions makes them agree" in str(finding.text)
    assert finding.values["agreeing_pairs"] == 0.0


def test_no_figure_at_all_is_refused() -> None:
    with pytest.raises(InputRangeError, match="number of stated"):
        converted()
