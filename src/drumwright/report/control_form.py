"""The control of a case as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from drumwright.basis.phrases import phrase
from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.station.control.layout import STANDARD_NAMES, STATES
from drumwright.station.control.matrix import EFFECTS
from drumwright.study.control_sheet import ControlSheet

FORM = "drumwright.control/1"
WIDTH = 80
Json = dict[str, Any]


def lines(sheet: ControlSheet, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright control`.

    Parameters
    ----------
    sheet : ControlSheet
    words : Words
    """
    yield words.say("control.head", title=sheet.title)
    yield "-" * WIDTH
    yield from wrapped(words.say("control.safety"), "")
    yield ""
    yield from _ladder(sheet, words)
    yield ""
    yield words.say("control.objects")
    if sheet.turning and sheet.missing > 0.0:
        yield from wrapped(words.say("control.squeezed"), "  ")
    for each in sheet.objects:
        mark = words.say(f"control.{each.purpose}")
        text = words.tell(phrase("CTL-line", mark=mark, text=each.text, reason=each.reason))
        yield from wrapped(text, "  - ")
    yield ""
    yield from _states(sheet, words)
    yield ""
    yield from _matrix(sheet, words)
    yield ""
    yield from wrapped(words.tell(phrase("CAUTION")), "")


def _ladder(sheet: ControlSheet, words: Words) -> Iterator[str]:
    yield words.say("control.ladder", season=words.name("season", sheet.season))
    for rung in sheet.rungs:
        name = words.say(f"control.rung.{rung.name}")
        if rung.name == "weakest":
            name = words.say("control.rung.weakest_part", part=words.say(f"control.part.{sheet.part}"))
        possible = rung.level > 0.0
        level = words.value(rung.level, "pressure_gauge") if possible else words.say("control.impossible")
        yield f"  {level:>14} -+- {name}"
        if rung.gap is not None:
            gap = words.value(abs(rung.gap), "pressure_difference")
            yield f"  {'':14}  |  {gap if rung.gap >= 0.0 else words.say('control.lacking', gap=gap)}"
    yield from wrapped(words.tell(sheet.verdict), "  ")
    if not sheet.closed:
        yield from wrapped(words.say("control.open_end"), "  ")
    if sheet.remedies:
        yield words.say("control.remedies")
        for each in sheet.remedies:
            yield from wrapped(words.tell(each.text), "  - ")


def _states(sheet: ControlSheet, words: Words) -> Iterator[str]:
    yield words.say("control.states")
    for state in sheet.states:
        yield from wrapped(words.say("control.state", name=state.title, outputs=state.outputs), "  ")
        for way in state.exits:
            yield from wrapped(words.tell(way), "    - ")


def _matrix(sheet: ControlSheet, words: Words) -> Iterator[str]:
    yield words.say("control.matrix")
    head = "".join(f"{effect:<6}" for effect in EFFECTS)
    cause, delay, reset = (words.say(f"control.{name}") for name in ("cause", "delay", "reset"))
    yield f"  {cause:<24}{delay:>7}  {head}{reset}"
    for row in sheet.rows:
        delay = words.value(row.delay, "short_time") if row.delay > 0.0 else "-"
        cells = "".join(f"{cell:<6}" for cell in row.effects)
        name = words.say(f"control.row.{row.cause}")
        yield f"  {name:<24}{delay:>7}  {cells}{words.say(f'control.reset_{row.reset}')}"
    yield from wrapped(words.say("control.legend"), "  ")


def as_dictionary(sheet: ControlSheet, words: Words) -> Json:
    """The sheet as JSON: numbers in SI, sentences in words.

    Parameters
    ----------
    sheet : ControlSheet
    words : Words
    """
    points = {name: None if math.isnan(value) else value for name, value in asdict(sheet.points).items()}
    return {
        "form": FORM,
        "title": sheet.title,
        "season": sheet.season,
        "closed_destination": sheet.closed,
        "weakest_part": sheet.part,
        "ladder": [asdict(rung) for rung in sheet.rungs],
        "fits": sheet.missing <= 0.0,
        "missing": max(sheet.missing, 0.0),
        "verdict": words.tell(sheet.verdict),
        "remedies": [
            {
                "name": each.name, "value": each.value, "before": each.before, "enough": each.enough,
                "missing": max(each.missing, 0.0), "change": each.change, "text": words.tell(each.text),
            }
            for each in sheet.remedies
        ],
        "set_points": points,
        "objects": [_object(sheet, index, words) for index in range(len(sheet.objects))],
        "states": [
            {
                "name": each.name, "standard_name": STANDARD_NAMES[STATES.index(each.name)],
                "outputs": asdict(sheet.control.output(each.name)),
                "exits": [words.tell(way) for way in each.exits],
            }
            for each in sheet.states
        ],
        "cause_and_effect": [
            {"cause": row.cause, "effects": dict(zip(EFFECTS, row.effects, strict=True)), "delay": row.delay,
             "reset": row.reset}
            for row in sheet.rows
        ],
        "safety": words.say("control.safety"),
        "caution": words.tell(phrase("CAUTION")),
    }  # fmt: skip


def _object(sheet: ControlSheet, index: int, words: Words) -> Json:
    said, made = sheet.objects[index], sheet.control.objects[index]
    return {
        "id": made.identifier,
        "conditions": [asdict(seen) for seen in made.conditions],
        "votes": made.votes,
        "actions": [{"action": action, "value": value} for action, value in made.actions],
        "reset": made.reset,
        "priority": made.priority,
        "purpose": made.purpose,
        "text": words.tell(said.text),
        "reason": words.tell(said.reason),
    }
