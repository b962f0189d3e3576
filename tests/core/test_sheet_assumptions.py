"""Who set an input, and what each number of the project measures."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import pytest
from msgspec.structs import replace

from core.project.application import Application, Site, Targets
from core.project.candidate import Candidate
from core.project.feedback import MotionQuality
from core.project.fittings import Cable
from core.project.load import Load
from core.project.mechanism import BeltDrive, LinearFriction, RotaryFriction, RotaryTable
from core.project.motion import MotionLimits
from core.project.motor import Motor
from core.project.mounting import Plate
from core.project.project import Project
from core.project.saved import Saved, unit_of_key
from core.sentences import as_text
from core.sheet.assumptions import Assumption, inputs, of_application, of_candidate
from core.sheet.field_kinds import in_si, kind_of_field, unit_of_field
from core.sheet.subject import Subject
from core.units import Kind
from tests.core.projects import candidate, project, segment
from tests.core.sheets import UNITS, evaluated_sample


def named(found: Iterator[Assumption] | tuple[Assumption, ...], name: str) -> Assumption:
    return next(one for one in found if one.name == name)


def shown(one: Assumption) -> str:
    return as_text(one.value, UNITS).replace("\N{NO-BREAK SPACE}", " ")


def test_a_value_that_differs_from_the_default_was_entered() -> None:
    application = Application(site=Site(ambient=40.0, altitude=1800.0))
    assert named(of_application(application), "Altitude").set_by == "person"
    assert shown(named(of_application(application), "Altitude")) == "1800 m"
    assert named(of_application(Application()), "Altitude").set_by == "default"


def test_targets_read_in_percent() -> None:
    target = named(of_application(Application()), "Targets, torque reserve")
    assert shown(target) == "15.0 %"
    assert target.set_by == "default"


def test_a_part_with_an_origin_is_told_by_its_parts_file() -> None:
    figures = named(of_candidate(candidate()), "Figures of the motor")
    assert figures.set_by == "parts"
    motor = candidate().motor
    assert motor is not None
    assert figures.source == motor.origin
    typed = candidate(motor=replace(motor, origin=""))
    assert named(of_candidate(typed), "Figures of the motor").set_by == "person"


def test_what_the_parts_do_not_state_is_a_default() -> None:
    groups = {
        one.name: one for one in of_candidate(candidate()) if one.group == "Not stated for the electronics"
    }
    assert groups["Device drop"].set_by == "default"
    assert "On resistance" not in groups  # the test electronics state it


def test_a_cable_takes_the_place_of_the_resistance_of_the_leads() -> None:
    cabled = candidate(lead_resistance=0.0, cable=Cable(length=2.0, section=0.75))
    names = {one.name for one in of_candidate(cabled)}
    assert "Lead resistance" not in names
    assert shown(named(of_candidate(cabled), "Cable, section")) == "0.750 mm²"


def test_findings_that_assume_something_are_told_by_the_method() -> None:
    whole, result = evaluated_sample("tide_pool_winch")
    found = inputs(Subject(whole, result, UNITS))
    told = {as_text(one.value, UNITS) for one in found if one.set_by == "method"}
    wanted = {
        as_text(finding.text, UNITS)
        for one in result.candidates
        for finding in one.findings
        if finding.severity == "assumed"
    }
    assert told == wanted


def test_what_holds_for_all_candidates_is_said_once() -> None:
    whole, result = evaluated_sample("tide_pool_winch")
    found = inputs(Subject(whole, result, UNITS))
    assert [one.candidates for one in found if one.name == "Commutation"] == [()]
    assert [one.candidates for one in found if one.name == "Variant"] == [(0,), (1,)]


@pytest.mark.parametrize(
    ("mechanism", "name", "kind"),
    [
        (BeltDrive(mass=1.0, pulley_radius=0.02, inclination=0.0), "Limits, speed", Kind.LINEAR_SPEED),
        (RotaryTable(inertia=1.0, axis_tilt=0.0), "Limits, speed", Kind.SPEED),
        (BeltDrive(mass=1.0, pulley_radius=0.02, inclination=0.0), "Start position", Kind.LENGTH),
        (RotaryTable(inertia=1.0, axis_tilt=0.0), "Start position", Kind.ANGLE),
        (RotaryTable(inertia=1.0, axis_tilt=0.0), "Limits, jerk", Kind.ANGULAR_JERK),
    ],
)
def test_a_payload_travels_or_turns(mechanism: BeltDrive | RotaryTable, name: str, kind: Kind) -> None:
    limits = MotionLimits(speed=0.6, acceleration=1.0, jerk=5.0)
    load = Load(mechanism=mechanism, limits=limits, start_position=0.1)
    one = named(of_application(Application(load=load, duty_from="load")), name)
    assert not isinstance(one.value, str)
    assert one.value.values[0][2] is kind


def fields_with_units() -> list[tuple[type[Saved], str, str]]:
    """Return the fields of the project whose key ends in a unit."""
    found = []
    seen: set[type[Saved]] = {Project, Application, Candidate, Motor, Load}
    pending: list[type[Saved]] = list(Saved.__subclasses__())
    while pending:
        part = pending.pop()
        pending += part.__subclasses__()
        seen.add(part)
    for kind in sorted(seen, key=lambda one: one.__name__):
        for field in msgspec.structs.fields(kind):
            if unit_of_key(field.encode_name) or field.encode_name.endswith(("_rad", "_Pa", "_m3", "_kg_m3")):
                found.append((kind, field.name, field.encode_name))
    return found


def test_every_number_with_a_unit_in_its_key_has_a_kind() -> None:
    part = Plate(side=0.1, thickness=0.002)
    fields = fields_with_units()
    assert len(fields) > 100
    for _, name, key in fields:
        assert kind_of_field(part, name, key, True) is not None or unit_of_field(key), (name, key)


@pytest.mark.parametrize(
    ("part", "name", "key", "kind"),
    [
        (LinearFriction(), "viscous", "viscous_N_s_per_m", Kind.LINEAR_VISCOUS_FRICTION),
        (RotaryFriction(), "viscous", "viscous_Nm_s_per_rad", Kind.VISCOUS_FRICTION),
        (Load(mechanism=BeltDrive(mass=1.0, pulley_radius=0.02, inclination=0.0)), "coupling_stiffness",
         "coupling_stiffness_Nm_per_rad", Kind.TORSIONAL_STIFFNESS),
        (Cable(length=1.0, section=0.5), "section", "section_mm2", Kind.AREA),
        (Targets(), "peak", "peak", Kind.RATIO),
        (MotionQuality(), "edges_per_bandwidth", "edges_per_bandwidth", None),
        (LinearFriction(), "coefficient", "coefficient", None),
    ],
)  # fmt: skip
def test_the_longest_ending_of_a_key_decides(part: Saved, name: str, key: str, kind: Kind | None) -> None:
    assert kind_of_field(part, name, key, True) is kind


def test_a_cross_section_is_saved_in_square_millimetres() -> None:
    assert in_si(0.75, "section_mm2") == pytest.approx(0.75e-6)
    assert in_si(0.75, "length_m") == 0.75


def test_no_input_is_told_without_words_or_twice() -> None:
    whole = project(segment(1.0, 0.02, 100.0))
    for one in (*of_application(whole.application), *of_candidate(whole.candidates[0])):
        assert one.name[0].isupper()
        assert "_" not in one.name
        assert shown(one)
    names = [(one.group, one.name) for one in of_application(whole.application)]
    assert len(names) == len(set(names))
