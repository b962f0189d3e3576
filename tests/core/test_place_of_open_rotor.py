"""A guard or a box around an open rotor: what it answers, what room it takes, what the caution says."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project import edits
from core.project.application import Envelope, Surroundings
from core.project.mounting import Box, Guard
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits
from tests.core.projects import project, segment

HARSH = Surroundings(dust="yes", magnetic_swarf="yes", liquid="no", reach_of_fingers="yes")
GUARD = Guard(open_share=0.4, clearance=0.01)
BOX = Box(width=0.3, depth=0.3, height=0.3)


def result(index: int, around: Guard | Box | None) -> CandidateResult:
    of = project(segment(2.0, 0.02, 150.0), surroundings=HARSH, around=around)
    requirements = replace(
        of.application.requirements, envelope=Envelope(largest_diameter=0.06, largest_length=0.05)
    )
    return evaluate(edits.change_application(of, requirements=requirements)).candidates[index]


def status(of: CandidateResult, criterion: str) -> str:
    margin = of.margin(criterion)
    assert margin is not None
    return margin.status


def test_fingers_rule_out_an_open_rotor_unless_something_stands_around_it() -> None:
    assert status(result(1, None), "reach_of_fingers") == "excluded"
    assert status(result(1, GUARD), "reach_of_fingers") == "met"
    assert status(result(1, GUARD), "dust") == "excluded"  # a guard with openings lets it in
    assert status(result(1, BOX), "dust") == "met"
    assert status(result(1, BOX), "magnetic_swarf") == "met"


@pytest.mark.parametrize("criterion", ["diameter", "length"])
def test_a_guard_takes_room_around_an_open_rotor_only(criterion: str) -> None:
    demands = {}
    for index in (0, 1):
        for around in (None, GUARD):
            margin = result(index, around).margin(criterion)
            assert margin is not None
            assert margin.demand is not None
            demands[index, around is not None] = margin.demand
    assert demands[0, True] == demands[0, False]
    sides = 2.0 if criterion == "diameter" else 1.0
    assert demands[1, True] - demands[1, False] == pytest.approx(sides * 0.01)


def test_the_caution_speaks_of_what_is_there() -> None:
    texts = []
    for around in (None, GUARD, BOX):
        found = next(c for c in result(1, around).cautions if c.code == "turning_rotor")
        texts.append(as_text(found.text, DisplayUnits()))
    assert "Specify a guard" in texts[0]
    assert "Keep the guard closed" in texts[1]
    assert "Keep the box closed" in texts[2]
