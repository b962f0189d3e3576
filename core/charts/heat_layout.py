"""Where the boxes and lines of a heat network stand: from its graph alone, so that no number moves them.

The nodes stand in one row, in the order that leaves the fewest and shortest detours; a link to a neighbour
runs straight, any other one as a bridge above the row. The sink with most links, the air as a rule, lies
under the row as a rail that every node reaches straight down; other sinks end the row.

Lengths are rows of small type, x to the right and y downwards.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, pairwise, permutations
from typing import Final

from core.charts.label_placement import Box
from core.records import dataclass

Point = tuple[float, float]

CHARACTER: Final = 0.56
"""Width of an average character of small type with some air, over the height of its row. [-]"""

_LONGEST_LINE: Final = 12  # characters of a name before it is broken
_PADDING, _BAR, _BIG = 0.45, 0.5, 1.3  # around the words of a box; under them; the row of the temperature
_LEAST_GAP_AIR, _WIDEST_GAP = 0.9, 16.0  # beside a label between two boxes; between two boxes
_STEP, _FEET = 1.7, 0.9  # from bridge to bridge; from the lowest bridge to the boxes
_DROP, _DEEPEST_DROP, _RAIL = 2.6, 4.2, 1.7  # from the boxes to the rail; height of the rail
_EDGE: Final = 0.8
_ABOVE, _BESIDE = 0.95, 1.0  # from a line to the middle of the label above it, to that on its right
_MOST_ORDERED: Final = 7  # nodes; more stand as they come


@dataclass(frozen=True, slots=True)
class HeatGraph:
    """Names of nodes and sinks and the pairs that are linked, each once, the lower number first;
    sinks are numbered behind nodes."""

    nodes: tuple[str, ...]
    sinks: tuple[str, ...]
    pairs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class HeatLayout:
    """Places in a frame of `width` and `height`: a box for each node and sink, a path and a label a pair.

    `names` are the names of nodes and sinks as broken into lines. A path begins at the first of its pair.
    """

    width: float
    height: float
    names: tuple[tuple[str, ...], ...]
    boxes: tuple[Box, ...]
    paths: tuple[tuple[Point, ...], ...]
    labels: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class _Bridge:
    """A pair that is no neighbour in the row: places of its ends there, and its storey from 1."""

    pair: int
    left: int
    right: int
    storey: int


@lru_cache(maxsize=64)
def heat_layout(graph: HeatGraph, label_length: int, room: tuple[float, float]) -> HeatLayout:
    """Return the layout of a graph with labels of so many characters in a room; larger where it must be."""
    rail = _rail(graph)
    order = _order(graph, rail)
    place = {number: k for k, number in enumerate(order)}
    bridges = _bridges(graph, place)
    return _Builder(graph, label_length, room, order, rail, bridges).layout()


def broken(name: str) -> tuple[str, ...]:
    """Return a name in lines of at most twelve characters where its words allow it.

    >>> broken("air behind the guard")
    ('air behind', 'the guard')
    """
    lines: list[str] = []
    for word in name.split():
        if lines and len(lines[-1]) + 1 + len(word) <= _LONGEST_LINE:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return tuple(lines) or ("",)


def _rail(graph: HeatGraph) -> int:
    """Return the sink that lies under the row: that with most links, the first of equals."""
    n = len(graph.nodes)
    sinks = range(n, n + len(graph.sinks))
    return max(sinks, key=lambda sink: sum(sink in pair for pair in graph.pairs))


def _order(graph: HeatGraph, rail: int) -> tuple[int, ...]:
    """Return nodes and sinks of the row from left to right."""
    n = len(graph.nodes)
    tail = tuple(sink for sink in range(n, n + len(graph.sinks)) if sink != rail)
    if n > _MOST_ORDERED:
        return (*range(n), *tail)
    within = [pair for pair in graph.pairs if rail not in pair]

    def cost(heads: tuple[int, ...]) -> int:
        place = {number: k for k, number in enumerate((*heads, *tail))}
        spans = [(min(place[a], place[b]), max(place[a], place[b])) for a, b in within]
        far = [span for span in spans if span[1] - span[0] > 1]
        crossings = sum(a < c < b < d or c < a < d < b for (a, b), (c, d) in combinations(far, 2))
        return sum(b - a for a, b in far) + 2 * crossings

    # of equals the first in the order of the numbers: the winding comes first and stays on the left
    return (*min(permutations(range(n)), key=cost), *tail)


def _bridges(graph: HeatGraph, place: dict[int, int]) -> tuple[_Bridge, ...]:
    """Return the pairs that need a bridge; one that spans another is a storey higher."""
    spans = []
    for pair, (a, b) in enumerate(graph.pairs):
        if a in place and b in place and abs(place[a] - place[b]) > 1:
            spans.append((min(place[a], place[b]), max(place[a], place[b]), pair))
    built: list[_Bridge] = []
    for left, right, pair in sorted(spans, key=lambda span: (span[1] - span[0], span)):
        below = [b.storey for b in built if b.left < right and left < b.right]
        built.append(_Bridge(pair, left, right, 1 + max(below, default=0)))
    return tuple(built)


class _Builder:
    """Gives every box, path and label its place, from top to bottom."""

    def __init__(
        self,
        graph: HeatGraph,
        label_length: int,
        room: tuple[float, float],
        order: tuple[int, ...],
        rail: int,
        bridges: tuple[_Bridge, ...],
    ) -> None:
        self._graph, self._order, self._rail, self._bridges = graph, order, rail, bridges
        self._label = label_length * CHARACTER
        self._place = {number: k for k, number in enumerate(order)}
        self._names = tuple(broken(name) for name in (*graph.nodes, *graph.sinks))
        self._across(room[0])
        self._down(room[1])

    def _across(self, room: float) -> None:
        count = len(self._order)
        lines = [line for number in self._order for line in self._names[number]]
        longest = max(self._label + 5.0 * CHARACTER, *(len(line) * CHARACTER for line in lines))
        self._box_width = longest + 2.0 * _PADDING
        least = self._label + _LEAST_GAP_AIR
        # the label beside the last box's way down may reach beyond the box
        edge = max(_EDGE, _BESIDE + self._label - 0.5 * self._box_width + 0.1)
        free = room - 2.0 * edge - count * self._box_width
        self._gap = min(max(free / max(count - 1, 1), least), _WIDEST_GAP)
        row = count * self._box_width + (count - 1) * self._gap
        self._width = max(room, row + 2.0 * edge)
        self._left = 0.5 * (self._width - row)
        self._row_width = row

    def _down(self, room: float) -> None:
        storeys = max((bridge.storey for bridge in self._bridges), default=0)
        most_lines = max(len(self._names[number]) for number in self._order)
        self._box_height = most_lines + _BIG + 1.0 + _BAR + 2.0 * _PADDING
        bridges = _ABOVE + 0.5 + (storeys - 1) * _STEP + _FEET if storeys else 0.0
        least = bridges + self._box_height + _DROP + _RAIL + 2.0 * _EDGE
        self._drop = _DROP + min(max(room - least, 0.0), _DEEPEST_DROP - _DROP)
        self._height = max(room, least)
        used = least + self._drop - _DROP
        self._top = 0.5 * (self._height - used) + _EDGE + bridges
        self._lowest_bridge = self._top - _FEET

    def _box(self, number: int) -> Box:
        if number == self._rail:
            top = self._top + self._box_height + self._drop
            return Box(self._left, top, self._row_width, _RAIL)
        left = self._left + self._place[number] * (self._box_width + self._gap)
        return Box(left, self._top, self._box_width, self._box_height)

    def layout(self) -> HeatLayout:
        """Return all places."""
        bridge_of = {bridge.pair: bridge for bridge in self._bridges}
        paths: list[tuple[Point, ...]] = []
        for pair, (a, b) in enumerate(self._graph.pairs):
            if pair in bridge_of:
                path = self._bridge(bridge_of[pair])
                paths.append(path if self._place[a] < self._place[b] else path[::-1])
            elif b == self._rail:  # a pair has its node before its sink
                paths.append(self._fall(a))
            else:
                paths.append(self._straight(a, b))
        labels = tuple(self._label_of(k, paths, k in bridge_of) for k in range(len(paths)))
        numbers = range(len(self._names))
        boxes = tuple(self._box(number) for number in numbers)
        return HeatLayout(self._width, self._height, self._names, boxes, tuple(paths), labels)

    def _straight(self, a: int, b: int) -> tuple[Point, ...]:
        one, other = self._box(a), self._box(b)
        y = one.top + 0.5 * one.height
        return (
            ((one.right, y), (other.left, y)) if one.left < other.left else ((one.left, y), (other.right, y))
        )

    def _fall(self, node: int) -> tuple[Point, ...]:
        box = self._box(node)
        x = box.left + 0.5 * box.width
        return (x, box.bottom), (x, self._box(self._rail).top)

    def _bridge(self, bridge: _Bridge) -> tuple[Point, ...]:
        y = self._lowest_bridge - (bridge.storey - 1) * _STEP
        left, right = self._port(bridge, bridge.left), self._port(bridge, bridge.right)
        return (left, self._top), (left, y), (right, y), (right, self._top)

    def _port(self, bridge: _Bridge, place: int) -> float:
        """Return where a bridge stands on a box: the lower ones outside, so that legs do not cross them."""
        leftward = sorted((b for b in self._bridges if b.right == place), key=lambda b: b.storey)
        rightward = sorted((b for b in self._bridges if b.left == place), key=lambda b: -b.storey)
        ports = [*leftward, *rightward]
        left = self._left + place * (self._box_width + self._gap)
        return left + self._box_width * (ports.index(bridge) + 1) / (len(ports) + 1)

    def _label_of(self, pair: int, paths: list[tuple[Point, ...]], bridge: bool) -> Box:
        path = paths[pair]
        if self._rail in self._graph.pairs[pair]:
            (x, start), (_, end) = path
            return Box(x + _BESIDE, 0.5 * (start + end) - 0.6, self._label, 1.0)
        y = path[1][1] if bridge else path[0][1]
        ends = (path[1][0], path[2][0]) if bridge else (path[0][0], path[1][0])
        top = y - _ABOVE - 0.5
        middle = self._clear_middle(min(ends), max(ends), top, pair, paths) if bridge else 0.5 * sum(ends)
        return Box(middle - 0.5 * self._label, top, self._label, 1.0)

    def _clear_middle(
        self, left: float, right: float, top: float, pair: int, paths: list[tuple[Point, ...]]
    ) -> float:
        """Return the middle of the widest part of a bridge through which no leg of another passes."""
        legs = [
            x
            for bridge in self._bridges
            if bridge.pair != pair and paths[bridge.pair][1][1] < top + 1.0
            for x in (paths[bridge.pair][1][0], paths[bridge.pair][2][0])
        ]
        marks = sorted({left, right, *(x for x in legs if left < x < right)})
        start, end = max(pairwise(marks), key=lambda span: (round(span[1] - span[0], 6), -span[0]))
        return 0.5 * (start + end)
