"""The search beside the window: what a list depends on, the worst of conditions while they run."""

from pathlib import Path

import numpy as np
from msgspec.structs import replace

from app.shortlist_search import _filled_up, _worst, basis_of
from core.catalogue.parts_file import PartsFile, load_demo_parts
from core.project import edits
from core.project.project_file import read_project
from core.shortlist.chunk_result import ABSENT, EXCLUDED, MET, MISSED, OBJECTIVES
from core.shortlist.listing import NUMBERS, Listing, Reasons

CAROUSEL = read_project(Path(__file__).parents[2] / "sample_projects" / "sample_carousel.json")
DEMO = load_demo_parts()


def listing(verdicts: list[int], margins: list[float]) -> Listing:
    count = len(verdicts)
    none = Reasons(np.full(count, ABSENT), np.full(count, ABSENT), dict.fromkeys(NUMBERS, np.zeros(count)))
    objectives = {name: np.zeros(count) for name in OBJECTIVES} | {"smallest_margin": np.array(margins)}
    return Listing((), np.array(verdicts), none, none, objectives)


def test_who_has_not_been_met_by_a_condition_stands_as_before() -> None:
    first = listing([MET, MET, MISSED, MET], [0.3, 0.2, -0.1, np.nan])
    second = listing([MET, EXCLUDED], [0.1, np.nan])  # of two only so far
    worst, condition = _worst([first, _filled_up(second, 4)])
    assert condition.tolist() == [1, 1, 0, 0]
    assert worst.verdict.tolist() == [MET, EXCLUDED, MISSED, MET]
    assert worst.objectives["smallest_margin"][[0, 2]].tolist() == [0.1, -0.1]


def test_a_list_depends_on_what_all_candidates_share() -> None:
    before = basis_of(CAROUSEL, DEMO, None)
    for after, same in (
        (edits.change_candidate(CAROUSEL, 0, choke=1e-5), False),
        (edits.change_candidate(CAROUSEL, 0, lead_resistance=0.1, cable=None), False),
        (edits.change_candidate(CAROUSEL, 0, note="later", dropped_because="dear"), True),
        (edits.change_candidate(CAROUSEL, 0, drive=replace(CAROUSEL.candidates[0].drive, name="x")), True),
        (edits.change_candidate(CAROUSEL, 1, choke=1e-5), True),
        (edits.change_application(CAROUSEL, title="Another"), False),
    ):
        assert before.same_as(basis_of(after, DEMO, None)) is same


def test_electronics_of_the_chosen_candidate_count_where_the_shelf_has_none() -> None:
    parts = PartsFile(motors=DEMO.motors)
    other = edits.change_candidate(CAROUSEL, 0, drive=replace(CAROUSEL.candidates[0].drive, name="x"))
    assert not basis_of(CAROUSEL, parts, None).same_as(basis_of(other, parts, None))
    assert not basis_of(CAROUSEL, parts, None).same_as(basis_of(CAROUSEL, DEMO, None))
