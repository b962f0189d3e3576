"""The heat network as a picture: nodes with their temperatures, links with the watts they carry.

The picture is a value: boxes, lines and words in a frame measured in rows of small type, for a mean over
the cycle or one of its instants. Links between the same two nodes are drawn as one line with the sum.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

import numpy as np

from core.charts.display_axis import time_words
from core.charts.heat_layout import HeatGraph, HeatLayout, Point, heat_layout
from core.charts.label_placement import Box
from core.charts.ticks import fixed_text
from core.numeric import FloatArray
from core.records import dataclass
from core.results import CandidateResult, HeatFlows, Result
from core.units import DisplayUnits, Kind

TITLE: Final = "Heat flow"
_DIGITS: Final = 3  # significant ones of the largest flow; the others have as many decimals
_NBSP: Final = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class HeatBox:
    """A node or sink: its name in lines, temperature, mean heat put in (empty at an instant).

    `share` tells how much of the rise that its limit allows is used, None without a limit.
    """

    name: tuple[str, ...]
    temp: str
    heat: str
    share: float | None
    is_sink: bool
    place: Box
    words: str


@dataclass(frozen=True, slots=True)
class HeatLine:
    """All links between two ends: the path in the direction of the flow, its width from 0 to 1, its watts.

    `law` has a title and then, for each link that it stands for, what it is and its law.
    """

    between: tuple[int, int]
    path: tuple[Point, ...]
    flows: bool
    width: float
    watts: str
    label: Box
    law: tuple[str, ...]

    @property
    def title(self) -> str:
        """What flows from where to where."""
        return self.law[0]


@dataclass(frozen=True, slots=True)
class HeatPicture:
    """A picture in a frame of `width` and `height` rows of small type, and the same in words."""

    width: float
    height: float
    boxes: tuple[HeatBox, ...]
    lines: tuple[HeatLine, ...]
    words: str


@dataclass(frozen=True, slots=True)
class _Watts:
    """Writes flows with the same decimals, so that what goes in and out of a node can be added up."""

    units: DisplayUnits
    largest: float

    @property
    def decimals(self) -> int:
        shown = abs(float(self.units.to_display(self.largest, Kind.POWER)))
        return 0 if shown <= 0.0 else max(_DIGITS - 1 - math.floor(math.log10(shown)), 0)

    @property
    def longest(self) -> int:
        """Characters of the largest flow."""
        return len(self.words(self.largest))

    def sees(self, flow: float) -> bool:
        """Return whether any digit of a flow is shown."""
        return abs(float(self.units.to_display(flow, Kind.POWER))) >= 0.5 * 10.0**-self.decimals

    def words(self, flow: float) -> str:
        """Return a flow with its unit."""
        shown = float(self.units.to_display(flow, Kind.POWER))
        number = fixed_text(shown, self.decimals) if self.sees(flow) else "0"
        return f"{number}{_NBSP}{self.units.symbol(Kind.POWER)}"


def node_limits(result: Result, candidate: CandidateResult) -> dict[str, float]:
    """Return the limit on the temperature of each node that has one, hot spot taken off. [degC]"""
    allowance = result.project.application.requirements.hot_spot_allowance
    limits: dict[str, float] = {}
    for peak in candidate.peaks:
        if peak.limit is not None:
            own = peak.limit - (allowance if peak.role == "winding" else 0.0)
            limits[peak.node] = min(own, limits.get(peak.node, own))
    return limits


def heat_picture(
    flows: HeatFlows,
    units: DisplayUnits,
    room: tuple[float, float],
    instant: float | None = None,
    limits: Mapping[str, float] | None = None,
) -> HeatPicture:
    """Return the picture of the mean over the cycle, or of the computed instant nearest to one. [s]

    It takes the room, in rows of small type, or more where it must.
    """
    at = None if instant is None else nearest_instant(flows, instant)
    pairs = _pairs(flows)
    watts = _Watts(units, largest_flow(flows))
    layout = heat_layout(HeatGraph(flows.nodes, flows.sinks, tuple(pairs)), watts.longest, room)
    temps = flows.mean_temps if at is None else flows.temps[at]
    every = np.append(temps, flows.sink_temp)
    boxes = tuple(
        _box(flows, layout, number, float(every[number]), at is None, limits or {}, watts)
        for number in range(len(every))
    )
    flow = flows.mean_flow if at is None else flows.flow[at]
    lines = tuple(
        _line(flows, layout, number, links, flow, every, watts) for number, links in enumerate(pairs.values())
    )
    when = when_words(flows, at, units)
    words = [f"{TITLE}, {when}.", *(f"{box.words}." for box in boxes), *(f"{line.title}." for line in lines)]
    return HeatPicture(layout.width, layout.height, boxes, lines, " ".join(words))


def nearest_instant(flows: HeatFlows, instant: float) -> int:
    """Return the number of the computed instant nearest to a time in the cycle."""
    return int(np.argmin(np.abs(flows.time - instant)))


def when_words(flows: HeatFlows, at: int | None, units: DisplayUnits) -> str:
    """Return for when the picture holds."""
    whole = time_words(float(flows.time[-1]), units)
    return (
        f"mean of the cycle of {whole}"
        if at is None
        else f"at {time_words(float(flows.time[at]), units)} of {whole}"
    )


def largest_flow(flows: HeatFlows) -> float:
    """Return the largest flow that any line carries at any time, the measure of their widths. [W]"""
    sums = [_sums(flows, links) for links in _pairs(flows).values()]
    return max((float(np.abs(flow).max()) for flow in sums), default=0.0)


def balance_words(flows: HeatFlows, units: DisplayUnits) -> str:
    """Return what goes into the network in the mean, by cause, and where it leaves."""
    causes = {cause: float(heat.sum()) for cause, heat in flows.heat_in.items()}
    watts = _Watts(units, largest_flow(flows))
    into = ", ".join(f"{cause} {watts.words(heat)}" for cause, heat in causes.items())
    n = len(flows.nodes)
    out = []
    for number, name in enumerate(flows.sinks, start=n):
        ends = (flows.ends == number).astype(float)
        flow = float((ends[:, 1] - ends[:, 0]) @ flows.mean_flow)
        out.append(f"{watts.words(flow)} to {name}")
    whole = watts.words(sum(causes.values()))
    return f"In the mean {whole} of heat: {into}. It leaves as {', '.join(out)}."


def _pairs(flows: HeatFlows) -> dict[tuple[int, int], list[int]]:
    """Return the numbers of the links between each two ends, the lower end first."""
    pairs: dict[tuple[int, int], list[int]] = {}
    for link, (a, b) in enumerate(flows.ends.tolist()):
        pairs.setdefault((min(a, b), max(a, b)), []).append(link)
    return pairs


def _sign(flows: HeatFlows, link: int) -> float:
    """Return +1 where a link counts from its lower end, else -1."""
    a, b = flows.ends[link]
    return 1.0 if a < b else -1.0


def _sums(flows: HeatFlows, links: list[int]) -> FloatArray:
    """Return the sum of some links at all instants, the mean last. [W]"""
    sign = np.array([_sign(flows, link) for link in links])
    return np.append(flows.flow[:, links] @ sign, flows.mean_flow[links] @ sign)


def _box(
    flows: HeatFlows,
    layout: HeatLayout,
    number: int,
    temp: float,
    mean: bool,
    limits: Mapping[str, float],
    watts: _Watts,
) -> HeatBox:
    """Return the box of a node or a sink."""
    is_sink, units = number >= len(flows.nodes), watts.units
    name = (*flows.nodes, *flows.sinks)[number]
    words = [f"{name} {units.format_quantity(temp, Kind.TEMPERATURE)}"]
    share, limit = None, None if is_sink else limits.get(name)
    coldest = float(flows.sink_temp.min())
    if limit is not None and limit > coldest:
        share = max((temp - coldest) / (limit - coldest), 0.0)
        words.append(
            f"{100.0 * share:.0f} % of the rise up to its limit of "
            f"{units.format_quantity(limit, Kind.TEMPERATURE)}"
        )
    heat = ""
    if mean and not is_sink:
        causes = {cause: float(values[number]) for cause, values in flows.heat_in.items() if values[number]}
        heat = f"heat {watts.words(sum(causes.values()))}" if causes else ""
        words += [f"{cause} {watts.words(value)}" for cause, value in causes.items()]
    return HeatBox(
        name=layout.names[number],
        temp=units.format_quantity(temp, Kind.TEMPERATURE),
        heat=heat,
        share=share,
        is_sink=is_sink,
        place=layout.boxes[number],
        words=", ".join(words),
    )


def _line(
    flows: HeatFlows,
    layout: HeatLayout,
    number: int,
    links: list[int],
    flow: FloatArray,
    every: FloatArray,
    watts: _Watts,
) -> HeatLine:
    """Return the line of all links between two ends."""
    a, b = sorted(flows.ends[links[0]].tolist())
    total = sum(_sign(flows, link) * float(flow[link]) for link in links)
    units, largest = watts.units, watts.largest
    if total < 0.0:
        a, b = b, a
    names = (*flows.nodes, *flows.sinks)
    fall = units.format_quantity(abs(float(every[a] - every[b])), Kind.TEMPERATURE_DIFFERENCE)
    law = [f"{names[a]} to {names[b]}: {units.format_quantity(abs(total), Kind.POWER)} over {fall}"]
    way = -1.0 if total < 0.0 else 1.0
    for link in links:
        words = flows.laws[link].text(units)
        if len(links) > 1:
            part = way * _sign(flows, link) * float(flow[link])
            words = f"{flows.links[link]}, {units.format_quantity(part, Kind.POWER)}: {words}"
        elif flows.links[link] != f"{names[a]} to {names[b]}":
            words = f"{flows.links[link]}: {words}"
        law.append(words)
    path = layout.paths[number]
    return HeatLine(
        between=(a, b),
        path=path if total >= 0.0 else path[::-1],
        flows=watts.sees(total),
        width=abs(total) / largest if largest > 0.0 else 0.0,
        watts=watts.words(abs(total)),
        label=layout.labels[number],
        law=tuple(law),
    )
