"""A part of a candidate, picked from the shelf; what the project holds and the shelf lacks is offered too."""

from __future__ import annotations

from typing import Any

from app.document import ProjectDocument
from app.inputs.asked import PartRow
from app.inputs.editors import PartChoice
from app.parts_shelf import PartsShelf
from app.widgets.candidate_mark import letter_of
from core.project import part_edits
from core.project.project import Project


class PartInput(PartChoice):
    """One undo step a choice. A part of one's own that is left is offered again."""

    def __init__(
        self, row: PartRow, index: int, document: ProjectDocument, shelf: PartsShelf, name: str
    ) -> None:
        super().__init__(name)
        self._row, self._index, self._document, self._shelf = row, index, document, shelf
        self.setProperty("helps", row.part)
        self._left: Any = None
        self._offered: tuple[Any, tuple[Any, ...]] | None = None  # for which the list was made
        self.chosen.connect(self._take)

    def show_project(self, project: Project) -> None:
        """Show the part that the project has, and offer the others."""
        if self._index >= len(project.candidates):
            return
        own, stock = getattr(project.candidates[self._index], self._row.part), self._row.on_shelf(self._shelf)
        before = self._offered
        if before is not None and before[0] is own and before[1] is stock:
            return
        if before is not None and self._is_own(before[0], stock):
            self._left = before[0]
        self._offered = own, stock
        words, values = self._list(own, stock)
        self.offer(words, values, values.index(own) if own in values else -1)

    def forget(self) -> None:
        """Make the list anew at the next project, and offer nothing that was left."""
        self._offered, self._left = None, None

    def _is_own(self, part: Any, stock: tuple[Any, ...]) -> bool:
        begun = (value for _, value in self._row.begin_with)
        return part is not None and part not in stock and part not in begun

    def _list(self, own: Any, stock: tuple[Any, ...]) -> tuple[tuple[str, ...], tuple[Any, ...]]:
        """Return what is offered: none, what the project holds, what it held, the shelf, one's own."""
        found: list[tuple[str, Any]] = [(self._row.none, None)] if self._row.none else []
        names = [part.name for part in stock]
        begun = [value for _, value in self._row.begin_with]
        if own is not None and own not in stock and own not in begun:
            found.append((f"{own.name} (this project's)" if own.name in names else own.name, own))
        if self._left is not None and self._left != own:
            found.append((f"{self._left.name} (as before)", self._left))
        found += [(part.name, part) for part in stock]
        found += list(self._row.begin_with)
        return tuple(words for words, _ in found), tuple(value for _, value in found)

    def _take(self, part: Any) -> None:
        letter, row = letter_of(self._index), self._row
        text = f"Take {part.name} for {letter}" if part is not None else f"Take no {row.part} for {letter}"
        after = part_edits.take_part(self._document.project, self._index, row.part, part)
        self._document.edit(after, text)
