"""What candidates give at the cycle's speeds: continuous torque and power, also per room and per mass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from core.charts.display_axis import letter
from core.evaluation.comparison_rows import TIE, ComparisonRow, number_row
from core.evaluation.fitted_size import FittedSize
from core.evaluation.torque_course import TorqueCourse, common_gears, torque_course
from core.evaluation.torque_ratio import ratio_of
from core.physics.transmission import Transmission as Gear
from core.records import dataclass
from core.results import DutyTrace, Result
from core.sentences import Sentence, sentence
from core.units import Kind

GROUP = "Continuous torque and power"
PER_VOLUME, PER_MASS = (
    "Per cubic centimetre, with all that is fitted",
    "Per kilogram, with all that is fitted",
)
SAME_SPEED = 0.005  # [relative] speeds closer than this are one row
NOT_REACHED = "speed not reached"


@dataclass(frozen=True, slots=True)
class CycleSpeed:
    """A speed of the cycle at the common axis [rad/s] and what it is; `words` has a place for `{speed}`."""

    code: str
    speed: float
    words: str


@dataclass(frozen=True, slots=True)
class Contest:
    """The candidates that are compared, with their torque at the common axis."""

    result: Result
    indices: tuple[int, ...]
    gears: tuple[Gear, ...] | None
    courses: tuple[TorqueCourse | None, ...]

    @property
    def at_load(self) -> bool:
        """Whether torque and speed stand at the load, behind gears that differ."""
        return self.gears is not None


def contest(result: Result, indices: tuple[int, ...]) -> Contest:
    """Return candidates of a result at their common axis."""
    gears = common_gears(result, indices)
    courses = tuple(
        torque_course(result, index, gears[place] if gears else None) for place, index in enumerate(indices)
    )
    return Contest(result, indices, gears, courses)


def mean_speed(duty: DutyTrace) -> float | None:
    """Return the time-mean magnitude of the speed, rest included; None for an empty duty. [rad/s]"""
    start, end = np.abs(duty.speed.reshape(-1, 2)).T
    length = np.diff(duty.time.reshape(-1, 2)).ravel()
    if not length.sum() > 0.0:
        return None
    crosses = np.prod(np.sign(duty.speed.reshape(-1, 2)), axis=1) < 0.0
    # a part that passes zero has two triangles under its magnitude
    triangles = np.divide(
        0.5 * (start**2 + end**2), start + end, out=np.zeros_like(start), where=start + end > 0
    )
    return float(np.where(crosses, triangles, 0.5 * (start + end)) @ length / length.sum())


def cycle_speeds(of: Contest) -> tuple[CycleSpeed, ...]:
    """Return standstill, mean, governing and highest speed of the cycle, those that coincide once."""
    found = [CycleSpeed("standstill", 0.0, "standstill")]
    mean, top = mean_cycle_speed(of), _highest_speed(of)
    if mean is not None and top is not None:
        found.append(CycleSpeed("mean speed", mean, "the mean speed of {speed}"))
        found.append(CycleSpeed("highest speed", top, "the highest speed of {speed}"))
    return _merged([*found, *_governing_speeds(of)])


def mean_cycle_speed(of: Contest) -> float | None:
    """Return the time-mean speed of the cycle at the common axis, None without a duty. [rad/s]"""
    duty, ratio = _duty(of)
    mean = None if duty is None else mean_speed(duty)
    return None if mean is None else mean / ratio


def _highest_speed(of: Contest) -> float | None:
    duty, ratio = _duty(of)
    return None if duty is None else float(np.abs(duty.speed).max()) / ratio


def _duty(of: Contest) -> tuple[DutyTrace | None, float]:
    """Return the duty of the first one that has it, and its ratio: at the common axis all have the same."""
    for place, index in enumerate(of.indices):
        duty = of.result.candidates[index].duty
        if duty is not None and duty.speed.size:
            return duty, abs(of.gears[place].ratio) if of.gears else 1.0
    return None, 1.0


def _governing_speeds(of: Contest) -> list[CycleSpeed]:
    found = []
    for place, index in enumerate(of.indices):
        candidate = of.result.candidates[index]
        governing, points, duty = candidate.governing, candidate.load_points, candidate.duty
        if governing is None or governing.segment is None or points is None or duty is None:
            continue
        if len(points.speed) != len(duty.edges) - 1:
            continue  # the few points that stand for a trace are no segments
        ratio = abs(of.gears[place].ratio) if of.gears else 1.0
        speed = abs(float(points.speed[governing.segment])) / ratio
        words = f"the {{speed}} of segment {governing.segment + 1}, which governs {letter(index)}"
        found.append(CycleSpeed(f"governing speed {letter(index)}", speed, words))
    return found


def _merged(found: list[CycleSpeed]) -> tuple[CycleSpeed, ...]:
    rows: list[CycleSpeed] = []
    for new in found:
        for k, old in enumerate(rows):
            if abs(new.speed - old.speed) <= SAME_SPEED * max(new.speed, old.speed):
                also = new.words.partition(" of segment ")[2]
                words = (
                    f"{old.words}, in segment {also}" if also and "standstill" not in new.words else old.words
                )
                rows[k] = CycleSpeed(old.code, old.speed, words)
                break
        else:
            rows.append(new)
    return tuple(sorted(rows, key=lambda row: row.speed))


def torque_rows(of: Contest, sizes: Sequence[FittedSize]) -> list[ComparisonRow]:
    """Return torque and power at the cycle's speeds, plain, per room and per mass."""
    speeds = cycle_speeds(of)
    rows = [row for speed in speeds for row in _at_speed(of, speed, GROUP, None)]
    for group, shares in ((PER_VOLUME, [s.volume for s in sizes]), (PER_MASS, [s.mass for s in sizes])):
        rows += [row for speed in speeds for row in _at_speed(of, speed, group, shares)]
    return rows


_KINDS = {
    GROUP: (Kind.TORQUE, Kind.POWER, ""),
    PER_VOLUME: (Kind.TORQUE_PER_VOLUME, Kind.POWER_PER_VOLUME, " per volume"),
    PER_MASS: (Kind.TORQUE_PER_MASS, Kind.POWER_PER_MASS, " per mass"),
}


def _at_speed(
    of: Contest, at: CycleSpeed, group: str, shares: Sequence[float | None] | None
) -> list[ComparisonRow]:
    torque_kind, power_kind, per = _KINDS[group]
    if of.at_load and group == GROUP:
        torque_kind = Kind.LOAD_TORQUE
    torques = [None if course is None else _reached(course, at.speed) for course in of.courses]
    why = [
        "no continuous torque"
        if course is None
        else NOT_REACHED
        if not course.reached(at.speed)
        else "no value"
        for course in of.courses
    ]
    if shares is not None:
        why = [
            reason if torque is None else "size or mass not known"
            for reason, torque in zip(why, torques, strict=True)
        ]
        torques = [
            None if torque is None or not share else torque / share
            for torque, share in zip(torques, shares, strict=True)
        ]
    note = _note(of, at.speed) if shares is None else ""
    rows = []
    kinds = (("torque", torque_kind, 1.0), ("power", power_kind, at.speed))
    for what, kind, factor in kinds[: 1 if at.speed == 0.0 else 2]:
        label = _label(f"Continuous {what}{per}" + (" at the load" if of.at_load else ""), at)
        values = [None if torque is None else torque * factor for torque in torques]
        row = number_row(group, f"{what}{per}, {at.code}", label, kind, values, 1, note, why)
        rows.append(_judged(row, of, at.speed))
    return rows


def _label(what: str, at: CycleSpeed) -> str | Sentence:
    if "{speed}" not in at.words:
        return f"{what} at {at.words}"
    return sentence(f"{what} at {at.words}", speed=(at.speed, Kind.SPEED))


def _reached(course: TorqueCourse, speed: float) -> float | None:
    return course.torque_at(speed) if course.reached(speed) else None


def _note(of: Contest, speed: float) -> str:
    """Return whom the voltage holds below his continuous torque, which is a matter of heat alone."""
    short = []
    for index, course in zip(of.indices, of.courses, strict=True):
        if course is None:
            continue
        torque, limit = course.torque_at(speed), course.voltage_limit_at(speed)
        if torque is not None and limit is not None and limit < torque:
            short.append(letter(index))
    return f"by heat; the voltage gives {' and '.join(short)} less here" if short else ""


def _judged(row: ComparisonRow, of: Contest, speed: float) -> ComparisonRow:
    """Return the row with all ahead whom the uncertainty does not tell from the best one.

    The doubt is that of the torques: room, mass and speed are known.
    """
    if not row.best:
        return row
    merits = [-np.inf if value is None else value for value in row.values]
    top = int(np.argmax(merits))
    also = [place for place in range(len(merits)) if place != top and _open(of, row, top, place, speed)]
    if not also:
        return row
    best = tuple(sorted({*row.best, *also}))
    known = sum(value is not None for value in row.values)
    words = f"{' or '.join(letter(of.indices[place]) for place in best)}: within the uncertainty"
    note = f"{words}; {row.note}" if row.note else words
    return replace(row, best=() if len(best) == known else best, note=note)


def _open(of: Contest, row: ComparisonRow, top: int, place: int, speed: float) -> bool:
    """Return whether the band of two torques, at the ratio of these values, includes 1."""
    leader, other = of.courses[top], of.courses[place]
    ahead, behind = row.values[top], row.values[place]
    if leader is None or other is None or not ahead or not behind:
        return False
    ratio = ratio_of(leader, other)
    found = None if ratio is None else ratio.at(speed)
    if found is None or found[1] is None:
        return False
    return ahead / behind > 1.0 + TIE and ahead / behind * found[1] / found[0] <= 1.0
