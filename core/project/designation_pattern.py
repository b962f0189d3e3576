"""How the owner of a parts file calls its motors: a pattern of fields, and what the codes stand for.

    {"pattern": "M{frame}-{winding}{variant}",
     "codes": {"frame": {"47": "47 mm frame"}, "winding": {"A": "24 V"}, "variant": {"O": "open rotor"}}}

A field stands in braces, all else is printed as it is. Capital and small letters are the same. A code may be
empty; what it stands for may be empty where that means without, as no brake.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import Final, Literal, get_args

from core.errors import ProjectFileError
from core.project.saved import Name, Saved, Text

FieldName = Literal[
    "frame", "winding", "variant", "shaft", "feedback", "brake", "transmission", "electronics", "leads",
]  # fmt: skip
FIELDS: Final[tuple[FieldName, ...]] = get_args(FieldName)
NEEDED: Final[tuple[FieldName, ...]] = ("frame", "winding", "variant")
MOST_CODES: Final = 200  # of one field; all pairs of them are compared
LONGEST_CODE: Final = 40
_PIECE: Final = re.compile(r"\{([^{}]*)\}|([^{}]+)")


class DesignationPattern(Saved, frozen=True, kw_only=True):
    """A designation: fixed texts and fields in a row.

    Parameters
    ----------
    pattern : str
        Fixed texts with fields in braces; each field once, frame, winding and variant among them.
    codes : dict of dict
        For each field its codes, and what each of them stands for: the name of a part, or words for shaft
        and leads.

    Raises
    ------
    ProjectFileError
        If a field is unknown, missing or double, if two codes stand for the same, or if one designation
        could mean two things.
    """

    pattern: Name
    codes: dict[str, dict[str, Text]]

    def __post_init__(self) -> None:
        super().__post_init__()
        if "".join(match[0] for match in _PIECE.finditer(self.pattern)) != self.pattern:
            raise ProjectFileError("pattern", "has a brace without its partner", self.pattern, True)
        names = [match[1] for match in _PIECE.finditer(self.pattern) if match[1] is not None]
        for name in names:
            if name not in FIELDS:
                raise ProjectFileError("pattern", f"a field must be one of {', '.join(FIELDS)}", name, True)
            if names.count(name) > 1:
                raise ProjectFileError("pattern", "a field may occur once", name, True)
        for name in NEEDED:
            if name not in names:
                raise ProjectFileError("pattern", f"needs the field {{{name}}}", self.pattern, True)
        if set(names) != set(self.codes):
            missing = sorted(set(names) ^ set(self.codes))
            raise ProjectFileError("codes", "must be those of the fields of the pattern", missing[0], True)
        for name, table in self.codes.items():
            _require_clear(name, table)
        twice = ambiguous_designation(self)
        if twice is not None:
            raise ProjectFileError("codes", "a designation could mean two things", twice, True)

    def pieces(self) -> tuple[tuple[FieldName | None, dict[str, str]], ...]:
        """Return field and its folded codes for each piece; a fixed text is its own only code."""
        found: list[tuple[FieldName | None, dict[str, str]]] = []
        for match in _PIECE.finditer(self.pattern):
            field = next((one for one in FIELDS if one == match[1]), None)
            table = {match[2].casefold(): ""} if field is None else self.codes[field]
            found.append((field, {code.casefold(): meaning for code, meaning in table.items()}))
        return tuple(found)


def _require_clear(name: str, table: dict[str, str]) -> None:
    if not 1 <= len(table) <= MOST_CODES:
        raise ProjectFileError(f"codes.{name}", f"needs 1 to {MOST_CODES} codes", len(table), True)
    folded = Counter(code.casefold() for code in table)
    meanings = Counter(table.values())
    for code, meaning in table.items():
        if len(code) > LONGEST_CODE:
            raise ProjectFileError(f"codes.{name}", f"a code has at most {LONGEST_CODE} letters", code, True)
        if folded[code.casefold()] > 1:
            raise ProjectFileError(f"codes.{name}", "codes must differ in more than capitals", code, True)
        if meanings[meaning] > 1:
            rule = "each code must stand for another thing"
            raise ProjectFileError(f"codes.{name}.{code}", rule, meaning, True)


def ambiguous_designation(pattern: DesignationPattern) -> str | None:
    """Return a designation that can be read in two ways, None where there is none.

    Two readings are equal up to some field and differ there, one code being the beginning of the other. From
    there on the shorter one has to make up the rest, and may overtake; they meet again only where the
    designation is ambiguous.
    """
    sets = [tuple(codes) for _, codes in pattern.pieces()]
    begun = ""
    for place, codes in enumerate(sets):
        for short in codes:
            for long in codes:
                if short != long and long.startswith(short):
                    meeting = _meeting(sets, place + 1, long[len(short) :])
                    if meeting is not None:
                        return begun + long + meeting
        begun += codes[0]
    return None


def _meeting(sets: list[tuple[str, ...]], place: int, ahead: str) -> str | None:
    """Return what follows where two readings meet again; one is `ahead` of the other by some letters."""
    states = [(place, place, ahead, "")]
    seen = set()
    while states:
        behind, front, ahead, said = states.pop()
        if not ahead:  # as long as each other: the one with more fields to come is behind
            behind, front = min(behind, front), max(behind, front)
        if not ahead and behind == front:
            return said + "".join(codes[0] for codes in sets[front:])
        if (behind, front, ahead) in seen or behind == len(sets):
            continue
        seen.add((behind, front, ahead))
        for code in sets[behind]:
            if ahead.startswith(code):
                states.append((behind + 1, front, ahead[len(code) :], said))
            elif code.startswith(ahead):
                rest = code[len(ahead) :]
                states.append((front, behind + 1, rest, said + rest))
    return None
