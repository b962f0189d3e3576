"""Add, duplicate, move, remove and choose candidates; menu, head and panel all go through here."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from app.document import ProjectDocument
from app.parts_shelf import PartsShelf
from app.widgets.candidate_mark import letter_of
from core.catalogue.designation import with_pattern
from core.charts.chart import MOST_CANDIDATES
from core.errors import AmpturnError
from core.project import edits
from core.project.candidate import Candidate, Drive
from core.project.frame_choice import new_candidate
from core.project.motor import Motor


def add_candidate(document: ProjectDocument, shelf: PartsShelf) -> None:
    """Add a candidate with a frame of the shelf; it takes electronics and leads of the chosen one."""
    require_room(document)
    shelf.load()
    add_candidate_of(document, shelf.motors[0] if shelf.motors else None, shelf)


def add_empty_candidate(document: ProjectDocument) -> None:
    """Add a candidate of which nothing is chosen yet."""
    require_room(document)
    candidate = new_candidate(None, None)
    document.edit(edits.add_candidate(document.project, candidate), "Add an empty candidate")


def add_candidate_of(document: ProjectDocument, motor: Motor | None, shelf: PartsShelf | None = None) -> None:
    """Add a candidate with a frame; it takes the electronics of the chosen one.

    From a shelf it takes the pattern of designations too.
    """
    require_room(document)
    project = document.project
    voltage = project.application.supply.nominal_voltage or project.application.supply.lowest_voltage
    chosen = project.chosen_candidate
    candidate = new_candidate(motor, voltage)
    if chosen is not None:
        candidate = Candidate(
            name=candidate.name,
            motor=candidate.motor,
            winding=candidate.winding,
            variant=candidate.variant,
            commutation=chosen.commutation,
            drive=chosen.drive,
            lead_resistance=chosen.lead_resistance,
            cable=chosen.cable,
            choke=chosen.choke,
        )
    candidate = with_pattern(candidate, () if shelf is None else shelf.files)
    document.edit(edits.add_candidate(project, candidate), f"Add candidate {candidate.name}")


def add_made_candidate(document: ProjectDocument, candidate: Candidate) -> None:
    """Add a candidate whose parts are known; one that has no electronics takes those of the chosen one."""
    require_room(document)
    chosen = document.project.chosen_candidate
    if chosen is not None and candidate.drive == Drive():
        candidate = replace(
            candidate,
            commutation=chosen.commutation,
            drive=chosen.drive,
            lead_resistance=chosen.lead_resistance,
            cable=chosen.cable,
            choke=chosen.choke,
        )
    document.edit(edits.add_candidate(document.project, candidate), f"Add candidate {candidate.name}")


def duplicate_candidate(document: ProjectDocument, index: int) -> None:
    """Add a copy of a candidate."""
    require_room(document)
    project = document.project
    text = f"Duplicate candidate {letter_of(index)}"
    document.edit(edits.add_candidate(project, project.candidates[index]), text)


def remove_candidate(document: ProjectDocument, index: int) -> None:
    """Remove a candidate."""
    text = f"Remove candidate {letter_of(index)}"
    document.edit(edits.remove_candidate(document.project, index), text)


def move_left(document: ProjectDocument, index: int) -> None:
    """Move a candidate before the one to its left; the first stays."""
    _move(document, index, index - 1)


def move_right(document: ProjectDocument, index: int) -> None:
    """Move a candidate behind the one to its right; the last stays."""
    _move(document, index, index + 1)


def _move(document: ProjectDocument, index: int, to: int) -> None:
    text = f"Move candidate {letter_of(index)} to {letter_of(max(to, 0))}"
    document.edit(edits.move_candidate(document.project, index, to), text)


def choose_candidate(document: ProjectDocument, index: int) -> None:
    """Make a candidate the chosen one."""
    name = document.project.candidates[index].name
    document.edit(edits.choose_candidate(document.project, index), f"Choose {name}")


def chosen_index(document: ProjectDocument) -> int | None:
    """Return which candidate is the chosen one."""
    chosen = document.project.chosen_candidate
    return next((i for i, candidate in enumerate(document.project.candidates) if candidate is chosen), None)


def require_room(document: ProjectDocument) -> None:
    """Refuse one candidate more than fit side by side."""
    if len(document.project.candidates) >= MOST_CANDIDATES:
        raise AmpturnError(f"at most {MOST_CANDIDATES} candidates fit side by side; remove one first")


ACTS: Final[dict[str, Callable[[ProjectDocument, int], None]]] = {
    "choose": choose_candidate,
    "duplicate": duplicate_candidate,
    "move left": move_left,
    "move right": move_right,
    "remove": remove_candidate,
}
"""What can be done with a candidate, by the words of menu, head and panel."""
