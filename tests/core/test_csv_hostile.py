"""Whatever bytes a table holds: it is refused as a whole, or each of its rows is taken or named."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from core.catalogue.csv_cells import CsvError
from core.catalogue.csv_import import parts_of_table
from core.catalogue.part_columns import KIND_COLUMN, ROW_KINDS, columns_of
from core.catalogue.parts_file import decode_parts, encode_parts

KEYS = sorted({figure.key for kind in ROW_KINDS for figure in columns_of(kind)} | {KIND_COLUMN})
WORDS = sorted({word for kind in ROW_KINDS for one in columns_of(kind) for word in one.choices})
CELLS = st.one_of(
    st.sampled_from(
        ["", "1", "7", "-1", "0", "1e308", "1,234", "1.5", "1,5", "nan", "24 V", "1|2", "|", '"']
    ),
    st.sampled_from([*WORDS, *ROW_KINDS]),
    st.text(max_size=8),
)


def take(content: bytes) -> None:
    try:
        imported = parts_of_table(content)
    except CsvError:
        return
    lines = [row.line for row in imported.rejected]
    assert lines == sorted(set(lines))
    assert all(row.rule for row in imported.rejected)
    assert decode_parts(encode_parts(imported.parts)) == imported.parts


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(content: bytes) -> None:
    take(content)
    take(b"frame,winding\n" + content)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_any_cells_under_known_columns(data: st.DataObject) -> None:
    keys = data.draw(st.lists(st.sampled_from(KEYS), min_size=1, max_size=12, unique=True))
    rows = data.draw(st.lists(st.lists(CELLS, min_size=len(keys), max_size=len(keys)), max_size=5))
    mark = data.draw(st.sampled_from(",;\t"))
    lines = [keys, *([cell.replace('"', '""') for cell in row] for row in rows)]
    text = "\n".join(mark.join(f'"{cell}"' for cell in line) for line in lines)
    take(text.encode("utf-8", "replace"))
