"""How one figure was computed: equation under its source, values put in, validity, reference."""

from __future__ import annotations

from drumwright.report.words import Words, meaning, words_of
from drumwright.study.result import Explanation, Result


def paragraphs(item: Explanation, words: Words) -> list[str]:
    """Return equation, values put in, validity and source of an explanation as sentences."""
    inputs = ", ".join(f"{name} = {words.value(value, kind)}" for name, kind, value in item.inputs)
    inside = {True: "inside", False: "outside", None: "unknown_inside"}[item.inside]
    found = [item.equation]
    if inputs:
        found.append(words.say("text.explanation_inputs", inputs=inputs))
    if item.validity:
        found.append(words.say("text.explanation_validity", validity=item.validity, inside=words.say(inside)))
    found.append(words.say("text.explanation_source", source=item.source))
    return found


def explain(result: Result, key: str) -> tuple[str, ...]:
    """Return the lines of ``--why FIGURE``: every condition with its band, then how it was computed.

    Parameters
    ----------
    result : Result
        A finished answer.
    key : str
        Key of a figure.

    Raises
    ------
    KeyError
        If the result holds no such figure.
    """
    words = words_of(result)
    figures = [item for item in result.figures if item.key == key]
    if not figures:
        raise KeyError(key)
    lines = [f"{key}   {meaning(key)}".rstrip()]
    for item in figures:
        season = words.name("season", item.condition)
        lines.append(f"  {season:<12}{words.figure(item)}")
    for explanation in result.explanations:
        if explanation.key == figures[0].why:
            equation, *rest = paragraphs(explanation, words)
            lines.append(f"  {words.say('text.explanation_equation', equation=equation)}")
            lines += [f"  {text}" for text in rest]
    numbers = sorted({number for item in figures for number in item.assumptions})
    by_number = {item.number: item for item in result.assumptions}
    for number in numbers:
        if number in by_number:
            lines.append(f"  {number}  {words.tell(by_number[number].meaning)}")
    return tuple(lines)
