"""The picture of a heat network: nothing covers anything else, and its numbers are those of the flows."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest

from core.charts.heat_layout import CHARACTER, HeatGraph, HeatLayout, broken, heat_layout
from core.charts.heat_picture import HeatPicture, balance_words, heat_picture, nearest_instant, node_limits
from core.charts.label_placement import Box
from core.evaluate import evaluate
from core.results import HeatFlows
from core.sentences import sentence
from core.units import DisplayUnits, Kind
from tests.core.projects import project, segment

ROOM = (50.0, 13.0)  # about what the pane of the window has at 1280 x 800
AIR = ("ambient air",)
LABEL = 6

GRAPHS = {
    "one node": HeatGraph(("winding",), AIR, ((0, 1),)),
    "data sheet": HeatGraph(("winding", "housing"), AIR, ((0, 1), (1, 2))),
    "data sheet on a plate": HeatGraph(
        ("winding", "stator", "rotor"), (*AIR, "mounting plate"), ((0, 1), (1, 2), (1, 3), (2, 3), (1, 4))
    ),
    "open, from dimensions": HeatGraph(
        ("winding", "stator core", "rotor"), AIR, ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3))
    ),
    "enclosed, from dimensions": HeatGraph(
        ("winding", "stator core", "rotor", "housing"),
        AIR,
        ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3), (1, 4), (3, 4)),
    ),
    "enclosed in a box": HeatGraph(
        ("winding", "stator core", "rotor", "housing", "air in the box"),
        AIR,
        ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3), (1, 4), (3, 4), (4, 5)),
    ),
    "behind a guard, with a gear": HeatGraph(
        ("winding", "stator core", "rotor", "air behind the guard", "gear"),
        (*AIR, "mounting plate"),
        ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3), (3, 5), (1, 5), (1, 4), (4, 5), (4, 6), (1, 6)),
    ),
    "six nodes, every pair": HeatGraph(("a", "b", "c", "d", "e", "f"), AIR, tuple(combinations(range(7), 2))),
    "five nodes out of order": HeatGraph(
        ("one", "two", "three", "four", "five"), AIR, ((0, 4), (2, 4), (2, 3), (1, 3), (1, 5))
    ),
    "three sinks": HeatGraph(
        ("winding", "housing"), (*AIR, "mounting plate", "shaft"), ((0, 1), (1, 2), (1, 3), (1, 4))
    ),
}
EACH = pytest.mark.parametrize("graph", GRAPHS.values(), ids=GRAPHS.keys())


def legs(layout: HeatLayout, number: int) -> list[Box]:
    """Return the straight bits of a path as boxes without width."""
    return [
        Box(min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1]))
        for a, b in pairwise(layout.paths[number])
    ]


def touches(one: Box, other: Box) -> bool:
    """Return whether two boxes, which may be lines, have a point inside both."""
    return (
        one.left < other.right - 1e-9
        and other.left < one.right - 1e-9
        and one.top < other.bottom - 1e-9
        and other.top < one.bottom - 1e-9
    )


def fat(line: Box) -> Box:
    return line.grown(1e-6)


@EACH
def test_no_boxes_and_labels_overlap(graph: HeatGraph) -> None:
    layout = heat_layout(graph, LABEL, ROOM)
    assert len(layout.boxes) == len(graph.nodes) + len(graph.sinks)
    for one, other in combinations((*layout.boxes, *layout.labels), 2):
        assert one.shared_area(other) == 0.0
    for box in (*layout.boxes, *layout.labels):
        assert box.left >= 0.0
        assert box.top >= 0.0
        assert box.right <= layout.width
        assert box.bottom <= layout.height


@EACH
def test_lines_join_their_boxes_and_pass_through_no_other(graph: HeatGraph) -> None:
    layout = heat_layout(graph, LABEL, ROOM)
    for number, pair in enumerate(graph.pairs):
        path = layout.paths[number]
        for end, node in zip((path[0], path[-1]), pair, strict=True):
            box = layout.boxes[node]
            on_edge = box.left <= end[0] <= box.right and box.top <= end[1] <= box.bottom
            assert on_edge, (graph.nodes, pair)
        for leg in legs(layout, number):
            for box in layout.boxes:
                inside = Box(box.left + 1e-3, box.top + 1e-3, box.width - 2e-3, box.height - 2e-3)
                assert not touches(fat(leg), inside)


@EACH
def test_no_line_passes_through_the_words_of_another(graph: HeatGraph) -> None:
    layout = heat_layout(graph, LABEL, ROOM)
    for number, label in enumerate(layout.labels):
        for other in range(len(graph.pairs)):
            assert not any(touches(fat(leg), label) for leg in legs(layout, other)), (number, other)


@EACH
def test_lines_lie_on_no_other_line(graph: HeatGraph) -> None:
    """They may cross; they never run along each other."""
    layout = heat_layout(graph, LABEL, ROOM)
    for one, other in combinations(range(len(graph.pairs)), 2):
        for a in legs(layout, one):
            for b in legs(layout, other):
                along = (a.width == b.width == 0.0) or (a.height == b.height == 0.0)
                if along:
                    near = a.grown(0.2)
                    assert not touches(near, fat(b)), (graph.pairs[one], graph.pairs[other])


@EACH
def test_a_name_fits_its_box(graph: HeatGraph) -> None:
    layout = heat_layout(graph, LABEL, ROOM)
    for lines, box in zip(layout.names, layout.boxes, strict=True):
        assert max(len(line) for line in lines) * CHARACTER < box.width


def test_the_order_needs_the_fewest_detours() -> None:
    """The chain one - five - three - four - two needs no bridge when it stands in its order."""
    layout = heat_layout(GRAPHS["five nodes out of order"], LABEL, ROOM)
    assert all(len(path) == 2 for path in layout.paths)
    lefts = [box.left for box in layout.boxes[:5]]
    assert [int(k) for k in np.argsort(lefts)] == [0, 4, 2, 3, 1]


def test_four_nodes_that_all_meet_cross_once_at_most() -> None:
    layout = heat_layout(GRAPHS["enclosed, from dimensions"], LABEL, ROOM)
    crossings = sum(
        touches(fat(a), fat(b))
        for one, other in combinations(range(len(layout.paths)), 2)
        for a in legs(layout, one)
        for b in legs(layout, other)
    )
    assert crossings <= 1


def test_the_picture_is_centred_and_grows_with_its_room() -> None:
    graph = GRAPHS["data sheet"]
    small, large = heat_layout(graph, LABEL, ROOM), heat_layout(graph, LABEL, (90.0, 30.0))
    assert (small.width, small.height) == ROOM
    for layout in (small, large):
        left = min(box.left for box in layout.boxes)
        right = max(box.right for box in layout.boxes)
        assert left == pytest.approx(layout.width - right)
    tight = heat_layout(GRAPHS["six nodes, every pair"], LABEL, (10.0, 4.0))
    assert tight.width > 10.0
    assert tight.height > 4.0


def test_names_break_at_words_only() -> None:
    assert broken("air behind the guard") == ("air behind", "the guard")
    assert broken("thermoelectrical") == ("thermoelectrical",)


def flows(winding: float = 80.0) -> HeatFlows:
    """Return two nodes with two parallel links between them and one to the air; 0.1, 0.2 and 0.5 W/K."""
    ends = np.array([[0, 1], [1, 0], [1, 2]])
    housing = np.array([50.0, 55.0, 40.0])
    first = np.full(3, winding)
    flow = np.stack((0.1 * (first - housing), 0.2 * (housing - first), 0.5 * (housing - 20.0)), axis=1)
    return HeatFlows(
        nodes=("winding", "housing"),
        sinks=AIR,
        sink_temp=np.array([20.0]),
        links=("slot lining", "end windings", "housing to ambient air"),
        ends=ends,
        time=np.array([0.0, 1.0, 2.0]),
        temps=np.stack((first, housing), axis=1),
        flow=flow,
        mean_temps=np.array([winding, 50.0]),
        mean_flow=flow[0],
        heat_in={"copper": np.array([9.0, 0.0]), "core and bearing": np.array([0.0, 6.0])},
        laws=tuple(
            sentence("{g} here.", g=(g, Kind.THERMAL_CONDUCTANCE)) for g in (0.1, 0.2, 0.5)
        ),
    )  # fmt: skip


def drawn(of: HeatFlows, instant: float | None = None, **limits: float) -> HeatPicture:
    return heat_picture(of, DisplayUnits(), ROOM, instant, limits)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def test_parallel_links_are_one_line_with_their_sum_and_each_in_its_law() -> None:
    picture = drawn(flows())
    assert [plain(line.watts) for line in picture.lines] == ["9.0 W", "15.0 W"]
    law = [plain(row) for row in picture.lines[0].law]
    assert law == [
        "winding to housing: 9.00 W over 30.0 K",
        "slot lining, 3.00 W: 0.100 W/K here.",
        "end windings, 6.00 W: 0.200 W/K here.",
    ]
    assert picture.lines[1].law[1:] == (str(flows().laws[2]),)  # its name would say the title again


def test_width_grows_with_the_flow_on_one_scale_for_all_instants() -> None:
    whole = flows()
    largest = 17.5  # 0.5 W/K times 35 K at the second instant
    mean, hot = drawn(whole), drawn(whole, 1.0)
    assert [line.width for line in mean.lines] == pytest.approx([9.0 / largest, 15.0 / largest])
    assert hot.lines[1].width == pytest.approx(1.0)
    places = [line.label for line in mean.lines], [line.label for line in hot.lines]
    assert places[0] == places[1]  # no number moves a box or a line


def test_the_line_points_where_the_heat_goes() -> None:
    forth, back = drawn(flows()).lines[0], drawn(flows(winding=30.0)).lines[0]
    assert (forth.between, back.between) == ((0, 1), (1, 0))
    assert back.path == forth.path[::-1]
    assert back.title.startswith("housing to winding")
    even = drawn(flows(winding=50.0)).lines[0]
    assert not even.flows
    assert plain(even.watts) == "0 W"


def test_an_instant_shows_the_nearest_one_computed_without_mean_heat() -> None:
    assert nearest_instant(flows(), 1.4) == 1
    mean, at = drawn(flows()), drawn(flows(), 1.4)
    assert plain(at.boxes[1].temp) == "55.0 °C"
    assert [plain(box.heat) for box in mean.boxes] == ["heat 9.0 W", "heat 6.0 W", ""]
    assert {box.heat for box in at.boxes} == {""}
    assert "at 1 s of 2 s" in at.words


def test_share_of_the_limit_counts_from_the_coldest_sink() -> None:
    boxes = drawn(flows(), winding=140.0, housing=45.0).boxes
    assert boxes[0].share == pytest.approx(60.0 / 120.0)
    assert boxes[1].share == pytest.approx(30.0 / 25.0)
    assert boxes[2].share is None
    assert "50 % of the rise up to its limit of 140" in boxes[0].words


def test_the_balance_is_said_by_cause() -> None:
    words = plain(balance_words(flows(), DisplayUnits()))
    assert words == (
        "In the mean 15.0 W of heat: copper 9.0 W, core and bearing 6.0 W. "
        "It leaves as 15.0 W to ambient air."
    )


def test_numbers_are_in_the_units_of_the_reader() -> None:
    units = DisplayUnits().with_units({Kind.POWER: "mW", Kind.TEMPERATURE: "°F"})
    picture = heat_picture(flows(), units, ROOM)
    assert plain(picture.lines[0].watts) == "9000 mW"
    assert plain(picture.boxes[2].temp) == "68.0 °F"
    assert picture.lines[0].label.width >= 7 * CHARACTER


def test_a_network_without_any_flow_is_drawn() -> None:
    cold = flows()
    still = replace(cold, flow=cold.flow * 0.0, mean_flow=cold.mean_flow * 0.0, heat_in={})
    assert {plain(line.watts) for line in drawn(still).lines} == {"0 W"}


def test_limits_of_nodes_are_those_of_the_peaks_without_the_hot_spot() -> None:
    result = evaluate(project(segment(10.0, 0.02, 200.0)))
    candidate = result.candidates[0]
    limits = node_limits(result, candidate)
    winding = next(peak for peak in candidate.peaks if peak.role == "winding")
    assert winding.limit is not None
    allowance = result.project.application.requirements.hot_spot_allowance
    assert limits["winding"] == winding.limit - allowance
