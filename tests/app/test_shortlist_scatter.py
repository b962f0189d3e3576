"""Points of the shortlist: where they stand, who is in the Pareto set, which one a click means."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.preferences import Preferences
from app.views.shortlist_scatter import ShortlistScatter
from core.shortlist.chunk_result import EXCLUDED, MET, MISSED, OBJECTIVES
from core.shortlist.listing import Listing

MASS = np.array([0.1, 0.2, 0.3, 0.4, 0.15, np.nan])
LOSSES = np.array([9.0, 5.0, 4.0, 6.0, 1.0, 2.0])
VERDICT = np.array([MET, MET, MET, MET, MISSED, EXCLUDED])


def listing() -> Listing:
    objectives = {name: np.full(6, np.nan) for name in OBJECTIVES}
    objectives |= {
        "mass": MASS,
        "mean_losses": LOSSES,
        "smallest_margin": np.array([1, 2, 3, 4, -np.inf, 0.0]),
    }
    return Listing(criteria=(), verdict=VERDICT, governing=None, first=None, objectives=objectives)  # type: ignore[arg-type]


@pytest.fixture
def view(qtbot: QtBot) -> ShortlistScatter:
    view = ShortlistScatter(Preferences())
    qtbot.addWidget(view)
    view.resize(500, 300)
    view.show()
    view.show_listing(listing(), np.ones(6, dtype=bool))
    return view


def test_the_set_is_of_those_who_meet_all(view: ShortlistScatter) -> None:
    plot = view.plot
    assert plot._numbers.tolist() == [0, 1, 2, 3, 4]  # one has no mass
    assert plot._best.tolist() == [True, True, True, False, False]
    assert "3 in the Pareto set" in plot.accessibleDescription()


def test_more_is_better_for_margins_and_what_is_beyond_numbers_is_left_out(view: ShortlistScatter) -> None:
    view.up.setCurrentIndex(view.up.findData("smallest_margin"))
    assert view.plot._numbers.tolist() == [0, 1, 2, 3]
    assert view.plot._best.tolist() == [True, True, True, True]


def test_a_click_picks_the_nearest(view: ShortlistScatter, qtbot: QtBot) -> None:
    place = view.plot.places()[2]
    with qtbot.waitSignal(view.picked) as picked:
        QTest.mouseClick(
            view.plot, Qt.MouseButton.LeftButton, pos=QPoint(*(int(v) for v in place.round() + 3))
        )
    assert picked.args == [2]


def test_heavier_stands_further_right_and_more_loss_higher(view: ShortlistScatter) -> None:
    places = view.plot.places()
    assert np.argsort(places[:, 0]).tolist() == np.argsort(MASS[:5]).tolist()
    assert np.argsort(-places[:, 1]).tolist() == np.argsort(LOSSES[:5]).tolist()


def test_nothing_and_one_point_are_drawn(view: ShortlistScatter) -> None:
    for passing in (np.zeros(6, dtype=bool), np.arange(6) == 1):
        view.show_listing(listing(), passing)
        assert not view.grab().isNull()


def test_what_is_selected_is_marked(view: ShortlistScatter) -> None:
    before = view.plot.grab().toImage()
    view.mark([1])
    assert view.plot.grab().toImage() != before
