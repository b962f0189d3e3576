"""The group that asks where it sits: choosing a way of mounting brings the fields of that way."""

from __future__ import annotations

from app.inputs.application_group import ApplicationGroup
from app.inputs.place_rows import bound_to_place
from app.inputs.rows import Binding, ValueRow


class PlaceGroup(ApplicationGroup):
    """Ambient, air, mounting and what stands around."""

    def _binding(self, row: ValueRow) -> Binding:
        return bound_to_place(row.place)
