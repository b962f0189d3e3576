"""The ripple of the current in words: facts with their numbers, and where a choke would stand."""

from __future__ import annotations

from core.charts.display_axis import time_words
from core.margin_rows import percent
from core.results import CandidateResult
from core.ripple_results import Ripple
from core.sentences import as_text
from core.units import DisplayUnits, Kind


def ripple_facts(
    candidate: CandidateResult, ripple: Ripple, units: DisplayUnits
) -> tuple[tuple[str, str], ...]:
    """Return the facts about a ripple, a label and a value each."""
    margin = candidate.margin("current_ripple")
    facts = [
        (
            "Ripple",
            f"{units.format_quantity(ripple.peak_to_peak, Kind.CURRENT)} peak to peak{_share(ripple, units)}",
        ),
        (
            "of it rms",
            f"{units.format_quantity(ripple.rms, Kind.CURRENT)} at "
            f"{units.format_quantity(ripple.frequency, Kind.FREQUENCY)}",
        ),
        ("Its heat", _heat(ripple, units)),
    ]
    if margin is not None and margin.margin is not None:
        limit = units.format_quantity(margin.limit or 0.0, Kind.RATIO)
        target = percent(margin.target, margin.target)
        words = f"{percent(margin.margin, margin.target)} of the {limit} that may be, target {target}"
        facts.append(("Margin", words))
    facts.append(
        ("Inductance", f"{units.format_quantity(ripple.inductance, Kind.INDUCTANCE)} of the whole path")
    )
    facts.append(("Time constant", _control(ripple, units)))
    return tuple(facts)


def no_ripple_words(candidate: CandidateResult, units: DisplayUnits) -> str:
    """Return why nothing is known about the ripple."""
    margin = candidate.margin("current_ripple")
    why = "" if margin is None else as_text(margin.why, units)
    return (
        f"Ripple {margin.status}: {why}." if margin is not None and why else "There is no ripple to tell of."
    )


def choke_words(ripple: Ripple, units: DisplayUnits) -> str:
    """Return what a choke would have to be."""
    if ripple.least_choke is None:
        return "How large a choke would do is not known without a continuous current."
    if ripple.least_choke == 0.0:
        return "No choke is needed: the ripple is under its target without one."
    least = units.format_quantity(ripple.least_choke, Kind.INDUCTANCE)
    return (
        f"From {least} in each lead on (the mark) the ripple is under its target. The choke must keep its "
        "inductance at the peak current; its resistance is not counted."
    )


def _share(ripple: Ripple, units: DisplayUnits) -> str:
    if ripple.share is None or ripple.continuous_current is None:
        return ""
    share = units.format_quantity(ripple.share, Kind.RATIO)
    return f", {share} of the continuous {units.format_quantity(ripple.continuous_current, Kind.CURRENT)}"


def _heat(ripple: Ripple, units: DisplayUnits) -> str:
    if ripple.loss is None:
        return "not known without a repeating cycle"
    words = f"{units.format_quantity(ripple.loss, Kind.POWER)} in the copper"
    if ripple.winding_rise is None:
        return words
    rise = units.format_quantity(ripple.winding_rise, Kind.TEMPERATURE_DIFFERENCE)
    return f"{words}, the winding {rise} warmer"


def _control(ripple: Ripple, units: DisplayUnits) -> str:
    words = f"{time_words(ripple.time_constant, units)} electrical"
    if ripple.control_frequency is None or ripple.control_periods is None:
        return words
    frequency = units.format_quantity(ripple.control_frequency, Kind.FREQUENCY)
    periods = units.format_quantity(ripple.control_periods, Kind.NUMBER)
    return f"{words}, {periods} periods of the control at {frequency}"
