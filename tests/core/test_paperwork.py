"""Paperwork and hand-over list: saved, edited, refused, and invisible where nothing was written."""

from __future__ import annotations

import pytest

from core.errors import InputRangeError, ProjectFileError
from core.project.paperwork import HandOver, Paperwork, Pin
from core.project.paperwork_edits import (
    add_pin,
    change_hand_over,
    change_paperwork,
    change_pin,
    hand_over_of,
    paperwork_of,
    remove_pin,
)
from core.project.project_file import decode_project, encode_project
from tests.core.projects import project, segment


def test_what_is_written_comes_back_from_a_file() -> None:
    before = project(segment(1.0, 0.02, 100.0))
    after = change_paperwork(before, customer="A & B <Ltd>", requirement_date="2026-03-31", revision="C")
    after = change_hand_over(after, 1, quantity=12, wishes="no paint on the flange")
    after = add_pin(after, 1, Pin(contact="1", signal="phase U", colour="red"))
    assert decode_project(encode_project(after)) == after


def test_a_project_without_paperwork_is_saved_as_before() -> None:
    text = encode_project(project(segment(1.0, 0.02, 100.0)))
    assert b"paperwork" not in text
    assert b"hand_over" not in text


def test_emptied_fields_leave_no_trace() -> None:
    before = project(segment(1.0, 0.02, 100.0))
    assert change_paperwork(change_paperwork(before, revision="C"), revision="") == before
    ordered = change_hand_over(before, 0, quantity=3)
    assert change_hand_over(ordered, 0, quantity=None) == before
    assert paperwork_of(before) == Paperwork()
    assert hand_over_of(before, 0) == HandOver()


def test_contacts_are_changed_and_removed_by_their_place() -> None:
    one = add_pin(project(), 0, Pin(contact="1", signal="U"))
    two = add_pin(one, 0, Pin(contact="2", signal="V"))
    named = change_pin(two, 0, 1, signal="W", colour="blue")
    assert hand_over_of(named, 0).pins == (
        Pin(contact="1", signal="U"),
        Pin(contact="2", signal="W", colour="blue"),
    )
    assert hand_over_of(remove_pin(named, 0, 0), 0).pins == (Pin(contact="2", signal="W", colour="blue"),)
    with pytest.raises(InputRangeError, match="contact must be one of the 2"):
        remove_pin(named, 0, 2)


def test_a_contact_may_occur_once() -> None:
    with pytest.raises(ProjectFileError, match="contact may occur once"):
        HandOver(pins=(Pin(contact="1", signal="U"), Pin(contact="1", signal="V")))


@pytest.mark.parametrize("wrong", ["31.3.2026", "2026-02-30", "20260331", "2026-W14-2", "soon"])
def test_a_date_is_year_month_day(wrong: str) -> None:
    with pytest.raises(ProjectFileError, match="as 2026-03-31"):
        Paperwork(requirement_date=wrong)
