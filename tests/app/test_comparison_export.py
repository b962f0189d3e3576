"""Charts of a comparison on paper: hatching as strokes, names in place of numbers."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from app.chart_export import export_chart
from core.charts.bar_charts import losses_chart, peaks_chart
from core.charts.comparison_charts import continuous_torque_chart, torque_ratio_chart
from core.results import Losses
from core.units import DisplayUnits
from tests.core.compared_results import LEVEL, RISING, Given, result

UNITS = DisplayUnits()
pytestmark = pytest.mark.usefixtures("qapp")


def drawn(path: Path) -> tuple[list[str], str]:
    """Return the words of a picture and the whole of it."""
    text = path.read_text(encoding="utf-8")
    return re.findall(r">([^<>]+)</text>", text), text


def test_names_stand_at_the_bars_and_hatching_is_drawn(tmp_path: Path) -> None:
    strokes = []
    for losses in (Losses(8.0, 0.0, 0.0, 0.0, 0.0), Losses(0.0, 8.0, 0.0, 0.0, 0.0)):
        path = tmp_path / "losses.svg"
        export_chart(losses_chart(result(Given(losses=losses)), UNITS), path, (120.0, 80.0))
        words, text = drawn(path)
        assert "A" in [word.strip() for word in words], "the letter in place of a number"
        strokes.append(text.count("<polyline"))
    assert strokes[1] > strokes[0] + 10, "copper is plain, the core is hatched"


def test_peaks_torque_and_ratio_are_drawn_with_their_words(tmp_path: Path) -> None:
    of = result(Given(RISING, {"a": 0.06}), Given(LEVEL, {"b": 0.08}, kind="enclosed"))
    wanted = {
        "peaks": (peaks_chart(of, UNITS), "winding limit 155"),
        "ratio": (torque_ratio_chart(of, 0, 1, UNITS), "equal"),
        "torque": (continuous_torque_chart(of, 0, 1, UNITS), "A continuous"),
    }
    for name, (chart, label) in wanted.items():
        path = tmp_path / f"{name}.svg"
        export_chart(chart, path, (120.0, 80.0))
        assert label in [word.strip() for word in drawn(path)[0]]
