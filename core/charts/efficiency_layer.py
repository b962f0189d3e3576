"""The efficiency map as contour lines of the speed-torque plane."""

from __future__ import annotations

import numpy as np

from core.charts.chart import Map
from core.evaluation.efficiency import EfficiencyMap

_LEVELS = (0.3, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.92, 0.94, 0.96)


def efficiency_layer(efficiency: EfficiencyMap) -> Map:
    """Return the contour lines of an efficiency map, each with its per cent."""
    known = efficiency.value[np.isfinite(efficiency.value)]
    best = float(known.max()) if len(known) else 0.0
    levels = tuple(level for level in _LEVELS if level < best)
    words = tuple(f"{100.0 * level:.0f} %" for level in levels)
    return Map("efficiency", efficiency.speed, efficiency.torque, efficiency.value, levels, words)
