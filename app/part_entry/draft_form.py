"""The left side of the parts editor: frame, windings and variants of the motor that is entered."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from app.part_entry.figure_form import FigureForm
from app.part_entry.part_tabs import PartTabs
from core.catalogue.motor_draft import Missing, MotorDraft, place_of
from core.catalogue.sheet_figures import FIGURE
from core.units import DisplayUnits

MOST_WINDINGS = 40


class DraftForm(QScrollArea):
    """Shows and gives back a `MotorDraft`; `changed` is heard when the user changes any figure."""

    changed = Signal()

    def __init__(self, display: DisplayUnits) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.frame = FigureForm("frame", display)
        self.windings = PartTabs("winding", MOST_WINDINGS, display)
        self.variants = PartTabs("variant", 2, display)
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(4, 4, 12, 4)
        column.setSpacing(5)
        for title, part in (
            ("Frame: what all windings share", self.frame),
            ("Windings", self.windings),
            ("Variants: open rotor, enclosed", self.variants),
        ):
            label = QLabel(title)
            label.setProperty("type", "title")
            column.addWidget(label)
            column.addWidget(part)
            part.changed.connect(self._on_changed)
        column.addStretch(1)
        self.setWidget(page)

    def _on_changed(self) -> None:
        self.windings.name_tabs()
        self.variants.name_tabs()
        self.changed.emit()

    def draft(self) -> MotorDraft:
        """Return what is given so far."""
        return MotorDraft(self.frame.figures(), self.windings.figures(), self.variants.figures())

    def set_draft(self, draft: MotorDraft) -> None:
        """Show another draft, silently."""
        self.frame.set_figures(draft.frame)
        self.windings.set_figures(draft.windings)
        self.variants.set_figures(draft.variants)

    @property
    def is_untouched(self) -> bool:
        """Whether nothing at all was entered."""
        return not any(form.own_figures() for form in self._forms()) and self.unread() == 0

    def unread(self) -> int:
        """Return how many fields hold text that cannot be read."""
        return sum(len(list(form.refused())) for form in self._forms())

    def mark(self, missing: tuple[Missing, ...]) -> None:
        """Mark the fields that are needed before anything can be saved, on tabs that were begun."""
        needed = {(one.place, one.key) for one in missing if one.needed}
        for form, place in self._placed():
            begun = bool(form.own_figures())
            for key, row in form.rows.items():
                row.mark(begun and bool({(place, key), (place, f"{key} meaning")} & needed))

    def show_figure(self, place: str, key: str) -> None:
        """Put the cursor into the field of a figure of a part."""
        form = self._turn_to(place, key)
        row = form.show_row(key)
        self.ensureWidgetVisible(row.editor, 20, 60)

    def _turn_to(self, place: str, key: str) -> FigureForm:
        level = FIGURE[key].level
        if level == "frame":
            return self.frame
        tabs = self.windings if level == "winding" else self.variants
        places = [where for form, where in self._placed() if form in tabs.forms]
        return tabs.show_part(places.index(place) if place in places else 0)

    def _forms(self) -> list[FigureForm]:
        return [self.frame, *self.windings.forms, *self.variants.forms]

    def _placed(self) -> list[tuple[FigureForm, str]]:
        placed = [(self.frame, "frame")]
        for tabs in (self.windings, self.variants):
            placed += [
                (form, place_of(form.level, form.figures(), number)) for number, form in enumerate(tabs.forms)
            ]
        return placed

    def set_display_units(self, display: DisplayUnits) -> None:
        """Show the values in other units."""
        for part in (self.frame, self.windings, self.variants):
            part.set_display_units(display)
