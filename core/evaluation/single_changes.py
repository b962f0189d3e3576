"""The single changes that may help a candidate, each as a project part that differs in one thing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from msgspec.structs import replace

from core.project.application import Application, Site
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.motion import DwellStep, MotionStep, RampStep
from core.project.motor_heat import DataSheetHeat, GeometryHeat
from core.project.mounting import Mounting, Plate
from core.project.transmission import Transmission
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.units import Kind

Subject = Literal["mounting", "variant", "winding", "ratio", "moves", "rests", "current", "ambient"]

LONGER: Final = 0.1
"""By which share moves over the same way, or the cycle by its rests, become longer."""

COOLER: Final = 10.0
"""By how much the ambient is lower. [K]"""

RATIO_STEP: Final = 1.25
"""Factor to the next ratio, where a transmission names none that can be had."""

LONGEST_NAME: Final = 200


@dataclass(frozen=True, slots=True)
class Proposal:
    """One change: another application for all candidates, or another candidate; the other one is None."""

    subject: Subject
    label: str | Sentence
    application: Application | None = None
    candidate: Candidate | None = None

    @property
    def kind(self) -> Literal["application", "candidate"]:
        """What the change is made to."""
        return "candidate" if self.application is None else "application"


def single_changes(application: Application, candidate: Candidate) -> Iterator[Proposal]:
    """Yield every single change of a candidate and of its application that makes sense here."""
    yield from _mountings(application, candidate)
    yield from _variants(candidate)
    yield from _windings(candidate)
    yield from _ratios(candidate)
    yield from _longer(application)
    yield _other_current(candidate)
    yield from _cooler(application)


def _mountings(application: Application, candidate: Candidate) -> Iterator[Proposal]:
    now, stated = application.site.mounting, _stated_plate(candidate)
    if not now.insulated:
        bare = Mounting(name="flange gives no heat", insulated=True)
        yield _mounted(application, bare, "no plate: the flange gives off no heat")
    if not now.as_stated:
        yield _mounted(application, Mounting(), "plate as in the data sheet")
    present = now.plate or stated
    if present is not None:
        plate = Plate(side=2.0 * present.side, thickness=present.thickness)
        label = sentence("aluminium plate of twice the side, {side}", side=(plate.side, Kind.LENGTH))
        yield _mounted(application, Mounting(name="aluminium plate of twice the side", plate=plate), label)


def _stated_plate(candidate: Candidate) -> Plate | None:
    variant = candidate.chosen_variant
    heat = None if variant is None else variant.heat
    return heat.stated_plate if isinstance(heat, DataSheetHeat | GeometryHeat) else None


def _mounted(application: Application, mounting: Mounting, label: str | Sentence) -> Proposal:
    return Proposal("mounting", label, _at(application, replace(application.site, mounting=mounting)))


def _at(application: Application, site: Site) -> Application:
    return replace(application, site=site)


def _variants(candidate: Candidate) -> Iterator[Proposal]:
    for variant in candidate.motor.variants if candidate.motor else ():
        if candidate.variant is not None and variant.kind != candidate.variant:
            name = _renamed(candidate.name, candidate.variant, variant.kind)
            other = replace(candidate, name=name, variant=variant.kind)
            yield Proposal("variant", f"{variant.kind} instead of {candidate.variant}", candidate=other)


def _windings(candidate: Candidate) -> Iterator[Proposal]:
    for winding in candidate.motor.windings if candidate.motor else ():
        if candidate.winding is not None and winding.name != candidate.winding:
            name = _renamed(candidate.name, f"winding {candidate.winding}", f"winding {winding.name}")
            other = replace(candidate, name=name, winding=winding.name)
            label = f"winding {winding.name} instead of {candidate.winding}"
            yield Proposal("winding", label, candidate=other)


def _ratios(candidate: Candidate) -> Iterator[Proposal]:
    """Yield the next ratios that can be had, smaller and larger; direct drive has none."""
    transmission = candidate.transmission
    if transmission is None:
        return
    now = transmission.ratio
    for ratio in _next_ratios(transmission):
        name = _renamed(candidate.name, f"{now:.4g} : 1", f"{ratio:.4g} : 1")
        other = replace(candidate, name=name, transmission=replace(transmission, ratio=ratio))
        yield Proposal("ratio", f"gear ratio {ratio:.4g} : 1 instead of {now:.4g} : 1", candidate=other)


def _next_ratios(transmission: Transmission) -> tuple[float, ...]:
    now, available = transmission.ratio, transmission.available_ratios
    if not available:
        return now / RATIO_STEP, now * RATIO_STEP
    smaller = max((ratio for ratio in available if ratio < now), default=None)
    larger = min((ratio for ratio in available if ratio > now), default=None)
    return tuple(ratio for ratio in (smaller, larger) if ratio is not None)


def _longer(application: Application) -> Iterator[Proposal]:
    """Yield longer moves and longer rests.

    The torque of an entered segment at another speed is not known, so only its rests can be longer; a
    measured trace stays as it was measured.
    """
    if application.duty_from == "segments":
        yield from _longer_rests_of_segments(application)
    elif application.duty_from == "load" and application.load is not None:
        motion = application.load.motion
        slower = tuple(_slower(step, 1.0 + LONGER) for step in motion)
        if slower != motion:
            yield _with_motion(application, slower, "moves", "moves 10 % longer")
        rest = sum(step.duration for step in motion if isinstance(step, DwellStep))
        if rest > 0.0:
            factor = 1.0 + LONGER * _time(motion) / rest
            longer = tuple(_rested(step, factor) for step in motion)
            yield _with_motion(application, longer, "rests", "longer rests")


def _with_motion(
    application: Application, motion: tuple[MotionStep, ...], subject: Subject, words: str
) -> Proposal:
    assert application.load is not None  # `_longer` asks for it
    before, after = _time(application.load.motion), _time(motion)
    changed = replace(application, load=replace(application.load, motion=motion))
    return Proposal(subject, _cycle_label(words, before, after), changed)


def _slower(step: MotionStep, factor: float) -> MotionStep:
    """Return a step that takes longer by a factor over the same way; a rest stays."""
    if isinstance(step, DwellStep):
        return step
    longer = replace(step, duration=step.duration * factor)
    return replace(longer, end_speed=longer.end_speed / factor) if isinstance(longer, RampStep) else longer


def _rested(step: MotionStep, factor: float) -> MotionStep:
    return replace(step, duration=step.duration * factor) if isinstance(step, DwellStep) else step


def _longer_rests_of_segments(application: Application) -> Iterator[Proposal]:
    cycle = application.duty_cycle
    before, rest = _time(cycle), _time(tuple(segment for segment in cycle if _at_rest(segment)))
    if rest <= 0.0:
        return
    factor = 1.0 + LONGER * before / rest
    longer = tuple(
        replace(segment, duration=segment.duration * factor) if _at_rest(segment) else segment
        for segment in cycle
    )
    words = "longer rests, moves as entered"
    label = _cycle_label(words, before, before * (1.0 + LONGER))
    yield Proposal("rests", label, replace(application, duty_cycle=longer))


def _at_rest(segment: Segment) -> bool:
    return segment.speed_start == 0.0 == segment.speed_end


def _time(parts: tuple[Segment, ...] | tuple[MotionStep, ...]) -> float:
    return sum(part.duration for part in parts)


def _cycle_label(words: str, before: float, after: float) -> Sentence:
    return sentence(
        words + ": cycle {before} → {after}", before=(before, Kind.TIME), after=(after, Kind.TIME)
    )


def _other_current(candidate: Candidate) -> Proposal:
    if candidate.commutation == "sinusoidal":
        name = _renamed(candidate.name, "sinusoidal", "six-step")
        other = replace(candidate, name=name, commutation="six-step")
        return Proposal("current", "six-step current instead of sinusoidal", candidate=other)
    name = _renamed(candidate.name, "six-step", "sinusoidal")
    other = replace(candidate, name=name, commutation="sinusoidal")
    return Proposal("current", "sinusoidal current instead of six-step", candidate=other)


def _cooler(application: Application) -> Iterator[Proposal]:
    ambient = application.site.ambient
    if ambient is None:
        return
    label = sentence(
        "ambient {lower} instead of {ambient}",
        lower=(ambient - COOLER, Kind.TEMPERATURE),
        ambient=(ambient, Kind.TEMPERATURE),
    )
    yield Proposal("ambient", label, _at(application, replace(application.site, ambient=ambient - COOLER)))


def _renamed(name: str, old: str, new: str) -> str:
    """Return the name of a changed candidate: the old word exchanged where it is there, else the new added.

    >>> _renamed("47 mm frame, open rotor", "open rotor", "enclosed"), _renamed("A", "18 : 1", "25 : 1")
    ('47 mm frame, enclosed', 'A, 25 : 1')
    """
    changed = name.replace(old, new) if old in name else f"{name}, {new}"
    return changed if len(changed) <= LONGEST_NAME else new[:LONGEST_NAME]
