"""Copper, magnets and insulation: inverse, limits, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError, UnitError
from core.physics.materials import (
    copper_resistance_factor,
    insulation_life_factor,
    magnet_flux_factor,
    mean_winding_temp_limit,
    thermal_class_limit,
    winding_temp_from_resistance,
)

TEMPS = st.floats(-50.0, 250.0)


@given(temp=TEMPS, ref=st.floats(-20.0, 120.0))
def test_resistance_as_thermometer_inverts_the_law(temp: float, ref: float) -> None:
    resistance = 0.8 * float(copper_resistance_factor(temp, ref))
    assert winding_temp_from_resistance(resistance, 0.8, ref) == pytest.approx(temp, abs=1e-9)


@given(temps=st.lists(TEMPS, min_size=1, max_size=6))
def test_arrays_equal_scalars(temps: list[float]) -> None:
    array = np.array(temps)
    for function in (copper_resistance_factor, magnet_flux_factor):
        assert function(array) == pytest.approx([float(function(t)) for t in temps], rel=1e-15)


def test_factors_are_one_at_the_reference() -> None:
    assert copper_resistance_factor(40.0, ref_temp=40.0) == 1.0
    assert magnet_flux_factor(40.0, ref_temp=40.0) == 1.0
    assert insulation_life_factor(155.0, 155.0) == 1.0


def test_published_trap_of_the_coefficient_at_20_degrees() -> None:
    # 0.00393/K belongs to 20 degC; at 25 degC it is 1/(234.5 + 25) = 0.003854
    per_kelvin = float(copper_resistance_factor(26.0, 25.0, 234.5)) - 1.0
    assert per_kelvin == pytest.approx(0.003854, abs=5e-7)


def test_impossible_temperatures_are_refused() -> None:
    with pytest.raises(InputRangeError, match="winding_temp"):
        copper_resistance_factor(np.array([20.0, -235.0]))
    with pytest.raises(InputRangeError, match="winding_temp"):
        copper_resistance_factor(float("nan"))
    with pytest.raises(InputRangeError, match="ref_temp"):
        copper_resistance_factor(20.0, ref_temp=-240.0)
    with pytest.raises(InputRangeError, match="magnet flux factor"):
        magnet_flux_factor(np.array([25.0, 1000.0]))
    with pytest.raises(InputRangeError, match="resistance"):
        winding_temp_from_resistance(0.0, 0.8)
    with pytest.raises(InputRangeError, match="halving_rise"):
        insulation_life_factor(100.0, 155.0, 0.0)


def test_thermal_class_by_letter_and_number() -> None:
    assert thermal_class_limit("f") == thermal_class_limit("155") == thermal_class_limit("155 (F)") == 155.0
    for bad in ("G", "150", "155 (H)", ""):
        with pytest.raises(UnitError, match="thermal class"):
            thermal_class_limit(bad)


def test_hot_spot_allowance() -> None:
    assert mean_winding_temp_limit(155.0) == 145.0
    with pytest.raises(InputRangeError, match="hot_spot_allowance"):
        mean_winding_temp_limit(155.0, -1.0)
