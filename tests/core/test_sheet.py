"""The sheet as a whole: every section is there, texts stay texts, and no project breaks it."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.what_helps import what_helps
from core.project.application import Application, Site, Supply
from core.project.candidate import Candidate
from core.project.edits import change_candidate, choose_candidate
from core.project.paperwork import HandOver, Paperwork, Pin
from core.project.paperwork_edits import change_hand_over, change_paperwork
from core.project.project import Project
from core.project.project_file import encode_project
from core.sentences import as_text
from core.sheet.blocks import (
    Bullets,
    Cell,
    Drawing,
    Facts,
    FlowOfHeat,
    Paragraph,
    Picture,
    Sheet,
    Table,
    Warned,
    Words,
    flat,
)
from core.sheet.notice_lists import DEFERENCE
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits, Kind
from tests.core.projects import candidate, project, random_duty
from tests.core.projects import segment as piece
from tests.core.sheets import DAY, SAMPLES, UNITS, evaluated_sample, sample_sheet, section, sheet, text_of

ALWAYS = (
    "What is asked", "What moves", "Duty cycle at the motor shaft", "The candidates",
    "Speed-torque plane and cycle", "Temperatures", "Losses", "Margins, smallest first", "Findings",
    "Cautions", "Uncertainty", "Supply and braking", "Windings of the frame", "Feedback",
    "Brake and shaft", "Faults",
    "Inputs and who set them", "Hand-over list for the supplier",
    "Settings for the electronics", "Checks still to be done", "Methods and their sources",
    "How to get these numbers again", "Equations of the margins", "Figures of the motors",
    "Notes on the calculation",
)  # fmt: skip
OF_SEVERAL = ("Side by side", "Candidates not taken, and why", "All rows side by side")
# the trace takes seconds for its uncertainty; its sheet is looked at once below
QUICK = [path.stem for path in SAMPLES if "measured" not in path.stem]


def words_of(made: Sheet) -> list[Words]:
    """Return every text of a sheet."""
    found: list[Words] = [made.title, made.running, made.answer.text]
    found += [words for pair in made.head.pairs for words in pair]
    found += [words for block in flat(made.decision) for words in words_of_block(block)]
    for part in made.sections:
        found.append(part.title)
        for block in flat(part.blocks):
            found += words_of_block(block)
    return found


def words_of_block(block: object) -> Sequence[Words]:
    if isinstance(block, Paragraph):
        return [block.text]
    if isinstance(block, Bullets):
        return block.entries
    if isinstance(block, Facts):
        return [words for pair in block.pairs for words in pair]
    if isinstance(block, Table):
        cells = [cell.text for row in block.rows for cell in row]
        heads = [column.head for column in block.columns]
        return [block.caption, *heads, *cells, *(words for _, words in block.groups)]
    if isinstance(block, Picture):
        return [block.caption, block.chart.summary, block.chart.headline]
    if isinstance(block, Drawing):
        return [block.caption, block.sketch.description]
    if isinstance(block, FlowOfHeat):
        return [block.caption]
    assert isinstance(block, Warned)
    return [block.title, block.text]


def require_sound(made: Sheet) -> None:
    """Require that no text shows a hole of the program, and that tables fit their heads."""
    for words in words_of(made):
        text = as_text(words, UNITS)
        assert not re.search(r"\b(None(?! of )|nan|inf|Sentence|Kind|object at)\b|[{}]|\[\]|\(\)", text), text
        assert "  " not in text.strip(), text
    for part in made.sections:
        assert part.blocks, part.title
        for block in flat(part.blocks):
            if isinstance(block, Table):
                assert block.rows, (part.title, as_text(block.caption, UNITS))
                assert all(len(row) == len(block.columns) for row in block.rows)


@pytest.mark.parametrize("name", QUICK)
def test_every_sample_has_every_section_and_no_hole(name: str) -> None:
    made = sample_sheet(name)
    titles = [part.title for part in made.sections]
    assert set(titles) == {*ALWAYS, *OF_SEVERAL}
    assert len(titles) == len(set(titles))
    require_sound(made)


def test_the_trace_has_a_sheet() -> None:
    made = sample_sheet("greenhouse_cart_measured")
    require_sound(made)
    text = text_of(made)
    assert "greenhouse_cart_trace.csv" in text
    assert "The trace repeats, and counts as one segment." in text


def incomplete() -> dict[str, Project]:
    """Return projects that lack something, by what they lack."""
    whole = project(piece(1.0, 0.03, 200.0))
    motor = candidate().motor
    assert motor is not None
    bare = replace(motor, windings=(replace(motor.windings[0], peak_current=None),))
    no_heat = replace(motor, variants=tuple(replace(one, heat=None) for one in motor.variants))
    return {
        "everything": Project(),
        "duty": project(),
        "candidates": replace(whole, candidates=()),
        "motor": replace(whole, candidates=(Candidate(name="later"),)),
        "winding": change_candidate(whole, 0, winding=None),
        "variant": change_candidate(whole, 0, variant=None),
        "supply": replace(whole, application=replace(whole.application, supply=Supply())),
        "place": replace(whole, application=replace(whole.application, site=Site())),
        "load": replace(whole, application=Application(duty_from="load")),
        "heat": replace(whole, candidates=(candidate(motor=no_heat),)),
        "limits": replace(whole, candidates=(candidate(motor=bare, winding=bare.windings[0].name),)),
    }


@pytest.mark.parametrize("lacking", list(incomplete()))
def test_an_incomplete_project_has_a_sheet_that_says_so(lacking: str) -> None:
    made = sheet(incomplete()[lacking])
    require_sound(made)
    titles = [part.title for part in made.sections]
    assert set(ALWAYS) <= set(titles)


def test_a_sheet_without_candidates_gives_no_answer() -> None:
    made = sheet(Project())
    assert made.answer.text == "There is no candidate yet, so there is no answer."
    assert ("Chosen", "no candidate yet") in made.head.pairs


def test_a_run_away_is_said_where_temperatures_would_stand() -> None:
    made = sheet(project(piece(1.0, 0.5, 200.0)))
    require_sound(made)
    temperatures = section(made, "Temperatures")
    assert any(
        "destroys the motor" in as_text(words, UNITS)
        for b in flat(temperatures.blocks)
        for words in words_of_block(b)
    )
    assert made.answer.tone == "missed"


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_one_to_five_candidates(count: int) -> None:
    kinds = ("open rotor", "enclosed")
    several = tuple(candidate(variant=kinds[k % 2], name=f"choice {k}") for k in range(count))  # type: ignore[arg-type]
    made = sheet(project(*random_duty(3), candidates=several))
    require_sound(made)
    titles = {part.title for part in made.sections}
    assert (set(OF_SEVERAL) <= titles) is (count > 1)
    assert all(f"choice {k}" in text_of(made) for k in range(count))


@pytest.mark.parametrize("seed", range(4))
def test_any_duty_has_a_sheet(seed: int) -> None:
    require_sound(sheet(project(*random_duty(seed, 0.12, 500.0))))


HOSTILE = ("<b>x</b>", "{motor}", "\x1b[31mred", "=cmd|'x'", "%s %n", "𝕏\u202ex", "{0.__class__}")


@pytest.mark.parametrize("evil", HOSTILE)
def test_texts_of_a_file_are_printed_and_never_read_as_anything_else(evil: str) -> None:
    whole = project(piece(1.0, 0.03, 200.0))
    motor = candidate().motor
    assert motor is not None
    named = replace(motor, name=evil, origin=evil, lubrication=evil, bearings=evil, connector=evil)
    windings = tuple(replace(one, name=f"{evil} {one.name}") for one in motor.windings)
    one = replace(
        candidate(),
        name=evil,
        motor=replace(named, windings=windings),
        winding=f"{evil} 24 V",
        dropped_because=evil,
        note=evil,
    )
    told = HandOver(designation=evil, wishes=evil, pins=(Pin(contact=evil, signal=evil),), leads=evil)
    asked = Paperwork(requirement_source=evil, customer=evil, prepared_by=evil)
    site = replace(whole.application.site, mounting=replace(whole.application.site.mounting, name=evil))
    segments = tuple(replace(s, name=evil) for s in whole.application.duty_cycle)
    application = replace(
        whole.application, title=evil, notes=evil, paperwork=asked, site=site, duty_cycle=segments
    )
    both = (replace(one, hand_over=told), candidate(name=f"other {evil}", dropped_because=evil))
    text = [
        as_text(words, UNITS) for words in words_of(sheet(Project(application=application, candidates=both)))
    ]
    assert made_of(text, evil) >= 12
    shown = text_of(sheet(Project(application=application, candidates=both)))
    assert "\x1b" not in shown


def made_of(texts: Sequence[str], part: str) -> int:
    return sum(part in text for text in texts)


def test_the_head_names_requirement_and_people() -> None:
    asked = change_paperwork(
        project(piece(1.0, 0.03, 200.0)),
        requirement_source="letter 12", revision="C", requirement_date="2026-02-01", customer="We",
        prepared_by="P. One", checked_by="C. Two",
    )  # fmt: skip
    made = sheet(asked)
    head = dict(made.head.pairs)
    assert head["Requirement"] == "letter 12, revision C, 2026-02-01"
    assert head["Issued"] == DAY.isoformat()
    assert (head["Customer"], head["Prepared by"], head["Checked by"]) == ("We", "P. One", "C. Two")
    facts = section(made, "What is asked").blocks[0]
    assert isinstance(facts, Facts)
    assert ("Revision", "C") in facts.pairs
    assert "No document is named" not in text_of(made)
    assert "No document is named" in text_of(sheet(project(piece(1.0, 0.03, 200.0))))


def test_the_project_file_is_attached_and_its_hash_printed() -> None:
    whole = project(piece(1.0, 0.03, 200.0))
    made = sheet(whole)
    assert made.project_file == encode_project(whole)
    assert made.project_hash == hashlib.sha256(made.project_file).hexdigest()
    assert made.project_hash in text_of(made)
    assert made.project_hash[:12] in made.running


def test_the_last_word_of_the_cautions_is_with_codes_and_licensed_practice() -> None:
    last = section(sample_sheet("tide_pool_winch"), "Cautions").blocks[-1]
    assert last == Paragraph(DEFERENCE, "strong")
    assert "local codes and standards" in DEFERENCE
    assert "licensed" in DEFERENCE


def test_every_caution_of_every_candidate_is_framed() -> None:
    _, result = evaluated_sample("tide_pool_winch")
    blocks = flat(section(sample_sheet("tide_pool_winch"), "Cautions").blocks)
    framed = [block for block in blocks if isinstance(block, Warned)]
    raised = {as_text(caution.text, UNITS) for one in result.candidates for caution in one.cautions}
    assert {as_text(block.text, UNITS) for block in framed} == raised


def test_the_sheet_is_about_the_chosen_candidate() -> None:
    whole = project(piece(1.0, 0.03, 200.0))
    made = sheet(choose_candidate(whole, 1))
    assert dict(made.head.pairs)["Chosen"] == "B 47 mm frame, open rotor"
    answer = as_text(made.answer.text, UNITS)
    assert answer.startswith("B 47 mm frame, open rotor ")
    supplier = tuple(flat(section(made, "Hand-over").blocks))
    facts = next(block for block in supplier if isinstance(block, Facts))
    assert dict(facts.pairs)["Variant"] == "open rotor"


def test_the_supplier_gets_what_was_written_down() -> None:
    whole = change_hand_over(
        project(piece(1.0, 0.03, 200.0)), 0, quantity=25, counterpart="their plug", wishes="no paint",
        pins=(Pin(contact="1", signal="phase U", colour="red"), Pin(contact="2", signal="phase V")),
        lubrication="grease for food",
    )  # fmt: skip
    blocks = tuple(flat(section(sheet(whole), "Hand-over").blocks))
    facts = dict(next(block for block in blocks if isinstance(block, Facts)).pairs)
    assert (facts["Quantity"], facts["Its counterpart"]) == ("25", "their plug")
    assert facts["Lubrication"] == "grease for food"
    pins = next(block for block in blocks if isinstance(block, Table))
    assert [[cell.text for cell in row] for row in pins.rows] == [
        ["1", "phase U", "red"],
        ["2", "phase V", "–"],
    ]
    assert Paragraph("no paint") in blocks


def test_what_the_supplier_still_has_to_be_told_is_counted() -> None:
    blocks = tuple(flat(section(sheet(project(piece(1.0, 0.03, 200.0))), "Hand-over").blocks))
    open_ones = [block.text for block in blocks if isinstance(block, Paragraph) and block.tone == "caution"]
    assert any("Still to be agreed: quantity" in str(text) for text in open_ones)


def test_friction_that_may_be_off_says_what_it_does() -> None:
    text = text_of(sample_sheet("museum_turntable"))
    assert re.search(
        r"Low friction, 0.6 times: torque reserve [\d.]+ times, .*; high friction, 1.8 times: ", text
    )


def test_single_changes_are_printed_where_they_were_computed() -> None:
    whole = project(piece(1.0, 0.03, 200.0), candidates=(candidate(),))
    changes = what_helps(whole, 0)
    made = sheet_of(
        whole, evaluate(whole), issued=DAY, project_file=b"", units=UNITS, changes=changes
    )  # fmt: skip
    require_sound(made)
    titles = [part.title for part in made.sections]
    assert titles.index("What a single change would bring") == titles.index("Uncertainty") + 1
    table = next(b for b in section(made, "What a single").blocks if isinstance(b, Table))
    assert [row[1].quantity and row[1].quantity[0] for row in table.rows] == [c.gained for c in changes]
    assert "What a single change would bring" not in [part.title for part in sheet(whole).sections]


def test_checks_have_a_box_to_tick() -> None:
    checks = section(sample_sheet("tide_pool_winch"), "Checks")
    bullets = [block for block in flat(checks.blocks) if isinstance(block, Bullets)]
    assert len(bullets) == 2
    assert all(block.to_tick and len(block.entries) >= 5 for block in bullets)


def test_a_motor_that_would_run_too_fast_unloaded_is_not_sent_there() -> None:
    one = candidate()
    assert one.motor is not None
    slow = replace(one.motor, variants=tuple(replace(v, largest_speed=400.0) for v in one.motor.variants))
    checks = section(
        sheet(project(piece(1.0, 0.03, 200.0), candidates=(replace(one, motor=slow),))), "Checks"
    )
    text = " ".join(as_text(w, UNITS) for block in flat(checks.blocks) for w in words_of_block(block))
    assert "above its largest speed" in text
    assert "full voltage" not in text


def test_numbers_follow_the_units_of_the_reader() -> None:
    project_, result = evaluated_sample("museum_turntable")
    other = DisplayUnits().with_units({Kind.TORQUE: "oz*in", Kind.SPEED: "rad/s", Kind.TEMPERATURE: "degF"})
    text = text_of(sheet(project_, result, other), other)
    assert "ozf·in" in text
    assert "mN·m " not in text.replace("mN·m/", "")
    assert " rpm" not in text.replace("9600 rpm without load", "")  # words of the parts file


def test_a_cell_knows_its_quantity() -> None:
    from core.sheet.cells import number, span

    assert number(0.05, Kind.TORQUE).quantity == (0.05, Kind.TORQUE)
    assert Cell("0.05").quantity is None
    assert Cell(span(1.0, 2.0, Kind.TIME)).quantity is None
