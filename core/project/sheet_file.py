"""The project that is attached to a printed sheet: taken out of the PDF file.

Only the attachment is looked for, as the sheet was written; nothing else of the file is read, and nothing in
it is run. A file that another program has written anew may keep its attachments in another way: then the
attachment has to be saved from there first.
"""

from __future__ import annotations

import re
import zlib

from core.errors import ProjectFileError

SHEET_START = b"%PDF-"
LARGEST_PROJECT = 20_000_000  # bytes, unpacked
_ATTACHED = re.compile(rb"/EF\s*<<\s*/F\s+(\d{1,9})\s+0\s+R")
_DICTIONARY = re.compile(rb"<<(.{0,2000}?)>>\s*stream\r?\n", re.DOTALL)
_LENGTH = re.compile(rb"/Length\s+(\d{1,9})(\s+0\s+R)?")
_NUMBER = re.compile(rb"\s*(\d{1,12})\s")
_ADVICE = "save the attached project from it with a PDF reader and open that"


def is_sheet(content: bytes) -> bool:
    """Whether a file is a PDF file rather than a project."""
    return content.startswith(SHEET_START)


def attached_project(content: bytes) -> bytes:
    """Return the bytes of the project that is attached to a sheet.

    Raises `ProjectFileError` where there is none, more than one, or one that cannot be unpacked.
    """
    numbers = {int(found) for found in _ATTACHED.findall(content)}
    if len(numbers) != 1:
        found = "no file" if not numbers else f"{len(numbers)} files"
        raise ProjectFileError("PDF file", f"must have one project attached, as a sheet has; it has {found}")
    return _stream(content, numbers.pop())


def _stream(content: bytes, number: int) -> bytes:
    start = _object(content, number)
    head = _DICTIONARY.match(content, start)
    length = None if head is None else _LENGTH.search(head[1])
    if head is None or length is None:
        raise ProjectFileError("PDF file", f"its attachment cannot be found; {_ADVICE}")
    size = int(length[1])
    if length[2]:
        stated = _NUMBER.match(content, _object(content, size))
        size = int(stated[1]) if stated else -1
    packed = content[head.end() : head.end() + size]
    if size < 0 or len(packed) < size:
        raise ProjectFileError("PDF file", f"its attachment is cut off; {_ADVICE}")
    if b"/Filter" not in head[1]:
        return packed
    if not re.search(rb"/Filter\s*\[?\s*/FlateDecode\s*\]?", head[1]):
        raise ProjectFileError("PDF file", f"its attachment is packed in another way; {_ADVICE}")
    unpacking = zlib.decompressobj()
    try:
        project = unpacking.decompress(packed, LARGEST_PROJECT)
    except zlib.error as error:
        raise ProjectFileError("PDF file", f"its attachment is damaged ({error}); {_ADVICE}") from error
    if not unpacking.eof:
        rule = f"its attachment must be whole and have at most {LARGEST_PROJECT / 1e6:g} MB"
        raise ProjectFileError("PDF file", f"{rule}; {_ADVICE}")
    return project


def _object(content: bytes, number: int) -> int:
    """Return where the content of an object starts; the last one of a number counts."""
    found = content.rfind(b"\n%d 0 obj" % number)
    if found < 0:
        raise ProjectFileError("PDF file", f"its attachment cannot be found; {_ADVICE}")
    start = content.find(b"obj", found) + 3
    while start < len(content) and content[start : start + 1].isspace():
        start += 1
    return start
