"""Every combination of the parts at hand as a numbered candidate, made only when it is asked for.

A hundred thousand candidates are a few lists of parts: the number of a candidate is read as one with a digit
for each list, so that `candidate(i)` picks its parts. Left out is what the parts themselves rule out:
electronics that cannot do a commutation or take a feedback, and what a variant cannot be had with.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate
from typing import Final, Literal, TypeVar, get_args

from msgspec.structs import replace

from core.catalogue.parts_file import PartsFile
from core.evaluation.fits import what_does_not_fit
from core.physics.conventions import Commutation
from core.project.application import Application
from core.project.candidate import Candidate, Drive
from core.project.feedback import Feedback
from core.project.fittings import HoldingBrake
from core.project.motor import Motor, VariantKind
from core.project.saved import Saved
from core.project.transmission import Transmission
from core.records import dataclass

NONE: Final = "none"  # the name of no transmission and of no brake, where it is kept out
KeptOut = Literal["motor", "winding", "variant", "commutation", "transmission", "drive", "feedback", "brake"]
_Part = TypeVar("_Part", bound=Saved)
_Electronics = tuple[Drive, Commutation, Feedback | None]


@dataclass(frozen=True, slots=True)
class Block:
    """The candidates of one variant of a motor: every member of one list with every one of the others."""

    motor: Motor
    variant: VariantKind
    windings: tuple[str, ...]
    electronics: tuple[_Electronics, ...]
    transmissions: tuple[Transmission | None, ...]
    brakes: tuple[HoldingBrake | None, ...]

    def __len__(self) -> int:
        lists = (self.windings, self.electronics, self.transmissions, self.brakes)
        return math.prod(len(one) for one in lists)


@dataclass(frozen=True, slots=True)
class Chosen:
    """The parts of one candidate."""

    block: Block
    winding: str
    drive: Drive
    commutation: Commutation
    feedback: Feedback | None
    transmission: Transmission | None
    brake: HoldingBrake | None


class Choices:
    """All candidates of some parts, numbered from 0; what they have in common is that of `pattern`."""

    def __init__(self, pattern: Candidate, blocks: Sequence[Block]) -> None:
        self.pattern = pattern
        self.blocks = tuple(block for block in blocks if len(block))
        self._ends = list(accumulate(len(block) for block in self.blocks))

    def __len__(self) -> int:
        return self._ends[-1] if self._ends else 0

    def candidate(self, number: int) -> Candidate:
        """Return a candidate by its number; `IndexError` beyond the last one."""
        chosen = self.chosen(number)
        return replace(
            self.pattern,
            name=_words(chosen),
            motor=chosen.block.motor,
            winding=chosen.winding,
            variant=chosen.block.variant,
            commutation=chosen.commutation,
            transmission=chosen.transmission,
            drive=chosen.drive,
            feedback=chosen.feedback,
            brake=chosen.brake,
        )

    def words(self, number: int) -> str:
        """Return what a candidate is made of, as it is called, without making it."""
        return _words(self.chosen(number))

    def chosen(self, number: int) -> Chosen:
        """Return the parts of a candidate by its number; `IndexError` beyond the last one."""
        if not 0 <= number < len(self):
            raise IndexError(f"there are {len(self)} candidates, got number {number}")
        place = bisect_right(self._ends, number)
        block = self.blocks[place]
        rest = number - self.start_of(place)
        rest, brake = divmod(rest, len(block.brakes))
        rest, transmission = divmod(rest, len(block.transmissions))
        winding, electronics = divmod(rest, len(block.electronics))
        drive, commutation, feedback = block.electronics[electronics]
        return Chosen(
            block,
            block.windings[winding],
            drive,
            commutation,
            feedback,
            block.transmissions[transmission],
            block.brakes[brake],
        )

    def start_of(self, place: int) -> int:
        """Return the number of the first candidate of a block."""
        return self._ends[place - 1] if place else 0

    def candidates(self, start: int, stop: int) -> list[Candidate]:
        """Return the candidates from one number up to another, which is left out."""
        return [self.candidate(number) for number in range(start, min(stop, len(self)))]


def choices_of(
    parts: Sequence[PartsFile],
    application: Application,
    pattern: Candidate | None = None,
    kept_out: Iterable[tuple[KeptOut, str]] = (),
) -> Choices:
    """Return all candidates that these parts allow for an application.

    Cable, choke and force on the shaft are those of `pattern`, and so are electronics and feedback where the
    parts have none. A transmission is chosen only where the duty is not given at the motor shaft; each of
    its available ratios is a candidate of its own. `kept_out` names what shall not be chosen, with
    `NONE` for doing without a transmission or brake.
    """
    out = frozenset(kept_out)
    base = Candidate(name="candidate") if pattern is None else pattern
    common = replace(
        base, motor=None, winding=None, variant=None, dropped_because="", note="", hand_over=None
    )
    motors = _kept("motor", (motor for one in parts for motor in one.motors), out)
    drives = _kept("drive", (drive for one in parts for drive in one.drives), out) or [common.drive]
    devices = _kept("feedback", (device for one in parts for device in one.feedback), out)
    feedback: Sequence[Feedback | None] = devices or [common.feedback]
    electronics = [
        (drive, commutation, device)
        for drive in drives
        for commutation in get_args(Commutation)
        for device in feedback
        if ("commutation", commutation) not in out and _belong(drive, commutation, device)
    ]
    brakes = _or_none("brake", _kept("brake", (brake for one in parts for brake in one.brakes), out), out)
    transmissions = _transmissions(parts, application, common, out)
    blocks = [
        Block(
            motor,
            variant.kind,
            tuple(one.name for one in motor.windings if ("winding", one.name) not in out),
            tuple(one for one in electronics if _fits(motor, variant.kind, drive=one[0], feedback=one[2])),
            tuple(one for one in transmissions if _fits(motor, variant.kind, transmission=one)),
            tuple(one for one in brakes if _fits(motor, variant.kind, brake=one)),
        )
        for motor in motors
        for variant in motor.variants
        if ("variant", variant.kind) not in out
    ]
    return Choices(common, blocks)


def _words(chosen: Chosen) -> str:
    block, gear = chosen.block, chosen.transmission
    parts = [f"{block.motor.name} {chosen.winding}", block.variant, chosen.commutation, chosen.drive.name]
    if gear is not None:
        parts.append(f"{gear.name} {gear.ratio:g}:1")
    parts += [one.name for one in (chosen.feedback, chosen.brake) if one is not None]
    return ", ".join(parts)


def _kept(kind: KeptOut, parts: Iterable[_Part], out: frozenset[tuple[KeptOut, str]]) -> list[_Part]:
    """Return the parts that are not kept out; what stands in two files alike is one part."""
    found: list[_Part] = []
    for part in parts:
        if (kind, getattr(part, "name", "")) not in out and part not in found:
            found.append(part)
    return found


def _or_none(
    kind: KeptOut, parts: Sequence[_Part], out: frozenset[tuple[KeptOut, str]]
) -> list[_Part | None]:
    return [*parts] if (kind, NONE) in out else [None, *parts]


def _transmissions(
    parts: Sequence[PartsFile],
    application: Application,
    pattern: Candidate,
    out: frozenset[tuple[KeptOut, str]],
) -> list[Transmission | None]:
    if application.duty_from == "segments":  # given at the motor shaft, so no ratio changes it
        return [pattern.transmission]
    kept = _kept("transmission", (one for file in parts for one in file.transmissions), out)
    return _or_none("transmission", [one for gear in kept for one in _at_its_ratios(gear)], out)


def _at_its_ratios(transmission: Transmission) -> Iterator[Transmission]:
    for ratio in sorted({transmission.ratio, *transmission.available_ratios}):
        yield transmission if ratio == transmission.ratio else replace(transmission, ratio=ratio)


def _belong(drive: Drive, commutation: Commutation, device: Feedback | None) -> bool:
    """Return whether electronics do a commutation and take a feedback, as far as they tell."""
    if drive.commutations and commutation not in drive.commutations:
        return False
    kind = None if device is None else device.__struct_config__.tag
    return not drive.feedback_kinds or kind is None or kind in drive.feedback_kinds


def _fits(motor: Motor, variant: VariantKind, **fitted: Saved | None) -> bool:
    """Return whether a variant can be had with some parts; one that lists none takes all."""
    return not what_does_not_fit(replace(Candidate(name="fit"), motor=motor, variant=variant, **fitted))
