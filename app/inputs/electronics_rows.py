"""What is asked about the electronics of each candidate, in the order of a data sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations
from typing import Any

from app.inputs.asked import Asked, CandidateQuestions, PartRow, bound_to_part, candidate_at, named, whose
from app.inputs.candidate_figures import as_stated, electronics_figures
from app.inputs.figures import FigureSource
from app.inputs.rows import Binding, ChoiceRow, Heading, QuantityRow
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.project import Project
from core.units import DisplayUnits, Kind

TITLE = "Electronics"
MODULATION = (("space-vector", "space vector"), ("sine-triangle", "sine–triangle"))
SWITCHING = (("unipolar", "unipolar"), ("bipolar", "bipolar"))
YES_NO = ((True, "yes"), (False, "no"))


def _sets(kinds: Sequence[str], none: str, words: dict[str, str]) -> tuple[tuple[tuple[str, ...], str], ...]:
    """Return every choice of some of a few kinds; no kind at all has words of its own."""
    found: list[tuple[tuple[str, ...], str]] = [((), none)]
    for count in range(1, len(kinds) + 1):
        found += [(some, ", ".join(words[one] for one in some)) for some in combinations(kinds, count)]
    return tuple(found)


_COMMUTATIONS = ("six-step", "sinusoidal")
_FEEDBACK = ("Hall sensors", "encoder", "sensorless")
COMMUTATION_SETS = _sets(_COMMUTATIONS, "any", {kind: kind for kind in _COMMUTATIONS})
FEEDBACK_SETS = _sets(
    _FEEDBACK, "not stated", {"Hall sensors": "Hall", "encoder": "encoder", "sensorless": "none"}
)


def _field(field: str, row: QuantityRow | ChoiceRow, **more: Any) -> Asked:
    return Asked(row, bound_to_part("drive", field, ""), **more)


def _number(field: str, label: str, kind: Kind, absent: str = "", **more: Any) -> Asked:
    """Return the row of a figure; with words for its absence it may be left out."""
    return _field(field, QuantityRow(("drive", field), label, kind, bool(absent), absent), **more)


def _maybe(field: str, label: str, kind: Kind, **more: Any) -> Asked:
    """Return the row of a figure that nobody misses."""
    return _field(field, QuantityRow(("drive", field), label, kind, True), **more)


def _choice(field: str, label: str, options: tuple[tuple[Any, str], ...], **more: Any) -> Asked:
    return _field(field, ChoiceRow(("drive", field), label, options), **more)


def _some_of(field: str, label: str, options: tuple[tuple[tuple[str, ...], str], ...]) -> Asked:
    """Return the choice of some kinds; the order in which a file names them does not matter."""
    order = {frozenset(some): some for some, _ in options}

    def binding(index: int) -> Binding:
        plain = bound_to_part("drive", field, "")(index)
        return Binding(
            lambda project: order.get(frozenset(plain.read(project) or ()), ()), plain.write, plain.whose
        )

    return Asked(ChoiceRow(("drive", field), label, options), binding)


def _current(
    field: str, label: str, absent: str, stated_as_rms: Callable[[], bool], note: Callable[[], str]
) -> Asked:
    """Return the row of a current, typed and shown as amplitude or rms value as is preferred."""

    def binding(index: int) -> Binding:
        plain = bound_to_part("drive", field, "")(index)

        def read(project: Project) -> Any:
            current, candidate = plain.read(project), candidate_at(project, index)
            if current is None or candidate is None:
                return None
            return part_edits.stated_current(current, candidate.commutation, stated_as_rms())

        def write(project: Project, stated: Any) -> Project:
            if stated is None:
                return plain.write(project, None)
            commutation = project.candidates[index].commutation
            return plain.write(project, part_edits.current_amplitude(stated, commutation, stated_as_rms()))

        return Binding(read, write, whose("", index))

    row = QuantityRow(("drive", field), label, Kind.CURRENT, True, absent)
    return Asked(row, binding, unit_note=note)


def _lossless(candidate: Candidate) -> str:
    drive = candidate.drive
    return "assumed: switches without loss" if drive.on_resistance == drive.device_drop == 0.0 else ""


def _full_at_rest(candidate: Candidate) -> str:
    return "assumed: all of it, also at rest" if candidate.drive.standstill_share == 1.0 else ""


def _sinusoidal(candidate: Candidate) -> bool:
    return candidate.commutation == "sinusoidal"


def _six_step(candidate: Candidate) -> bool:
    return candidate.commutation == "six-step"


def summary(candidate: Candidate, units: DisplayUnits) -> str:
    """Return the electronics in a few words."""
    drive = candidate.drive
    limits = (("continuous", drive.continuous_current), ("peak", drive.peak_current))
    words = [
        f"{word} {'not given' if limit is None else units.format_quantity(limit, Kind.CURRENT)}"
        for word, limit in limits
    ]
    return ", ".join([drive.name, *words])


_OTHER_ROWS: tuple[Asked | Heading, ...] = (
    Heading("Supply of the electronics"),
    _number("lowest_supply", "Lowest supply", Kind.VOLTAGE, "missing: sag is not checked"),
    _number("highest_supply", "Highest supply", Kind.VOLTAGE, "missing: highest supply is not checked"),
    _maybe("trip_voltage", "Trips at", Kind.VOLTAGE),
    _number("bus_capacitance", "Capacitance", Kind.CAPACITANCE),
    Heading("Switching"),
    _number("largest_duty", "PWM duty", Kind.RATIO),
    _choice("modulation", "Modulation", MODULATION, wanted=_sinusoidal),
    _choice("switching", "Switching", SWITCHING, wanted=_six_step),
    _number("pwm_frequency", "PWM", Kind.FREQUENCY, "missing: ripple is not checked"),
    _maybe("control_frequency", "Control", Kind.FREQUENCY),
    Heading("What it can do"),
    _number(
        "largest_electrical_frequency", "Electr. freq.", Kind.ELECTRICAL_FREQUENCY,
        "missing: electrical frequency is not checked",
    ),
    _some_of("commutations", "Commutations", COMMUTATION_SETS),
    _some_of("feedback_kinds", "Feedback", FEEDBACK_SETS),
    _choice("field_weakening", "Weakens field", YES_NO, wanted=_sinusoidal),
    Heading("Losses"),
    _number("on_resistance", "On-resistance", Kind.RESISTANCE, remark=_lossless),
    _number("device_drop", "Switch drop", Kind.VOLTAGE),
    _number("switching_time", "Switching time", Kind.SWITCHING_TIME),
    _number("idle_power", "Idle power", Kind.POWER),
    Heading("Its place"),
    _choice("built_in", "In the motor", YES_NO),
    _maybe("highest_ambient", "Ambient up to", Kind.TEMPERATURE),
    _maybe("mass", "Mass", Kind.MASS),
)  # fmt: skip


def questions(stated_as_rms: Callable[[], bool]) -> CandidateQuestions:
    """Return the group; `stated_as_rms` tells how currents are typed and shown."""

    def note() -> str:
        return "rms" if stated_as_rms() else ""

    rows: tuple[Asked | Heading, ...] = (
        Asked(PartRow("drive", "Electronics", lambda shelf: shelf.drives), wide=True),
        named("drive", "the electronics"),
        _current(
            "continuous_current", "Cont. current", "missing: continuous current is not checked",
            stated_as_rms, note,
        ),
        _current("peak_current", "Peak current", "missing: peak current is not checked", stated_as_rms, note),
        _number("peak_time", "Peak lasts", Kind.TIME, "missing: time of the peak is not checked"),
        _number("standstill_share", "Share at rest", Kind.RATIO, remark=_full_at_rest),
        *_OTHER_ROWS,
    )  # fmt: skip
    source = FigureSource(lambda looked: as_stated(electronics_figures(looked), looked, stated_as_rms()))
    return CandidateQuestions(TITLE, "drive_limits", "electronics", rows, summary, source)
