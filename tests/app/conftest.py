"""What tests of the window leave behind is taken apart in an order that Qt and Python agree on."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from shiboken6 import isValid

from app.document import ProjectDocument


@pytest.fixture(autouse=True)
def _histories_end_with_their_test(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Empty the undo history of each document of a test.

    In the program a document ends with its window. One that only a test holds is found by the garbage
    collection together with its undo steps, some of which Qt owns: freed in the wrong order they end the
    process.
    """
    made: list[ProjectDocument] = []
    begin = ProjectDocument.__init__

    def noted(document: ProjectDocument, *arguments: object, **named: object) -> None:
        begin(document, *arguments, **named)  # type: ignore[arg-type]
        made.append(document)

    monkeypatch.setattr(ProjectDocument, "__init__", noted)
    yield
    for document in made:
        if isValid(document) and isValid(document.undo_stack):
            document.undo_stack.clear()
