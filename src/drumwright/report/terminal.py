"""One screen of 80 columns, the answer first; plain lines with a tone each, coloured only by a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from drumwright.report.parts import part_name
from drumwright.report.words import Words, border_name, words_of
from drumwright.study.result import Border, Finding, Result

WIDTH = 80
SHORT = 0.98  # of the wanted flow: below, the flow that is reached is told beside it
_LABEL = 18
Tone = Literal["", "strong", "quiet", "go", "go_if", "ask_first", "refuse"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the screen and its tone."""

    text: str
    tone: Tone = ""


def screen(result: Result) -> tuple[Line, ...]:
    """Return the answer as lines of at most 80 columns.

    Parameters
    ----------
    result : Result
        A finished answer.
    """
    words = words_of(result)
    lines = list(_lines(result, words))
    return tuple(Line(line.text.rstrip(), line.tone) for line in lines)


def _lines(result: Result, words: Words) -> Iterator[Line]:
    head = result.head
    title = words.say("screen.title", version=head.version, title=head.title or words.say("title.untitled"))
    yield Line(_cut(title), "quiet")
    yield Line("-" * WIDTH, "quiet")
    verdict = f"{words.say('screen.verdict')}: {words.say(f'verdict.{result.verdict}').upper()}"
    gate = f"   ({words.say('screen.gate')}: {words.name('gate', result.gate)})" if result.gate else ""
    yield Line(f"{verdict}{gate}", result.verdict)
    yield from _wrapped(words.tell(result.reason), "  ", 5)
    today = f"{words.say(f'offer.{result.offer}')}. {words.tell(result.offer_reason)}"
    yield from _labelled(words.say("screen.today"), today, 2)
    yield from _deciding(result, words)
    yield from _arrangement(result, words)
    yield from _conditions(result, words)
    yield Line("")
    yield from _path(result, words)
    yield Line("")
    yield from _questions(result, words)
    yield from _counts(result, words)
    yield Line("-" * WIDTH, "quiet")
    yield from _wrapped(words.tell(result.caution), "", 6, "quiet")


def _deciding(result: Result, words: Words) -> Iterator[Line]:
    finding = deciding(result)
    if finding is None:
        return
    number = words.against(finding) or words.say("screen.no_number")
    season = f" ({words.name('season', finding.condition)})" if finding.condition not in ("", "all") else ""
    yield from _labelled(words.say("screen.decides"), f"{number}{season}: {finding.figure or finding.key}", 2)


def deciding(result: Result) -> Finding | None:
    """Return the finding that decided as asked: of the gate named, else the tightest of those that passed."""
    gates = {gate.key: gate for gate in result.as_asked}
    named = gates.get(result.gate)
    numbered = [
        f for f in result.findings if f.gate == result.gate and f.kind and f.role in ("fail", "undecided")
    ]
    if named is not None and named.deciding is not None:
        return named.deciding if named.deciding.kind or not numbered else numbered[0]
    for finding in result.findings:
        if finding.role in ("fail", "undecided"):
            return finding
    judged = [gate for gate in result.as_asked if gate.deciding is not None and gate.probability is not None]
    worst = min(judged, key=lambda gate: gate.probability or 0.0, default=None)
    return worst.deciding if worst else None


def _arrangement(result: Result, words: Words) -> Iterator[Line]:
    if result.recommended is None:
        return
    wanted = ("plate", "outlet", "stand", "pump", "line")
    parts = []
    for part in result.recommended.parts:
        if part.role in wanted:
            size = f" {words.value(part.size, part.kind)}" if part.role == "line" and part.size else ""
            parts.append(f"{part_name(part, words)}{size}")
    yield from _labelled(words.say("screen.arrangement"), ", ".join(parts), 3)


def _conditions(result: Result, words: Words, most: int = 5) -> Iterator[Line]:
    """Conditions of the verdict, or the ways out of a refusal; the documents hold them in full."""
    name, listed = "conditions", [c for c in result.conditions if not c.key.startswith("change.")]
    if result.verdict == "refuse":
        name, listed = "ways_out", [f for f in result.findings if f.key.startswith("way_out.")]
    elif result.verdict == "ask_first":
        return
    for index, item in enumerate(listed[:most]):
        label = words.say(f"screen.{name}") if index == 0 else ""
        yield from _labelled(label, f"- {words.tell(item.text)}", 4)
    if len(listed) > most:
        yield Line(f"{'':<{_LABEL}}- {words.say('screen.more', count=len(listed) - most)}")


def _path(result: Result, words: Words) -> Iterator[Line]:
    yield Line(_cut(words.say("screen.path")), "strong")
    if not result.path:
        yield from _wrapped(words.say("text.path_missing"), "  ", 2)
        return
    first = {border.key: border for border in result.path[0][1]}
    yield Line(
        "".join((" " * 17, *(f"{words.name('season', season):>15}" for season, _ in result.path))), "quiet"
    )
    for key in first:
        cells = []
        for _, borders in result.path:
            border = next((each for each in borders if each.key == key), None)
            cells.append(_pressure(border, words))
        limit = _limit(first[key], words)
        yield Line(
            _cut(
                f"  {border_name(result, key, words):<15}" + "".join(f"{cell:>15}" for cell in cells) + limit
            )
        )
    rows = (
        (words.say("screen.flow"), [words.value(borders[0].flow, "flow") for _, borders in result.path]),
        (
            words.say("screen.temperature"),
            [words.value(borders[0].temperature, "temperature") for _, borders in result.path],
        ),
    )
    for label, cells in (*rows, *_reached(result, words)):
        yield Line(_cut(f"  {label:<15}" + "".join(f"{cell:>15}" for cell in cells)), "quiet")


def _reached(result: Result, words: Words) -> Iterator[tuple[str, list[str]]]:
    """The flow that is reached, where it falls short of the one the pressures stand for."""
    key = "recommended.station.flow" if result.recommended else "station.flow"
    found = {item.condition: item.likely for item in result.figures if item.key == key}
    if any(found.get(season, 0.0) < SHORT * borders[0].flow for season, borders in result.path):
        cells = [words.value(found.get(season), "flow") for season, _ in result.path]
        yield words.say("screen.reached"), cells


def _pressure(border: Border | None, words: Words) -> str:
    """Return the likely pressure of a border: absolute where its limit is, else gauge."""
    if border is None:
        return words.say("blank")
    if border.limit_is == "minimum_absolute":
        return words.value(border.pressure_absolute[1], "pressure_absolute")
    return words.value(border.pressure_gauge[1], "pressure_gauge")


def _limit(border: Border, words: Words) -> str:
    if border.limit is None:
        return ""
    sign, kind = (
        ("max", "pressure_gauge") if border.limit_is == "maximum_gauge" else ("min", "pressure_absolute")
    )
    return f" {sign} {words.value(border.limit, kind)}"


def _questions(result: Result, words: Words) -> Iterator[Line]:
    yield Line(words.say("screen.ask"), "strong")
    if not result.questions:
        yield Line(f"  {words.say('screen.no_ask')}")
    for question in result.questions[:3]:
        label = f"  {question.rank}. [{question.flag}] "
        yield from _labelled(label, words.tell(question.ask), 2, len(label))


def _counts(result: Result, words: Words) -> Iterator[Line]:
    found = [item for item in result.assumptions if not item.closed]
    decide = sum(item.flag == "R" for item in found)
    size = sum(item.flag == "A" for item in found)
    text = words.say("screen.counts", total=len(found), decide=decide, size=size)
    yield from _labelled(words.say("screen.assumed"), text, 1)


def _labelled(label: str, text: str, most: int, width: int = _LABEL) -> Iterator[Line]:
    """Yield a label and its text beside it, at most so many lines."""
    for index, each in enumerate(_fold(text, WIDTH - width, most)):
        yield Line(f"{label if index == 0 else '':<{width}}{each}")


def _wrapped(text: str, indent: str, most: int, tone: Tone = "") -> Iterator[Line]:
    for each in _fold(text, WIDTH - len(indent), most):
        yield Line(indent + each, tone)


def _fold(text: str, width: int, most: int) -> list[str]:
    """Return a text as lines; what does not fit ends with dots."""
    return textwrap.wrap(" ".join(text.split()), width, max_lines=most, placeholder=" ...") or [""]


def _cut(text: str) -> str:
    text = " ".join(text.split()) if "\n" in text else text
    return text if len(text) <= WIDTH else f"{text[: WIDTH - 4].rstrip()} ..."
