"""Where the product goes: what is judged today and what is named as not judged yet."""

from __future__ import annotations

CLOSED: frozenset[str] = frozenset({"closed_filler", "header"})
JUDGED: frozenset[str] = frozenset({"open_tank"})


def is_closed(kind: str) -> bool:
    """Whether this destination can close on a running pump."""
    return kind in CLOSED


def is_judged(kind: str) -> bool:
    """Whether the steady answer covers this destination; others come with a condition."""
    return kind in JUDGED
