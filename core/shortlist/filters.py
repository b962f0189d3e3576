"""Which candidates of a list are looked at."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from typing import Final

import numpy as np

from core.errors import AmpturnError, UnitError
from core.numeric import BoolArray
from core.records import dataclass
from core.results import Status
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import OBJECTIVES, STATUSES
from core.shortlist.listing import Listing
from core.shortlist.pareto import pareto_set
from core.shortlist.worded import has_words
from core.units import DisplayUnits, Kind

# Objectives as they are called by people: word, name, kind of its bounds.
WORDS: Final[dict[str, tuple[str, Kind]]] = {
    "margin": ("smallest_margin", Kind.RATIO),
    "mass": ("mass", Kind.MASS),
    "length": ("length", Kind.LENGTH),
    "volume": ("volume", Kind.VOLUME),
    "inertia": ("rotor_inertia", Kind.INERTIA),
    "losses": ("mean_losses", Kind.POWER),
    "current": ("mean_supply_current", Kind.CURRENT),
    "outside": ("outside_temperature", Kind.TEMPERATURE),
}
_BOUND: Final = re.compile(r"\s*(?P<word>[a-z]+)\s*(?P<sign><=|>=|<|>|≤|≥)(?P<value>.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Filter:
    """What a candidate must be to be looked at; as it stands it lets all pass.

    `reasons` are codes of criteria that rule out or govern. `bounds` are lowest and highest value of
    objectives, both included; who lacks the number does not pass. All words of `text` must stand in the
    candidate's own, whatever their case.
    """

    verdicts: frozenset[Status] = frozenset(STATUSES)
    reasons: frozenset[str] | None = None
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    text: str = ""

    def passes(self, listing: Listing, choices: Choices) -> BoolArray:
        """Return who passes, of the candidates listed so far."""
        wanted = [STATUSES.index(status) for status in self.verdicts]
        passing: BoolArray = np.isin(listing.verdict, wanted)
        if self.reasons is not None:
            columns = [k for k, one in enumerate(listing.criteria) if one.code in self.reasons]
            passing &= np.isin(listing.reason(), columns)
        for name, (low, high) in self.bounds.items():
            if name not in OBJECTIVES:
                raise AmpturnError(f"a filter's objective must be one of {', '.join(OBJECTIVES)}, got {name}")
            values = listing.objectives[name]
            passing &= (values >= low) & (values <= high)
        if self.text.strip():
            passing &= has_words(choices, self.text)[: len(listing)]
        return passing


def bounds_of(texts: Iterable[str], units: DisplayUnits) -> dict[str, tuple[float, float]]:
    """Return bounds on objectives that are written as `mass < 0.4 kg`; several on one are taken together.

    Examples
    --------
    >>> bounds_of(["mass < 400 g", "mass >= 0.1 kg"], DisplayUnits())
    {'mass': (0.1, 0.4)}

    Raises
    ------
    AmpturnError
        If a bound is not an objective, a sign and a quantity of its kind.
    """
    found: dict[str, tuple[float, float]] = {}
    for text in texts:
        match = _BOUND.fullmatch(text)
        if match is None:
            raise AmpturnError(f"a bound is written as 'mass < 0.4 kg' or 'margin >= 10 %', got '{text}'")
        name, kind = objective_of(match["word"])
        try:
            value = units.parse(match["value"], kind)
        except UnitError as error:
            raise AmpturnError(f"bound '{text}': {error}") from error
        low, high = found.get(name, (-math.inf, math.inf))
        found[name] = (low, min(high, value)) if match["sign"][0] in "<≤" else (max(low, value), high)
    return found


def objective_of(word: str) -> tuple[str, Kind]:
    """Return the name of an objective and the kind of quantity that it is, by the word for it."""
    if word not in WORDS:
        raise AmpturnError(f"an objective must be one of {', '.join(WORDS)}, got '{word}'")
    return WORDS[word]


def pareto_of(listing: Listing, names: Sequence[str], among: BoolArray) -> BoolArray:
    """Return the Pareto set over some objectives, by their names, of some of the candidates.

    The smallest margin is the better the larger it is, all others the smaller.
    """
    better = [
        np.where(among, listing.objectives[name] * (-1.0 if name == "smallest_margin" else 1.0), np.nan)
        for name in names
    ]
    return pareto_set(*better)
