"""Motors gathered from rows: a row is a winding of a frame in a variant; what they share must not differ."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import Any

from core.catalogue.motor_draft import FigureError, MotorDraft, frame_of, variant_of, winding_of, with_parts
from core.catalogue.sheet_figures import FIGURE, Figures
from core.number_entry import shown
from core.project.motor import Motor, Variant, Winding
from core.records import dataclass

Part = dict[str, tuple[Any, int]]  # a figure's key -> its value and the line that gave it


@dataclass(slots=True)
class _Frame:
    """The figures of one frame and its parts, and the lines on which each part stands."""

    frame: Part = field(default_factory=dict)
    windings: dict[str, Part] = field(default_factory=dict)
    variants: dict[str, Part] = field(default_factory=dict)

    def parts(self, line_figures: dict[str, Any]) -> list[tuple[Part, str]]:
        """Return the parts that a row speaks of, each with its level."""
        found = [(self.frame, "frame")]
        if "winding" in line_figures:
            found.append((self.windings.setdefault(line_figures["winding"], {}), "winding"))
        if "variant" in line_figures:
            found.append((self.variants.setdefault(line_figures["variant"], {}), "variant"))
        return found


class GatheredMotors:
    """Takes rows and builds their motors; rows whose part cannot be saved are given back with the rule."""

    def __init__(self) -> None:
        self._rows: dict[str, dict[int, dict[str, Any]]] = {}
        self._frames: dict[str, _Frame] = {}

    def take(self, line: int, figures: dict[str, Any]) -> tuple[str, str]:
        """Take a row; return the column and the rule if it cannot be taken, else two empty texts."""
        name = figures.get("frame")
        if not name:
            return "frame", "is needed: the rows of one motor are gathered by it"
        levels = {level for level in ("winding", "variant") if level in figures}
        for key in figures:
            level = FIGURE[key].level
            if level != "frame" and level not in levels:
                return key, f"belongs to a {level}, and the row names none (column '{level}')"
        if not levels:
            return "winding", "is needed, or a variant: the row names neither"
        frame = self._frames.setdefault(name, _Frame())
        parts = frame.parts(figures)
        for part, level in parts:
            for key, value in figures.items():
                if FIGURE[key].level == level and key in part and part[key][0] != value:
                    whose = "frame" if level == "frame" else f"{level} {shown(str(figures[level]))}"
                    return key, f"differs from line {part[key][1]} of the same {whose}"
        _put(parts, line, figures)
        self._rows.setdefault(name, {})[line] = figures
        return "", ""

    @property
    def count(self) -> int:
        """How many frames the rows are of."""
        return len(self._rows)

    def built(self) -> Iterator[tuple[Motor | None, dict[int, tuple[str, str]]]]:
        """Return each frame's motor, and for each line that cannot be taken its column and rule."""
        return (_built(rows) for rows in self._rows.values())


def _put(parts: list[tuple[Part, str]], line: int, figures: dict[str, Any]) -> None:
    for part, level in parts:
        for key, value in figures.items():
            if FIGURE[key].level == level:
                part.setdefault(key, (value, line))


def _built(rows: dict[int, dict[str, Any]]) -> tuple[Motor | None, dict[int, tuple[str, str]]]:
    """Return the motor of the rows that hold together; each pass leaves out all rows of a failing part."""
    refused: dict[int, tuple[str, str]] = {}
    while rows:
        frame = _Frame()
        for line, figures in rows.items():
            _put(frame.parts(figures), line, figures)
        made = _Made(frame)
        failing = made.failing(rows)
        if not failing:
            return made.motor(), refused
        refused.update(failing)
        rows = {line: figures for line, figures in rows.items() if line not in failing}
    return None, refused


class _Made:
    """The parts of a frame as they are saved, and those that cannot be, with what forbids them."""

    def __init__(self, frame: _Frame) -> None:
        self._frame = frame
        self._windings: list[Winding] = []
        self._variants: list[Variant] = []
        self._bad: dict[tuple[str, str], tuple[FigureError, Part]] = {}
        for name, part in frame.windings.items():
            try:
                self._windings.append(winding_of(_bare(part)))
            except FigureError as error:
                self._bad["winding", name] = (error, part)
        for name, part in frame.variants.items():
            try:
                self._variants.append(variant_of(_bare(part)))
            except FigureError as error:
                self._bad["variant", name] = (error, part)

    def motor(self) -> Motor:
        """Return the motor of parts of which none is bad."""
        frame = self._frame
        windings = tuple(_bare(part) for part in frame.windings.values())
        draft = MotorDraft(_bare(frame.frame), windings)
        return with_parts(draft, tuple(self._windings), tuple(self._variants))

    def failing(self, rows: dict[int, dict[str, Any]]) -> dict[int, tuple[str, str]]:
        """Return the lines of the parts that cannot be saved, each with column and rule."""
        try:
            frame_of(_bare(self._frame.frame), (), ())
        except FigureError as error:
            return {line: (error.key, _of_line(error, self._frame.frame, line)) for line in rows}
        found = {}
        for line, figures in rows.items() if self._bad else ():
            for level in ("winding", "variant"):
                failure = self._bad.get((level, figures.get(level, "")))
                if failure is not None:
                    found[line] = (failure[0].key, _of_line(failure[0], failure[1], line))
                    break
        return found


def _of_line(error: FigureError, part: Part, line: int) -> str:
    """Return the rule, naming the line whose figure it is where that is another one."""
    given = part.get(error.key)
    return error.rule if given is None or given[1] == line else f"{error.rule}, on line {given[1]}"


def _bare(part: Part) -> Figures:
    return {key: value for key, (value, _) in part.items()}
