"""A winding with turns of its own: what a maker winds on request, in frame and copper of a listed one.

With N times the turns in the same copper the torque constant is N times, resistance and inductance are
N^2 times those of the listed winding, its currents 1/N times (`core.physics.winding.rewound`): copper loss
and heating stay, voltage and current trade places. Losses of leads and electronics are those of the new
current.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final, TypeVar

from msgspec.structs import replace

from core.errors import AmpturnError
from core.evaluation.motor_model import motor_of
from core.physics.input_ranges import require_positive
from core.physics.machine_constants import torque_constant
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.motor import Winding
from core.project.saved import Saved
from core.records import dataclass
from core.shortlist.choices import Choices, Chosen
from core.shortlist.listing import Listing
from core.shortlist.one_variable import Optimum, best_of_each, best_values, ranks, require_range

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

MOST: Final = 20  # families whose turns are sought, best first
NAME: Final = "special"

_Figure = TypeVar("_Figure", bound=Saved)
_CURRENTS: Final = ("peak_current", "demagnetisation_current", "second_demagnetisation_current",
                         "linear_current", "saturated_current")  # fmt: skip


@dataclass(frozen=True, slots=True)
class SpecialWinding:
    """A candidate with the turns that suit it best.

    `listed` is the candidate with the listed winding from which it is made, `number` that one's number.
    `turns_factor` is turns over those of the listed winding, `turns_per_coil` whole turns, None where the
    parts do not tell those of the listed one. `torque_constant` [N m/A] is that of six-step commutation;
    `best` has the optimum with the turns factor as its value, before turns are rounded in `exact_factor`,
    and `met` the torque constants [N m/A] between which every requirement is met.
    """

    number: int
    listed: Candidate
    candidate: Candidate
    turns_factor: float
    exact_factor: float
    turns_per_coil: int | None
    torque_constant: float
    best: Optimum
    met: tuple[float, float] | None


def wound(winding: Winding, turns_factor: float, name: str = NAME) -> Winding:
    """Return a winding with so many times the turns in the same copper.

    Examples
    --------
    >>> from core.project.motor import Inductance, Resistance, TorqueConstant
    >>> listed = Winding(
    ...     name="24 V",
    ...     torque_constant=TorqueConstant(value=0.03, convention="six-step"),
    ...     resistance=Resistance(value=0.8),
    ...     inductance=Inductance(value=3e-4),
    ...     peak_current=12.0,
    ... )
    >>> twice = wound(listed, 2.0)
    >>> twice.torque_constant.value, twice.resistance.value, twice.inductance.value, twice.peak_current
    (0.06, 3.2, 0.0012, 6.0)
    """
    require_positive("turns_factor", turns_factor, "")
    turns = winding.turns_per_coil
    whole = None if turns is None else turns * turns_factor
    changes: dict[str, object] = {
        "name": name,
        "resistance": _times(winding.resistance, turns_factor**2),
        "inductance": _times(winding.inductance, turns_factor**2),
        "turns_per_coil": round(whole) if whole is not None and abs(whole - round(whole)) < 1e-6 else None,
    }
    powers = {"torque_constant": 1.0, "back_emf_constant": 1.0, "speed_constant": -1.0}
    for field, power in powers.items():
        figure = getattr(winding, field)
        changes[field] = None if figure is None else _times(figure, turns_factor**power)
    for field in _CURRENTS:
        current = getattr(winding, field)
        changes[field] = None if current is None else current / turns_factor
    return replace(winding, **changes)


def with_turns(candidate: Candidate, turns_factor: float) -> Candidate:
    """Return a candidate whose winding has so many times the turns; its motor has that winding alone."""
    motor, winding = candidate.motor, candidate.chosen_winding
    if motor is None or winding is None:
        raise AmpturnError(f"{candidate.name}: a special winding needs a listed one that it is made from")
    own = wound(winding, turns_factor, f"{NAME}, {turns_factor:.4g} times the turns of {winding.name}")
    return replace(candidate, motor=replace(motor, windings=(own,)), winding=own.name)


def six_step_constant(application: Application, candidate: Candidate) -> float | None:
    """Return the torque constant of a candidate in the ampere of six-step commutation. [N m/A]"""
    motor = motor_of(application, candidate)
    return None if motor is None else torque_constant(motor.constants, "six-step")


def winding_families(listing: Listing, choices: Choices, most: int = MOST) -> list[int]:
    """Return numbers of the best listed candidate of each family, best first.

    A family has frame, variant, commutation, electronics and transmission in common; of its windings,
    feedback and brakes the best listed ones are taken.
    """

    def family(chosen: Chosen) -> object:
        gear = chosen.transmission
        return (
            id(chosen.block),
            id(chosen.drive),
            chosen.commutation,
            None if gear is None else (gear.name, gear.ratio),
        )

    return best_of_each(listing, choices, family, most)


def special_windings(
    application: Application,
    choices: Choices,
    numbers: Sequence[int],
    torque_constants: tuple[float, float],
    measured: ImportedTrace | None = None,
) -> Iterator[SpecialWinding]:
    """Yield for each numbered candidate the winding between two torque constants that suits it best. [N m/A]

    Turns are whole where the parts tell those of the listed winding: of the two whole numbers beside the
    optimum the better one. Close the iterator to cancel.

    Raises
    ------
    InputRangeError
        If the torque constants are not two positive numbers, the smaller first.
    """
    require_range("torque constant of a special winding", *torque_constants, "N m/A")
    listed, constants, kept = [], [], []
    for number in numbers:
        candidate = choices.candidate(number)
        constant = six_step_constant(application, candidate)
        if constant is not None:
            listed.append(candidate)
            constants.append(constant)
            kept.append(number)
    ranges = [(torque_constants[0] / one, torque_constants[1] / one) for one in constants]
    found = best_values(application, lambda k, value: with_turns(listed[k], value), ranges, measured)
    for k, best in found:
        factor = _whole_turns(application, listed[k], best.value, ranges[k], measured)
        candidate = with_turns(listed[k], factor)
        yield SpecialWinding(
            number=kept[k],
            listed=listed[k],
            candidate=replace(candidate, name=_words(listed[k], candidate)),
            turns_factor=factor,
            exact_factor=best.value,
            turns_per_coil=candidate.chosen_winding.turns_per_coil if candidate.chosen_winding else None,
            torque_constant=factor * constants[k],
            best=best,
            met=None if best.met is None else (best.met[0] * constants[k], best.met[1] * constants[k]),
        )


def _whole_turns(
    application: Application,
    listed: Candidate,
    factor: float,
    ends: tuple[float, float],
    measured: ImportedTrace | None,
) -> float:
    """Return the factor of the better whole number of turns beside an optimum, within the ends if one is."""
    winding = listed.chosen_winding
    turns = None if winding is None else winding.turns_per_coil
    if turns is None:
        return factor
    beside = sorted({max(1, math.floor(turns * factor)), max(1, math.ceil(turns * factor))})
    allowed = [one for one in beside if ends[0] <= one / turns <= ends[1]] or beside
    ranked = ranks(application, [with_turns(listed, one / turns) for one in allowed], measured)
    return allowed[ranked.index(min(ranked))] / turns


def _times(figure: _Figure, factor: float) -> _Figure:
    """Return a figure that carries its convention with its value multiplied."""
    return replace(figure, value=figure.value * factor)  # type: ignore[attr-defined]


def _words(listed: Candidate, candidate: Candidate) -> str:
    """Return what a candidate is made of: the words of the listed one with the special winding."""
    return listed.name.replace(f" {listed.winding},", f" {candidate.winding},", 1)
