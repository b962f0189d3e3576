"""Which of the three first questions a project answers."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from core.project import edits
from core.project.application import Supply
from core.project.candidate import Candidate
from core.project.first_steps import STEPS, is_filled, open_steps
from core.project.project import Project
from core.project.project_file import read_project
from tests.core.projects import candidate, segment

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_projects").glob("*.json"))


def test_nothing_is_answered_by_an_empty_project_and_all_by_a_filled_one() -> None:
    project = Project()
    assert open_steps(project) == STEPS
    project = edits.change_application(project, duty_cycle=(segment(1.0, 0.05, 10.0),))
    assert open_steps(project) == STEPS[1:]
    project = edits.change_application(project, supply=Supply(nominal_voltage=24.0))
    assert open_steps(project) == STEPS[1:]  # the lowest voltage decides what is reached
    project = edits.change_application(project, supply=Supply(lowest_voltage=21.0))
    assert open_steps(project) == STEPS[2:]
    project = replace(project, candidates=(Candidate(name="empty"),))
    assert open_steps(project) == STEPS[2:]
    assert open_steps(edits.add_candidate(project, candidate())) == ()


def test_a_segment_that_asks_for_nothing_is_no_answer() -> None:
    project = edits.change_application(Project(), duty_cycle=(segment(1.0, 0.0, 0.0),))
    assert not is_filled(project, "What moves")


def test_a_duty_that_is_to_come_from_elsewhere_is_no_answer() -> None:
    project = edits.change_application(Project(), duty_cycle=(segment(1.0, 0.05, 10.0),), duty_from="trace")
    assert not is_filled(project, "What moves")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_are_complete(path: Path) -> None:
    assert open_steps(read_project(path)) == ()
