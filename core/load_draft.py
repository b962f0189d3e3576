"""A load while it is still being asked for: which figures a mechanism needs, and which are still lacking.

A tilt, a slope or an inclination is asked like every other figure a mechanism cannot do without, and
nothing is derived before all of them are given. What carries over from the load before keeps its
meaning: masses and friction, and the motion where the payload's coordinate stays the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from msgspec.structs import replace

from core.evaluation.load_side import physics_mechanism
from core.project import mechanism as saved
from core.project.load import Load
from core.project.mechanism import LINEAR, Mechanism
from core.records import dataclass

Place = tuple[str, ...]  # names of fields of the mechanism from the outside in

_CARRIED = ("mass", "inertia")
_ANGLES = ("axis_tilt", "zero_angle", "inclination", "slope", "friction_angle")
_MANY = 1_000_000.0  # wheels enough for any number of driven ones, while a figure is judged alone


@dataclass(frozen=True, slots=True)
class MechanismForm:
    """One way to describe a mechanism; a screw has two, by what is known of its losses."""

    words: str
    kind: type[Any]
    required: tuple[Place, ...]

    @property
    def linear(self) -> bool:
        """Whether the payload travels along a line, so that its coordinate is in metres."""
        return self.kind in LINEAR


def _form(words: str, kind: type[Any], *required: str) -> MechanismForm:
    return MechanismForm(words, kind, tuple(tuple(place.split(".")) for place in required))


FORMS: tuple[MechanismForm, ...] = (
    _form("rotary table", saved.RotaryTable, "inertia", "axis_tilt"),
    _form("arm", saved.SwingArm, "payload_mass", "lever", "arm_mass", "arm_centre", "zero_angle"),
    _form("screw, efficiency known", saved.ScrewDrive, "mass", "lead", "inclination", "efficiency"),
    _form("screw, thread friction known", saved.ScrewDrive,
          "mass", "lead", "inclination", "friction_angle", "pitch_diameter"),
    _form("belt or rack", saved.BeltDrive, "mass", "pulley_radius", "inclination"),
    _form("drum or winch", saved.DrumWinch, "mass", "drum_radius", "inclination"),
    _form("wheels", saved.WheelDrive,
          "mass", "wheel_radius", "slope", "friction.coefficient", "driven_wheels", "wheels"),
    _form("fan or flow pump", saved.FanLoad, "torque", "speed"),
    _form("displacement pump", saved.DisplacementPump, "displacement", "pressure", "efficiency"),
    _form("inertia and torque", saved.DirectRotaryLoad, "inertia", "steady_torque"),
)  # fmt: skip


def form_of(mechanism: Mechanism) -> MechanismForm:
    """Return the form in which a mechanism is described.

    Examples
    --------
    >>> form_of(saved.DrumWinch(mass=2.0, drum_radius=0.03, inclination=1.5)).words
    'drum or winch'
    """
    fitting = [form for form in FORMS if form.kind is type(mechanism)]
    by_friction = isinstance(mechanism, saved.ScrewDrive) and mechanism.efficiency is None
    return fitting[1] if by_friction else fitting[0]


@dataclass(frozen=True, slots=True)
class LoadDraft:
    """The figures given so far for a mechanism that was just chosen.

    `old` is the load it takes the place of, None where there was none.
    """

    form: MechanismForm
    old: Load | None = None
    given: Mapping[Place, float] = field(default_factory=dict)

    @property
    def lacking(self) -> tuple[Place, ...]:
        """The figures that are still needed, in the order in which they are asked."""
        return tuple(place for place in self.form.required if place not in self.given)

    def with_figure(self, place: Place, value: float | None) -> LoadDraft:
        """Return the draft with a figure given, or taken away with None.

        Raises
        ------
        InputRangeError
            If no such mechanism can have that figure.
        """
        rest = {name: figure for name, figure in self.given.items() if name != place}
        if value is None:
            return LoadDraft(self.form, self.old, rest)
        check_figure(self.form, place, value)
        return LoadDraft(self.form, self.old, {**rest, place: value})

    def load(self) -> Load:
        """Return the complete load; the draft must lack nothing.

        Raises
        ------
        InputRangeError
            If the figures contradict each other.
        """
        mechanism = _built(self.form, self.given, self._kept())
        physics_mechanism(mechanism).axis_load()
        old = self.old
        if old is None:
            return Load(mechanism=mechanism)
        if isinstance(old.mechanism, LINEAR) == self.form.linear:
            return replace(old, mechanism=mechanism)
        return Load(mechanism=mechanism, friction_range=old.friction_range)

    def _kept(self) -> dict[str, Any]:
        """Return the fields of the mechanism before that are not asked anew."""
        if self.old is None:
            return {}
        before = self.old.mechanism
        if type(before) is self.form.kind:
            names: tuple[str, ...] = before.__struct_fields__
            # the other figure of the screw's losses must go
            kept = [name for name in names if name not in ("efficiency", "friction_angle", "pitch_diameter")]
            return {name: getattr(before, name) for name in kept}
        friction = getattr(before, "friction", None)
        fits = isinstance(friction, saved.LinearFriction) == self.form.linear
        return {"friction": friction} if friction is not None and fits else {}


def draft_of(form: MechanismForm, old: Load | None) -> LoadDraft:
    """Return a draft with what carries over from the load before; angles are always asked.

    The same mechanism in its other form keeps all its figures.

    Examples
    --------
    >>> winch = Load(mechanism=saved.DrumWinch(mass=2.0, drum_radius=0.03, inclination=1.5))
    >>> draft_of(FORMS[4], winch).lacking  # a belt or rack: the mass is known
    (('pulley_radius',), ('inclination',))
    """
    if old is None:
        return LoadDraft(form)
    same = type(old.mechanism) is form.kind
    given = {}
    for place in form.required:
        name = place[0]
        value = getattr(old.mechanism, name, None) if len(place) == 1 else None
        if value is not None and (same or name in _CARRIED):
            given[place] = float(value)
    return LoadDraft(form, old, given)


def check_figure(form: MechanismForm, place: Place, value: float) -> None:
    """Refuse a figure that no such mechanism can have, whatever its other figures are."""
    neutral: dict[Place, float] = {
        name: 0.0 if name[0] in _ANGLES else _MANY if name[0] == "wheels" else 1.0 for name in form.required
    }
    if place == ("wheels",):
        neutral["driven_wheels",] = 1.0
    physics_mechanism(_built(form, {**neutral, place: value}, {})).axis_load()


def _built(form: MechanismForm, figures: Mapping[Place, float], kept: dict[str, Any]) -> Mechanism:
    fields: dict[str, Any] = dict(kept)
    for (name, *inner), value in figures.items():
        if inner:
            part = fields.get(name) or saved.LinearFriction()
            fields[name] = replace(part, **{inner[0]: value})
        else:
            fields[name] = saved.whole_number(name, value) if name in saved.COUNTS else value
    mechanism: Mechanism = form.kind(**fields)
    return mechanism
