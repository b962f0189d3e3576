"""All windings of a frame against a cycle: voltage, current, the window of turns, what is mistaken."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.findings import Finding
from core.project.application import Supply
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.sentences import as_text
from core.units import DisplayUnits
from core.winding_results import WindingFit, WindingStudy
from tests.core.projects import candidate, project, segment

DUTY = (segment(4.0, 0.05, 150.0), segment(4.0, 0.02, 250.0))


def fed(*duty: Segment, winding: str = "24 V", supply: Supply | None = None, **drive: object) -> Project:
    base = candidate(winding=winding)
    of = project(*duty, candidates=(replace(base, drive=replace(base.drive, **drive)),))
    own = supply or Supply(nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=26.0)
    return replace(of, application=replace(of.application, supply=own))


def study_of(of: Project) -> WindingStudy:
    study = evaluate(of).candidates[0].winding_study
    assert study is not None
    return study


def finding(study: WindingStudy, code: str) -> Finding | None:
    return next((one for one in study.findings if one.code == code), None)


def by_name(study: WindingStudy, name: str) -> WindingFit:
    return next(one for one in study.windings if one.name == name)


def test_every_winding_of_the_frame_is_there_and_the_fastest_comes_first() -> None:
    of = fed(*DUTY)
    study = study_of(of)
    frame = of.candidates[0].motor
    assert frame is not None
    assert {one.name for one in study.windings} == {one.name for one in frame.windings}
    constants = [one.back_emf_constant for one in study.windings]
    assert constants == sorted(constants)
    assert study.chosen.name == "24 V"


def test_the_share_of_voltage_is_above_that_of_the_margin_by_the_tolerance() -> None:
    # the tolerance of 5 % on EMF and resistance asks for 5 % more of both, the reactance for less
    of = fed(*DUTY)
    listed = evaluate(of).candidates[0].margin("voltage_reserve")
    assert listed is not None
    assert listed.utilisation is not None
    share = study_of(of).chosen.voltage_share
    assert listed.utilisation < share < 1.12 * listed.utilisation


def test_a_winding_with_more_turns_asks_for_more_voltage_and_draws_less_current() -> None:
    study = study_of(fed(*DUTY))
    shares = [one.voltage_share for one in study.windings]
    currents = [one.peak_current for one in study.windings]
    assert shares == sorted(shares)
    assert currents == sorted(currents, reverse=True)
    # current times back-EMF is the same torque for all: they trade one for the other
    product = [one.peak_current * one.back_emf_constant for one in study.windings]
    assert max(product) == pytest.approx(min(product), rel=1e-6)


def test_the_fastest_winding_is_the_fastest_whose_current_is_carried() -> None:
    study = study_of(fed(*DUTY))
    fastest = study.windings[0]
    assert study.fastest == fastest.name
    # a limit between the current of the fastest and of the next one: the next one is the choice
    limit = 0.5 * (fastest.peak_current + study.windings[1].peak_current)
    weaker = study_of(fed(*DUTY, peak_current=limit))
    assert by_name(weaker, fastest.name).fits is False
    assert weaker.fastest == study.windings[1].name


def test_the_window_of_turns_ends_where_the_voltage_is_used_up() -> None:
    of = fed(*DUTY)
    study = study_of(of)
    # without leads and switches everything but the device drop grows with the turns: U(N) = N U(1)
    free = replace(of.candidates[0], lead_resistance=0.0)
    alone = study_of(replace(of, candidates=(replace(free, drive=replace(free.drive, on_resistance=0.0)),)))
    assert alone.most_turns == pytest.approx(1.0 / alone.chosen.voltage_share, rel=1e-6)
    assert study.most_turns <= alone.most_turns
    # fewer turns draw more current: down to 60 A of peak and 20 A that last
    by_current = max(study.chosen.peak_current / 60.0, study.chosen.lasting_current / 20.0)
    assert study.fewest_turns == pytest.approx(by_current, rel=1e-9)


def test_a_winding_chosen_by_the_label_of_the_supply_does_at_nominal_voltage_only() -> None:
    slow = study_of(fed(*DUTY)).windings[-1]
    share = slow.voltage_share * 21.0
    between = Supply(nominal_voltage=1.05 * share, lowest_voltage=0.9 * share)
    study = study_of(fed(*DUTY, winding=slow.name, supply=between))
    assert study.chosen.fits is False
    assert finding(study, "winding_does_at_nominal_voltage_only") is not None
    wrong = finding(study, "winding_does_not_fit")
    assert wrong is not None
    assert wrong.values["voltage_share"] > 1.0
    enough = study_of(fed(*DUTY, winding=slow.name, supply=replace(between, lowest_voltage=1.02 * share)))
    assert finding(enough, "winding_does_at_nominal_voltage_only") is None
    assert finding(enough, "winding_does_not_fit") is None


def test_windings_of_one_frame_are_said_to_gain_no_torque() -> None:
    said = finding(study_of(fed(*DUTY)), "windings_gain_no_torque")
    assert said is not None
    assert said.values["largest_motor_constant"] < 1.05 * said.values["least_motor_constant"]
    assert finding(study_of(fed(*DUTY)), "winding_tolerance_assumed") is not None


def test_a_source_with_resistance_leaves_less_voltage() -> None:
    plain = study_of(fed(*DUTY))
    sagging = Supply(nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=26.0, source_resistance=0.2)
    assert plain.voltage == 21.0
    assert study_of(fed(*DUTY, supply=sagging)).voltage < 21.0


def test_limit_lines_end_at_the_no_load_speed_of_each_winding() -> None:
    study = study_of(fed(*DUTY))
    for one in study.windings:
        reached = study.speed[np.isfinite(one.torque)]
        # 21 V * 0.95 / sqrt 3 over k_e / sqrt 3, cold magnets somewhat less, drag too
        ideal = 21.0 * 0.95 / one.back_emf_constant
        if study.speed[-1] > ideal:
            assert 0.8 * ideal < reached[-1] < 1.03 * ideal


def test_without_a_voltage_there_is_no_study() -> None:
    assert evaluate(fed(*DUTY, supply=Supply())).candidates[0].winding_study is None


def test_a_sentence_names_the_segment_that_a_winding_does_not_reach() -> None:
    # 250 rad/s in segment 2 asks the slowest winding for more than there is
    slowest = study_of(fed(*DUTY)).windings[-1]
    assert slowest.fits is False
    words = as_text(slowest.reason, DisplayUnits())
    assert f"of segment {slowest.segment + 1} asks for" in words
    assert "point" not in words


def test_the_tolerance_moves_the_end_of_a_limit_by_itself() -> None:
    # without load the back-EMF takes all of the voltage: 5 % more of it ends the limit at 1/1.05 of the speed
    study = study_of(fed(*DUTY))
    fit = study.windings[-1]
    ends = [
        study.speed[np.isfinite(torque)][-1] for torque in (fit.least_torque, fit.torque, fit.most_torque)
    ]
    step = study.speed[1] / ends[1]
    assert ends[0] / ends[1] == pytest.approx(1.0 / 1.05, abs=0.005 + step)
    assert ends[2] / ends[1] == pytest.approx(1.0 / 0.95, abs=0.005 + step)
    known = np.isfinite(fit.least_torque)
    assert (fit.least_torque[known] <= fit.torque[known]).all()
    assert (fit.torque[known] <= fit.most_torque[known]).all()


def test_any_number_of_turns_trades_voltage_for_current() -> None:
    study = study_of(fed(*DUTY))
    same = study.at_turns(1.0)
    np.testing.assert_allclose(same.torque, study.chosen.torque)
    twice = study.at_turns(2.0)
    assert twice.peak_current == pytest.approx(0.5 * study.chosen.peak_current)
    assert twice.back_emf_constant == pytest.approx(2.0 * study.chosen.back_emf_constant)
    # the ends of the window are those at which voltage or current is all used
    assert study.at_turns(study.most_turns).voltage_share == pytest.approx(1.0, abs=1e-6)
    assert study.at_turns(1.001 * study.most_turns).fits is False
    assert study.at_turns(0.999 * study.fewest_turns).fits is False
