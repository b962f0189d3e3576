"""What is fitted around a motor, changed as values: nothing else moves, and what cannot be is refused."""

from __future__ import annotations

import pytest

from core.catalogue.parts_file import load_demo_parts
from core.errors import InputRangeError, ProjectFileError
from core.evaluate import evaluate
from core.physics.conventions import Commutation
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.edits import change_candidate
from core.project.feedback import Encoder
from core.project.fittings import Cable, ShaftForce
from core.project.project import Project
from tests.core.projects import project as made_project
from tests.core.projects import segment


@pytest.fixture
def project() -> Project:
    return made_project(segment(1.0, 0.05, 100.0))


def test_a_part_is_taken_and_taken_off(project: Project) -> None:
    brake = load_demo_parts().brakes[0]
    braked = part_edits.take_part(project, 0, "brake", brake)
    assert braked.candidates[0].brake is brake
    assert braked.candidates[1:] == project.candidates[1:]
    assert part_edits.take_part(braked, 0, "brake", None) == project


def test_one_figure_of_a_part_changes_alone(project: Project) -> None:
    encoder = Encoder(counts=4096)
    taken = part_edits.take_part(project, 0, "feedback", encoder)
    changed = part_edits.change_part(taken, 0, "feedback", counts=20000, at_load=True)
    feedback = changed.candidates[0].feedback
    assert feedback == Encoder(counts=20000, at_load=True)
    assert part_edits.change_part(changed, 0, "feedback", counts=4096, at_load=False) == taken


def test_a_figure_of_a_part_that_is_not_there_is_refused(project: Project) -> None:
    bare = part_edits.take_part(project, 0, "brake", None)
    with pytest.raises(ProjectFileError, match="has no brake: pick one first"):
        part_edits.change_part(bare, 0, "brake", holding_torque=1.0)
    braked = part_edits.take_part(bare, 0, "brake", part_edits.OWN_BRAKE)
    with pytest.raises(InputRangeError, match="holding_torque must be > 0"):
        part_edits.change_part(braked, 0, "brake", holding_torque=0.0)


def test_what_does_not_fit_the_open_variant_stays_with_its_reason(project: Project) -> None:
    brake = load_demo_parts().brakes[0]
    enclosed = change_candidate(project, 0, variant="enclosed")
    opened = change_candidate(part_edits.take_part(enclosed, 0, "brake", brake), 0, variant="open rotor")
    assert opened.candidates[0].brake is brake
    fitted = evaluate(opened).candidates[0].margin("fitted")
    assert fitted is not None
    assert fitted.status == "excluded"


def test_a_cable_takes_the_place_of_the_stated_resistance(project: Project) -> None:
    stated = change_candidate(project, 0, cable=None, lead_resistance=0.03)
    wired = part_edits.wire_motor(stated, 0, "section")
    assert wired.candidates[0].lead_resistance == 0.0
    longer = part_edits.change_motor_cable(wired, 0, length=7.5)
    gauged = part_edits.wire_motor(longer, 0, "gauge")
    cable = gauged.candidates[0].cable
    assert cable == Cable(length=7.5, gauge=part_edits.FIRST_GAUGE)
    assert part_edits.wire_motor(gauged, 0, "none").candidates[0].cable is None
    assert part_edits.wire_motor(stated, 0, "none") == stated  # a chosen way chosen again moves nothing


def test_no_cable_has_no_length(project: Project) -> None:
    bare = Project(candidates=(Candidate(name="one"),))
    with pytest.raises(ProjectFileError, match="there is no cable"):
        part_edits.change_motor_cable(bare, 0, length=1.0)
    uncabled = part_edits.wire_supply(project, "none")
    with pytest.raises(ProjectFileError, match="there is no cable"):
        part_edits.change_supply_cable(uncabled, length=1.0)


def test_the_cable_of_the_supply_is_given_by_section_or_gauge(project: Project) -> None:
    wired = part_edits.wire_supply(project, "gauge")
    thick = part_edits.change_supply_cable(wired, gauge=12, length=3.0)
    assert thick.application.supply.cable == Cable(length=3.0, gauge=12)
    with pytest.raises(ProjectFileError, match="gauge"):
        part_edits.change_supply_cable(wired, gauge=99)


def test_a_shaft_without_any_force_is_as_if_never_asked(project: Project) -> None:
    free = change_candidate(project, 0, shaft_force=None)
    pulled = part_edits.change_shaft_force(free, 0, radial=12.0)
    assert pulled.candidates[0].shaft_force == ShaftForce(radial=12.0)
    assert part_edits.change_shaft_force(pulled, 0, radial=0.0) == free
    with pytest.raises(InputRangeError, match="axial must be >= 0"):
        part_edits.change_shaft_force(free, 0, axial=-1.0)


@pytest.mark.parametrize("value", [2.5, -0.1, 4096.0001])
def test_a_count_has_no_fraction(value: float) -> None:
    with pytest.raises(InputRangeError, match="counts must be a whole number"):
        part_edits.whole_number("counts", value)


@pytest.mark.parametrize(("commutation", "rms"), [("sinusoidal", 0.5**0.5), ("six-step", (2.0 / 3.0) ** 0.5)])
def test_a_current_stated_as_rms_comes_back(commutation: Commutation, rms: float) -> None:
    # a sine has 1/sqrt(2) of its amplitude; a block that flows for two thirds of the time sqrt(2/3)
    assert part_edits.stated_current(10.0, commutation, as_rms=True) == pytest.approx(10.0 * rms, rel=1e-12)
    assert part_edits.current_amplitude(10.0 * rms, commutation, as_rms=True) == pytest.approx(
        10.0, rel=1e-12
    )
    assert part_edits.stated_current(10.0, commutation, as_rms=False) == 10.0
    assert part_edits.current_amplitude(10.0, commutation, as_rms=False) == 10.0


def test_a_field_may_be_called_like_an_argument() -> None:
    """The index pulse of an encoder is a field named `index`, as the number of the candidate is."""
    project = Project(candidates=(Candidate(name="A", feedback=Encoder(counts=4000)),))
    changed = part_edits.change_part(project, 0, "feedback", index=False)
    feedback = changed.candidates[0].feedback
    assert isinstance(feedback, Encoder)
    assert not feedback.index
