"""The sheet of a project: everything that carries the decision, in the order in which it is read.

The sheet computes nothing: each section takes its numbers from the result.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Final

from core.evaluation.comparison_verdict import standing
from core.evaluation.what_helps import Change
from core.notices import counted
from core.project.paperwork import Paperwork
from core.project.project import Project
from core.results import CandidateResult, Result
from core.sentences import joined
from core.sheet.against_others import all_side_by_side, not_taken, side_by_side
from core.sheet.assumptions import assumptions
from core.sheet.blocks import Facts, Paragraph, Section, Sheet, Tone, Words
from core.sheet.brake_shaft import brake_and_shaft
from core.sheet.candidate_facts import candidate_facts
from core.sheet.cells import NOT_GIVEN, given, listed
from core.sheet.data_sheet_rows import motor_figures
from core.sheet.decision import decision
from core.sheet.doubt import uncertainty
from core.sheet.electronics_settings import electronics_settings
from core.sheet.fault_list import faults
from core.sheet.feedback_choice import feedback
from core.sheet.feeding import supply_and_braking
from core.sheet.first_checks import first_checks
from core.sheet.hand_over import hand_over
from core.sheet.load_motion import duty_cycle, load_and_motion
from core.sheet.margin_lists import margin_equations, margin_words, margins
from core.sheet.method_sources import method_sources
from core.sheet.notice_lists import cautions, findings, notes
from core.sheet.operation import losses, speed_torque_plane, temperatures
from core.sheet.reproduce import reproduction
from core.sheet.requirement import requirement
from core.sheet.single_changes import changes_section
from core.sheet.subject import Subject
from core.sheet.winding_fits import windings
from core.units import DisplayUnits
from core.version import VERSION

_Builder = Callable[[Subject], Section | None]
_BUILDERS: Final[tuple[_Builder, ...]] = (
    requirement, load_and_motion, duty_cycle, candidate_facts, speed_torque_plane, temperatures, losses,
    margins, side_by_side, not_taken, findings, cautions, supply_and_braking, brake_and_shaft, faults,
    hand_over, electronics_settings, first_checks,
)  # fmt: skip
_APPENDIX: Final[tuple[_Builder, ...]] = (
    uncertainty, margin_equations, all_side_by_side, motor_figures, windings, feedback, assumptions, notes,
    method_sources,
)  # fmt: skip


def sheet_of(
    project: Project,
    result: Result,
    *,
    issued: date,
    project_file: bytes,
    units: DisplayUnits,
    changes: tuple[Change, ...] = (),
) -> Sheet:
    """Return the sheet of a project and its result.

    Parameters
    ----------
    issued : date
        The day that is printed.
    project_file : bytes
        The file of the project as it is attached.
    changes : tuple of Change, optional
        Single changes of the chosen candidate (`core.evaluation.what_helps`), which take half a second to
        compute: printed where they are given.
    """
    subject = Subject(project, result, units)
    digest = hashlib.sha256(project_file).hexdigest()
    sections = [*_built(subject, _BUILDERS), *_built(subject, _APPENDIX, in_appendix=True)]
    if changed := changes_section(subject, changes):
        changed = replace(changed, in_appendix=True)
        sections.insert(_place_of(sections, "Uncertainty") + 1, changed)
    sections.append(replace(reproduction(project, result, digest, len(project_file)), in_appendix=True))
    title = project.application.title
    return Sheet(
        title=title,
        head=Facts(_head(subject, issued)),
        answer=Paragraph(answer(subject), _tone_of(subject)),
        sections=tuple(sections),
        running=f"{title}, Ampturn {VERSION}, {issued.isoformat()}, project file {digest[:12]}",
        project_file=project_file,
        project_hash=digest,
        decision=decision(subject),
    )


def _built(subject: Subject, builders: tuple[_Builder, ...], *, in_appendix: bool = False) -> list[Section]:
    built = [(build, build(subject)) for build in builders]
    return [
        Section(section.title, section.blocks, False, in_appendix)
        for build, section in built
        if section is not None
    ]


def _place_of(sections: list[Section], title: str) -> int:
    return next(place for place, section in enumerate(sections) if section.title == title)


def _head(subject: Subject, issued: date) -> tuple[tuple[Words, Words], ...]:
    paperwork = subject.application.paperwork or Paperwork()
    chosen = subject.found
    named = (
        ("Customer", paperwork.customer),
        ("Prepared by", paperwork.prepared_by),
        ("Checked by", paperwork.checked_by),
    )
    source = (
        paperwork.requirement_source,
        paperwork.revision and f"revision {paperwork.revision}",
        paperwork.requirement_date,
    )
    return (
        ("Requirement", listed(source) or NOT_GIVEN),
        ("Issued", issued.isoformat()),
        *given(named),
        ("Chosen", "no candidate yet" if chosen is None else subject.name(chosen.index)),
        ("Candidates compared", str(len(subject.result.candidates))),
    )


_STANDINGS = {
    "excluded": "cannot be used: it is excluded by ",
    "missed": "misses ",
    "open": "meets all that is checked, but not everything is; governing is ",
    "met": "meets every required criterion; governing is ",
}


def answer(subject: Subject) -> Words:
    """Return the decision in one or two sentences."""
    found = subject.found
    if found is None:
        return "There is no candidate yet, so there is no answer."
    name = subject.name(found.index)
    stands = standing(found)
    if stands == "nothing":
        return f"{name} cannot be judged yet; still needed: {', '.join(found.missing) or 'its parts'}."
    margin = next(
        (one for one in found.margins if one.required and one.status == stands), found.governing
    )  # fmt: skip
    governs: Words = "none, as no criterion has a number" if margin is None else margin_words(margin)
    return joined(f"{name} {_STANDINGS[stands]}", governs, ".", _unchecked(found), _unsafe(found))


def _unchecked(found: CandidateResult) -> str:
    count = sum(margin.status == "not checked" for margin in found.margins)
    if not count:
        return ""
    return f" {counted(count, 'criterion is', 'criteria are')} not checked."


def _unsafe(found: CandidateResult) -> str:
    count = len(found.cautions)
    return f" {counted(count, 'caution concerns', 'cautions concern')} people." if count else ""


def _tone_of(subject: Subject) -> Tone:
    found = subject.found
    stands = "nothing" if found is None else standing(found)
    if stands == "met":
        return "met"
    return "missed" if stands in ("missed", "excluded") else "caution"
