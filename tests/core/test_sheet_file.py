"""The project attached to a sheet: taken out whole, or refused with the reason, hostile files too."""

import random
import zlib

import pytest

from core.errors import ProjectFileError
from core.project.project import Project
from core.project.project_file import decode_project, encode_project
from core.project.sheet_file import LARGEST_PROJECT, attached_project, is_sheet

PROJECT = encode_project(Project())


def pdf(packed: bytes, *, filter_: bytes = b"/Filter /FlateDecode", length: bytes | None = None) -> bytes:
    """Return the parts of a PDF file that matter, written by hand after ISO 32000-1, 7.11.4."""
    stated = b"/Length 9 0 R" if length is None else length
    return (
        b"%PDF-1.4\n8 0 obj\n<<\n" + filter_ + b"\n" + stated + b"\n>>\nstream\n" + packed
        + b"\nendstream\nendobj\n9 0 obj\n%d\nendobj\n" % len(packed)
        + b"10 0 obj\n<<\n/F (project.json)\n/EF <</F 8 0 R>>\n/Type/Filespec\n>>\nendobj\n%%EOF\n"
    )  # fmt: skip


def test_a_packed_project_is_read() -> None:
    content = pdf(zlib.compress(PROJECT))
    assert is_sheet(content)
    assert attached_project(content) == PROJECT
    assert decode_project(content) == Project()


def test_a_plain_one_and_a_direct_length_are_read() -> None:
    content = pdf(PROJECT, filter_=b"", length=b"/Length %d" % len(PROJECT))
    assert attached_project(content) == PROJECT


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"%PDF-1.4\n%%EOF", "it has no file"),
        (pdf(zlib.compress(PROJECT)) + b"\n12 0 obj\n<</EF <</F 9 0 R>> >>\nendobj", "it has 2 files"),
        (pdf(b"no packed data"), "damaged"),
        (pdf(zlib.compress(PROJECT)[:-6]), "whole"),
        (pdf(zlib.compress(PROJECT), filter_=b"/Filter /LZWDecode"), "another way"),
        (pdf(zlib.compress(PROJECT), length=b"/Length 999999999"), "cut off"),
        (pdf(zlib.compress(PROJECT), length=b"/Length 77 0 R"), "cannot be found"),
        (pdf(zlib.compress(bytes(LARGEST_PROJECT + 1))), "at most 20 MB"),
    ],
)
def test_what_holds_no_project_is_refused(content: bytes, words: str) -> None:
    with pytest.raises(ProjectFileError, match=words):
        attached_project(content)


def test_an_attachment_that_is_no_project_is_refused() -> None:
    with pytest.raises(ProjectFileError):
        decode_project(pdf(zlib.compress(b"[]")))


def test_damaged_files_are_refused_or_read() -> None:
    whole, source = pdf(zlib.compress(PROJECT)), random.Random(5)
    for _ in range(400):
        content = bytearray(whole)
        for _ in range(source.randint(1, 6)):
            content[source.randrange(5, len(content))] = source.randrange(256)
        try:
            attached_project(bytes(content))
        except ProjectFileError:
            continue
