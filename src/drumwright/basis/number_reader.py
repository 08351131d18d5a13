"""Numbers as people write them: spaces, points, commas; two readings a factor 1000 apart are refused."""

from __future__ import annotations

import re
from fractions import Fraction

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError

_SPACES = re.compile(r"[\u00a0\u1680\u2000-\u200b\u202f\u205f\u2060\u3000\t\r\n ]+")
_DASHES = str.maketrans({"−": "-", "‐": "-", "‑": "-", "–": "-", "—": "-", "٫": ",", "，": ","})
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s?"
    r"(?P<digits>[0-9]{1,3}(?:[ _][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
    r"(?P<exponent>[eE][+-]?[0-9]{1,3}(?![0-9A-Za-z]))?"
)
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity|∞)\b|[+-]?∞", re.I)
_RANGE = re.compile(r"(?:-|to\b|bis\b|\.\.+|…|±|\+/?-)\s*[0-9.,]", re.I)
LONGEST = 80  # characters of a quantity text


def tidy(text: str) -> str:
    """Return the text with every kind of space made one plain space and every dash a minus."""
    return _SPACES.sub(" ", text.translate(_DASHES)).strip()


def split(text: str, allowed: str) -> tuple[Fraction, str]:
    """Split a text into its number, exact, and whatever follows.

    Parameters
    ----------
    text : str
        "180 000 cP", "2,5 bar", "1.2e5 Pa".
    allowed : str
        What to tell the user would be accepted.

    Returns
    -------
    tuple of (Fraction, str)
        The number and the unit text, stripped.

    Raises
    ------
    QuantityError
        If there is no number, it is not finite, or its comma or point has two readings.
    """
    clean = tidy(text)
    if not clean:
        raise _refused("QTY-001", allowed)
    if len(clean) > LONGEST:
        raise _refused("QTY-002", allowed, text=clean[:30])
    if _NOT_FINITE.match(clean):
        raise _refused("QTY-003", allowed, text=clean)
    match = _NUMBER.match(clean)
    if match is None:
        raise _refused("QTY-004", allowed, text=clean)
    rest = clean[match.end() :]
    if rest[:1].isdigit() or (rest[:1] in (".", ",") and rest[1:2].isdigit()):
        raise _refused("QTY-005", allowed, text=clean)
    if _RANGE.match(rest.strip()):
        raise _refused("QTY-006", allowed, text=clean)
    figure = _value(match, rest.strip(), clean, allowed)
    return (-figure if match["sign"] == "-" else figure), rest.strip()


def _value(match: re.Match[str], unit: str, text: str, allowed: str) -> Fraction:
    digits, exponent = match["digits"], match["exponent"] or ""
    grouped = " " in digits or "_" in digits
    digits = digits.replace(" ", "").replace("_", "")
    plain = _without_groups(digits, grouped or bool(exponent), match["sign"], unit, text, allowed)
    size = int(exponent[1:]) if exponent else 0
    if abs(size) > 30 or len(plain) > 40:
        raise _refused("QTY-003", allowed, text=text)
    return Fraction(plain) * Fraction(10) ** size


def _without_groups(digits: str, grouped: bool, sign: str, unit: str, text: str, allowed: str) -> str:
    """Return the digits with a decimal point and nothing else; `grouped`: a single mark is a decimal."""
    marks = [character for character in digits if character in ".,"]
    if not marks:
        return digits
    last = marks[-1]
    if len(set(marks)) == 2:
        whole, _, decimals = digits.rpartition(last)
        if marks.count(last) == 1 and _groups(whole):
            return f"{re.sub('[.,]', '', whole)}.{decimals}"
        raise _refused("QTY-005", allowed, text=text)
    if len(marks) > 1:
        if _groups(digits) and not grouped:
            return digits.replace(last, "")
        raise _refused("QTY-005", allowed, text=text)
    whole, _, decimals = digits.partition(last)
    if not grouped and len(decimals) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0"):
        small, large = f"{sign}{whole}.{decimals}".rstrip("0").rstrip("."), f"{sign}{whole}{decimals}"
        tail = f" {unit}" if unit else ""
        safe = small if len(small.partition(".")[2]) < 3 else f"{small}0"
        raise _refused(
            "QTY-007", allowed, text=text, small=small + tail, large=large + tail, safe=safe + tail
        )
    return f"{whole or '0'}.{decimals}"


def _groups(digits: str) -> bool:
    return re.fullmatch(r"[1-9][0-9]{0,2}(?:([.,])[0-9]{3})(?:\1[0-9]{3})*", digits) is not None


def _refused(key: str, allowed: str, **slots: str) -> QuantityError:
    what, general, remedy = trouble(key, **slots)
    return QuantityError(what, allowed or general, remedy)
