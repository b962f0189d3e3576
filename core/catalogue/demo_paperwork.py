"""Paperwork of the sample projects: an invented requirement for each, and for the winch what is ordered."""

from __future__ import annotations

from msgspec.structs import replace

from core.project.paperwork import HandOver, Paperwork, Pin
from core.project.project import Project

_PREPARED_BY = "Ampturn samples"
_REQUIREMENTS = {
    "Tide pool winch": Paperwork(
        customer="Shoreline field station (invented)",
        requirement_source="sampler requirement, sheet 4",
        revision="B",
        requirement_date="2026-02-17",
        prepared_by=_PREPARED_BY,
    ),
    "Museum turntable": Paperwork(
        customer="Museum of stone carving (invented)",
        requirement_source="letter on the turning plinth",
        revision="A",
        requirement_date="2026-01-22",
        prepared_by=_PREPARED_BY,
    ),
    "Sample carousel": Paperwork(
        customer="Laboratory workshop (invented)",
        requirement_source="carousel requirement",
        revision="C",
        requirement_date="2026-03-03",
        prepared_by=_PREPARED_BY,
    ),
}
_WINCH_PINS = tuple(
    Pin(contact=contact, signal=signal, colour=colour)
    for contact, signal, colour in (
        ("P1", "phase U", "white"),
        ("P2", "phase V", "brown"),
        ("P3", "phase W", "green"),
        ("H1", "Hall supply, 5 V", "red"),
        ("H2", "Hall ground", "black"),
        ("H3", "Hall signal 1", "yellow"),
        ("H4", "Hall signal 2", "grey"),
        ("H5", "Hall signal 3", "blue"),
    )
)
_WINCH_ORDER = HandOver(
    quantity=6,
    pins=_WINCH_PINS,
    counterpart="two housings of the same crimp family with sealed wires, on the bulkhead",
    wishes="The seal at the front shaft must stand salt spray. A drain hole at the lowest place.",
)
_WINCH_DROPPED = "Spray reaches its winding and fingers its rotor."


def with_paperwork(project: Project) -> Project:
    """Return a sample with its paperwork, unchanged where it has none."""
    paperwork = _REQUIREMENTS.get(project.application.title)
    if paperwork is None:
        return project
    candidates = project.candidates
    if project.application.title == "Tide pool winch":
        open_rotor, enclosed = candidates
        candidates = (
            replace(open_rotor, dropped_because=_WINCH_DROPPED),
            replace(enclosed, hand_over=_WINCH_ORDER),
        )
    return replace(
        project, application=replace(project.application, paperwork=paperwork), candidates=candidates
    )
