"""The whole document: one application, any number of candidates, one of them chosen."""

from core.errors import ProjectFileError
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.saved import Saved

PROJECT_FORMAT = "ampturn project"
PROJECT_VERSION = 1


class Project(Saved, frozen=True, kw_only=True):
    """The document. Edit it with the functions of `core.project.edits`."""

    format: str = PROJECT_FORMAT
    version: int = PROJECT_VERSION
    application: Application = Application()
    candidates: tuple[Candidate, ...] = ()
    chosen: str | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        names = [candidate.name for candidate in self.candidates]
        if len(set(names)) < len(names):
            double = next(name for name in names if names.count(name) > 1)
            raise ProjectFileError("candidates", "each candidate needs a name of its own", double, True)
        if self.chosen is not None and self.chosen not in names:
            raise ProjectFileError(
                "chosen", f"must be the name of a candidate ({', '.join(names) or 'none'})", self.chosen, True
            )

    @property
    def chosen_candidate(self) -> Candidate | None:
        """The chosen candidate; the first one where none was chosen; None where there is none."""
        if self.chosen is None:
            return self.candidates[0] if self.candidates else None
        return next(candidate for candidate in self.candidates if candidate.name == self.chosen)
