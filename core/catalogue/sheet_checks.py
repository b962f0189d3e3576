"""Compare the figures of a data sheet with what follows from its other figures, and explain what differs.

Each comparison is a value: what is stated, what follows, how far apart, and a sentence that names the reading
under which both would agree. Nothing is repaired: who holds the data sheet decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import Literal

from core.catalogue.motor_draft import FigureError, MotorDraft, place_of, winding_of
from core.catalogue.parts_check import winding_constants
from core.catalogue.sheet_figures import FIGURE, TERMINALS, Figures
from core.errors import AmpturnError
from core.physics.conventions import EmfShape
from core.physics.data_sheet_conventions import (
    FIGURE_UNITS,
    KNOWN_RATIOS,
    ORDER_OF_TRUST,
    agreeing_conventions,
)
from core.physics.machine_constants import MachineConstants, motor_constant, torque_constant
from core.physics.materials import copper_resistance_factor, winding_temp_from_resistance
from core.physics.stated_figures import (
    FigureKind,
    StatedFigure,
    back_emf_constant_of,
    convention_factor,
    line_to_line,
)
from core.project.motor import Motor
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.units import Kind, format_number

Verdict = Literal["agrees", "contradicts"]

# How far stated and computed may differ: rounding and the usual tolerance of each figure. Common practice, no
# source.
CONSTANTS_APART = 0.03
MOTOR_CONSTANTS_APART = 0.03
SPEED_APART = 0.05
CURRENT_APART = 0.05
TORQUE_APART = 0.10
TIME_CONSTANT_APART = 0.10

HOTTEST = 180.0  # a winding for which a figure may still have been meant [degC]
REFERENCE_TEMP = 25.0


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """One comparison; `stated` and `follows` are in SI, `allowed` is the largest relative difference.

    `sentence` says where the second number comes from and, if they contradict, what would make them agree.
    `coarse` says why more than a tolerance is allowed, where it is.
    """

    code: str
    place: str
    label: str
    kind: Kind
    stated: float
    follows: float
    allowed: float
    sentence: Sentence
    coarse: str = ""

    @property
    def tolerance(self) -> str:
        """How far apart the two may be, in words."""
        if self.coarse:
            return f"May differ by a factor of {1.0 + self.allowed:g}: {self.coarse}."
        return f"May differ by {100.0 * self.allowed:g}\N{NO-BREAK SPACE}%."

    @property
    def deviation(self) -> float:
        """Stated over computed, less one."""
        return self.stated / self.follows - 1.0

    @property
    def verdict(self) -> Verdict:
        """Whether the two agree within what is allowed; one tenth too much and too little count alike."""
        apart = max(self.stated, self.follows) / min(self.stated, self.follows) - 1.0
        return "agrees" if apart <= self.allowed * (1.0 + 1e-9) else "contradicts"


def cross_checks(draft: MotorDraft) -> tuple[CrossCheck, ...]:
    """Return every comparison that the figures given so far allow, winding by winding, then by variant."""
    from core.catalogue.sheet_heat_checks import heat_checks

    found: list[CrossCheck] = []
    known: list[tuple[Figures, str, MachineConstants]] = []
    for number, figures in enumerate(draft.windings):
        place = place_of("winding", figures, number)
        found += _constants_checks(place, figures, _shape(draft))
        constants = constants_of(draft, number)
        if constants is not None:
            known.append((figures, place, constants))
            found += _operating_checks(place, figures, constants)
    found += _motor_constant_checks(known)
    for number, figures in enumerate(draft.variants):
        place = place_of("variant", figures, number)
        if known:
            found += _time_constant_checks(place, figures, known[0][2])
        found += heat_checks(place, figures, known[0][2] if known else None)
    return tuple(found)


def constants_of(draft: MotorDraft, number: int) -> MachineConstants | None:
    """Return the canonical constants of a winding of a draft, None while figures for them are missing."""
    figures = draft.windings[number]
    poles = draft.frame.get("pole pairs", 1.0)
    try:
        bare = Motor(
            name="draft",
            pole_pairs=int(poles),
            emf_shape=_shape(draft),
            magnet_ref_temp=float(draft.frame.get("magnet reference", REFERENCE_TEMP)),
        )
        return winding_constants(bare, winding_of({"winding": "draft", **figures}, number))[0]
    except (FigureError, AmpturnError):
        return None  # said by `missing_figures` and by `motor_of`


def ratio_words(ratio: float, within: float = CONSTANTS_APART) -> str:
    """Return ", near sqrt 3" where a ratio is one that conventions make, else nothing.

    Examples
    --------
    >>> ratio_words(1.0 / 1.74), ratio_words(1.9)
    (', near sqrt 3', '')
    """
    name, known = min(KNOWN_RATIOS.items(), key=lambda item: abs(max(ratio, 1.0 / ratio) / item[1] - 1.0))
    return f", near {name}" if abs(max(ratio, 1.0 / ratio) / known - 1.0) <= within else ""


def _shape(draft: MotorDraft) -> EmfShape:
    return "trapezoidal" if draft.frame.get("EMF shape") == "trapezoidal" else "sinusoidal"


def _stated(figures: Figures, kind: FigureKind) -> StatedFigure | None:
    value, meaning = figures.get(kind), figures.get(f"{kind} meaning")
    if not isinstance(value, float) or not value > 0.0 or meaning not in FIGURE[f"{kind} meaning"].choices:
        return None
    return StatedFigure(value, meaning)  # type: ignore[arg-type]


def _constants_checks(place: str, figures: Figures, shape: EmfShape) -> Iterator[CrossCheck]:
    """Yield each pair of stated constants; the less trusted one is compared with what the other makes it."""
    given = [(kind, one) for kind in ORDER_OF_TRUST if (one := _stated(figures, kind)) is not None]
    for (trusted, first), (other, second) in combinations(given, 2):
        machine = back_emf_constant_of(trusted, first, shape)
        factor = convention_factor(other, second.convention, shape)
        follows = factor / machine if other == "speed constant" else factor * machine
        template = f"The {trusted} ({first.convention}) makes the {other} ({second.convention}) {{follows}}."
        ratio = second.value / follows
        if abs(max(ratio, 1.0 / ratio) - 1.0) > CONSTANTS_APART:
            template += (
                f" Their ratio is {format_number(max(ratio, 1.0 / ratio), 4)}{ratio_words(ratio)}. "
                f"{_agreement(trusted, first, other, second, shape)} The {trusted} is used as stated."
            )
        kind = FIGURE_UNITS[other]
        yield CrossCheck(
            "constants", place, f"{other} against {trusted}", kind, second.value, follows, CONSTANTS_APART,
            sentence(template, follows=(follows, kind)),
        )  # fmt: skip


@lru_cache(maxsize=1024)  # asked again and again while one field after the other is typed
def _agreement(
    trusted: FigureKind, first: StatedFigure, other: FigureKind, second: StatedFigure, shape: EmfShape
) -> str:
    """Return under which readings two constants agree; two changed readings explain anything."""
    pairs = agreeing_conventions(trusted, first, other, second, shape, tolerance=CONSTANTS_APART)
    likely = [pair for pair in pairs if pair.readings_changed == 1]
    if not likely:
        return "No single other reading makes them agree: one of the numbers or units may be wrong."
    readings = [
        f"the {other} means '{pair.second}'" if pair.first == first.convention
        else f"the {trusted} means '{pair.first}'"
        for pair in likely
    ]  # fmt: skip
    return f"They agree if {', or if '.join(dict.fromkeys(readings))}."


def _motor_constant_checks(known: list[tuple[Figures, str, MachineConstants]]) -> Iterator[CrossCheck]:
    """Yield each further winding against the first: rewinding does not change k_t / sqrt(R)."""
    for _, place, constants in known[1:]:
        first_place, first = known[0][1], known[0][2]
        stated, follows = _cold_motor_constant(constants), _cold_motor_constant(first)
        template = (
            f"Windings of one frame share the motor constant; the one of {first_place} has {{follows}} at "
            "25 °C."
        )
        ratio = stated / follows
        if abs(max(ratio, 1.0 / ratio) - 1.0) > MOTOR_CONSTANTS_APART:
            template += f" Their squares have the ratio {format_number(max(ratio, 1 / ratio) ** 2, 4)}"
            template += f"{ratio_words(ratio**2, 0.06)}: {_terminal_words(ratio**2)}"
        yield CrossCheck(
            "motor constants", place, "motor constant against the first winding", Kind.MOTOR_CONSTANT, stated,
            follows, MOTOR_CONSTANTS_APART, sentence(template, follows=(follows, Kind.MOTOR_CONSTANT)),
        )  # fmt: skip


def _terminal_words(square: float) -> str:
    """Return which meaning of the resistance would explain a ratio of squared motor constants."""
    ratio = max(square, 1.0 / square)
    for factor, words in (
        (2.0, "one resistance may be that of a phase of the star, half of that between two leads."),
        (1.5, "one resistance may be that of a branch of the delta, 3/2 of that between two leads."),
        (3.0, "one may be a phase of the star, the other a branch of the delta."),
    ):
        if abs(ratio / factor - 1.0) <= 0.06:
            return words
    if ratio <= copper_resistance_factor(HOTTEST, REFERENCE_TEMP):
        return "one resistance may be that of a hot winding."
    return "one of the constants or resistances is wrong."


def _cold_motor_constant(constants: MachineConstants) -> float:
    factor = float(copper_resistance_factor(REFERENCE_TEMP, constants.resistance_ref_temp))
    return motor_constant(constants) / math.sqrt(factor)


def _operating_checks(place: str, figures: Figures, c: MachineConstants) -> Iterator[CrossCheck]:
    """Yield the figures that a sheet gives for a voltage against those that its constants make.

    I_st = U / R_LL, T_st = k_t I_st, w_0 = (U - R_LL I_0) / k_t, six-step; first principles.
    """
    voltage = _number(figures, "sheet voltage")
    k_t = torque_constant(c, "six-step")
    current, torque = _number(figures, "stall current"), _number(figures, "stall torque")
    if voltage is not None and current is not None:
        follows = voltage / c.resistance
        meaning = str(figures.get("resistance meaning", TERMINALS[0]))
        template = "{voltage} over {resistance} between two leads gives {follows}."
        yield CrossCheck(
            "stall current", place, "stall current", Kind.CURRENT, current, follows, CURRENT_APART,
            sentence(
                template + _stall_words(current / follows, meaning, c), voltage=(voltage, Kind.VOLTAGE),
                resistance=(c.resistance, Kind.RESISTANCE), follows=(follows, Kind.CURRENT),
            ),
        )  # fmt: skip
    driving = current if current is not None else (voltage / c.resistance if voltage is not None else None)
    if driving is not None and torque is not None:
        follows = k_t * driving
        template = "{constant} per link ampere times {current} gives {follows}."
        yield CrossCheck(
            "stall torque", place, "stall torque", Kind.TORQUE, torque, follows, TORQUE_APART,
            sentence(
                template + _torque_words(torque / follows), constant=(k_t, Kind.TORQUE_CONSTANT),
                current=(driving, Kind.CURRENT), follows=(follows, Kind.TORQUE),
            ),
        )  # fmt: skip
    speed = _number(figures, "no-load speed")
    if voltage is not None and speed is not None:
        yield from _no_load_check(place, voltage, speed, _number(figures, "no-load current") or 0.0, k_t, c)


def _stall_words(ratio: float, meaning: str, c: MachineConstants) -> str:
    if abs(max(ratio, 1.0 / ratio) - 1.0) <= CURRENT_APART:
        return ""
    stated = line_to_line(StatedFigure(1.0, meaning))  # type: ignore[arg-type]
    for other in TERMINALS:
        read_so = stated / line_to_line(StatedFigure(1.0, other))  # type: ignore[arg-type]
        if other != meaning and abs(ratio / read_so - 1.0) <= CURRENT_APART:
            return f" They agree if the resistance means '{other}' and not '{meaning}'."
    if ratio < 1.0:
        hot = float(winding_temp_from_resistance(1.0 / ratio, 1.0, c.resistance_ref_temp))
        if hot <= HOTTEST:
            return (
                f" They agree if the winding was at {hot:.0f} °C: a sheet may mean the hot resistance, or "
                "leads and electronics are counted in."
            )
        return " The electronics may limit the current: then it is their limit, not that of the winding."
    return " No usual reading explains it: voltage, resistance or unit may be wrong."


def _torque_words(ratio: float) -> str:
    if abs(max(ratio, 1.0 / ratio) - 1.0) <= TORQUE_APART:
        return ""
    power, near = power_of_ten(ratio), ratio_words(ratio)
    if power:
        return f" They differ by ten to the power {power}: a unit may be wrong."
    if near:
        return (
            f" Their ratio is {format_number(max(ratio, 1.0 / ratio), 4)}{near}: the meaning of the torque "
            "constant or of the current (link, peak or rms of a phase) may be another one."
        )
    if ratio < 1.0:
        return " Saturation lowers the torque at such currents; then give a linear and a saturated current."
    return " More torque than constant times current: constant, current or unit may be wrong."


def _no_load_check(
    place: str, voltage: float, speed: float, current: float, k_t: float, c: MachineConstants
) -> Iterator[CrossCheck]:
    follows = (voltage - c.resistance * current) / k_t
    if follows <= 0.0:
        return  # a no-load current beyond the stall current: `stall current` says it
    ratio = speed / follows
    template = "{voltage} less the drop of {current} over the back-EMF in six-step gives {follows}."
    if abs(max(ratio, 1.0 / ratio) - 1.0) > SPEED_APART:
        template += f" Their ratio is {format_number(max(ratio, 1.0 / ratio), 4)}{ratio_words(ratio)}."
        if ratio < 1.0:
            template += (
                f" The electronics may limit it: a largest duty or speed limit of {100.0 * ratio:.0f} % "
                "would give the stated speed."
            )
        else:
            template += " A field that is weakened, or a constant in another meaning, would make it faster."
    yield CrossCheck(
        "no-load speed", place, "no-load speed", Kind.SPEED, speed, follows, SPEED_APART,
        sentence(
            template, voltage=(voltage, Kind.VOLTAGE), current=(current, Kind.CURRENT),
            follows=(follows, Kind.SPEED),
        ),
    )  # fmt: skip


def _time_constant_checks(place: str, figures: Figures, c: MachineConstants) -> Iterator[CrossCheck]:
    """Yield the mechanical time constant against J / k_m^2; first principles."""
    inertia, stated = _number(figures, "rotor inertia"), _number(figures, "mechanical time constant")
    if inertia is None or stated is None:
        return
    k_m = motor_constant(c)
    follows = inertia / k_m**2
    ratio = stated / follows
    template = "{inertia} over the square of {constant} gives {follows}."
    if abs(max(ratio, 1.0 / ratio) - 1.0) > TIME_CONSTANT_APART:
        template += f" Their ratio is {format_number(max(ratio, 1.0 / ratio), 4)}{_time_words(ratio)}"
    yield CrossCheck(
        "mechanical time constant", place, "mechanical time constant", Kind.TIME, stated, follows,
        TIME_CONSTANT_APART,
        sentence(
            template, inertia=(inertia, Kind.INERTIA), constant=(k_m, Kind.MOTOR_CONSTANT),
            follows=(follows, Kind.TIME),
        ),
    )  # fmt: skip


def _time_words(ratio: float) -> str:
    power = power_of_ten(ratio)
    if power:
        return f": a factor of ten to the power {power}; a unit may be wrong, of the inertia or of the time."
    near = ratio_words(ratio, TIME_CONSTANT_APART)
    if near:
        return f"{near}: the resistance in it may be that of a phase, or the constants in another meaning."
    if ratio > 1.0:
        return ": a load, a hot winding or the electronics may be counted in."
    return ": the inertia or the resistance may be wrong."


def power_of_ten(ratio: float) -> int:
    """Return the power of ten that a ratio is near to, as a wrong unit makes it; 0 where it is near to none.

    Examples
    --------
    >>> power_of_ten(1.01e-3), power_of_ten(2.0), power_of_ten(1.05)
    (-3, 0, 0)
    """
    power = round(math.log10(ratio))
    return power if abs(ratio / 10.0**power - 1.0) <= 0.12 else 0


def _number(figures: Figures, key: str) -> float | None:
    """Return a figure that is a number above zero, None otherwise."""
    value = figures.get(key)
    return value if isinstance(value, float) and value > 0.0 else None
