"""The first page: the decision with its smallest margins, what is against the others, what is assumed."""

from __future__ import annotations

import re

import pytest
from msgspec.structs import replace

from core.project.edits import choose_candidate
from core.project.project import Project
from core.sentences import as_text
from core.sheet.blocks import Block, Facts, Paragraph, Sheet, Table, Warned, flat
from core.sheet.decision import decision
from core.sheet.subject import Subject
from tests.core.projects import candidate, project
from tests.core.projects import segment as piece
from tests.core.sheets import UNITS, evaluated_sample, sample_sheet, sheet


def facts(made: Sheet) -> dict[str, str]:
    pairs = [pair for block in flat(made.decision) if isinstance(block, Facts) for pair in block.pairs]
    return {as_text(name, UNITS): as_text(words, UNITS) for name, words in pairs}


def words(blocks: tuple[Block, ...]) -> str:
    return "\n".join(as_text(b.text, UNITS) for b in flat(blocks) if isinstance(b, Paragraph | Warned))


@pytest.mark.parametrize("name", ["sample_carousel", "tide_pool_winch", "museum_turntable"])
def test_the_smallest_margins_of_the_chosen_stand_there(name: str) -> None:
    found = evaluated_sample(name)[1].chosen_candidate
    assert found is not None
    (table,) = [block for block in flat(sample_sheet(name).decision) if isinstance(block, Table)]
    above = sorted(m.margin - m.target for m in found.margins if m.required and m.margin is not None)
    shown = [
        row[3].quantity[0] - row[4].quantity[0] for row in table.rows if row[3].quantity and row[4].quantity
    ]
    assert shown == pytest.approx(above[: len(shown)])
    assert len(shown) >= 5


def test_requirement_and_choice_are_told_by_their_numbers() -> None:
    made = sheet(project(piece(2.0, 0.03, 0.0, 100.0), piece(1.0, -0.01, 100.0)))
    told = {name: text.replace("\N{NO-BREAK SPACE}", " ") for name, text in facts(made).items()}
    assert told["Cycle"] == "3.00 s"
    assert told["Speed at the shaft, up to"] == "955 rpm"  # 100 rad/s * 60 / (2 pi)
    assert told["Shaft torque"] == "−10.0 mN·m to 30.0 mN·m"
    assert told["Frame"] == "47 mm frame"


def test_two_cautions_at_most_and_the_gravest_first() -> None:
    for name in ("sample_carousel", "tide_pool_winch"):
        found = evaluated_sample(name)[1].chosen_candidate
        assert found is not None
        framed = [block for block in flat(sample_sheet(name).decision) if isinstance(block, Warned)]
        assert len(framed) == min(len(found.cautions), 2)
        text = words(sample_sheet(name).decision).lower()
        assert all(caution.title.lower() in text + str(framed).lower() for caution in found.cautions)
    winch = [b for b in flat(sample_sheet("tide_pool_winch").decision) if isinstance(b, Warned)]
    assert winch[0].title == "Load moves without power"


def test_a_run_away_is_the_first_caution() -> None:
    made = sheet(project(piece(1.0, 0.5, 200.0)))
    framed = [block for block in flat(made.decision) if isinstance(block, Warned)]
    assert framed[0].title == "Thermal run-away"


def test_what_misses_stands_first_and_is_named() -> None:
    text = words(sample_sheet("sample_carousel").decision)
    assert "Not taken: B 47 mm frame, enclosed: Torque reserve, missed" in text
    turned = choose_candidate(evaluated_sample("sample_carousel")[0], 1)
    table = next(block for block in flat(sheet(turned).decision) if isinstance(block, Table))
    assert table.groups[0] == (0, "Missed")
    assert table.rows[0][0].text == "Torque reserve"


def test_the_count_of_defaults_is_that_of_the_list() -> None:
    made = sample_sheet("museum_turntable")
    first = re.search(
        r"Assumed: (\d+) inputs at the default of the program, (\d+) set by", words(made.decision)
    )
    inputs = next(part for part in made.sections if part.title.startswith("Inputs"))
    rows = [row for block in flat(inputs.blocks) if isinstance(block, Table) for row in block.rows]
    assert first is not None
    assert int(first[1]) == sum(row[2].text == "default" for row in rows)
    assert int(first[2]) == sum(row[2].text == "method" for row in rows)


def test_a_project_without_candidates_has_its_requirement_there() -> None:
    from core.evaluate import evaluate

    whole = replace(project(piece(1.0, 0.03, 200.0)), candidates=())
    blocks = decision(Subject(whole, evaluate(whole), UNITS))
    assert any(isinstance(block, Facts) for block in blocks)
    assert decision(Subject(Project(), evaluate(Project()), UNITS))


def test_one_candidate_has_no_word_about_others() -> None:
    text = words(sheet(project(piece(1.0, 0.03, 200.0), candidates=(candidate(),))).decision)
    assert "Not taken" not in text
