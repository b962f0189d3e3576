"""The theme: every pair of ink and ground is readable, in both themes, by computation."""

from __future__ import annotations

import re

import pytest
from PySide6.QtGui import QFontInfo, QFontMetricsF, QPalette, QPixmap, QRawFont
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from app.theme import (
    DARK,
    FONT_FAMILY,
    FONT_FILES,
    FONT_FOLDER,
    LIGHT,
    ThemeChoice,
    Tokens,
    apply_theme,
    current_tokens,
    register_fonts,
    stylesheet_of,
)
from core.charts.chart import Style
from tests.app.contrasts import contrast


def test_the_contrast_formula_at_its_ends() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
class TestContrast:
    def test_body_text(self, tokens: Tokens) -> None:
        pairs = {
            (ink, ground): contrast(getattr(tokens, ink), getattr(tokens, ground))
            for ink, grounds in {
                "ink": ("pane", "ground", "selection", "caution_ground"),
                "soft_ink": ("pane", "ground", "selection"),
                "missed": ("pane", "ground", "selection"),
                "caution_ink": ("caution_ground", "pane"),
                "focus": ("pane",),
            }.items()
            for ground in grounds
        }
        assert {pair: ratio for pair, ratio in pairs.items() if ratio < 4.5} == {}

    def test_candidates_as_curves_and_as_labels(self, tokens: Tokens) -> None:
        curves = {
            (look.letter, ground): contrast(look.colour, getattr(tokens, ground))
            for look in tokens.candidates
            for ground in ("pane", "ground", "selection")
        }
        assert {pair: ratio for pair, ratio in curves.items() if ratio < 3.0} == {}
        labels = {look.letter: contrast(look.colour, tokens.pane) for look in tokens.candidates}
        assert {letter: ratio for letter, ratio in labels.items() if ratio < 4.5} == {}

    def test_the_focus_ring_is_seen_on_every_ground(self, tokens: Tokens) -> None:
        for ground in (tokens.pane, tokens.ground, tokens.selection):
            assert contrast(tokens.focus, ground) >= 3.0

    def test_candidates_differ_by_dash_as_well(self, tokens: Tokens) -> None:
        assert len({look.dashes for look in tokens.candidates}) == len(tokens.candidates) == 4
        assert len({look.colour for look in tokens.candidates}) == 4

    def test_every_word_of_the_stylesheet_is_a_colour(self, tokens: Tokens) -> None:
        assert "@" not in stylesheet_of(tokens)


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_every_picture_of_the_stylesheet_can_be_drawn(qapp: QApplication, tokens: Tokens) -> None:
    paths = re.findall(r'url\("([^"]+)"\)', stylesheet_of(tokens))
    assert len(paths) >= 3
    assert [path for path in paths if QPixmap(path).isNull()] == []


def test_roles_and_dashes() -> None:
    assert LIGHT.colour_of(Style("candidate", 1)) == "#B04708"
    assert LIGHT.colour_of(Style("missed")) == "#B3261E"
    assert LIGHT.dashes_of(Style("ink")) == ()
    assert LIGHT.dashes_of(Style("candidate", 1)) == LIGHT.candidates[1].dashes != ()
    assert LIGHT.dashes_of(Style("candidate", 1, dash="solid")) == ()


@pytest.mark.parametrize(("choice", "tokens"), [("dark", DARK), ("light", LIGHT)])
def test_a_theme_reaches_the_widgets(
    qapp: QApplication, qtbot: QtBot, choice: ThemeChoice, tokens: Tokens
) -> None:
    label = QLabel("torque")
    qtbot.addWidget(label)
    assert apply_theme(qapp, choice) is tokens is current_tokens()
    label.ensurePolished()
    assert label.palette().color(QPalette.ColorRole.WindowText).name().upper() == tokens.ink
    assert qapp.palette().color(QPalette.ColorRole.Window).name().upper() == tokens.ground
    assert QFontInfo(label.font()).family() == FONT_FAMILY
    label.setProperty("type", "title")
    label.style().polish(label)
    assert label.font().pointSizeF() == pytest.approx(11.25)
    assert label.font().bold()


def test_the_system_choice_is_one_of_the_two(qapp: QApplication) -> None:
    assert apply_theme(qapp, "system") in (LIGHT, DARK)
    apply_theme(qapp, "light")


def test_the_shipped_font_has_every_sign_we_print(qapp: QApplication) -> None:
    assert register_fonts() == FONT_FAMILY
    for name in FONT_FILES:
        raw = QRawFont(str(FONT_FOLDER / name), 12.0)
        missing = [sign for sign in "mN·mΩµη°²³≤≥−×±√→ΔΣ∞–" if not raw.supportsCharacter(ord(sign))]
        assert missing == [], name


def test_figures_are_tabular(qapp: QApplication) -> None:
    apply_theme(qapp, "light")
    metrics = QFontMetricsF(qapp.font())
    assert len({metrics.horizontalAdvance(figure) for figure in "0123456789"}) == 1
