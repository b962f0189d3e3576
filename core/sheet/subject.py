"""What every builder of a sheet gets: a project, its result, and the units of the reader."""

from __future__ import annotations

from core.charts.display_axis import letter
from core.notices import name_of
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.results import CandidateResult, Result
from core.sheet.blocks import Paragraph
from core.units import DisplayUnits


@dataclass(frozen=True, slots=True)
class Subject:
    """A project with its result; sections about one candidate are about the chosen one."""

    project: Project
    result: Result
    units: DisplayUnits

    @property
    def application(self) -> Application:
        """What is shared by all candidates."""
        return self.project.application

    @property
    def found(self) -> CandidateResult | None:
        """The result of the chosen candidate; None where there is no candidate."""
        return self.result.chosen_candidate

    @property
    def chosen(self) -> Candidate | None:
        """The chosen candidate; None where there is none."""
        return None if self.result.chosen is None else self.project.candidates[self.result.chosen]

    @property
    def others(self) -> tuple[CandidateResult, ...]:
        """The results of all but the chosen candidate."""
        return tuple(one for one in self.result.candidates if one is not self.found)

    def name(self, index: int) -> str:
        """Return letter and name of a candidate."""
        return name_of(self.result.candidates[index], index)

    def letters(self) -> tuple[str, ...]:
        """Return the letters of all candidates."""
        return tuple(letter(index) for index in range(len(self.result.candidates)))


def lacking(subject: Subject, what: str) -> Paragraph:
    """Return the words that stand where a section has nothing to show, with what is missing for it."""
    found = subject.found
    if found is None:
        return Paragraph(f"{what}: not known, there is no candidate yet.", "soft")
    reason = f", still needed: {', '.join(found.missing)}" if found.missing else ""
    return Paragraph(f"{what} of {subject.name(found.index)}: not known{reason}.", "soft")


def about_chosen(subject: Subject) -> tuple[Paragraph, ...]:
    """Return the words that name the candidate which a section is about, where there are several."""
    found = subject.found
    if found is None or len(subject.result.candidates) < 2:
        return ()
    return (Paragraph(f"Of {subject.name(found.index)}, the chosen candidate.", "soft"),)
