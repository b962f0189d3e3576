"""Which one other reading of a figure's meaning would settle most contradictions of a data sheet."""

from __future__ import annotations

from dataclasses import replace

from core.catalogue.motor_draft import MotorDraft
from core.catalogue.sheet_checks import CrossCheck, cross_checks
from core.catalogue.sheet_figures import FIGURE, WINDING
from core.records import dataclass

MEANINGS = tuple(figure.key for figure in WINDING if figure.key.endswith(" meaning"))


@dataclass(frozen=True, slots=True)
class OtherReading:
    """A meaning in place of the stated one, in every winding that states it so, and what it leaves."""

    key: str
    stated: str
    other: str
    contradictions: int

    @property
    def sentence(self) -> str:
        """The reading in words."""
        left = {0: "nothing contradicts", 1: "one contradiction is left"}.get(
            self.contradictions, f"{self.contradictions} contradictions are left"
        )
        figure = self.key.removesuffix(" meaning")
        return f"If the {figure} means '{self.other}' and not '{self.stated}', {left}."


def likely_readings(draft: MotorDraft, checks: tuple[CrossCheck, ...]) -> tuple[OtherReading, ...]:
    """Return the other readings that leave the fewest contradictions; none where each leaves as many.

    One meaning is changed at a time: with two changes almost anything can be explained.
    """
    now = _contradictions(checks)
    if now == 0:
        return ()
    found = []
    for key in MEANINGS:
        stated = {str(w.get(key, FIGURE[key].default)) for w in draft.windings if _figure(key) in w}
        for old in sorted(stated):
            for new in FIGURE[key].choices:
                if new != old and old in FIGURE[key].choices:
                    left = _contradictions(cross_checks(_reread(draft, key, old, new)))
                    found.append(OtherReading(key, old, new, left))
    least = min((one.contradictions for one in found), default=now)
    return tuple(one for one in found if one.contradictions == least) if least < now else ()


def _figure(key: str) -> str:
    return key.removesuffix(" meaning")


def _reread(draft: MotorDraft, key: str, old: str, new: str) -> MotorDraft:
    windings = tuple(
        {**winding, key: new} if str(winding.get(key, FIGURE[key].default)) == old else winding
        for winding in draft.windings
    )
    return replace(draft, windings=windings)


def _contradictions(checks: tuple[CrossCheck, ...]) -> int:
    return sum(check.verdict == "contradicts" for check in checks)
