"""Edits are functions of projects: what they promise holds for any project, and refusals change nothing."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.errors import InputRangeError, ProjectFileError
from core.project import edits
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.project import Project

speeds = st.floats(-1000.0, 1000.0).map(lambda value: round(value, 3))
torques = st.floats(-2.0, 2.0).map(lambda value: round(value, 4))
durations = st.floats(0.001, 100.0).map(lambda value: round(value, 4))
inertias = st.just(0.0) | st.floats(1e-12, 1e-3)


@st.composite
def projects(draw: st.DrawFn) -> Project:
    """A duty cycle whose neighbours mostly share their speed, with jumps in between."""
    count = draw(st.integers(1, 6))
    edges = [draw(speeds) for _ in range(count + 1)]
    ends = [draw(st.sampled_from([edges[index + 1], draw(speeds)])) for index in range(count)]
    duty = tuple(
        Segment(
            name=f"{index}",
            duration=draw(durations),
            shaft_torque=draw(torques),
            speed_start=edges[index],
            speed_end=ends[index],
        )
        for index in range(count)
    )
    return Project(application=Application(duty_cycle=duty))


@st.composite
def projects_and_index(draw: st.DrawFn) -> tuple[Project, int]:
    project = draw(projects())
    return project, draw(st.integers(0, len(project.application.duty_cycle) - 1))


def duty(project: Project) -> tuple[Segment, ...]:
    return project.application.duty_cycle


def shared_edges(project: Project) -> list[int]:
    """Return the segments whose end speed is the start speed of the next one."""
    segments = duty(project)
    return [
        index
        for index in range(len(segments) - 1)
        if abs(segments[index].speed_end - segments[index + 1].speed_start) <= 1e-9
    ]


def cycle_time(project: Project) -> float:
    return math.fsum(segment.duration for segment in duty(project))


# --- segments -------------------------------------------------------------------------------------


@given(projects_and_index(), speeds, speeds)
def test_shared_speeds_stay_shared(case: tuple[Project, int], start: float, end: float) -> None:
    project, index = case
    changed = edits.change_segment(project, index, speed_start=start, speed_end=end)
    assert (duty(changed)[index].speed_start, duty(changed)[index].speed_end) == (start, end)
    assert set(shared_edges(project)) <= set(shared_edges(changed))


@given(projects_and_index(), speeds, st.floats(0.001, 100.0))
def test_a_jump_of_speed_is_not_closed_by_an_edit(
    case: tuple[Project, int], start: float, jump: float
) -> None:
    project, index = case
    before = Segment(
        duration=1.0, shaft_torque=0.0, speed_start=0.0, speed_end=duty(project)[index].speed_start + jump
    )
    with_jump = edits.insert_segments(project, index, [before])
    changed = edits.change_segment(with_jump, index + 1, speed_start=start)
    assert duty(changed)[index] == before


@given(projects_and_index(), torques)
def test_a_torque_changes_one_segment_only(case: tuple[Project, int], torque: float) -> None:
    project, index = case
    changed = edits.change_segment(project, index, shaft_torque=torque)
    assert duty(changed)[index] == replace(duty(project)[index], shaft_torque=torque)
    assert [s for i, s in enumerate(duty(changed)) if i != index] == [
        s for i, s in enumerate(duty(project)) if i != index
    ]


@pytest.mark.parametrize("duration", [0.0, -1.0, math.nan, math.inf])
def test_a_refused_duration_leaves_the_project(duration: float) -> None:
    project = Project(
        application=Application(
            duty_cycle=(Segment(duration=1.0, shaft_torque=0.1, speed_start=0.0, speed_end=5.0),)
        )
    )
    before = repr(project)
    with pytest.raises(InputRangeError, match="duration must be"):
        edits.change_segment(project, 0, duration=duration)
    assert repr(project) == before


# --- load points ----------------------------------------------------------------------------------


def load_point(project: Project, index: int, inertia: float) -> tuple[float, float]:
    """Speed of the faster end and T + J alpha, by the definition of the plane."""
    segment = duty(project)[index]
    alpha = (segment.speed_end - segment.speed_start) / segment.duration
    faster = max(segment.speed_end, segment.speed_start, key=abs)
    return faster, segment.shaft_torque + inertia * alpha


@given(projects_and_index(), torques, speeds, inertias)
def test_a_moved_load_point_is_where_it_was_put(
    case: tuple[Project, int], torque: float, speed: float, inertia: float
) -> None:
    project, index = case
    old = duty(project)[index]
    moved = edits.move_load_point(project, index, torque, speed, inertia)
    new = duty(moved)[index]
    alpha = (new.speed_end - new.speed_start) / new.duration
    assert new.shaft_torque + inertia * alpha == pytest.approx(torque, abs=1e-9 + 1e-9 * inertia * abs(alpha))
    moved_end = new.speed_start if edits.point_at_start(old) else new.speed_end
    assert moved_end == speed
    assert new.duration == old.duration
    assert set(shared_edges(project)) <= set(shared_edges(moved))
    assert cycle_time(moved) == cycle_time(project)


@given(projects_and_index(), torques, st.floats(1.01, 3.0), inertias)
def test_moving_a_load_point_there_and_back_restores_it(
    case: tuple[Project, int], torque: float, factor: float, inertia: float
) -> None:
    project, index = case
    speed, old_torque = load_point(project, index, inertia)
    there = edits.move_load_point(project, index, torque, factor * speed, inertia)  # faster end stays faster
    back = edits.move_load_point(there, index, old_torque, speed, inertia)
    for one, other in zip(duty(back), duty(project), strict=True):
        # ends within 1e-9 rad/s count as one shared speed, so the neighbour may snap by that much
        assert one.speed_start == pytest.approx(other.speed_start, abs=1e-8)
        assert one.speed_end == pytest.approx(other.speed_end, abs=1e-8)
        assert one.shaft_torque == pytest.approx(other.shaft_torque, abs=1e-6)
        assert (one.duration, one.name) == (other.duration, other.name)


def test_a_segment_of_constant_speed_moves_as_a_whole() -> None:
    ramp = Segment(duration=1.0, shaft_torque=0.1, speed_start=0.0, speed_end=50.0)
    run = Segment(duration=2.0, shaft_torque=0.2, speed_start=50.0, speed_end=50.0)
    stop = Segment(duration=1.0, shaft_torque=-0.1, speed_start=50.0, speed_end=0.0)
    project = Project(application=Application(duty_cycle=(ramp, run, stop)))
    moved = edits.move_load_point(project, 1, 0.3, 80.0, 1e-4)
    assert [(s.speed_start, s.speed_end) for s in duty(moved)] == [(0.0, 80.0), (80.0, 80.0), (80.0, 0.0)]
    assert [s.shaft_torque for s in duty(moved)] == [0.1, 0.3, -0.1]


# --- edges in time --------------------------------------------------------------------------------


@given(projects_and_index(), st.floats(-10.0, 700.0))
def test_an_inner_edge_keeps_the_cycle_time(case: tuple[Project, int], time: float) -> None:
    project, index = case
    assume(index + 1 < len(duty(project)))
    moved = edits.move_edge(project, index, time)
    assert cycle_time(moved) == pytest.approx(cycle_time(project), rel=1e-12)
    assert all(segment.duration >= 0.99 * edits.SHORTEST_SEGMENT for segment in duty(moved))
    others = [i for i in range(len(duty(project))) if i not in (index, index + 1)]
    assert [duty(moved)[i] for i in others] == [duty(project)[i] for i in others]


@given(projects_and_index(), st.floats(0.02, 0.98))
def test_an_edge_moves_to_the_time_it_is_put_and_back(case: tuple[Project, int], share: float) -> None:
    project, index = case
    assume(index + 1 < len(duty(project)))
    start = math.fsum(segment.duration for segment in duty(project)[:index])
    both = duty(project)[index].duration + duty(project)[index + 1].duration
    assume(0.02 * both > edits.SHORTEST_SEGMENT)
    there = edits.move_edge(project, index, start + share * both)
    assert duty(there)[index].duration == pytest.approx(share * both, rel=1e-9)
    back = edits.move_edge(there, index, start + duty(project)[index].duration)
    for one, other in zip(duty(back), duty(project), strict=True):
        assert one.duration == pytest.approx(other.duration, rel=1e-9, abs=1e-12)


@given(projects(), st.floats(0.001, 100.0))
def test_the_last_edge_changes_the_cycle_time(project: Project, longer: float) -> None:
    last = len(duty(project)) - 1
    moved = edits.move_edge(project, last, cycle_time(project) + longer)
    assert cycle_time(moved) == pytest.approx(cycle_time(project) + longer, rel=1e-12)
    assert duty(moved)[:last] == duty(project)[:last]


# --- whole segments -------------------------------------------------------------------------------


@given(projects_and_index())
def test_removing_what_was_inserted_restores_the_project(case: tuple[Project, int]) -> None:
    project, index = case
    inserted = edits.insert_segments(project, index, [edits.new_segment(project, index)])
    assert len(duty(inserted)) == len(duty(project)) + 1
    assert edits.remove_segments(inserted, [index]) == project


@given(projects_and_index())
def test_a_new_segment_starts_at_the_speed_there(case: tuple[Project, int]) -> None:
    project, index = case
    fresh = edits.new_segment(project, index)
    expected = duty(project)[index - 1].speed_end if index else duty(project)[0].speed_start
    assert (fresh.speed_start, fresh.speed_end, fresh.shaft_torque) == (expected, expected, 0.0)


def test_the_first_segment_of_an_empty_cycle_rests() -> None:
    assert edits.new_segment(Project(), 0).speed_start == 0.0


@given(projects(), st.data())
def test_duplicates_stand_behind_the_last_of_them(project: Project, data: st.DataObject) -> None:
    chosen = data.draw(st.sets(st.integers(0, len(duty(project)) - 1), min_size=1))
    doubled = edits.duplicate_segments(project, sorted(chosen))
    behind = max(chosen) + 1
    assert duty(doubled)[:behind] == duty(project)[:behind]
    assert list(duty(doubled)[behind : behind + len(chosen)]) == [duty(project)[i] for i in sorted(chosen)]
    assert duty(doubled)[behind + len(chosen) :] == duty(project)[behind:]


@given(projects_and_index(), st.lists(durations, max_size=8))
def test_a_paste_writes_over_and_may_extend(case: tuple[Project, int], times: list[float]) -> None:
    project, index = case
    rows = [Segment(duration=time, shaft_torque=0.0, speed_start=1.0, speed_end=1.0) for time in times]
    pasted = duty(edits.replace_segments(project, index, rows))
    assert pasted[:index] == duty(project)[:index]
    assert list(pasted[index : index + len(rows)]) == rows
    assert len(pasted) == max(len(duty(project)), index + len(rows))


# --- candidates -----------------------------------------------------------------------------------

TWO = Project(candidates=(Candidate(name="A"), Candidate(name="B")), chosen="B")


def test_a_renamed_candidate_stays_chosen() -> None:
    assert edits.change_candidate(TWO, 1, name="C").chosen == "C"
    assert edits.change_candidate(TWO, 0, name="C").chosen == "B"


def test_a_name_in_use_is_refused() -> None:
    with pytest.raises(ProjectFileError, match="a name of its own"):
        edits.change_candidate(TWO, 1, name="A")


def test_an_added_candidate_gets_a_free_name() -> None:
    once = edits.add_candidate(TWO, Candidate(name="A"))
    twice = edits.add_candidate(once, Candidate(name="A", note="third"))
    assert [candidate.name for candidate in twice.candidates] == ["A", "B", "A 2", "A 3"]
    assert twice.chosen == "B"


def test_the_choice_falls_back_when_the_chosen_one_goes() -> None:
    without = edits.remove_candidate(TWO, 1)
    assert without.chosen is None
    assert without.chosen_candidate == TWO.candidates[0]
    assert edits.remove_candidate(TWO, 0).chosen == "B"


def test_choosing_names_the_candidate() -> None:
    assert edits.choose_candidate(TWO, 0).chosen == "A"
    with pytest.raises(InputRangeError, match="candidate must be >= 0 and < 2, got 2"):
        edits.choose_candidate(TWO, 2)


def test_a_title_is_replaced() -> None:
    assert edits.rename_application(Application(), "Mixer") == Application(title="Mixer")


# --- parts by their place -------------------------------------------------------------------------


def test_a_part_is_replaced_where_it_stands() -> None:
    place = ("site", "surroundings", "dust")
    changed = edits.change_application_part(TWO, place, "yes")
    assert edits.part_at(changed.application, place) == "yes"
    assert changed.application.site.surroundings.liquid == "unknown"
    assert edits.change_application_part(changed, place, "unknown") == TWO


def test_a_part_of_a_candidate_is_replaced_where_it_stands() -> None:
    changed = edits.change_candidate_part(TWO, 1, ("drive", "largest_duty"), 0.9)
    assert changed.candidates[1].drive.largest_duty == 0.9
    assert changed.candidates[0] == TWO.candidates[0]
    with pytest.raises(InputRangeError, match="largest_duty must be > 0 and <= 1"):
        edits.change_candidate_part(TWO, 1, ("drive", "largest_duty"), 1.1)
