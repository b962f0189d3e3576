"""Find a free place for each label of a panel: beside its curve or mark, on nothing else.

Lengths are millimetres (or any length), y grows downwards. Labels are placed one after the other,
each at the cheapest of many places; what is placed becomes an obstacle for the next.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.records import dataclass

# Costs, in the order in which faults disturb a reader: leaving the panel, text on text or on a
# mark, text on a curve, text beside a foreign curve; the rest is preference.
_OUTSIDE, _ON_BOX, _ON_CURVE, _NEAR_FOREIGN = 200.0, 60.0, 3.0, 1.2
# A label that leaves the panel or covers other words by more than this share is no help to anyone.
_SLACK = 0.02
_NEXT_ANCHOR, _NEXT_SIDE = 0.6, 0.5

# Sides of the anchor, as the share of the label's size from the anchor to its top left corner.
ABOVE, BELOW = (-0.5, -1.0), (-0.5, 0.0)
RIGHT, LEFT = (0.0, -0.5), (-1.0, -0.5)
UPPER_RIGHT, UPPER_LEFT, LOWER_RIGHT, LOWER_LEFT = (0.0, -1.0), (-1.0, -1.0), (0.0, 0.0), (-1.0, 0.0)
ON = (-0.5, -0.5)
CURVE_SIDES = (ABOVE, BELOW, UPPER_RIGHT, LOWER_LEFT, UPPER_LEFT, LOWER_RIGHT, RIGHT, LEFT)
END_SIDES = (UPPER_LEFT, LOWER_LEFT, ABOVE, BELOW, UPPER_RIGHT, LOWER_RIGHT)
MARK_SIDES = (RIGHT, LOWER_RIGHT, UPPER_RIGHT, BELOW, ABOVE, LEFT, LOWER_LEFT, UPPER_LEFT)

Side = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Return the x of the right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Return the y of the lower edge."""
        return self.top + self.height

    @property
    def area(self) -> float:
        """Return width times height."""
        return self.width * self.height

    def grown(self, by: float) -> Box:
        """Return the box with every edge moved outwards."""
        return Box(self.left - by, self.top - by, self.width + 2.0 * by, self.height + 2.0 * by)

    def shared_area(self, other: Box) -> float:
        """Return the area that both cover.

        >>> Box(0.0, 0.0, 2.0, 2.0).shared_area(Box(1.0, 1.0, 5.0, 5.0))
        1.0
        """
        width = min(self.right, other.right) - max(self.left, other.left)
        height = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(0.0, width) * max(0.0, height)


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a label ended up.

    On a curve, the painter puts a plate under it. Where it is not free, it would leave the panel or
    cover a mark or other words.
    """

    box: Box
    on_curve: bool
    free: bool


class LabelPlacer:
    """Places the labels of one panel, first come, first served."""

    def __init__(self, frame: Box) -> None:
        self._frame = frame
        self._taken: list[Box] = []
        self._owners: dict[str, int] = {}
        self._samples: list[FloatArray] = []
        self._sample_owners: list[IntArray] = []

    def keep_clear(self, box: Box) -> None:
        """Make a mark an obstacle."""
        self._taken.append(box)

    def add_curve(self, owner: str, samples: FloatArray) -> None:
        """Make a curve an obstacle, as points (n, 2) close together."""
        number = self._owners.setdefault(owner, len(self._owners))
        self._samples.append(samples)
        self._sample_owners.append(np.full(len(samples), number))

    def _stacked(self) -> tuple[FloatArray, IntArray]:
        """Return the samples of all curves in one array, and to which curve each belongs."""
        if len(self._samples) > 1:
            self._samples = [np.vstack(self._samples)]
            self._sample_owners = [np.concatenate(self._sample_owners)]
        if not self._samples:
            return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
        return self._samples[0], self._sample_owners[0]

    def place(
        self,
        owner: str,
        size: tuple[float, float],
        anchors: Sequence[tuple[float, float]],
        sides: Sequence[Side] = CURVE_SIDES,
        gap: float = 0.8,
    ) -> Placed:
        """Return the cheapest place for a label of `size` at one of the anchors, and take it if free.

        Anchors and sides come in order of preference. `gap` is the distance to the anchor.
        """
        best: tuple[float, Box] | None = None
        for rank, (x, y) in enumerate(anchors):
            for turn, side in enumerate(sides):
                box = _beside(x, y, size, side, gap)
                cost = rank * _NEXT_ANCHOR + turn * _NEXT_SIDE + self._faults(box)
                # Curves only add to the cost, and looking at them takes most of the time.
                if best is not None and cost >= best[0]:
                    continue
                cost += self._curve_cost(owner, box, side == ON)
                if best is None or cost < best[0]:
                    best = (cost, box)
        if best is None:
            raise ValueError("a label needs at least one anchor and one side")
        box = best[1]
        on_curve = bool(_inside(self._stacked()[0], box).any())
        free = self._faults(box) == 0.0
        if free:
            self._taken.append(box)
        return Placed(box, on_curve, free)

    def _curve_cost(self, owner: str, box: Box, on_own: bool) -> float:
        """Return the cost of lying on curves, or close to those of others."""
        samples, owners = self._stacked()
        close = _inside(samples, box.grown(1.0))
        if not close.any():
            return 0.0
        samples, owners = samples[close], owners[close]
        own = self._owners.get(owner, -1)
        hits = np.bincount(owners[_inside(samples, box)], minlength=len(self._owners))
        cost = 0.0
        for number in np.flatnonzero(np.bincount(owners)):
            if hits[number]:
                cost += 0.0 if on_own and number == own else _ON_CURVE * (2.0 + float(hits[number]))
            elif number != own:
                cost += _NEAR_FOREIGN
        return cost

    def _faults(self, box: Box) -> float:
        """Return the cost of what makes a place unusable; 0 for a free one."""
        area = box.area
        outside = 1.0 - box.shared_area(self._frame) / area
        cost = _OUTSIDE * (0.3 + outside) if outside > _SLACK else 0.0
        left, top, right, bottom = box.left, box.top, box.right, box.bottom
        for taken in self._taken:
            # written out: this is asked thousands of times before the first picture
            if taken.left >= right or taken.top >= bottom or taken.right <= left or taken.bottom <= top:
                continue
            shared = box.shared_area(taken) / min(area, taken.area)
            if shared > _SLACK:
                cost += _ON_BOX * (0.3 + shared)
        return cost


def _beside(x: float, y: float, size: tuple[float, float], side: Side, gap: float) -> Box:
    """Return the box of a label on one side of an anchor, `gap` away from it."""
    width, height = size
    dx = {0.0: gap, -1.0: -gap}.get(side[0], 0.0)
    dy = {0.0: gap, -1.0: -gap}.get(side[1], 0.0)
    if dx and dy:
        # On a diagonal the corner already stands off; the full gap both ways would look loose.
        dx, dy = 0.7 * dx, 0.7 * dy
    return Box(x + side[0] * width + dx, y + side[1] * height + dy, width, height)


def _inside(samples: FloatArray, box: Box) -> BoolArray:
    x, y = samples[:, 0], samples[:, 1]
    inside: BoolArray = (x > box.left) & (x < box.right) & (y > box.top) & (y < box.bottom)
    return inside
