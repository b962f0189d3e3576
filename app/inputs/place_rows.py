"""What is asked about mounting and surroundings: the way of it, and the figures of that way alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from app.inputs.rows import Binding, ChoiceRow, QuantityRow, Row, TextRow, bound_to_application
from core.project import edits
from core.project.application import Application, Site
from core.project.mounting import Box, Bracket, Guard, Mounting, Plate
from core.project.project import Project
from core.units import Kind

MOUNTING: edits.Place = ("site", "mounting")
AROUND: edits.Place = ("site", "around")

# What a way of mounting starts with: common practice for motors of this size, no source.
_STARTS: dict[str, Mounting] = {
    "as stated": Mounting(),
    "resistance": Mounting(name="thermal resistance of the project", housing_ambient_resistance=4.0),
    "plate": Mounting(name="plate of the project", plate=Plate(side=0.15, thickness=0.006)),
    "bracket": Mounting(
        name="bracket of the project", bracket=Bracket(section=1.5e-4, length=0.1, perimeter=0.07)
    ),
    "insulated": Mounting(name="flange gives no heat", insulated=True),
}
_WAYS = (
    ("as stated", "as in its data sheet"),
    ("resistance", "thermal resistance"),
    ("plate", "plate"),
    ("bracket", "bracket"),
    ("insulated", "insulated flange"),
)
_AROUND_STARTS: dict[str, Guard | Box | None] = {
    "free": None,
    "guard": Guard(open_share=0.4),
    "box": Box(width=0.3, depth=0.3, height=0.2),
}
_AROUND_WAYS = (("free", "free"), ("guard", "guarded"), ("box", "in a box"))


def way_of(mounting: Mounting) -> str:
    """Return which way of mounting is given."""
    if mounting.as_stated:
        return "as stated"
    if mounting.insulated:
        return "insulated"
    if mounting.plate is not None:
        return "plate"
    return "bracket" if mounting.bracket is not None else "resistance"


def around_way(around: Guard | Box | None) -> str:
    """Return what stands around the motor, as a word of the choice."""
    if around is None:
        return "free"
    return "guard" if isinstance(around, Guard) else "box"


def around_words(around: Guard | Box | None) -> str:
    """Return what stands around the motor in the words of the list."""
    return dict(_AROUND_WAYS)[around_way(around)]


def mounted_in(mounting: Mounting, way: str) -> Mounting:
    """Return a mounting of another way at its first figures; a name of one's own is kept."""
    start = _STARTS[way]
    names = {known.name for known in _STARTS.values()}
    return start if mounting.name in names else replace(start, name=mounting.name)


def bound_to_place(place: edits.Place) -> Binding:
    """Return how a row of this group is read and written.

    A figure of a way that is not chosen reads as not given, and writing it changes nothing.
    """
    if place == MOUNTING:
        return _bound_to_way(lambda site: way_of(site.mounting), _with_mounting)
    if place == AROUND:
        return _bound_to_way(lambda site: around_way(site.around), _with_around)
    plain = bound_to_application(place)
    if place[:2] not in (MOUNTING, AROUND):
        return plain

    def read(project: Project) -> Any:
        part: Any = project.application
        for name in place:
            part = getattr(part, name, None)
        return part

    def write(project: Project, value: Any) -> Project:
        if read(project) is None:
            return project
        if value is None:  # a resistance taken away is the mounting of the data sheet again
            return _with_mounting(project, "as stated")
        return plain.write(project, value)

    return Binding(read, write)


def _bound_to_way(way: Callable[[Site], str], write: Callable[[Project, str], Project]) -> Binding:
    def choose(project: Project, chosen: str) -> Project:
        return project if way(project.application.site) == chosen else write(project, chosen)

    return Binding(lambda project: way(project.application.site), choose)


def _with_mounting(project: Project, way: str) -> Project:
    mounting = mounted_in(project.application.site.mounting, way)
    return edits.change_application_part(project, MOUNTING, mounting)


def _with_around(project: Project, way: str) -> Project:
    return edits.change_application_part(project, AROUND, _AROUND_STARTS[way])


def _mounted(way: str) -> Callable[[Application], bool]:
    return lambda application: way_of(application.site.mounting) == way


def _stands(way: str) -> Callable[[Application], bool]:
    return lambda application: around_way(application.site.around) == way


def _mounting_row(way: str, name: str, label: str, kind: Kind) -> QuantityRow:
    return QuantityRow((*MOUNTING, way, name), label, kind, only_if=_mounted(way))


def _around_row(way: str, name: str, label: str, kind: Kind) -> QuantityRow:
    return QuantityRow((*AROUND, name), label, kind, only_if=_stands(way))


MOUNTING_ROWS: tuple[Row, ...] = (
    ChoiceRow(MOUNTING, "Way of mounting", _WAYS),
    TextRow((*MOUNTING, "name"), "Mounting"),
    QuantityRow(
        (*MOUNTING, "housing_ambient_resistance"),
        "Housing to ambient",
        Kind.THERMAL_RESISTANCE,
        optional=True,
        placeholder="data sheet",
        only_if=_mounted("resistance"),
    ),
    _mounting_row("plate", "side", "Side of the plate", Kind.LENGTH),
    _mounting_row("plate", "thickness", "Its thickness", Kind.LENGTH),
    _mounting_row("plate", "conductivity", "Its conductivity", Kind.THERMAL_CONDUCTIVITY),
    _mounting_row("plate", "emissivity", "Its emissivity", Kind.NUMBER),
    _mounting_row("plate", "joint_resistance", "Joint to the plate", Kind.JOINT_RESISTANCE),
    _mounting_row("bracket", "section", "Bracket's section", Kind.AREA),
    _mounting_row("bracket", "length", "Its length", Kind.LENGTH),
    _mounting_row("bracket", "perimeter", "Outline of section", Kind.LENGTH),
    _mounting_row("bracket", "conductivity", "Conductivity", Kind.THERMAL_CONDUCTIVITY),
    _mounting_row("bracket", "emissivity", "Emissivity", Kind.NUMBER),
    _mounting_row("bracket", "joint_resistance", "Joint to the bracket", Kind.JOINT_RESISTANCE),
)

AROUND_ROWS: tuple[Row, ...] = (
    ChoiceRow(AROUND, "Standing", _AROUND_WAYS),
    _around_row("guard", "open_share", "Guard open by", Kind.RATIO),
    _around_row("guard", "clearance", "Rotor to guard", Kind.LENGTH),
    _around_row("box", "width", "Width inside", Kind.LENGTH),
    _around_row("box", "depth", "Depth inside", Kind.LENGTH),
    _around_row("box", "height", "Height inside", Kind.LENGTH),
    _around_row("box", "wall_thickness", "Wall thickness", Kind.LENGTH),
    _around_row("box", "wall_conductivity", "Wall conductivity", Kind.THERMAL_CONDUCTIVITY),
    _around_row("box", "other_heat", "Other heat in it", Kind.POWER),
    QuantityRow(
        (*AROUND, "emissivity"),
        "Wall emissivity",
        Kind.NUMBER,
        only_if=lambda application: application.site.around is not None,
    ),
)
