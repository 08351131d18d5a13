"""What would make a case pass, as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drumwright.basis.phrases import phrase
from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.would_pass import Way, WouldPass

FORM = "drumwright.would_pass/1"
WIDTH = 80
Json = dict[str, Any]


def lines(found: WouldPass, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright would-pass`.

    Parameters
    ----------
    found : WouldPass
    words : Words
    """
    yield from wrapped(words.say("would_pass.head", title=found.title))
    yield "-" * WIDTH
    verdict = words.name("verdict", found.verdict)
    yield from wrapped(words.say("would_pass.verdict", verdict=verdict, reason=words.tell(found.reason)))
    for text in found.stops:
        yield from wrapped(words.say("would_pass.stops", text=words.tell(text)), "", "  ")
    for name, ways in (("singles", found.singles), ("pairs", found.pairs)):
        if ways:
            yield ""
            yield words.say(f"would_pass.{name}")
        for way in ways:
            yield from _way(way, words)
    if found.stops and not found.singles and not found.pairs:
        yield ""
        yield from wrapped(words.tell(phrase("WPS-nothing" if found.paired else "WPS-nothing_alone")))
    if found.not_enough:
        names = ", ".join(words.name("lever", name) for name in found.not_enough)
        yield from wrapped(words.say("would_pass.not_enough", text=names), "", "  ")
    groups = (
        ("together", found.together),
        ("set_points", found.set_points),
        ("containers", tuple(each.text for each in found.containers)),
    )
    for name, texts in groups:
        if texts:
            yield ""
            yield words.say(f"would_pass.{name}")
        for text in texts:
            yield from wrapped(words.say("would_pass.change", text=words.tell(text)), "", "  ")
    if found.no_number:
        yield ""
        yield words.say("would_pass.no_number")
        for text in found.no_number:
            yield from wrapped(words.say("would_pass.change", text=words.tell(text)), "", "  ")


def _way(way: Way, words: Words) -> Iterator[str]:
    both = words.say("would_pass.both").join(words.tell(each) for each in way.changes)
    yield from wrapped(words.say("would_pass.change", text=both), "", "  ")
    prices = "; ".join(words.tell(each) for each in way.prices)
    told = words.say("would_pass.price", text=prices) if prices else words.say("would_pass.no_price")
    yield from wrapped(told, "    ", "    ")


def as_dictionary(found: WouldPass, words: Words) -> Json:
    """Return the same as plain data.

    Parameters
    ----------
    found : WouldPass
    words : Words
    """
    return {
        "form": FORM,
        "title": found.title,
        "verdict": found.verdict,
        "reason": words.tell(found.reason),
        "stops": [words.tell(each) for each in found.stops],
        "singles": [_row(each, words) for each in found.singles],
        "pairs": [_row(each, words) for each in found.pairs],
        "together": [words.tell(each) for each in found.together],
        "containers": [
            {"key": each.key, "helps": each.helps, "text": words.tell(each.text)} for each in found.containers
        ],
        "set_points": [words.tell(each) for each in found.set_points],
        "not_enough": list(found.not_enough),
        "no_number": [words.tell(each) for each in found.no_number],
    }


def _row(way: Way, words: Words) -> Json:
    return {
        "levers": list(way.levers),
        "values": list(way.values),
        "changes": [words.tell(each) for each in way.changes],
        "prices": [words.tell(each) for each in way.prices],
        "chance": way.chance,
    }
