"""In words: where the continuous torques of two candidates cross, and how sure that is."""

from __future__ import annotations

import numpy as np

from core.charts.display_axis import letter
from core.evaluation.torque_ratio import Crossing, TorqueRatio
from core.sentences import Sentence, joined, sentence
from core.units import Kind


def crossing_words(first: int, second: int, ratio: TorqueRatio | None) -> Sentence:
    """Return who leads in continuous torque at which speeds."""
    if ratio is None:
        return sentence("There is no continuous torque of both to compare.")
    if ratio.equal:
        return sentence("Both have the same continuous torque at every speed.")
    names = (letter(first), letter(second))
    if not ratio.crossings:
        return _no_crossing(names, ratio)
    parts: list[str | Sentence] = []
    for crossing in ratio.crossings:
        parts += ["; " if parts else "", _crossing(names, crossing, ratio.at_load)]
    return joined(*parts, ".")


def _no_crossing(names: tuple[str, str], ratio: TorqueRatio) -> Sentence:
    known = np.flatnonzero(np.isfinite(ratio.ratio))
    leads = bool(np.sum(ratio.ratio[known] - 1.0) > 0.0)
    gain = ratio.ratio[known] if leads else 1.0 / ratio.ratio[known]
    head = sentence(
        f"{names[0] if leads else names[1]} has the larger continuous torque at every speed up to {{end}}, "
        "{least} to {most} times that of the other",
        end=(float(ratio.speed[known[-1]]), Kind.SPEED),
        least=(float(gain.min()), Kind.NUMBER),
        most=(float(gain.max()), Kind.NUMBER),
    )
    if ratio.low is None or ratio.high is None:
        return joined(head, "; no uncertainty is known.")
    doubt = (ratio.low[known] <= 1.0) & (ratio.high[known] >= 1.0)
    if doubt.all():
        return joined(head, "; the uncertainty leaves that open at every speed.")
    if not doubt.any():
        return joined(head, ", beyond the uncertainty.")
    speeds = ratio.speed[known][doubt]
    where = sentence(
        "between {low} and {high}",
        low=(float(speeds[0]), Kind.SPEED),
        high=(float(speeds[-1]), Kind.SPEED),
    )
    return joined(head, "; the uncertainty leaves that open ", where, ".")


def _crossing(names: tuple[str, str], crossing: Crossing, at_load: bool) -> Sentence:
    below, above = (names[1], names[0]) if crossing.rising else names
    of = " of the load" if at_load else ""
    head = sentence(
        f"{below} has more continuous torque below {{speed}}{of}, {above} above it",
        speed=(crossing.speed, Kind.SPEED),
    )
    return joined(head, " (", _band(crossing), ")")


def _band(crossing: Crossing) -> Sentence:
    low, high = crossing.from_speed, crossing.to_speed
    if not crossing.has_band:
        return sentence("no uncertainty known")
    if low is None and high is None:
        return sentence("within the uncertainty at every speed")
    if low is None and high is not None:
        return sentence("within the uncertainty from standstill to {high}", high=(high, Kind.SPEED))
    if low is not None and high is None:
        return sentence("within the uncertainty from {low} on", low=(low, Kind.SPEED))
    assert low is not None  # both are known, see above
    assert high is not None
    return sentence(
        "within the uncertainty from {low} to {high}", low=(low, Kind.SPEED), high=(high, Kind.SPEED)
    )
