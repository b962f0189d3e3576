"""Give a written PDF file its bookmarks, links and language, which Qt's writer has no way to state.

The file is left as it is and an update is appended to it, as ISO 32000-1, 7.5.6 provides (from memory): new
objects, new versions of the catalogue and of one list of annotations, a table of where they stand.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from core.errors import AmpturnError
from core.records import dataclass

POINTS_PER_MM: Final = 72.0 / 25.4
_TRAILER = re.compile(rb"trailer\s*<<(.*?)>>\s*startxref\s+(\d+)\s+%%EOF\s*\Z", re.DOTALL)
_KIDS = re.compile(rb"/Kids\s*\[([^\]]*)\]")
_REFERENCE = re.compile(rb"(\d+) 0 R")


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A title and where it leads: a page, from 0, and how far below its upper edge. [mm]"""

    title: str
    page: int
    top: float
    below: tuple[Bookmark, ...] = ()


@dataclass(frozen=True, slots=True)
class Link:
    """A rectangle on a page from its upper left corner, and the page and height it leads to. [mm]"""

    page: int
    left: float
    top: float
    width: float
    height: float
    to_page: int
    to_top: float


def with_outline(
    content: bytes, bookmarks: Sequence[Bookmark], links: Sequence[Link], language: str
) -> bytes:
    """Return the bytes of a PDF file with bookmarks, which a reader shows when it opens the file.

    Raises `AmpturnError` where the file is not built as Qt builds it.
    """
    update = _Update(content)
    root = update.add_outlines(bookmarks)
    update.add_links(links)
    extra = (
        f"/Outlines {root} 0 R\n/PageMode /UseOutlines\n/Lang ({language})\n"
        "/ViewerPreferences << /DisplayDocTitle true >>\n"
    )
    update.extend_catalogue(extra.encode())
    return update.finished()


class _Update:
    """Collects new objects and new versions of old ones."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        trailer = _match(_TRAILER, content, "trailer")
        self._trailer, self._before = trailer[1], int(trailer[2])
        self._next = int(_match(re.compile(rb"/Size (\d+)"), self._trailer, "size")[1])
        self._root = int(_match(re.compile(rb"/Root (\d+) 0 R"), self._trailer, "root")[1])
        pages = _match(re.compile(rb"/Pages (\d+) 0 R"), self._object(self._root), "pages")
        kids = _match(_KIDS, self._object(int(pages[1])), "list of pages")
        self._pages = [int(number) for number in _REFERENCE.findall(kids[1])]
        self._objects: dict[int, bytes] = {}

    def _object(self, number: int) -> bytes:
        start = self._content.rfind(b"\n%d 0 obj" % number)
        end = self._content.find(b"endobj", start)
        if start < 0 or end < 0:
            raise AmpturnError(f"the PDF file has no object {number}, and got no bookmarks")
        return self._content[self._content.index(b"obj", start) + 3 : end].strip()

    def _new(self) -> int:
        number, self._next = self._next, self._next + 1
        return number

    def _destination(self, page: int, top: float) -> str:
        number = self._pages[page]
        return f"[{number} 0 R /XYZ 0 {self._height(page) - top * POINTS_PER_MM:.2f} null]"

    def _height(self, page: int) -> float:
        """Return the height of a page. [pt]"""
        box = re.compile(rb"/MediaBox \[\S+ \S+ \S+ (\S+?)\]")
        return float(_match(box, self._object(self._pages[page]), "size of a page")[1])

    def add_outlines(self, bookmarks: Sequence[Bookmark]) -> int:
        """Add a tree of bookmarks and return the number of its root."""
        root = self._new()
        first, last = self._add_level(bookmarks, root)
        count = len(bookmarks)  # those that are open; what is below an entry is folded away
        words = f"<< /Type /Outlines /First {first} 0 R /Last {last} 0 R /Count {count} >>"
        self._objects[root] = words.encode()
        return root

    def _add_level(self, bookmarks: Sequence[Bookmark], parent: int) -> tuple[int, int]:
        numbers = [self._new() for _ in bookmarks]
        for place, (number, mark) in enumerate(zip(numbers, bookmarks, strict=True)):
            parts = [f"/Title {_text(mark.title)}", f"/Parent {parent} 0 R",
                     f"/Dest {self._destination(mark.page, mark.top)}"]  # fmt: skip
            if place:
                parts.append(f"/Prev {numbers[place - 1]} 0 R")
            if place + 1 < len(numbers):
                parts.append(f"/Next {numbers[place + 1]} 0 R")
            if mark.below:
                first, last = self._add_level(mark.below, number)
                parts.append(f"/First {first} 0 R /Last {last} 0 R /Count {-len(mark.below)}")
            self._objects[number] = f"<< {' '.join(parts)} >>".encode()
        return numbers[0], numbers[-1]

    def add_links(self, links: Sequence[Link]) -> None:
        """Add links to the annotations of their pages."""
        for page in dict.fromkeys(link.page for link in links):
            held = _match(re.compile(rb"/Annots (\d+) 0 R"), self._object(self._pages[page]), "annotations")
            numbers = []
            for link in links:
                if link.page == page:
                    numbers.append(self._new())
                    self._objects[numbers[-1]] = self._link(link).encode()
            before = self._object(int(held[1])).strip(b"[] \r\n").decode("ascii")
            listed = " ".join(f"{number} 0 R" for number in numbers)
            self._objects[int(held[1])] = f"[ {before} {listed} ]".encode()

    def _link(self, link: Link) -> str:
        upper = self._height(link.page) - link.top * POINTS_PER_MM
        left, wide, high = (v * POINTS_PER_MM for v in (link.left, link.width, link.height))
        rect = f"[{left:.2f} {upper - high:.2f} {left + wide:.2f} {upper:.2f}]"
        return (
            f"<< /Type /Annot /Subtype /Link /F 4 /Border [0 0 0] /Rect {rect} "
            f"/Dest {self._destination(link.to_page, link.to_top)} >>"
        )

    def extend_catalogue(self, extra: bytes) -> None:
        """Add entries to the catalogue."""
        words = self._object(self._root)
        if not words.endswith(b">>"):
            raise AmpturnError("the catalogue of the PDF file is not a dictionary, and got no bookmarks")
        self._objects[self._root] = words[:-2] + extra + b">>"

    def finished(self) -> bytes:
        """Return the file with its update."""
        out = bytearray(self._content)
        table = bytearray(b"xref\n")
        for number in sorted(self._objects):
            table += b"%d 1\n%010d 00000 n \n" % (number, len(out))
            out += b"%d 0 obj\n" % number + self._objects[number] + b"\nendobj\n"
        start = len(out)
        trailer = re.sub(rb"/Size \d+", b"/Size %d" % self._next, self._trailer)
        out += table + b"trailer\n<<" + trailer + b"/Prev %d\n>>\nstartxref\n%d\n%%%%EOF\n" % (
            self._before, start,
        )  # fmt: skip
        return bytes(out)


def _text(words: str) -> str:
    """Return words as a string of hexadecimal digits, in which every letter of any alphabet is safe."""
    return f"<FEFF{words.encode('utf-16-be').hex().upper()}>"


def _match(pattern: re.Pattern[bytes], content: bytes, what: str) -> re.Match[bytes]:
    found = pattern.search(content)
    if found is None:
        raise AmpturnError(f"the PDF file has no {what} where Qt writes it, and got no bookmarks")
    return found
