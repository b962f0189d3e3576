"""What the study of all windings of a frame gives back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field

from core.findings import Finding
from core.numeric import FloatArray
from core.records import dataclass
from core.sentences import Sentence


@dataclass(frozen=True, slots=True)
class WindingFit:
    """One winding of the frame against the cycle.

    `voltage_share` is the largest share of the available voltage that it asks for, over hot and cold and
    tolerances, in `segment` with the temperatures of `case`; `peak_current` and `lasting_current` [A] are
    what it draws with the weakest magnets. `fits` is None where nothing fails but a limit is missing.
    `torque` [N m] is what the voltage allows at each speed of the study, NaN where nothing; `least_torque`
    and `most_torque` are its ends over the tolerance.
    """

    name: str
    chosen: bool
    back_emf_constant: float
    resistance: float
    voltage_share: float
    segment: int
    case: str
    peak_current: float
    lasting_current: float
    fits: bool | None
    reason: Sentence
    torque: FloatArray
    least_torque: FloatArray
    most_torque: FloatArray


@dataclass(frozen=True, slots=True)
class WindingStudy:
    """All windings of a frame at the lowest voltage under the largest load of the supply.

    `windings` are in the order of their back-EMF, the fastest first. `fastest` is the one with the lowest
    back-EMF that fits. `fewest_turns` and `most_turns` are the window of turns over those of the chosen
    winding; closed where the fewest are above the most. `voltage` [V] is what is left of the lowest one
    over the source, `tolerance` the deviation of back-EMF and resistance to either side. `speed` has
    shape (speeds,); `point_speed` and `point_torque` with shape (points,) are what the cycle asks for.
    `at_turns` gives the same for any number of turns over those of the chosen winding.
    """

    windings: tuple[WindingFit, ...]
    fastest: str | None
    fewest_turns: float
    most_turns: float
    voltage: float
    tolerance: float
    speed: FloatArray
    point_speed: FloatArray
    point_torque: FloatArray
    findings: tuple[Finding, ...]
    at_turns: Callable[[float], WindingFit] = field(repr=False, compare=False)

    @property
    def chosen(self) -> WindingFit:
        """The winding of the candidate."""
        return next(winding for winding in self.windings if winding.chosen)
