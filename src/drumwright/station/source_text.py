"""From a path to the tables in the file, with a plain word about every way a file can be of no use."""

from __future__ import annotations

import re
import stat
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.station.fields import near
from drumwright.station.positions import Positions

GREATEST_SIZE = 2_000_000  # bytes
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True)
class SourceText:
    """A file that was read: where it is, how it is named to the user, its bytes and its tables."""

    path: Path
    shown: str
    content: bytes
    data: dict[str, Any]

    @cached_property
    def positions(self) -> Positions:
        """Where its fields stand."""
        return Positions(self.content)


def refused(
    shown: str, key: str, line: int = 0, column: int = 0, field: str = "", **slots: str
) -> InputError:
    """Return an error with one problem of the catalogue."""
    return InputError((Problem(shown, line, column, field, *trouble(key, **slots)),))


def read_source(path: Path, shown: str) -> SourceText:
    """Read a TOML file.

    Parameters
    ----------
    path : Path
        The file.
    shown : str
        Its name in messages.

    Raises
    ------
    InputError
        If it cannot be read, is too large, not text, empty, or not TOML.
    """
    content = content_of(path, shown)
    if content.startswith(b"\xef\xbb\xbf"):
        content = content[3:]
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refused(shown, "FIL-008")
    if b"\x00" in content:
        line = content[: content.index(b"\x00")].count(b"\n") + 1
        raise refused(shown, "FIL-006", line)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        column = error.start - content.rfind(b"\n", 0, error.start)
        value = f"0x{content[error.start]:02x}"
        raise refused(shown, "FIL-007", line, column, text=value, byte=str(column)) from None
    data = _tables(text, shown)
    if not data:
        raise refused(shown, "FIL-005")
    return SourceText(path, shown, text.encode("utf-8"), data)


def content_of(path: Path, shown: str, greatest: int = GREATEST_SIZE) -> bytes:
    """Return the bytes of a file.

    Parameters
    ----------
    path : Path
        The file.
    shown : str
        Its name in messages.
    greatest : int
        Size from which it is not read, bytes.

    Raises
    ------
    InputError
        If it cannot be read or is too large.
    """
    try:
        status = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        meant = _sibling(path)
        if meant:
            raise refused(shown, "FIL-002", text=meant) from None
        raise refused(shown, "FIL-001") from None
    except (OSError, ValueError):
        raise refused(shown, "FIL-009") from None
    if stat.S_ISDIR(status.st_mode):
        raise refused(shown, "FIL-003")
    if not stat.S_ISREG(status.st_mode):
        raise refused(shown, "FIL-010")
    if status.st_size > greatest:
        raise refused(shown, "FIL-004", size=f"{status.st_size / 1e6:.1f}", limit=f"{greatest / 1e6:.0f}")
    try:
        return path.read_bytes()
    except OSError:
        raise refused(shown, "FIL-009") from None


def _sibling(path: Path) -> str:
    try:
        names = [each.name for each in path.parent.iterdir() if each.suffix == ".toml"]
    except OSError:
        return ""
    return near(path.name, sorted(names))


def _tables(text: str, shown: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(str(error), text, shown) from None
    except RecursionError:
        raise refused(shown, "SYN-005") from None
    except ValueError:  # tomllib lets the limit on the digits of an integer through as it is
        raise refused(shown, "SYN-006") from None


def _syntax(message: str, text: str, shown: str) -> InputError:
    match = _AT.search(message)
    lines = text.splitlines() or [""]
    line = int(match[1]) if match and match[1] else len(lines)
    column = int(match[2]) if match and match[2] else 1
    detail = _AT.sub("", message)
    written = lines[min(line, len(lines)) - 1].strip()
    key, _, value = written.partition("=")
    field = key.strip().strip("\"'") if value and len(key) < 60 else ""
    if detail.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate")) or "twice" in detail:
        name = field or written.strip("[] ")[:60]
        return refused(shown, "SYN-002", line, column, field, text=name)
    bare = value.split("#")[0].strip()
    if field and bare and bare[0] not in "\"'[{":
        return refused(shown, "SYN-003", line, column, field, text=bare[:60])
    if detail.startswith("Illegal character") or "Unterminated" in detail or "nclosed" in detail:
        return refused(shown, "SYN-004", line, column, field)
    return refused(shown, "SYN-001", line, column, field, detail=detail)
