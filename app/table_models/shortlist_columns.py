"""What candidates of a shortlist are compared by, as it is called in table, points and bounds."""

from __future__ import annotations

from typing import Final

from core.records import dataclass
from core.units import Kind


@dataclass(frozen=True, slots=True)
class Objective:
    """An objective: name in `OBJECTIVES` of the core, heading, words, kind, whether more is better."""

    name: str
    heading: str
    words: str
    kind: Kind
    more_is_better: bool = False


OBJECTIVES: Final = (
    Objective("mass", "Mass", "mass", Kind.MASS),
    Objective("length", "Length", "length", Kind.LENGTH),
    Objective("volume", "Volume", "volume", Kind.VOLUME),
    Objective("rotor_inertia", "Inertia", "inertia", Kind.INERTIA),
    Objective("mean_losses", "Losses", "losses", Kind.POWER),
    Objective("mean_supply_current", "Current", "supply current", Kind.CURRENT),
    Objective("outside_temperature", "Outside", "outside temperature", Kind.TEMPERATURE),
)
ABOVE_TARGET: Final = Objective("smallest_margin", "Margin", "margin above target", Kind.RATIO, True)
EVERY_OBJECTIVE: Final = {one.name: one for one in (ABOVE_TARGET, *OBJECTIVES)}
