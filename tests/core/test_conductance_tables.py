"""Means of tabulated conductances over ramps against sums over many instants."""

from __future__ import annotations

import numpy as np
import pytest

from core.physics.conductance_tables import ForcedTable

LINES = np.random.default_rng(7).uniform(0.0, 1.0, (33, 3))  # with kinks, as laws have at their changes
TABLE = ForcedTable(400.0, LINES)


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (0.0, 300.0),
        (300.0, 0.0),
        (17.0, 233.0),
        (-120.0, -350.0),
        (-80.0, 210.0),
        (0.05, 0.3),
        (390.0, 460.0),
    ],
)
def test_the_mean_over_a_ramp_is_that_of_its_instants(start: float, end: float) -> None:
    instants = start + (end - start) * (np.arange(400_000) + 0.5) / 400_000
    place = np.sqrt(np.abs(instants) / 400.0) * 32
    below = np.minimum(place.astype(int), 31)
    share = (place - below)[:, None]
    expected = (LINES[below] * (1.0 - share) + LINES[below + 1] * share).mean(axis=0)
    weights = TABLE.ramp_weights(np.array([start]), np.array([end]))
    assert weights.sum() == pytest.approx(1.0, abs=1e-12)
    np.testing.assert_allclose((weights @ LINES)[0], expected, rtol=1e-6)


@pytest.mark.parametrize("speed", [0.0, 0.2, 123.4, -399.0, 430.0])
def test_a_ramp_that_hardly_changes_is_a_constant_speed(speed: float) -> None:
    for change in (0.0, 1e-9, 1e-5):
        weights = TABLE.ramp_weights(np.array([speed * (1.0 - change)]), np.array([speed * (1.0 + change)]))
        np.testing.assert_allclose(
            np.maximum(weights @ LINES, 0.0), TABLE.at(np.array([speed])), rtol=1e-7, atol=0.0
        )


def test_halves_of_a_ramp_have_its_mean() -> None:
    whole = TABLE.ramp_weights(np.array([0.0]), np.array([310.0]))
    halves = TABLE.ramp_weights(np.array([0.0, 155.0]), np.array([155.0, 310.0]))
    np.testing.assert_allclose(halves.mean(axis=0), whole[0], atol=1e-14)


def test_many_ramps_have_the_means_of_few() -> None:
    ends = np.linspace(0.0, 390.0, 302)
    many = TABLE.ramp_weights(ends[:-1], ends[1:])
    np.testing.assert_array_equal(many[40:60], TABLE.ramp_weights(ends[40:60], ends[41:61]))
