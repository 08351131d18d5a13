"""Many cases as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.sweep import Row, Verdicts

FORM = "drumwright.sweep/1"
WIDTH = 80
Json = dict[str, Any]


def lines(rows: Sequence[Row], words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright sweep`.

    Parameters
    ----------
    rows : sequence of Row
    words : Words
    """
    yield words.say("sweep.head", count=len(rows))
    yield "-" * WIDTH
    for row in rows:
        yield from _row(row, words)
    yield ""
    told = [row.own.verdict for row in rows if row.own is not None]
    parts = [
        words.say("sweep.part", count=told.count(verdict), verdict=words.name("verdict", verdict))
        for verdict in ("go", "go_if", "ask_first", "refuse")
        if verdict in told
    ]
    errors = sum(bool(row.error) for row in rows)
    if errors:
        parts.append(words.say("sweep.errors", count=errors))
    yield from wrapped("; ".join(parts), "")
    if any(row.other is not None for row in rows):
        yield words.say("sweep.moved", count=sum(row.moved for row in rows))


def _row(row: Row, words: Words) -> Iterator[str]:
    name = f"{row.path}  {row.title}".rstrip()
    yield from wrapped(name, "")
    if row.own is None:
        yield from wrapped(row.error, "    ")
        return
    yield from wrapped(_told(row.own, words), "    ")
    if row.other is not None:
        if row.moved:
            text = words.say("sweep.other", told=_told(row.other, words))
            yield from wrapped(text, "    ")
            yield from _parts(row.own, row.other, words)
        else:
            yield from wrapped(words.say("sweep.same"), "    ")


def _told(found: Verdicts, words: Words) -> str:
    return words.say(
        "sweep.told", verdict=words.name("verdict", found.verdict), reason=words.tell(found.reason)
    )


def _parts(own: Verdicts, other: Verdicts, words: Words) -> Iterator[str]:
    mine, theirs = dict(own.parts), dict(other.parts)
    for role in dict.fromkeys((*mine, *theirs)):
        if mine.get(role) != theirs.get(role):
            before, after = mine.get(role, "-"), theirs.get(role, "-")
            yield from wrapped(words.say("sweep.part_moved", role=role, before=before, after=after), "      ")


def as_dictionary(rows: Sequence[Row], words: Words) -> Json:
    """Return the same as plain data.

    Parameters
    ----------
    rows : sequence of Row
    words : Words
    """
    return {
        "form": FORM,
        "cases": [
            {
                "path": row.path,
                "title": row.title,
                "error": row.error or None,
                "own": _plain(row.own, words),
                "other": _plain(row.other, words),
                "moved": row.moved,
            }
            for row in rows
        ],
    }


def _plain(found: Verdicts | None, words: Words) -> Json | None:
    if found is None:
        return None
    return {
        "verdict": found.verdict,
        "gate": found.gate,
        "reason": words.tell(found.reason),
        "parts": [{"role": role, "stock": stock} for role, stock in found.parts],
    }
