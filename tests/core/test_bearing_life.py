"""Bearing life: the equivalent load against the rule of the standard, means and inverses."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.physics.bearing_life import (
    AXIAL_FACTORS,
    RELATIVE_AXIAL_LOADS,
    Bearing,
    axial_load_factor,
    cubic_mean_load,
    equivalent_load,
    rating_life,
    required_rating,
)

# Fa/(i Z Dw^2) in psi, Y and e as printed: J. E. Pope (ed.), Rules of Thumb for Mechanical Engineers,
# table 7a, deep groove ball bearings (public page read)
PRINTED = np.array(
    [
        [24.92, 2.30, 0.19],
        [50.03, 1.99, 0.22],
        [99.91, 1.71, 0.26],
        [149.35, 1.55, 0.28],
        [200.10, 1.45, 0.30],
        [300.15, 1.31, 0.34],
        [500.25, 1.15, 0.38],
        [749.65, 1.04, 0.42],
        [999.05, 1.00, 0.44],
    ]
)
PSI = 6.894757e-3  # [MPa]
BEARING = Bearing(4000.0, 1600.0)


def test_factors_are_those_printed() -> None:
    assert pytest.approx(PRINTED[:, 0] * PSI, rel=0.004) == RELATIVE_AXIAL_LOADS
    assert PRINTED[:, 1].tolist() == AXIAL_FACTORS.tolist()


@pytest.mark.parametrize("row", range(len(PRINTED)))
@pytest.mark.parametrize("over_e", [0.3, 0.9, 0.999, 1.001, 1.1, 3.0])
def test_equivalent_load_keeps_to_the_rule_of_the_standard(row: int, over_e: float) -> None:
    """P = Fr up to Fa/Fr = e, then 0.56 Fr + Y Fa; the larger of the two is at most 0.6 % above that."""
    relative, y, e = PRINTED[row]
    axial = relative * PSI * BEARING.static_rating / BEARING.geometry_factor
    radial = axial / (e * over_e)
    rule = radial if over_e <= 1.0 else 0.56 * radial + y * axial
    assert -0.001 < float(equivalent_load(BEARING, radial, axial)) / rule - 1.0 < 0.006


@given(st.floats(0.0, 2000.0), st.floats(0.0, 700.0))
def test_more_force_is_never_less_load(radial: float, axial: float) -> None:
    load = float(equivalent_load(BEARING, radial, axial))
    assert load <= float(equivalent_load(BEARING, radial * 1.01 + 1.0, axial)) + 1e-9
    assert load <= float(equivalent_load(BEARING, radial, axial * 1.01 + 1.0)) + 1e-9
    assert load == pytest.approx(float(equivalent_load(BEARING, -radial, -axial)))


def test_axial_force_beyond_the_table_is_told() -> None:
    factor, inside = axial_load_factor(BEARING, np.array([0.0, 890.0, 900.0]))  # 6.89 * 1600/12.3 = 896
    assert factor[0] == 2.30
    assert factor[2] == 1.0
    assert inside.tolist() == [True, True, False]


def test_life_and_rating_are_inverse() -> None:
    load = np.array([10.0, 150.0, 400.0])
    assert required_rating(load, rating_life(4000.0, load)) == pytest.approx(4000.0)
    assert math.isinf(float(rating_life(4000.0, 0.0)))


def test_mean_load_sums_the_damage() -> None:
    """Miner's sum of the segments is that of the mean load; a held load costs nothing."""
    loads, turns = np.array([100.0, 300.0, 50.0, 900.0]), np.array([4.0, 1.0, 20.0, 0.0])
    damage = sum(n / float(rating_life(4000.0, p)) for p, n in zip(loads, turns, strict=True))
    mean = cubic_mean_load(loads, turns)
    assert turns.sum() / float(rating_life(4000.0, mean)) == pytest.approx(damage)
    assert cubic_mean_load(np.full(3, 70.0), np.array([1.0, 5.0, 2.0])) == pytest.approx(70.0)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: Bearing(0.0, 1.0), "dynamic_rating"),
        (lambda: rating_life(4000.0, -1.0), "equivalent load"),
        (lambda: required_rating(10.0, 0.0), "wanted life"),
        (lambda: cubic_mean_load(np.ones(2), np.zeros(2)), "turns of the cycle"),
    ],
)
def test_bad_input_is_refused(call: object, name: str) -> None:
    with pytest.raises(InputRangeError, match=name):
        call()  # type: ignore[operator]
