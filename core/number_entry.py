"""The grammar of a typed number: one decimal point or comma, no guessing.

A point is always the decimal point. A comma is the decimal comma, except where it may just as well be a
thousands separator (`1,234`): that is refused, since both readings are a thousand apart and look right.
Digits grouped in threes by spaces are read as one number (grouping of ISO 80000-1:2022, 7.3, from memory).
"""

from __future__ import annotations

import math
import re

from core.errors import UnitError

ACCEPTED_FORMS = "12.5, 12,5, 1.2e-3 or 12500"
LONGEST_ENTRY = 120

# Spaces that spreadsheets and typesetting put into numbers, and the true minus sign.
_SPACES = dict.fromkeys((0x00A0, 0x2007, 0x2009, 0x200A, 0x200B, 0x202F, 0x2060, 0xFEFF), " ")
_PLAIN = str.maketrans({**_SPACES, 0x2212: "-"})

_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?"
    r"(?P<body>[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9.,'’_]*[0-9][0-9.,'’_]*)"
    r"(?P<exponent>[eE][+-]?[0-9]+)?"
)
_NOT_FINITE = re.compile(r"[+-]? ?(nan|inf|infinity|∞)\b|[+-]? ?∞", re.IGNORECASE)


def split_number(text: str) -> tuple[float, str]:
    """Return the number that `text` begins with, and the rest, which is the unit as typed.

    Examples
    --------
    >>> split_number("12,5 mN·m")
    (12.5, 'mN·m')
    >>> split_number("3 000 rpm")
    (3000.0, 'rpm')
    """
    plain = text.translate(_PLAIN).strip()
    if not plain:
        raise UnitError(f"nothing is typed: a number is needed, as {ACCEPTED_FORMS}")
    if len(plain) > LONGEST_ENTRY:
        raise UnitError(f"{shown(text)} is longer than a number and a unit can be")
    if _NOT_FINITE.match(plain):
        raise UnitError(f"{shown(text)} is not a finite number")
    match = _NUMBER.match(plain)
    if match is None:
        raise UnitError(f"{shown(text)} does not begin with a number: write it as {ACCEPTED_FORMS}")
    digits = _decimal_digits(match["body"], match.group())
    value = _finite(match["sign"] + digits + (match["exponent"] or ""), match.group())
    return value, plain[match.end() :].strip()


def shown(text: str, limit: int = 40) -> str:
    """Quote typed text for a message, shortened where it is long."""
    return f"'{text}'" if len(text) <= limit else f"'{text[: limit - 3]}...'"


def _decimal_digits(body: str, typed: str) -> str:
    """Return `body` with a decimal point and no separators, or refuse it with the reason."""
    if " " in body:
        return body.replace(" ", "").replace(",", ".")
    points, commas = body.count("."), body.count(",")
    if points > 1 or commas > 1 or (points and commas) or re.search("['’_]", body):
        raise UnitError(
            f"{shown(typed)} has thousands separators, which are not read: "
            f"write the digits without them{_without_separators(body)}"
        )
    whole, _, decimals = body.partition(",")
    if commas and not decimals:
        raise UnitError(f"{shown(typed)} ends with a comma: write it as {ACCEPTED_FORMS}")
    # A grouped number has one to three digits before the first comma, the first of them not zero.
    if commas and len(decimals) == 3 and 1 <= len(whole) <= 3 and whole[0] != "0":
        raise UnitError(
            f"{shown(typed)} is ambiguous, the comma may separate thousands or decimals: "
            f"write {whole}{decimals} or {whole}.{decimals}"
        )
    return body.replace(",", ".")


def _without_separators(body: str) -> str:
    """Suggest the number meant, if the last separator can only be the decimal one."""
    last = max(body.rfind("."), body.rfind(","))
    mark = body[last] if last >= 0 else ""
    if not mark or body.count(mark) > 1:
        return f", as {re.sub('[^0-9]', '', body)}"
    whole, decimals = re.sub("[^0-9]", "", body[:last]), re.sub("[^0-9]", "", body[last:])
    return f", as {whole}.{decimals}" if whole and decimals else ""


def _finite(digits: str, typed: str) -> float:
    value = float(digits)
    if math.isinf(value):
        raise UnitError(f"{shown(typed)} is too large for a number")
    if value == 0.0 and re.search("[1-9]", re.split("[eE]", digits)[0]):
        raise UnitError(f"{shown(typed)} is too small for a number")
    return value
