"""The numbers of a sheet are those of the result, each at its place."""

from __future__ import annotations

import pytest

from core.results import CandidateResult
from core.sentences import as_text
from core.sheet.blocks import Cell, Facts, Sheet, Table, flat
from core.units import Kind
from tests.core.projects import project
from tests.core.projects import segment as piece
from tests.core.sheets import UNITS, evaluated_sample, sample_sheet, section, sheet, tables, text_of

SAMPLE = "tide_pool_winch"


def captioned(made: Sheet, title: str, caption: str) -> Table:
    """Return the table of a section whose caption begins so."""
    found = [t for t in tables(section(made, title).blocks) if as_text(t.caption, UNITS).startswith(caption)]
    return found[0]


def value(cell: Cell) -> float | None:
    return None if cell.quantity is None else cell.quantity[0]


def chosen(name: str = SAMPLE) -> CandidateResult:
    found = evaluated_sample(name)[1].chosen_candidate
    assert found is not None
    return found


@pytest.mark.parametrize("name", [SAMPLE, "museum_turntable", "sample_carousel"])
def test_margins_stand_in_the_order_of_the_result_with_its_numbers(name: str) -> None:
    for one in evaluated_sample(name)[1].candidates:
        table = captioned(sample_sheet(name), "Margins", f"{'AB'[one.index]} {one.name}")
        checked = [m for m in one.margins if m.margin is not None or m.status in ("missed", "excluded")]
        assert len(table.rows) == len(checked)
        for row, margin in zip(table.rows, checked, strict=True):
            assert as_text(row[0].text, UNITS).startswith(margin.label)
            assert [value(cell) for cell in row[1:4]] == [margin.demand, margin.limit, margin.margin]
        groups = {str(words): row for row, words in table.groups}
        assert set(groups) == {m.status.capitalize() for m in checked if m.required or m.status == "met"} | (
            {"Missed, but not required"}
            if any(m.status != "met" and not m.required for m in checked)
            else set()
        )


def test_what_is_met_or_not_checked_without_a_number_is_listed_below_the_table() -> None:
    text = text_of(sample_sheet(SAMPLE))
    met = [m for m in chosen().margins if m.status == "met" and m.margin is None]
    assert met
    line = next(line for line in text.splitlines() if line.startswith("Met without a number"))
    assert all(f"{m.label} ({as_text(m.where, UNITS)})" in line for m in met)
    for margin in chosen().margins:
        if margin.status == "not checked":
            assert f"-   {margin.label}: {as_text(margin.why, UNITS)}" in text


def test_a_margin_is_a_bar_with_its_target_as_tick() -> None:
    table = captioned(sample_sheet(SAMPLE), "Margins", "B")
    for row, margin in zip(table.rows, chosen().margins, strict=False):
        bar = row[5]
        if margin.margin is None:
            assert bar.bar is None
        else:
            assert bar.bar == min(max(margin.margin, 0.0), 1.0)
            assert bar.tick == margin.target


def test_equations_stand_beside_every_checked_margin_of_the_chosen() -> None:
    table = captioned(sample_sheet(SAMPLE), "Equations of", "B")
    wanted = {m.label for m in chosen().margins if m.status != "not checked" and as_text(m.equation, UNITS)}
    assert {row[0].text for row in table.rows} == wanted


def test_temperatures_and_their_limits() -> None:
    table = captioned(sample_sheet(SAMPLE), "Temperatures", "Peaks")
    peaks = [peak for one in evaluated_sample(SAMPLE)[1].candidates for peak in one.peaks]
    for row, peak in zip(table.rows, peaks, strict=True):
        assert [value(cell) for cell in row[2:5]] == [peak.temp, peak.mean, peak.limit]
        left = None if peak.limit is None else peak.limit - peak.temp
        assert value(row[5]) == left
        assert row[7].text == str(peak.segment + 1)


def test_losses_add_up() -> None:
    table = tables(section(sample_sheet(SAMPLE), "Losses").blocks)[0]
    for place, one in enumerate(evaluated_sample(SAMPLE)[1].candidates, start=1):
        assert one.losses is not None
        found = [value(row[place]) for row in table.rows]
        causes = (
            one.losses.copper, one.losses.core_and_bearing, one.losses.windage, one.losses.leads_and_switches,
            one.losses.idle,
        )  # fmt: skip
        assert found == [*causes, sum(causes)]


def test_segments_are_those_of_the_duty() -> None:
    one = project(piece(2.0, 0.03, 0.0, 100.0), piece(1.0, -0.01, 100.0))
    rows = tables(section(sheet(one), "Duty cycle").blocks)[0].rows
    assert [[value(cell) for cell in row[2:7]] for row in rows] == [
        [2.0, 0.0, 100.0, 0.03, 0.03],
        [1.0, 100.0, 100.0, -0.01, -0.01],
    ]
    assert [row[0].text for row in rows] == ["1", "2"]


def test_constants_stand_beside_what_the_data_sheet_stated() -> None:
    made, found = sample_sheet(SAMPLE), chosen()
    assert found.constants is not None
    table = captioned(made, "Figures of the motors", "A, B: 38")
    rows = {str(row[0].text): row for row in table.rows}
    project_ = evaluated_sample(SAMPLE)[0]
    winding = project_.candidates[found.index].chosen_winding
    assert winding is not None
    assert winding.back_emf_constant is not None
    emf = rows["Back-EMF constant"]
    assert value(emf[1]) == winding.back_emf_constant.value
    assert emf[2].text == winding.back_emf_constant.convention
    assert value(emf[3]) == found.constants.back_emf_constant
    assert as_text(emf[4].text, UNITS).startswith("line-to-line peak, magnets at 25")
    assert value(rows["Resistance"][1]) == winding.resistance.value
    assert value(rows["Resistance"][3]) == found.constants.resistance
    assert value(rows["Motor constant"][3]) == found.constants.motor_constant


def test_the_band_is_that_of_the_result() -> None:
    table = captioned(sample_sheet(SAMPLE), "Uncertainty", "What the heat")
    rows = [row for row in table.rows if row[0].candidate == chosen().index]
    band = chosen().band
    assert band is not None
    by_label = {as_text(row[1].text, UNITS): [value(cell) for cell in row[2:]] for row in rows}
    assert band.winding is not None
    assert by_label["Peak temperature of the winding"] == list(band.winding)


def test_each_cause_of_doubt_is_listed_once_the_largest_first() -> None:
    band = chosen().band
    assert band is not None
    table = captioned(sample_sheet(SAMPLE), "Uncertainty", "Causes of doubt, B")
    assert sorted(str(row[0].text) for row in table.rows) == sorted(band.sources)
    effects = [abs(value(row[1]) or 0.0) for row in table.rows]
    assert effects == sorted(effects, reverse=True)


def test_calibration_residuals_stand_as_the_result_has_them() -> None:
    calibration = chosen().calibration
    assert calibration is not None
    table = captioned(sample_sheet(SAMPLE), "Uncertainty", "B 38 mm frame, enclosed: the model")
    found = [[value(cell) for cell in row[1:]] for row in table.rows]
    assert found == [[row.stated, row.modelled, row.residual] for row in calibration.rows]


def test_supply_and_braking_events() -> None:
    found = chosen()
    detail = found.supply_detail
    assert detail is not None
    assert found.supply is not None
    part = section(sample_sheet(SAMPLE), "Supply")
    facts = next(block for block in flat(part.blocks) if isinstance(block, Facts))
    shown = {str(name): as_text(words, UNITS) for name, words in facts.pairs}
    assert shown["Mean power"] == UNITS.format_quantity(found.supply.mean_power, Kind.POWER)
    events = tables(part.blocks)[0]
    assert [value(row[2]) for row in events.rows] == list(detail.braking.energy)


def test_windings_feedback_and_faults_have_a_row_each() -> None:
    found, made = chosen(), sample_sheet(SAMPLE)
    assert found.winding_study is not None
    assert found.feedback_table is not None
    assert found.faults is not None
    assert len(tables(section(made, "Windings").blocks)[0].rows) == len(found.winding_study.windings)
    assert len(tables(section(made, "Feedback").blocks)[0].rows) == len(found.feedback_table.rows)
    faults = tables(section(made, "Faults").blocks)[0]
    assert [value(row[2]) for row in faults.rows] == [row.energy for row in found.faults.rows]


def test_losers_are_told_by_what_stands_against_them() -> None:
    rows = tables(section(sample_sheet(SAMPLE), "Candidates not taken").blocks)[0].rows
    assert len(rows) == 1
    told = as_text(rows[0][2].text, UNITS)
    for margin in evaluated_sample(SAMPLE)[1].candidates[0].margins:
        if margin.required and margin.status in ("excluded", "missed"):
            assert margin.label in told


def test_the_table_of_all_candidates_marks_who_is_ahead() -> None:
    table = captioned(sample_sheet(SAMPLE), "All rows", "A")
    mass = next(row for row in table.rows if row[0].text == "Mass")
    lighter = min((0, 1), key=lambda place: value(mass[1 + place]) or 0.0)
    assert mass[3].text == "AB"[lighter]
    assert [cell.tone for cell in mass[1:3]] == ["strong" if c == lighter else "plain" for c in (0, 1)]
