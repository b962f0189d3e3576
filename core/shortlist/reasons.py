"""Why a candidate is out or what governs it, in words with its numbers; and why two share a place."""

from __future__ import annotations

import math
from typing import Final

from core.margin_rows import percent
from core.sentences import Sentence, joined, sentence
from core.shortlist.chunk_result import ABSENT, EXCLUDED, MISSED, NOT_CHECKED, STATUSES
from core.shortlist.listing import Listing, Reasons
from core.units import Kind

# What decides between candidates of the same smallest margin, as in `Listing.ranking`.
_NEXT: Final = (("mass", "mass", Kind.MASS), ("mean_losses", "loss", Kind.POWER))


def first_reason(listing: Listing, number: int) -> Sentence | None:
    """Return the first necessary condition that a candidate breaks, None where it breaks none."""
    return _told(listing, listing.first, number)


def governing_reason(listing: Listing, number: int) -> Sentence | None:
    """Return what governs a candidate, of that which was computed; None where nothing has a number."""
    return _told(listing, listing.governing, number)


def why(listing: Listing, number: int) -> Sentence:
    """Return the verdict on a candidate with its reasons: the first broken condition, then what governs."""
    if number in listing.refused:
        return joined(f"cannot be evaluated: {listing.refused[number]}")
    verdict = listing.verdict[number]
    first, governing = first_reason(listing, number), governing_reason(listing, number)
    told = [] if first is None else [first]
    if governing is not None and listing.first.column[number] != listing.governing.column[number]:
        told.append(joined("governing: ", governing) if told else governing)
    if verdict == NOT_CHECKED:
        told.insert(0, sentence("a required criterion is not checked"))
    if not told:
        return Sentence(STATUSES[verdict])
    return joined(told[0], *(part for one in told[1:] for part in ("; ", one)))


def tie(listing: Listing, one: int, other: int) -> Sentence | None:
    """Return why two candidates that meet the same stand as they do; None where their margins differ."""
    margins = listing.objectives["smallest_margin"]
    if listing.verdict[one] != listing.verdict[other] or margins[one] != margins[other]:
        return None
    for name, words, kind in _NEXT:
        less, more = sorted(float(listing.objectives[name][number]) for number in (one, other))
        if less < more:
            text = (
                f"the same smallest margin; first stands the one with less {words}, {{less}} against {{more}}"
            )
            return sentence(text, less=(less, kind), more=(more, kind))
    return sentence("the same smallest margin, mass and losses; they stand in the order of the parts files")


def _told(listing: Listing, reasons: Reasons, number: int) -> Sentence | None:
    column = int(reasons.column[number])
    if column == ABSENT:
        return None
    criterion = listing.criteria[column]
    demand, limit, margin, target = (
        float(reasons.numbers[name][number]) for name in ("demand", "limit", "margin", "target")
    )
    status = int(reasons.status[number])
    if status == EXCLUDED or math.isnan(demand) or math.isnan(limit):
        return joined(f"{criterion.label}: {STATUSES[status]}")
    # a reserve is a factor, and reads badly in percent
    kind = Kind.NUMBER if criterion.code == "torque_reserve" else criterion.kind
    numbers = sentence("{demand} against {limit}", demand=(demand, kind), limit=(limit, kind))
    if math.isnan(margin):
        return joined(f"{criterion.label}: ", numbers, ", missed" if status == MISSED else "")
    shown = f", margin {percent(margin, target)}, target {100.0 * target:g} %"
    return joined(f"{criterion.label}: ", numbers, shown)
