"""Hall sensors, encoder and running without a sensor against each requirement; numbers by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError, UnitError
from core.physics.electrical_frequency import frequency_limit, stated_limit
from core.physics.feedback import (
    Encoder,
    Feedback,
    HallSensors,
    Sensorless,
    counted_speed_step,
    edge_rate,
    position_error_at_load,
    timed_speed_step,
)
from core.physics.feedback_adequacy import FeedbackCheck, FeedbackNeeds, FeedbackPlace, feedback_adequacy

RPM = math.pi / 30.0
PLACE = FeedbackPlace(7, link_voltage=24.0, back_emf_constant=0.030)


def checked(
    feedback: Feedback, needs: FeedbackNeeds, place: FeedbackPlace = PLACE
) -> dict[str, FeedbackCheck]:
    return {check.requirement: check for check in feedback_adequacy(feedback, needs, place)}


def test_hall_signal_and_edges() -> None:
    halls = HallSensors(7)
    # 7 periods a turn, 50 turns a second; 42 edges a turn
    assert halls.signal_frequency(3000 * RPM) == pytest.approx(350.0)
    np.testing.assert_allclose(edge_rate(42, np.array([3000.0, -60.0]) * RPM), [2100.0, 42.0])


def test_encoder_lines_at_a_speed() -> None:
    # 1024 lines, 100 turns a second
    assert Encoder(4096).signal_frequency(6000 * RPM) == pytest.approx(102400.0)


def test_counting_and_timing_the_same_edges() -> None:
    # 60 f / N: 1 kHz of sampling and 4096 counts
    assert counted_speed_step(4096, 1e-3) / RPM == pytest.approx(60.0 * 1000.0 / 4096)
    # the time between two of 42 edges at 60 rpm is 1/42 s; one tick of 1 MHz more
    exact = 60.0 * (1.0 - (1.0 / 42.0) / (1.0 / 42.0 + 1e-6))
    assert float(timed_speed_step(42, 60 * RPM, 1e6)) / RPM == pytest.approx(exact, rel=1e-4)
    # over six edges six times as fine
    ratio = timed_speed_step(42, 60 * RPM, 1e6) / timed_speed_step(42, 60 * RPM, 1e6, edges=6)
    assert ratio == pytest.approx(6.0)


def test_misplaced_edges_swing_the_timed_speed() -> None:
    # two edges 1 degree off towards each other in a step of 60 degrees: 2/60 of the speed
    step = timed_speed_step(6, 100.0, 1e12, spacing_error=math.radians(1.0))
    assert step == pytest.approx(100.0 * 2.0 / 60.0, rel=1e-6)


def test_position_through_gear_and_backlash() -> None:
    play = math.radians(1.0)
    motor = position_error_at_load(Encoder(3600), gear_ratio=-10.0, backlash=play)
    assert math.degrees(motor) == pytest.approx(0.1 / 10.0 + 0.5)
    load = position_error_at_load(Encoder(3600, at_load=True), gear_ratio=-10.0, backlash=play)
    assert math.degrees(load) == pytest.approx(0.1)


def test_hall_speed_loop_below_its_edges() -> None:
    """4 pole pairs: steps of 15 degrees, 38.2 edges a second at 10 rad/s, enough for 3.8 Hz."""
    found = checked(HallSensors(4), FeedbackNeeds(lowest_speed=10.0, loop_bandwidth=10.0), FeedbackPlace(4))
    assert found["loop bandwidth"].ok is False
    assert found["loop bandwidth"].ability == pytest.approx(3.82, rel=1e-3)
    # 100 edges a second, 24 a turn
    assert found["lowest speed"].ability == pytest.approx(100.0 / 24.0 * 2.0 * math.pi)
    assert "38.2 Hz edges" in str(found["loop bandwidth"].reason).replace("\N{NO-BREAK SPACE}", " ")
    eased = FeedbackNeeds(lowest_speed=10.0, loop_bandwidth=10.0, edges_per_bandwidth=3.8)
    assert checked(HallSensors(4), eased, FeedbackPlace(4))["loop bandwidth"].ok is True


def test_the_rules_of_lowest_speed_and_bandwidth_agree() -> None:
    place = FeedbackPlace(7, gear_ratio=12.0)
    for feedback in (HallSensors(7), Encoder(500), Encoder(500, at_load=True)):
        limit = checked(feedback, FeedbackNeeds(1.0, loop_bandwidth=25.0), place)["lowest speed"].ability
        assert limit is not None
        at_limit = checked(feedback, FeedbackNeeds(limit, loop_bandwidth=25.0), place)
        assert at_limit["loop bandwidth"].ability == pytest.approx(25.0)


def test_sensorless_needs_its_emf_and_has_no_position() -> None:
    needs = FeedbackNeeds(10.0, position_accuracy=0.1, start_torque_share=0.5)
    found = checked(Sensorless(7), needs)
    # a tenth of 24 V at 0.030 V s
    assert found["lowest speed"].ability == pytest.approx(80.0)
    assert found["lowest speed"].ok is False
    assert found["position accuracy"].ok is False
    assert found["start under load"].ok is False
    assert checked(Sensorless(7), needs, FeedbackPlace(7))["lowest speed"].ok is None


def test_speed_ripple_takes_the_finer_reading() -> None:
    needs = FeedbackNeeds(10.0, speed_ripple=0.05)
    both = FeedbackPlace(7, counting_window=1e-3, timer_frequency=1e6)
    assert checked(HallSensors(7), needs, both)["speed ripple"].ok is True
    # one of 42 edges in a millisecond: 1430 rpm
    only_counting = checked(HallSensors(7), needs, FeedbackPlace(7, counting_window=1e-3))["speed ripple"]
    assert only_counting.ok is False
    assert only_counting.ability == pytest.approx(2.0 * math.pi / 42e-3 / 10.0)
    assert checked(HallSensors(7), needs, FeedbackPlace(7))["speed ripple"].ok is None


def test_signal_frequency_limit() -> None:
    needs = FeedbackNeeds(highest_speed=6000 * RPM)
    limited = Encoder(4096, largest_signal_frequency=100e3)
    found = checked(limited, needs)["signal frequency"]
    assert (found.ok, found.ability) == (False, 100e3)
    assert found.demand == pytest.approx(102.4e3)
    slow = Encoder(4096, at_load=True, largest_signal_frequency=100e3)
    assert checked(slow, needs, FeedbackPlace(7, gear_ratio=2.0))["signal frequency"].ok is True
    assert checked(Encoder(4096), needs)["signal frequency"].ok is None


def test_counts_that_are_not_whole_per_pole_pair() -> None:
    place = FeedbackPlace(21)
    with_index = checked(Encoder(20000), FeedbackNeeds(), place)["electrical angle"]
    # 20 000 - 21 * 952 = 8 counts lost in a turn, of 952.38 for 360 degrees, and the count itself
    assert with_index.ability == pytest.approx(math.radians(9.0 * 360.0 * 21.0 / 20000.0))
    assert with_index.ok is True
    assert "952.381 counts" in str(with_index.reason)
    assert checked(Encoder(20000, index=False), FeedbackNeeds(), place)["electrical angle"].ok is False
    absolute = checked(Encoder(20000, start="absolute"), FeedbackNeeds(), place)["electrical angle"]
    assert absolute.ability == pytest.approx(math.radians(360.0 * 21.0 / 20000.0))


def test_encoder_on_the_wrong_side_of_the_gear() -> None:
    place = FeedbackPlace(7, gear_ratio=10.0, backlash=math.radians(0.5))
    found = checked(
        Encoder(36000, at_load=True, start="absolute"), FeedbackNeeds(start_torque_share=0.9), place
    )
    # (0.01 + 0.25) degrees, times 10, times 7 pole pairs
    assert found["electrical angle"].ability == pytest.approx(math.radians(18.2))
    assert found["electrical angle"].ok is False
    assert found["start under load"].ability == pytest.approx(math.cos(math.radians(18.2)))


@pytest.mark.parametrize(
    ("feedback", "share"),
    [
        (HallSensors(7), math.cos(math.radians(30.0))),
        (Encoder(4096, start="Hall signals"), math.cos(math.radians(30.0))),
        (Encoder(4096, start="alignment"), math.sin(math.radians(45.0))),
        (Sensorless(7, start_torque_share=0.25), 0.25),
    ],
)
def test_start_under_load(feedback: Feedback, share: float) -> None:
    found = checked(feedback, FeedbackNeeds(start_torque_share=share - 1e-9))["start under load"]
    assert found.ability == pytest.approx(share)
    assert found.ok is True
    assert checked(feedback, FeedbackNeeds(start_torque_share=share + 1e-6))["start under load"].ok is False


def test_what_is_not_asked_for_is_not_answered() -> None:
    assert checked(HallSensors(7), FeedbackNeeds()) == {}
    assert list(checked(Encoder(4096), FeedbackNeeds())) == ["electrical angle"]


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputRangeError, match="counts"):
        Encoder(0)
    with pytest.raises(InputRangeError, match="pole_pairs"):
        HallSensors(0)
    with pytest.raises(UnitError, match="start of the encoder"):
        Encoder(4096, start="luck")  # type: ignore[arg-type]
    with pytest.raises(InputRangeError, match="least_emf_share"):
        Sensorless(7, least_emf_share=0.0)
    with pytest.raises(InputRangeError, match="edges_per_bandwidth"):
        FeedbackNeeds(edges_per_bandwidth=0.0)
    with pytest.raises(InputRangeError, match="gear_ratio"):
        FeedbackPlace(7, gear_ratio=0.0)
    with pytest.raises(InputRangeError, match="pole_pairs"):
        FeedbackPlace(0)
    with pytest.raises(InputRangeError, match="largest_signal_frequency"):
        HallSensors(7, largest_signal_frequency=math.inf)
    with pytest.raises(UnitError, match="frequency limit"):
        frequency_limit(1.0, "rpm")  # type: ignore[arg-type]
    with pytest.raises(InputRangeError, match="frequency limit"):
        stated_limit(0.0, "electrical speed")
