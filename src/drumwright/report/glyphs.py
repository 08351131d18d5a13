"""Which characters the document font can print; the others are replaced, so that no text stops a document."""

from __future__ import annotations

import struct
import unicodedata
from functools import cache

from drumwright.basis.catalogue import DATA

REPLACEMENT = "\u25a1"
_UNSEEN = ("Cc", "Cf", "Cn", "Co", "Cs")  # no control, format, private or unassigned signs
_SPACES = {"\t": "    ", "\r\n": "\n", "\r": "\n", "\u2028": "\n", "\u2029": "\n"}


@cache
def printable() -> frozenset[int]:
    """Return the code points in the character map of the regular font (format 4, basic plane)."""
    content = (DATA / "fonts" / "LiberationSans-Regular.ttf").read_bytes()
    table = _table(content, b"cmap")
    for index in range(struct.unpack_from(">H", content, table + 2)[0]):
        offset = table + struct.unpack_from(">I", content, table + 4 + 8 * index + 4)[0]
        if struct.unpack_from(">H", content, offset)[0] == 4:
            return _segments(content, offset)
    raise ValueError("the document font has no character map of format 4")


def _table(content: bytes, wanted: bytes) -> int:
    for index in range(struct.unpack_from(">H", content, 4)[0]):
        tag, _, offset, _ = struct.unpack_from(">4sIII", content, 12 + 16 * index)
        if tag == wanted:
            return int(offset)
    raise ValueError("the document font has no such table")


def _segments(content: bytes, offset: int) -> frozenset[int]:
    count = struct.unpack_from(">H", content, offset + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", content, offset + 14)
    starts = struct.unpack_from(f">{count}H", content, offset + 16 + 2 * count)
    found: set[int] = set()
    for start, end in zip(starts, ends, strict=True):
        found.update(range(start, end + 1))
    return frozenset(code for code in found if unicodedata.category(chr(code)) not in _UNSEEN)


def clean(text: str) -> str:
    """Return a text with every character the font lacks replaced by an empty square.

    Parameters
    ----------
    text : str
        Any text, also what a person pasted.
    """
    if text.isascii() and text.isprintable():
        return text
    for sign, instead in _SPACES.items():
        text = text.replace(sign, instead)
    known = printable()
    return "".join(sign if sign == "\n" or ord(sign) in known else REPLACEMENT for sign in text)
