"""The root of a rising function: smooth ones, leaps, and what lies outside."""

import math

import pytest

from core.physics.false_position import rising_root


@pytest.mark.parametrize("root", [1e-3, 0.4, 1.0, 2.9])
def test_powers_and_steep_ones_are_found(root: float) -> None:
    for function in (
        lambda x: math.log(x / root),
        lambda x: x**4 - root**4,
        lambda x: math.expm1(30.0 * (x - root)),
    ):
        found = rising_root(function, 0.5 * root, 3.0, 1.0)
        assert abs(function(found)) <= 1e-5 or found == pytest.approx(root, rel=2e-5)


def test_a_leap_is_found_from_below() -> None:
    found = rising_root(lambda x: -0.3 if x < 1.7 else 1e6, 0.1, 9.0, 2.0)
    assert found == pytest.approx(1.7, rel=2e-5)


def test_a_start_above_the_root_is_followed_down() -> None:
    assert rising_root(lambda x: x - 0.01, 0.9, 1.0, 2.0) == pytest.approx(0.01, abs=1e-5)


def test_the_top_is_the_answer_where_nothing_crosses() -> None:
    assert rising_root(lambda x: x - 5.0, 1.0, 3.0, 0.1) == pytest.approx(3.0)


def test_a_function_above_zero_everywhere_gives_next_to_nothing() -> None:
    assert rising_root(lambda _x: 1.0, 0.5, 1.0, 2.0) < 1e-4
