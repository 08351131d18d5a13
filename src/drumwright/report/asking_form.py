"""What is worth asking, as lines of 80 columns and as JSON of one shape."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from typing import Any

from drumwright.basis.catalogue import catalogue
from drumwright.basis.phrases import phrase
from drumwright.report.words import Words, meaning
from drumwright.station.records import declaration
from drumwright.study.asking import FIRST, Asked, Asking, Width, plain_path
from drumwright.study.standing import Standing
from drumwright.study.supposed import Flip

FORM = "drumwright.questions/1"
WIDTH = 80
Json = dict[str, Any]


def lines(found: Asking, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright questions`.

    Parameters
    ----------
    found : Asking
    words : Words
    """
    result = found.result
    yield from _wrapped(words.say("questions.head", title=result.head.title or result.head.number), "")
    yield "-" * WIDTH
    verdict = words.name("verdict", result.verdict)
    yield from _wrapped(words.say("questions.verdict", verdict=verdict, reason=words.tell(result.reason)), "")
    if not found.asked:
        yield words.say("questions.none")
        return
    yield ""
    yield words.say("questions.first")
    for each in found.first:
        yield from _wrapped(_line(each, words), "")
        for text in explained(each, found, words):
            yield from _wrapped(text, "      ")
    if found.asked[FIRST:]:
        yield ""
        yield words.say("questions.rest")
    for each in found.asked[FIRST:]:
        yield from _wrapped(_line(each, words), "")
        if each.chances and each.known != "missing":
            yield from _wrapped(_change(each, words), "      ")
    if found.widths:
        yield ""
        yield words.say("questions.widths")
    for width in found.widths:
        yield from _wrapped(_width(width, words), "  ")
    yield ""
    yield from _wrapped(words.say("questions.letters"), "")


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent or "        ")


def _line(each: Asked, words: Words) -> str:
    question = each.question
    numbers = words.say("questions.numbers", numbers=", ".join(question.assumptions))
    text = f"{question.rank:>2}. [{question.flag}] {words.tell(question.ask)}"
    return f"{text} {numbers}" if question.assumptions else text


def explained(each: Asked, found: Asking, words: Words) -> list[str]:
    """What a question can change, how its answer is found, and where it flips the decision.

    Parameters
    ----------
    each : Asked
    found : Asking
    words : Words
    """
    texts = [_change(each, words)]
    if each.question.because.key.startswith("EFF-") and not (each.flips or each.then):
        texts.append(words.tell(each.question.because))
    if each.how:
        texts.append(words.say("questions.how", how=words.tell(phrase(each.how))))
    return texts + _turns(each, found, words)


def _change(each: Asked, words: Words) -> str:
    if each.known == "missing":
        return words.say("questions.change_missing")
    if each.known == "letter":
        return words.say(f"questions.change_{each.question.flag}")
    if not each.chances and each.flips:
        return words.say("questions.change_ends")
    if not each.chances and each.question.flag == "R":
        return words.say("questions.change_none_R")
    if not each.chances:
        return words.say("questions.change_none")
    parts = [
        words.say("questions.part", part=words.name("decision_part", part), chance=chance)
        for part, chance in each.chances
    ]
    return words.say("questions.change", parts=", ".join(parts))


def _turns(each: Asked, found: Asking, words: Words) -> list[str]:
    """The answers that flip the decision, with their units."""
    texts = []
    row = each.number
    if row is not None and row.low is not None and row.high is not None and each.field:
        if each.then is not None and row.likely is not None:
            then = _decision(each.then, "verdict", words)
            value = words.value(row.likely, row.kind)
            texts.append(words.say("questions.flip_known", value=value, then=then))
        for flip in each.flips:
            texts.append(_flip(flip, row.kind, words))
        if not texts:
            low, high = (words.value(end, row.kind) for end in (row.low, row.high))
            texts.append(words.say("questions.flip_none", low=low, high=high))
        if len(each.question.assumptions) > 1:
            what = words.tell(row.meaning).rstrip(".")
            texts = [words.say("questions.flip_of", what=what, text=text) for text in texts]
    elif each.words:
        turned = [(value, _different(then, found.thin, words)) for value, then in each.words]
        texts = [words.say("questions.flip_word", value=_word(v), then=then) for v, then in turned if then]
        if not texts:
            tried = ", ".join(_word(value) for value, _ in turned)
            texts.append(words.say("questions.flip_word_none", values=tried))
        what = declaration(plain_path(each.field)).meaning.rstrip(".")
        texts = [words.say("questions.flip_of", what=what, text=text) for text in texts]
    elif each.known == "letter" and not each.field:
        texts.append(words.say("questions.flip_engineer"))
    return texts


def _word(value: str) -> str:
    return {"True": "yes", "False": "no"}.get(value, value.replace("_", " "))


def _flip(flip: Flip, kind: str, words: Words) -> str:
    then = _decision(flip.then, flip.part, words)
    value = words.value(flip.value, kind)
    if flip.below:
        return words.say("questions.flip_below", value=value, then=then)
    return words.say("questions.flip_above", value=value, then=then)


def _different(then: Standing | None, base: Standing, words: Words) -> str:
    """The weightiest difference of a decision, "" where it is the same."""
    if then is None:
        return ""
    differs = then.differs(base)
    part = next(
        (each for each in ("verdict", "change", "family", "size", "bore", "stations") if each in differs), ""
    )
    return _decision(then, part, words) if part else ""


def _decision(then: Standing, part: str, words: Words) -> str:
    if part == "verdict":
        return words.say("questions.then_verdict", verdict=words.name("verdict", then.verdict))
    if part == "change":
        return words.say("questions.then_change" if then.change else "questions.then_asked")
    if part == "family":
        machine = then.machine.replace(" ", ", ").replace("_", " ")
        return words.say("questions.then_family", family=then.family.replace("_", " "), machine=machine)
    if part == "size":
        motor, pressure = words.value(then.motor, "power"), words.value(then.pressure_class, "pressure_gauge")
        return words.say("questions.then_size", motor=motor, pressure=pressure)
    if part == "bore":
        if not math.isfinite(then.bore):
            return words.say("questions.then_own_bore")
        return words.say("questions.then_bore", bore=words.value(then.bore, "diameter"))
    return words.say("questions.then_stations", count=then.stations)


def _width(width: Width, words: Words) -> str:
    what = f"MEANS-{width.field}"
    text = words.tell(phrase(what)) if what in catalogue() else f"{width.field}."
    how = words.tell(phrase(width.how)) if width.how else ""
    return words.say(
        "questions.width", share=width.share, figure=meaning(width.figure).rstrip("."), what=text, how=how
    ).rstrip()


def as_dictionary(found: Asking, words: Words) -> Json:
    """The answer for JSON.

    Parameters
    ----------
    found : Asking
    words : Words
    """
    return {
        "form": FORM,
        "verdict": found.result.verdict,
        "decision": _standing(found.standing),
        "questions": [_asked(each, found, words) for each in found.asked],
        "widths": [
            {"figure": each.figure, "field": each.field, "share": each.share, "words": _width(each, words)}
            for each in found.widths
        ],
    }


def _asked(each: Asked, found: Asking, words: Words) -> Json:
    question, row = each.question, each.number
    return {
        "rank": question.rank,
        "key": question.key,
        "flag": question.flag,
        "ask": words.tell(question.ask),
        "because": words.tell(question.because),
        "assumptions": list(question.assumptions),
        "field": each.field or None,
        "known": each.known,
        "chances": dict(each.chances),
        "how": words.tell(phrase(each.how)) if each.how else None,
        "turns": _turns(each, found, words) if question.rank <= FIRST else [],
        "flips": [
            {"part": flip.part, "below": flip.below, "value": flip.value, "kind": row.kind if row else None,
             "decision": _standing(flip.then)}
            for flip in each.flips
        ],
        "answers": [
            {"answer": value, "decision": _standing(then) if then is not None else None}
            for value, then in each.words
        ],
    }  # fmt: skip


def _standing(one: Standing) -> Json:
    return {
        "verdict": one.verdict,
        "change": one.change,
        "family": one.family or None,
        "machine": one.machine or None,
        "motor_w": _number(one.motor),
        "pressure_class_pa": _number(one.pressure_class),
        "bore_m": _number(one.bore),
        "stations": one.stations or None,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
