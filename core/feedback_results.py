"""Which feedback meets what is asked of the motion: a row for each kind, a cell for each requirement."""

from __future__ import annotations

from typing import Literal

from core.project.drive import FeedbackKind
from core.records import dataclass
from core.sentences import Sentence
from core.units import Kind

Verdict = Literal["pass", "fail", "unknown"]


@dataclass(frozen=True, slots=True)
class FeedbackCell:
    """One requirement against one feedback, in the SI unit of `kind`; `ability` None where there is none."""

    requirement: str
    kind: Kind
    demand: float
    ability: float | None
    verdict: Verdict
    reason: str | Sentence


@dataclass(frozen=True, slots=True)
class FeedbackRow:
    """One feedback: whether it is chosen, whether electronics and variant take it, and what it can do.

    `taken` and `fits` are None where the parts do not say. `edges` come each turn of its own shaft,
    `position_error` [rad] is that of the load, None without a sensor; `start_torque` is the share of the
    torque at a start, None where it is not known. `cabling` and `when_it_fails` are plain words. `edge_rate`
    [Hz] is that at the wanted lowest speed, None without a sensor or a wanted speed.
    """

    kind: FeedbackKind
    name: str
    chosen: bool
    taken: bool | None
    fits: bool | None
    edges: int
    position_error: float | None
    start_torque: float | None
    cells: tuple[FeedbackCell, ...]
    cabling: str
    when_it_fails: str
    edge_rate: float | None = None

    @property
    def verdict(self) -> Verdict:
        """Whether it can be used and meets all that is asked."""
        verdicts = {cell.verdict for cell in self.cells}
        if "fail" in verdicts or self.taken is False or self.fits is False:
            return "fail"
        return "unknown" if "unknown" in verdicts else "pass"


@dataclass(frozen=True, slots=True)
class FeedbackTable:
    """Feedback that comes into question: Hall sensors of the motor, the chosen encoder, none."""

    rows: tuple[FeedbackRow, ...]
