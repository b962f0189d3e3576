"""What is painted on what: every pair of ink and ground that carries meaning, and who paints it.

A test computes the contrast of each pair in both themes: 4.5 to 1 for text, 3 to 1 for marks and for the
borders of what can be typed into (World Wide Web Consortium, Web Content Accessibility Guidelines 2.1, 2018,
success criteria 1.4.3 and 1.4.11; from memory). Who reads a token has its pair here. `DECORATION` may be
missed by the eye: nothing is lost without it.
"""

from __future__ import annotations

from typing import Final, Literal

from app.theme import FILL_OPACITY, HATCH_OPACITY, WASH_OF_HATCH
from core.records import dataclass

Kind = Literal["text", "mark"]

DECORATION: Final = ("grid", "hairline", "veil")


@dataclass(frozen=True, slots=True)
class Pair:
    """An ink and its ground, by the names of their tokens; "candidates" is each of the four.

    `opacity` is that of the ink; `wash` is the opacity of an area in the same ink between it and the ground.
    """

    kind: Kind
    ink: str
    ground: str
    painters: tuple[str, ...]
    opacity: float = 1.0
    wash: float = 0.0


_HATCH_WASH = WASH_OF_HATCH * HATCH_OPACITY
_STYLE = ("theme",)
_PLOTS = ("views/plot_marks", "views/plot_axes", "chart_painter")
_HEAT = ("views/heat_canvas", "heat_painter")

PAIRS: Final = (
    # words
    Pair("text", "ink", "pane", (*_STYLE, *_PLOTS, *_HEAT, "views/margin_row", "views/ratio_view")),
    Pair("text", "ink", "pane", ("views/load_sketch", "views/plane_items", "views/wrapped_table")),
    Pair("text", "ink", "pane", ("views/shortlist_points", "table_models/shortlist_cells", "sheet/pieces")),
    Pair("text", "ink", "pane", ("inputs/fold_group", "inputs/figure_table", "help_panel")),
    Pair("text", "ink", "ground", _STYLE),
    Pair("text", "ink", "selection", (*_STYLE, "views/margin_row", "views/heat_canvas", "views/plot_axes")),
    Pair("text", "ink", "selection", ("widgets/candidate_chip", "table_models/shortlist_cells")),
    Pair("text", "ink", "hairline", _STYLE),  # a button that is pressed
    Pair("text", "ink", "caution_ground", (*_STYLE, "sheet/pieces")),
    Pair("text", "soft_ink", "pane", (*_STYLE, *_PLOTS, *_HEAT, "views/margin_row", "views/wrapped_table")),
    Pair("text", "soft_ink", "pane", ("views/load_sketch", "views/plane_items", "views/side_table")),
    Pair(
        "text", "soft_ink", "pane", ("views/shortlist_points", "table_models/shortlist_cells", "trace_plot")
    ),
    Pair(
        "text", "soft_ink", "pane", ("inputs/fold_group", "inputs/figure_table", "inputs/differences_group")
    ),
    Pair(
        "text", "soft_ink", "pane", ("widgets/candidate_chip", "help_panel", "sheet/pieces", "sheet/painter")
    ),
    Pair("text", "soft_ink", "ground", (*_STYLE, *_HEAT, "table_models/segment_model")),
    Pair(
        "text", "soft_ink", "selection", (*_STYLE, "views/margin_row", "views/heat_canvas", "chart_painter")
    ),
    Pair("text", "soft_ink", "selection", ("widgets/candidate_chip", "table_models/shortlist_cells")),
    Pair("text", "missed", "pane", (*_STYLE, "views/margin_row", "views/margin_details", "views/plot_marks")),
    Pair("text", "missed", "pane", ("bench_page", "chart_painter", "sheet/pieces", "inputs/figure_table")),
    Pair("text", "missed", "ground", _STYLE),
    Pair("text", "missed", "selection", (*_STYLE, "views/margin_row")),
    Pair("text", "missed", "caution_ground", _STYLE),
    Pair("text", "caution_ink", "pane", (*_STYLE, "views/plot_marks", "sheet/pieces")),
    Pair("text", "caution_ink", "ground", _STYLE),
    Pair("text", "caution_ink", "caution_ground", (*_STYLE, "sheet/pieces")),
    Pair("text", "focus", "pane", (*_STYLE, "views/ratio_view", "views/load_sketch")),
    Pair("text", "focus", "ground", _STYLE),
    Pair("text", "focus", "selection", _STYLE),
    Pair("text", "pane", "focus", _STYLE),  # what is selected in a field
    Pair("text", "candidates", "pane", ("views/plot_marks", "chart_painter", "views/side_table")),
    Pair("text", "candidates", "pane", ("views/margin_row", "views/margin_details")),
    Pair("text", "candidates", "selection", ("views/margin_row", "views/plot_marks", "chart_painter")),
    Pair("text", "candidates", "pane", ("views/plot_marks", "chart_painter"), wash=FILL_OPACITY),
    # lines, bars, rings and borders
    Pair("mark", "edge", "pane", (*_STYLE, "views/load_sketch", "trace_plot")),
    Pair("mark", "edge", "ground", _STYLE),
    Pair("mark", "edge", "selection", _STYLE),
    Pair("mark", "focus", "pane", (*_STYLE, "views/plot_axes", "views/plane_items", "views/heat_canvas")),
    Pair("mark", "focus", "pane", ("views/shortlist_points", "inputs/fold_group", "tour")),
    Pair("mark", "focus", "ground", (*_STYLE, "tour")),
    Pair("mark", "focus", "selection", ("views/margin_row", "views/heat_canvas", "widgets/candidate_chip")),
    Pair("mark", "focus", "caution_ground", ("views/findings_panel", "views/side_cautions")),
    Pair(
        "mark",
        "ink",
        "pane",
        ("views/heat_picture_view", "views/cycle_lanes", "views/plane_items", "widgets/marked_slider"),
    ),
    Pair("mark", "ink", "hairline", ("views/margin_row",)),
    Pair("mark", "ink", "grid", ("sheet/pieces",)),
    Pair("mark", "soft_ink", "pane", ("views/cycle_lanes", "views/plot_axes", "views/shortlist_points")),
    Pair("mark", "soft_ink", "grid", ("sheet/pieces",)),
    Pair("mark", "soft_ink", "hairline", _STYLE),  # the handle of a slider in its groove
    Pair("mark", "soft_ink", "pane", ("views/terms_table", "views/plot_marks"), HATCH_OPACITY, _HATCH_WASH),
    Pair("mark", "missed", "hairline", ("views/margin_row", *_HEAT)),
    Pair("mark", "missed", "grid", ("sheet/pieces",)),
    Pair("mark", "caution_ink", "caution_ground", ("sheet/pieces",)),
    Pair("mark", "candidates", "pane", (*_PLOTS, *_HEAT, "views/heat_picture_view", "trace_plot")),
    Pair(
        "mark", "candidates", "pane", ("views/speed_torque_plane", "widgets/candidate_mark", "sheet/pieces")
    ),
    Pair("mark", "candidates", "pane", ("views/plot_marks",), HATCH_OPACITY, _HATCH_WASH),
    Pair("mark", "candidates", "ground", ("widgets/candidate_mark",)),
    Pair("mark", "candidates", "selection", ("widgets/candidate_chip", "widgets/candidate_mark")),
    Pair("mark", "candidates", "hairline", ("views/margin_row", *_HEAT)),
)
