"""A draft as the parts editor shows it: canonical set, drag, refusals, and what an evaluation makes of it."""

from __future__ import annotations

import math

import pytest

from core.catalogue.motor_draft import MotorDraft
from core.catalogue.sheet_figures import Figures
from core.catalogue.sheet_reading import read_sheet
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.motor_model import motor_model
from core.project.application import Requirements, Site
from core.project.candidate import Candidate
from tests.core.test_sheet_checks import FRAME_FIGURES, HEAT, OPEN, WINDING_24, draft

RATED: Figures = {
    "continuous torque": 0.2, "continuous torque speed": 300.0, "continuous torque winding": 115.0,
    "drag torque": 0.004, "drag speed": 300.0,
}  # fmt: skip


def test_an_empty_draft_is_read_without_an_error() -> None:
    reading = read_sheet(MotorDraft())
    assert reading.motor is None
    assert reading.refusal is None
    assert (reading.windings, reading.checks, reading.findings, reading.drags) == ((), (), (), ())


def test_the_canonical_set_of_a_winding() -> None:
    (winding,) = read_sheet(draft()).windings
    canonical = {words: value for words, value, _ in winding.canonical()}
    # six-step constant over 3/pi is the peak line-to-line back-EMF constant; k_m = 0.05/sqrt(1.2)
    assert canonical["back-EMF constant, line-to-line peak"] == pytest.approx(0.05 * math.pi / 3.0)
    assert canonical["motor constant, six-step"] == pytest.approx(0.05 / math.sqrt(1.2))


def test_a_phase_resistance_is_twice_as_much_between_two_leads() -> None:
    (winding,) = read_sheet(draft({"resistance meaning": "phase of star"})).windings
    assert winding.constants is not None
    assert winding.constants.resistance == pytest.approx(2.4)


def test_a_refusal_names_the_figure() -> None:
    reading = read_sheet(draft(None, {"drag torque": 0.01}))
    assert reading.motor is None
    assert reading.refusal is not None
    assert reading.refusal.key == "drag speed"


def test_a_drag_from_a_no_load_current_says_so() -> None:
    drawn = read_sheet(draft({"no-load speed": 400.0, "no-load current": 0.2})).drags
    assert str(drawn[0]).endswith("from the no-load current of a winding")
    assert "10.0\N{NO-BREAK SPACE}mN·m" in str(drawn[0])  # 0.05 N m/A * 0.2 A
    stated = read_sheet(draft(None, {"drag torque": 0.02, "drag speed": 300.0})).drags
    assert "no-load" not in str(stated[0])


def test_heat_figures_that_make_no_network_are_named() -> None:
    # the winding alone would have 15 s / 1.5 K/W = 10 J/K, all of the motor 30 s / 7.5 K/W = 4 J/K
    swapped = read_sheet(draft(None, {**HEAT, **RATED, "motor time constant": 30.0}))
    assert "heat_data_refused" in [finding.code for finding in swapped.findings]
    good = read_sheet(draft(None, {**HEAT, **RATED}))
    assert "heat_data_refused" not in [finding.code for finding in good.findings]


def test_what_is_read_off_a_sheet_can_be_evaluated() -> None:
    frame: Figures = {**FRAME_FIGURES, "thermal class": "F", "magnet limit": 120.0}
    motor = read_sheet(MotorDraft(frame, (WINDING_24,), ({**OPEN, **HEAT, **RATED},))).motor
    assert motor is not None
    site = Site(ambient=25.0)
    candidate = Candidate(name="own", motor=motor, winding="24 V", variant="open rotor")
    model = motor_model(site, Requirements(), candidate)
    assert model is not None
    assert isinstance(heat_model(site, model), HeatModel)
