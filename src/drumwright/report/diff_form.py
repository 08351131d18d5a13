"""Two cases side by side, as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from drumwright.basis.estimate import Estimate
from drumwright.report import json_form
from drumwright.report.words import Words, meaning
from drumwright.study.difference import Change, Difference, Move

FORM = "drumwright.diff/1"
WIDTH = 80
MOST = 18  # figures on the screen
Json = dict[str, Any]


def lines(found: Difference, words: Words, names: tuple[str, str]) -> Iterator[str]:
    """Yield the screen of `drumwright diff`.

    Parameters
    ----------
    found : Difference
    words : Words
    names : tuple of str
        Of both cases.
    """
    yield from _wrapped(words.say("diff.head", before=names[0], after=names[1]), "")
    yield "-" * WIDTH
    yield from _verdicts(found, words)
    yield ""
    yield words.say("diff.changes" if found.changes else "diff.no_changes")
    for change in found.changes:
        yield from _wrapped(_changed(change, words), "  ")
    yield from _figures(found, words)
    for key, items in (("gone", found.gone), ("new", found.new)):
        if items:
            yield ""
            yield words.say(f"diff.{key}")
        for item in items:
            yield from _wrapped(words.tell(item.text), "  - ")
    for key, asked in (("asked_no_more", found.asked_no_more), ("asked_now", found.asked_now)):
        if asked:
            yield ""
            yield words.say(f"diff.{key}")
        for question in asked[:5]:
            yield from _wrapped(words.tell(question.ask), "  - ")


def _wrapped(text: str, indent: str) -> list[str]:
    further = indent.replace("-", " ") or "  "
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=further)


def _verdicts(found: Difference, words: Words) -> Iterator[str]:
    first, last = (words.name("verdict", each.verdict) for each in (found.before, found.after))
    if first == last:
        yield from _wrapped(words.say("diff.same_verdict", verdict=first), "")
    else:
        yield from _wrapped(words.say("diff.verdict", before=first, after=last), "")
    mine = {gate.key: gate.status for gate in found.before.as_asked}
    for gate in found.after.as_asked:
        if mine.get(gate.key) not in (None, gate.status):
            name = words.name("gate", gate.key)
            one, other = words.name("status", mine[gate.key]), words.name("status", gate.status)
            yield from _wrapped(words.say("diff.gate", gate=name, before=one, after=other), "  ")
    for path, result in found.alone:
        if result is not None and len(found.changes) > 1 and result.verdict != found.before.verdict:
            verdict = words.name("verdict", result.verdict)
            yield from _wrapped(words.say("diff.alone", path=path, verdict=verdict), "  ")


def _changed(change: Change, words: Words) -> str:
    before, after = (_said(each, change.kind, words) for each in (change.before, change.after))
    return words.say("diff.change", path=change.path, before=before, after=after)


def _said(value: Any, kind: str, words: Words) -> str:
    if value is None or value == () or value == "":
        return words.say("diff.nothing_said")
    if isinstance(value, Estimate):
        return words.band(value.low, value.likely, value.high, kind)
    if isinstance(value, bool):
        return words.say("diff.yes" if value else "diff.no")
    if isinstance(value, tuple):
        if all(isinstance(each, str | int | float) for each in value):
            return ", ".join(str(each) for each in value)
        return words.say("diff.elements", count=len(value))
    if isinstance(value, int | float):
        return words.value(float(value), kind)
    return str(value).replace("_", " ")


def _figures(found: Difference, words: Words) -> Iterator[str]:
    both = [each for each in found.moves if each.before is not None and each.after is not None]
    yield ""
    yield words.say("diff.moved" if both else "diff.nothing_moved")
    shown = list({each.figure.key: each for each in reversed(both)}.values())[::-1]  # its greatest season
    for move in shown[:MOST]:
        yield from _moved(found, move, words)
    if len(both) > min(len(shown), MOST):
        yield words.say("diff.more", count=len(both) - min(len(shown), MOST))
    one_sided = len(found.moves) - len(both)
    if one_sided:
        yield from _wrapped(words.say("diff.one_sided", count=one_sided), "  ")


def _moved(found: Difference, move: Move, words: Words) -> Iterator[str]:
    assert move.before is not None and move.after is not None
    kind = move.after.kind
    before, after = words.value(move.before.likely, kind), words.value(move.after.likely, kind)
    said = meaning(move.after.key).rstrip(".")
    head = words.say("diff.figure", meaning=said, where=_where(move, words), before=before, after=after)
    yield from _wrapped(head, "  ")
    if len(found.changes) < 2:
        return
    parts = [
        words.say("diff.cause", path=each.path, effect=_signed(each.effect, kind, words))
        for each in move.causes
    ]
    whole = abs(move.after.likely - move.before.likely)
    if parts and abs(move.together) > 0.2 * whole:
        parts.append(words.say("diff.together", effect=_signed(move.together, kind, words)))
    if parts:
        yield from _wrapped(words.say("diff.causes", parts="; ".join(parts)), "      ")


def _where(move: Move, words: Words) -> str:
    """Which arrangement and season a figure is of, where that needs saying."""
    figure = move.figure
    recommended, season = figure.key.startswith("recommended."), figure.condition
    if season == "all":
        return words.say("diff.recommended") if recommended else ""
    key = "recommended_in_season" if recommended else "in_season"
    return words.say(f"diff.{key}", season=words.name("season", season))


def _signed(value: float, kind: str, words: Words) -> str:
    """A difference with its sign, in the unit of differences of its kind."""
    apart = {
        "pressure_gauge": "pressure_difference",
        "pressure_absolute": "pressure_difference",
        "temperature": "temperature_difference",
    }
    text = words.value(abs(value), apart.get(kind, kind), 2)
    return f"{'-' if value < 0.0 else '+'}{text}"


def as_dictionary(found: Difference, words: Words, names: tuple[str, str]) -> Json:
    """Return the same as plain data.

    Parameters
    ----------
    found : Difference
    words : Words
    names : tuple of str
        Of both cases.
    """
    return {
        "form": FORM,
        "before": {"name": names[0], "verdict": found.before.verdict, "gate": found.before.gate},
        "after": {"name": names[1], "verdict": found.after.verdict, "gate": found.after.gate},
        "changes": [
            {
                "path": each.path,
                "before": _said(each.before, each.kind, words),
                "after": _said(each.after, each.kind, words),
            }
            for each in found.changes
        ],
        "alone": [
            {"path": path, "verdict": None if result is None else result.verdict}
            for path, result in found.alone
        ],
        "moves": [_move_row(each, words) for each in found.moves],
        "gone": [{"key": each.key, "text": words.tell(each.text)} for each in found.gone],
        "new": [{"key": each.key, "text": words.tell(each.text)} for each in found.new],
        "asked_no_more": [words.tell(each.ask) for each in found.asked_no_more],
        "asked_now": [words.tell(each.ask) for each in found.asked_now],
    }


def _move_row(move: Move, words: Words) -> Json:
    return {
        "figure": move.figure.key,
        "condition": move.figure.condition,
        "kind": move.figure.kind,
        "before": None if move.before is None else json_form.figure(move.before, words),
        "after": None if move.after is None else json_form.figure(move.after, words),
        "causes": [{"path": each.path, "effect": each.effect} for each in move.causes],
        "together": move.together,
    }
