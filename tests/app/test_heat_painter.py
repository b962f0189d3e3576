"""The heat network on paper: whole, within its room, with every flow and temperature in words."""

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QApplication

from app.exports import export, write_chart
from app.heat_painter import height_on_paper, picture_on_paper
from app.sheet.layout import lay_out_sheet
from app.sheet.paper import PAPERS
from app.sheet.pieces import PictureRow
from core.charts.heat_picture import node_limits
from core.errors import AmpturnError
from core.project.project import Project
from core.sheet.blocks import FlowOfHeat, flat
from core.units import DisplayUnits, Kind
from tests.core.sheets import UNITS, evaluated_sample, sample_sheet, section, sheet

NAME = "tide_pool_winch"


def test_the_svg_has_every_flow_and_temperature(qapp: QApplication, tmp_path: Path) -> None:
    result = evaluated_sample(NAME)[1]
    out = export("heat flow", result, UNITS, tmp_path / "flow.svg")
    text = " ".join(ET.parse(out).getroot().itertext()).replace("\N{NO-BREAK SPACE}", " ")
    found = result.chosen_candidate
    assert found is not None
    assert found.flows is not None
    for name, temp in zip(found.flows.nodes, found.flows.mean_temps, strict=True):
        assert name.split()[0] in text
        assert UNITS.format_quantity(float(temp), Kind.TEMPERATURE).replace("\N{NO-BREAK SPACE}", " ") in text
    picture = picture_on_paper(found.flows, {}, UNITS, 150.0, 100.0)
    assert all(line.watts.replace("\N{NO-BREAK SPACE}", " ") in text for line in picture.lines)


@pytest.mark.parametrize("ending", ["pdf", "png", "svg"])
def test_each_format_is_written_at_any_size(qapp: QApplication, tmp_path: Path, ending: str) -> None:
    result = evaluated_sample(NAME)[1]
    for size in ((60.0, 40.0), (300.0, 90.0)):
        out = tmp_path / f"flow.{ending}"
        write_chart("heat flow", result, UNITS, out, size)
        assert out.stat().st_size > 1000


def test_without_temperatures_it_is_refused(qapp: QApplication, tmp_path: Path) -> None:
    from core.evaluate import evaluate

    with pytest.raises(AmpturnError, match="there is no chart of the heat flow"):
        write_chart("heat flow", evaluate(Project()), UNITS, tmp_path / "flow.pdf")
    assert not list(tmp_path.iterdir())


def test_a_picture_keeps_to_its_width(qapp: QApplication) -> None:
    _, result = evaluated_sample(NAME)
    found = result.chosen_candidate
    assert found is not None
    assert found.flows is not None
    for width in (80.0, 177.0):
        picture = picture_on_paper(found.flows, node_limits(result, found), UNITS, width, 78.0)
        high = height_on_paper(picture, width)
        frame = QRectF(0.0, 0.0, picture.width, picture.height)
        assert high <= 78.0
        for box in picture.boxes:
            place = QRectF(box.place.left, box.place.top, box.place.width, box.place.height)
            assert frame.contains(place)


def test_the_sheet_has_it_and_takes_no_more_room_than_it_needs(qapp: QApplication) -> None:
    made = sample_sheet(NAME)
    flows = [block for block in flat(section(made, "Temperatures").blocks) if isinstance(block, FlowOfHeat)]
    assert len(flows) == 1
    laid_out = lay_out_sheet(made, PAPERS["a4"], DisplayUnits())
    rows = [
        placed.piece for page in laid_out.pages for placed in page if isinstance(placed.piece, PictureRow)
    ]
    drawn = [one for row in rows for one in row._figures if isinstance(one.figure, FlowOfHeat)]
    assert drawn[0].height < drawn[0].figure.height_mm
    assert not [
        b for part in sheet(Project()).sections for b in flat(part.blocks) if isinstance(b, FlowOfHeat)
    ]
