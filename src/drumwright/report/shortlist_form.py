"""The shortlist of a case, as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.shortlist import Member, Shortlist

FORM = "drumwright.shortlist/1"
WIDTH = 80
SHOWN = ("people", "time", "margin", "winter")
Json = dict[str, Any]


def lines(found: Shortlist, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright shortlist`.

    Parameters
    ----------
    found : Shortlist
    words : Words
    """
    yield from wrapped(words.say("shortlist.head", title=found.title))
    yield "-" * WIDTH
    verdict = words.name("verdict", found.verdict)
    yield from wrapped(words.say("shortlist.verdict", verdict=verdict, reason=words.tell(found.reason)))
    if found.verdict in ("ask_first", "refuse"):
        yield from wrapped(words.say("shortlist.no_firm"))
    if found.looked_at:
        counts = {"passed": found.passed, "looked": found.looked_at, "samples": found.samples}
        yield from wrapped(words.say("shortlist.counts", **counts))
        stopped = [
            words.say("shortlist.stopped_part", gate=words.name("shortlist_stopped", gate), count=number)
            for gate, number in found.stopped.items()
        ]
        if stopped:
            yield from wrapped(words.say("shortlist.stopped", parts=", ".join(stopped)))
    yield ""
    for number, member in enumerate(found.members, 1):
        yield from _member(number, member, words)
        yield ""
    if found.why_none is not None:
        yield from wrapped(words.tell(found.why_none))
        yield ""
    yield words.say("shortlist.ordinary")
    for each in found.alternatives:
        yield from wrapped(words.say("shortlist.alternative", text=words.tell(each.text)), "", "  ")


def _member(number: int, member: Member, words: Words) -> Iterator[str]:
    name = words.tell(member.name)
    yield from wrapped(words.say("shortlist.member", number=number, name=name), "", "   ")
    for text in member.why:
        yield from wrapped(words.say("shortlist.why", text=words.tell(text)), "   ", "     ")
    for text in member.changes:
        yield from wrapped(words.say("shortlist.change", text=words.tell(text)), "   ", "     ")
    low, likely, high = member.residue
    known, shown_names = ("numbers", SHOWN) if member.numbers["time"] > 0.0 else ("pressures", SHOWN[2:])
    shown = (
        words.say("shortlist.residue", low=low, likely=likely, high=high),
        words.say("shortlist.chance", chance=member.chance),
        words.say(f"shortlist.{known}", **{name: member.numbers[name] for name in shown_names}),
        _peak(member, words),
    )
    for line in shown:
        yield from wrapped(line, "   ", "     ")
    if member.runner_up is not None:
        yield from wrapped(words.tell(member.runner_up), "   ", "     ")


def _peak(member: Member, words: Words) -> str:
    if member.peak is None:
        return words.say("shortlist.peak_none")
    return words.say("shortlist.peak_over" if member.peak > 1.0 else "shortlist.peak", over=member.peak)


def as_dictionary(found: Shortlist, words: Words) -> Json:
    """Return the same as plain data.

    Parameters
    ----------
    found : Shortlist
    words : Words
    """
    return {
        "form": FORM,
        "title": found.title,
        "verdict": found.verdict,
        "reason": words.tell(found.reason),
        "looked_at": found.looked_at,
        "passed": found.passed,
        "samples": found.samples,
        "stopped": dict(found.stopped),
        "members": [_row(each, words) for each in found.members],
        "why_none": None if found.why_none is None else words.tell(found.why_none),
        "alternatives": [
            {"key": each.key, "helps": each.helps, "text": words.tell(each.text)}
            for each in found.alternatives
        ],
    }


def _row(member: Member, words: Words) -> Json:
    choice = member.choice
    return {
        "name": words.tell(member.name),
        "pump": choice.pump.identifier,
        "family": choice.pump.family,
        "bore": choice.bore,
        "pressure_class": choice.pressure_class,
        "warm_to": choice.warm_to,
        "flow_factor": choice.flow_factor,
        "stand": choice.stand,
        "stations": choice.stations,
        "seal": choice.seal,
        "port": choice.port,
        "beside": choice.beside,
        "ram": choice.ram,
        "changes": [words.tell(each) for each in member.changes],
        "best_in": list(member.roles),
        "numbers": dict(member.numbers),
        "residue": dict(zip(("low", "likely", "high"), member.residue, strict=True)),
        "chance": member.chance,
        "peak": member.peak,
        "why": [words.tell(each) for each in member.why],
        "runner_up": None if member.runner_up is None else words.tell(member.runner_up),
    }
