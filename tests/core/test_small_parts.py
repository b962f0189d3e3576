"""Small parts the evaluation stands on: networks, touch, criteria, sentences, remembering, deferring."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.deferred import Deferred
from core.errors import InputRangeError
from core.evaluation.criterion import (
    WHOLE_CYCLE,
    Criterion,
    answered,
    checked,
    checked_reserve,
    excluded,
    governing,
    missed,
    not_checked,
    ordered,
)
from core.evaluation.remembered import remembered
from core.physics.heat_network import link_conductance, mean_link_conductance, node_matrices
from core.physics.surface_contact import touch_threshold
from core.sentences import as_text, sentence
from core.units import DisplayUnits, Kind
from tests.core.example_networks import one_node, random_motor


def test_conductance_blends_and_its_mean_over_a_ramp_is_the_integral() -> None:
    network = random_motor(3)
    speed = np.array([0.0, 10.0, 400.0])
    forced = network.rotating * speed[:, None] ** network.exponent
    expected = network.fixed + (network.natural**3 + forced**3) ** (1 / 3)
    np.testing.assert_allclose(link_conductance(network, -speed), expected, rtol=1e-12)
    ramp = link_conductance(network, np.linspace(50.0, 400.0, 20_001))
    mean = mean_link_conductance(network, np.array([50.0]), np.array([400.0]))
    np.testing.assert_allclose(mean[0], ramp.mean(axis=0), rtol=1e-5)


def test_node_matrices_conserve_heat() -> None:
    network = random_motor(5, ambient=33.0)
    matrix, inflow = node_matrices(network, link_conductance(network, np.array([120.0])))
    np.testing.assert_allclose(matrix, np.swapaxes(matrix, 1, 2))
    # a network as warm as its surroundings exchanges nothing
    np.testing.assert_allclose(matrix[0] @ np.full(len(network.nodes), 33.0), inflow[0], atol=1e-12)


def test_a_network_refuses_what_cannot_be() -> None:
    whole = one_node()
    with pytest.raises(InputRangeError, match="heat capacity of winding must be > 0"):
        replace(whole, capacity=np.zeros(1))
    with pytest.raises(InputRangeError, match="heat path from winding to ambient"):
        replace(whole, fixed=np.zeros(1))
    with pytest.raises(InputRangeError, match="natural heat conductance must be >= 0"):
        replace(whole, natural=np.full(1, -0.1))


def test_touch_thresholds_are_not_guessed_between() -> None:
    """ISO 13732-1: scope read, numbers from memory."""
    assert [touch_threshold(t) for t in (1, 10, 60, 600, 28800)] == [65.0, 55.0, 51.0, 48.0, 43.0]
    with pytest.raises(InputRangeError, match="contact time"):
        touch_threshold(5)


RESERVE = Criterion("torque_reserve", "Torque reserve", Kind.RATIO, target=0.15)
WARMTH = Criterion("winding_temperature", "Winding temperature", Kind.TEMPERATURE, target=0.10)


def test_a_temperature_counts_its_rise() -> None:
    margin = checked(WARMTH, 115.0, 155.0, WHOLE_CYCLE, "", zero=40.0)
    assert margin.utilisation == pytest.approx(75.0 / 115.0)
    assert margin.status == "met"
    assert checked(WARMTH, 150.0, 155.0, WHOLE_CYCLE, "", zero=40.0).status == "missed"
    cold_limit = checked(WARMTH, 50.0, 40.0, WHOLE_CYCLE, "", zero=40.0)
    assert (cold_limit.status, cold_limit.margin) == ("missed", None)
    assert cold_limit.why


def test_a_reserve_is_used_by_its_reciprocal() -> None:
    assert checked_reserve(RESERVE, 1.25, WHOLE_CYCLE, "").margin == pytest.approx(0.2)
    assert checked_reserve(RESERVE, 0.8, WHOLE_CYCLE, "").margin == pytest.approx(-0.25)


def test_the_order_is_excluded_then_by_margin_over_target_then_the_rest() -> None:
    wet = excluded(replace(WARMTH, code="liquid", label="Liquid"), WHOLE_CYCLE, "wet")
    hot = missed(replace(WARMTH, code="magnets", label="Magnets"), WHOLE_CYCLE, "runs away", RESERVE.code)
    unfed = missed(replace(WARMTH, code="voltage", label="Voltage"), WHOLE_CYCLE, "out of reach")
    short = checked_reserve(RESERVE, 0.9, WHOLE_CYCLE, "")
    cool = checked(WARMTH, 60.0, 155.0, WHOLE_CYCLE, "", zero=40.0)
    dry = answered(replace(WARMTH, code="dust", label="Dust"), WHOLE_CYCLE, "")
    open_question = not_checked(replace(WARMTH, code="swarf", label="Swarf"), "say so")
    rows = ordered([open_question, dry, cool, hot, short, wet])
    assert rows == (wet, short, hot, cool, dry, open_question)
    assert governing(rows) is wet
    assert governing(ordered([cool, short, unfed])) is unfed  # nothing tells how far off it is
    assert governing(rows[1:]) is short
    assert governing(ordered([hot, cool])) is hot
    assert governing((open_question,)) is None


def test_a_sentence_speaks_the_readers_units() -> None:
    text = sentence("{torque} at {speed}", torque=(0.0706155, Kind.TORQUE), speed=(104.72, Kind.SPEED))
    assert as_text(text).startswith("70.6")
    assert as_text(text, DisplayUnits().with_units({Kind.TORQUE: "oz*in"})).startswith("10")
    assert as_text("plain") == "plain"


def test_remembering_compares_parts_by_identity_and_numbers_by_value() -> None:
    calls: list[float] = []

    @remembered(size=2)
    def work(part: list[int], number: float) -> int:
        calls.append(number)
        return len(calls)

    one, equal = [1], [1]
    assert work(one, 2.0) == work(one, float("2")) == 1
    assert work(equal, 2.0) == 2
    assert work(one, 3.0) == 3
    assert work(one, 2.0) == 4  # the oldest of three was dropped
    with pytest.raises(TypeError, match="positional"):
        work(one, number=2.0)


def test_a_deferred_value_is_computed_once() -> None:
    calls: list[int] = []

    def five() -> int:
        calls.append(1)
        return 5

    later = Deferred(five)
    assert not later.known
    assert (later.value(), later.value(), len(calls)) == (5, 5, 1)
    assert later.known
