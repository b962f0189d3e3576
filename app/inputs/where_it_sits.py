"""Where it sits: air, mounting, and what the motor meets there."""

from __future__ import annotations

from app.inputs.place_rows import AROUND_ROWS, MOUNTING_ROWS, around_words
from app.inputs.rows import YES_NO, ChoiceRow, QuantityRow, Questions, Row
from core.project.application import Application, Site
from core.units import DisplayUnits, Kind

TITLE = "Where it sits"

_SURROUNDINGS = (
    ("dust", "Dust"),
    ("magnetic_swarf", "Magnetic swarf"),
    ("liquid", "Liquid"),
    ("reach_of_fingers", "Fingers can reach it"),
)


def _turned_round(site: Site) -> str:
    """Say that the lowest ambient stands above the highest."""
    if site.ambient is None or site.lowest_ambient is None or site.lowest_ambient <= site.ambient:
        return ""
    return "above the highest ambient: one cannot be right"


ROWS: tuple[Row, ...] = (
    QuantityRow(
        ("site", "ambient"),
        "Highest ambient",
        Kind.TEMPERATURE,
        optional=True,
        absent="missing: no temperature is checked",
    ),
    QuantityRow(
        ("site", "lowest_ambient"),
        "Lowest ambient",
        Kind.TEMPERATURE,
        optional=True,
        absent=lambda application: (
            "" if application.site.ambient is None else "assumed: cold start at the highest ambient"
        ),
        remark=lambda application: _turned_round(application.site),
    ),
    QuantityRow(("site", "altitude"), "Altitude", Kind.ALTITUDE),
    ChoiceRow(("site", "air"), "Cooled by", (("air", "air"), ("vacuum", "nothing: vacuum"))),
    *MOUNTING_ROWS,
    *AROUND_ROWS,
)
SURROUNDINGS_TITLE = "Surroundings"
SURROUNDINGS_ROWS: tuple[Row, ...] = tuple(
    ChoiceRow(("site", "surroundings", name), label, YES_NO, "unknown: not checked")
    for name, label in _SURROUNDINGS
)


def summary(application: Application, units: DisplayUnits) -> str:
    """Return the group in one line."""
    site = application.site
    ambient = (
        "ambient missing"
        if site.ambient is None
        else "ambient " + units.format_quantity(site.ambient, Kind.TEMPERATURE)
    )
    air = [] if site.altitude == 0.0 else [units.format_quantity(site.altitude, Kind.ALTITUDE) + " up"]
    air = ["vacuum"] if site.air == "vacuum" else air
    around = [] if site.around is None else [around_words(site.around)]
    answers = surroundings_summary(application, units)
    return ", ".join([ambient, *air, site.mounting.name, *around, answers])


def surroundings_summary(application: Application, _units: DisplayUnits) -> str:
    """Return what the motor meets in one line."""
    answers = application.site.surroundings
    words = [f"{label.lower()} {getattr(answers, name)}" for name, label in _SURROUNDINGS[:3]]
    return ", ".join([*words, f"fingers {answers.reach_of_fingers}"])


SITE = Questions(TITLE, "where_it_sits", "site", ROWS, summary)
SURROUNDINGS = Questions(
    SURROUNDINGS_TITLE, "surroundings", "site", SURROUNDINGS_ROWS, surroundings_summary, open_at_first=False
)
