"""The look in one file: colours for light and dark, candidates, fonts, palette and stylesheet.

Views, plots and the painter in millimetres take every colour from a `Tokens` value. A change of
theme reaches widgets as Qt's own `PaletteChange` event; `current_tokens()` then tells the new one.
Labels take their type from a property: `label.setProperty("type", "title")`, and so on, see `_STYLE`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette

from core.errors import AmpturnError
from core.records import dataclass

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from core.charts.chart import Style

ThemeChoice = Literal["light", "dark", "system"]

FONT_FAMILY = "DejaVu Sans"
FONT_FILES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
FONT_FOLDER = Path(__file__).resolve().parent.parent / "assets" / "fonts"

ICON_FOLDER = FONT_FOLDER.parent / "icons"

# Points, 15 / 12 / 10.5 px at 96 dpi.
TITLE_PT, BODY_PT, SMALL_PT = 11.25, 9.0, 7.9

# Of areas in charts, of the strokes of a hatched one, and what the wash below those is of their opacity.
FILL_OPACITY, HATCH_OPACITY, WASH_OF_HATCH = 0.09, 0.85, 0.2

Dashes = tuple[float, ...]

DASHED: Dashes = (4.5, 2.5)
DOTTED: Dashes = (1.2, 1.8)


@dataclass(frozen=True, slots=True)
class CandidateLook:
    """What marks a candidate everywhere: letter, colour, dash (lengths in line widths; empty is solid)."""

    letter: str
    colour: str
    dashes: Dashes


@dataclass(frozen=True, slots=True)
class Tokens:
    """Every colour of one theme, as `#RRGGBB`."""

    name: Literal["light", "dark"]
    ground: str
    pane: str
    hairline: str
    edge: str  # the quietest line that must be seen: around what can be typed into
    ink: str
    soft_ink: str
    grid: str
    selection: str
    missed: str
    caution_ink: str
    caution_ground: str
    focus: str
    veil: str
    candidates: tuple[CandidateLook, ...]

    def colour_of(self, style: Style) -> str:
        """Return the colour of a chart style's role."""
        if style.role == "candidate":
            return self.candidates[style.candidate].colour
        return {"ink": self.ink, "soft": self.soft_ink, "missed": self.missed, "caution": self.caution_ink}[
            style.role
        ]

    def dashes_of(self, style: Style) -> Dashes:
        """Return the dash of a chart style, in line widths."""
        if style.dash == "own":
            return self.candidates[style.candidate].dashes if style.role == "candidate" else ()
        return {"solid": (), "dashed": DASHED, "dotted": DOTTED}[style.dash]


_LETTERS_AND_DASHES: tuple[tuple[str, Dashes], ...] = (
    ("A", ()),
    ("B", DASHED),
    ("C", DOTTED),
    ("D", (5.0, 1.8, 1.2, 1.8)),
)


def _candidates(*colours: str) -> tuple[CandidateLook, ...]:
    return tuple(
        CandidateLook(letter, colour, dashes)
        for (letter, dashes), colour in zip(_LETTERS_AND_DASHES, colours, strict=True)
    )


LIGHT = Tokens(
    name="light",
    ground="#F3F5F8",
    pane="#FFFFFF",
    hairline="#DCE1E8",
    edge="#7F8A99",
    ink="#18212D",
    soft_ink="#5C6878",
    grid="#EBEEF2",
    selection="#E6F0FA",
    missed="#B3261E",
    caution_ink="#8A5A00",
    caution_ground="#FFF6E0",
    focus="#006DAA",
    veil="#000000",
    candidates=_candidates("#006DAA", "#B04708", "#3A7551", "#7A5CA8"),
)
DARK = Tokens(
    name="dark",
    ground="#14181E",
    pane="#1B2129",
    hairline="#2E3742",
    edge="#707D8D",
    ink="#E6EBF1",
    soft_ink="#98A5B5",
    grid="#252D37",
    selection="#1F3040",
    missed="#FF8A80",
    caution_ink="#F2C14E",
    caution_ground="#2C2616",
    focus="#56B4E9",
    veil="#000000",
    candidates=_candidates("#56B4E9", "#F0914A", "#7CC39A", "#B79CE0"),
)

_state: dict[str, Tokens] = {}
_fonts: list[int] = []


def current_tokens() -> Tokens:
    """Return the tokens of the theme on screen; light before any theme is applied."""
    return _state.get("tokens", LIGHT)


def apply_theme(app: QApplication, choice: ThemeChoice) -> Tokens:
    """Dress the application: Fusion, our palette, one stylesheet, our font. Returns the tokens in use.

    "system" follows the desktop's hint where it gives one and stays light where it does not.
    """
    tokens = resolve_theme(app, choice)
    family = register_fonts()
    _state["tokens"] = tokens
    if app.style().name() != "fusion":  # the stylesheet covers it with a style of no name
        app.setStyle("Fusion")
    font = QFont(family)
    font.setPointSizeF(BODY_PT)
    app.setFont(font)
    app.setPalette(palette_of(tokens))
    app.setStyleSheet(stylesheet_of(tokens))
    return tokens


def resolve_theme(app: QApplication, choice: ThemeChoice) -> Tokens:
    """Return the tokens a choice stands for at this moment."""
    if choice == "system":
        return DARK if app.styleHints().colorScheme() == Qt.ColorScheme.Dark else LIGHT
    return DARK if choice == "dark" else LIGHT


def register_fonts() -> str:
    """Make the shipped typeface known to Qt and return its family name.

    The same files serve screen, tests and paper, so that a chart measures the same on every machine.
    """
    # A font registered for an application object that is gone has no family any more.
    if _fonts and all(QFontDatabase.applicationFontFamilies(number) for number in _fonts):
        return FONT_FAMILY
    _fonts.clear()
    for name in FONT_FILES:
        number = QFontDatabase.addApplicationFont(str(FONT_FOLDER / name))
        if number < 0:
            raise AmpturnError(f"font {name}: cannot be read from assets/fonts; reinstall Ampturn")
        _fonts.append(number)
    return FONT_FAMILY


def palette_of(tokens: Tokens) -> QPalette:
    """Return the Qt palette; the disabled state is the soft ink, still readable."""
    roles = QPalette.ColorRole
    colours = {
        roles.Window: tokens.ground,
        roles.Base: tokens.pane,
        roles.AlternateBase: tokens.ground,
        roles.Button: tokens.pane,
        roles.ToolTipBase: tokens.pane,
        roles.WindowText: tokens.ink,
        roles.Text: tokens.ink,
        roles.ButtonText: tokens.ink,
        roles.BrightText: tokens.missed,
        roles.ToolTipText: tokens.ink,
        roles.PlaceholderText: tokens.soft_ink,
        roles.Highlight: tokens.selection,
        roles.HighlightedText: tokens.ink,
        roles.Accent: tokens.focus,
        roles.Link: tokens.focus,
        roles.LinkVisited: tokens.soft_ink,
        roles.Light: tokens.pane,
        roles.Midlight: tokens.grid,
        roles.Mid: tokens.hairline,
        roles.Dark: tokens.hairline,
        roles.Shadow: tokens.ground,
    }
    palette = QPalette()
    for role, colour in colours.items():
        palette.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens.soft_ink))
    return palette


def stylesheet_of(tokens: Tokens) -> str:
    """Return the one stylesheet of the application."""
    words = {name: getattr(tokens, name) for name in Tokens.__dataclass_fields__ if name != "candidates"}
    words["icons"] = ICON_FOLDER.as_posix()
    sheet = _STYLE
    for name, colour in words.items():
        sheet = sheet.replace(f"@{name}@", colour)
    return sheet


# Property "type" of a label: title, group, soft, small, missed, caution, mark, differs. Property "surface" of
# a frame: pane, head, caution, selection. Property "current" of a page button: the page shown. A button with
# "link" leads somewhere; a field with "tight" stands in a narrow column, one with "heading" is a title.
_STYLE = f"""
QWidget {{ font-size: {BODY_PT}pt; }}
QLabel[type="title"] {{ font-size: {TITLE_PT}pt; font-weight: bold; }}
QLabel[type="group"] {{ font-weight: bold; }}
QLabel[type="soft"] {{ color: @soft_ink@; }}
QLabel[type="small"] {{ color: @soft_ink@; font-size: {SMALL_PT}pt; }}
QLabel[type="missed"] {{ color: @missed@; font-weight: bold; }}
QLabel[type="caution"] {{ color: @caution_ink@; }}
QLabel[type="mark"] {{ color: @caution_ink@; font-size: {SMALL_PT}pt; }}
QLabel[type="differs"] {{ font-weight: bold; }}
QFrame[surface="pane"] {{ background: @pane@; border: 1px solid @hairline@; border-radius: 6px; }}
QFrame[surface="head"] {{ background: @pane@; border: none; border-bottom: 1px solid @hairline@; }}
QFrame[surface="caution"] {{ background: @caution_ground@; border: none; border-radius: 4px; }}
QFrame[surface="selection"] {{ background: @selection@; border: none; }}
QMenuBar {{ background: @pane@; border-bottom: 1px solid @hairline@; }}
QMenuBar::item {{ padding: 4px 9px; background: transparent; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: @selection@; color: @ink@; }}
QMenu {{ background: @pane@; border: 1px solid @hairline@; }}
QMenu::item {{ padding: 4px 22px; }}
QMenu::item:disabled {{ color: @soft_ink@; }}
QLineEdit, QComboBox, QAbstractSpinBox, QPlainTextEdit {{
    background: @ground@; border: 1px solid @edge@; border-radius: 4px; padding: 2px 6px;
    selection-background-color: @focus@; selection-color: @pane@;
}}
QLineEdit:focus, QComboBox:focus, QAbstractSpinBox:focus, QPlainTextEdit:focus {{
    border: 1px solid @focus@;
}}
QLineEdit[tight="true"] {{ padding: 2px 4px; }}
QComboBox[tight="true"] {{ padding: 2px 0 2px 4px; }}
QComboBox[tight="true"]::drop-down {{ width: 14px; border: none; }}
QLineEdit[heading="true"] {{
    background: transparent; border: 1px solid transparent; font-size: {TITLE_PT}pt; font-weight: bold;
}}
QLineEdit[heading="true"]:hover {{ border: 1px solid @edge@; }}
QLineEdit[heading="true"]:focus {{ border: 1px solid @focus@; }}
QLineEdit[refused="true"] {{ border: 1px solid @missed@; }}
QComboBox::drop-down {{ border: none; width: 18px; }}
QComboBox::down-arrow, QAbstractSpinBox::down-arrow {{ image: url("@icons@/arrow_down.svg"); }}
QAbstractSpinBox::up-button, QAbstractSpinBox::down-button {{ border: none; width: 16px; }}
QAbstractSpinBox::up-arrow {{ image: url("@icons@/arrow_up.svg"); }}
QComboBox::down-arrow, QAbstractSpinBox::down-arrow {{ width: 12px; height: 12px; }}
QAbstractSpinBox::up-arrow {{ width: 12px; height: 12px; }}
QCheckBox::indicator, QRadioButton::indicator, QAbstractItemView::indicator {{
    width: 12px; height: 12px; background: @pane@; border: 1px solid @soft_ink@; border-radius: 3px;
}}
QRadioButton::indicator {{ border-radius: 7px; }}
QCheckBox::indicator:checked, QAbstractItemView::indicator:checked {{
    background: @focus@; border: 1px solid @focus@; image: url("@icons@/tick_@name@.svg");
}}
QRadioButton::indicator:checked {{ background: @pane@; border: 4px solid @focus@; width: 6px; height: 6px; }}
QCheckBox::indicator:focus, QRadioButton::indicator:unchecked:focus {{
    border: 2px solid @focus@; width: 10px; height: 10px;
}}
QCheckBox::indicator:checked:focus, QRadioButton::indicator:checked:focus {{ border-color: @ink@; }}
QSlider::groove:horizontal {{ background: @hairline@; height: 4px; border-radius: 2px; }}
QSlider::handle:horizontal {{
    background: @soft_ink@; width: 12px; margin: -4px 0; border-radius: 6px;
}}
QSlider::handle:horizontal:hover, QSlider::handle:horizontal:focus {{ background: @focus@; }}
QPushButton, QToolButton {{
    background: @pane@; border: 1px solid @hairline@; border-radius: 4px; padding: 4px 12px;
}}
QPushButton:hover, QToolButton:hover {{ background: @selection@; }}
QPushButton:pressed, QToolButton:pressed {{ background: @hairline@; }}
QPushButton:focus, QToolButton:focus {{ border: 1px solid @focus@; }}
QPushButton:disabled, QToolButton:disabled {{ color: @soft_ink@; }}
QPushButton[flat="true"] {{ background: transparent; border: 1px solid transparent; color: @soft_ink@; }}
QPushButton[flat="true"]:hover {{ color: @ink@; }}
QPushButton[flat="true"]:checked {{ color: @ink@; background: @selection@; }}
QPushButton[flat="true"]:focus {{ border: 1px solid @focus@; }}
QPushButton[tight="true"] {{ padding: 2px 10px 2px 2px; }}
QPushButton[tight="true"]::menu-indicator {{ subcontrol-position: right center; width: 9px; }}
QPushButton[link="true"] {{ text-align: left; padding: 2px 0; color: @focus@; }}
QPushButton[current="true"] {{
    color: @ink@; font-weight: bold; border-radius: 0; border-bottom: 2px solid @focus@;
}}
QAbstractItemView {{
    background: @pane@; border: 1px solid transparent; gridline-color: @grid@;
    selection-background-color: @selection@; selection-color: @ink@; outline: none;
}}
QAbstractItemView:focus {{ border: 1px solid @focus@; }}
QAbstractItemView::item:focus {{ border: 1px solid @focus@; }}
QHeaderView::section {{
    background: @pane@; color: @soft_ink@; padding: 3px 6px;
    border: none; border-bottom: 1px solid @hairline@;
}}
QTableCornerButton::section {{ background: @pane@; border: none; border-bottom: 1px solid @hairline@; }}
QScrollArea {{ border: 1px solid transparent; background: transparent; }}
QScrollArea:focus {{ border: 1px solid @focus@; }}
QScrollArea[bare="true"] {{ border: none; }}
QAbstractScrollArea::corner {{ background: transparent; border: none; }}
QScrollBar {{ background: transparent; border: none; width: 10px; height: 10px; }}
QScrollBar::handle {{ background: @hairline@; border-radius: 4px; margin: 1px; }}
QScrollBar::handle {{ min-height: 24px; min-width: 24px; }}
QScrollBar::handle:hover {{ background: @soft_ink@; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QSplitter::handle {{ background: @ground@; }}
QSplitter::handle:hover {{ background: @hairline@; }}
QProgressBar {{
    background: @pane@; border: 1px solid @hairline@; border-radius: 4px; text-align: center; height: 20px;
}}
QProgressBar::chunk {{ background: @selection@; border-radius: 3px; }}
QToolTip {{ background: @pane@; color: @ink@; border: 1px solid @hairline@; padding: 3px 6px; }}
QStatusBar {{ background: @pane@; color: @soft_ink@; border-top: 1px solid @hairline@; }}
"""
