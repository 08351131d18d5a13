"""Sentences on the materials in contact with the product of an arrangement."""

from __future__ import annotations

from functools import reduce

from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs
from drumwright.study.material_checks import because, judged_parts, nothing_left
from drumwright.study.materials import Judged, open_answers
from drumwright.study.result import Finding


def material_notes(inputs: Inputs, choice: Choice) -> list[Finding]:
    """One note for each part: candidates, trials, exclusions with their reason, and what is open.

    A part for which nothing will do stands among the obstacles.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    parts = judged_parts(inputs, choice)
    return [_note(part, judged) for part, judged in parts.items() if not nothing_left(judged)]


def open_materials(inputs: Inputs, choice: Choice) -> tuple[str, ...]:
    """Fields that decide between materials of an arrangement, the one that holds back most first.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    parts = judged_parts(inputs, choice).values()
    return open_answers(each for judged in parts for each in judged)


def material_condition(inputs: Inputs, choice: Choice) -> Finding:
    """What stands with the verdict: materials are confirmed by their makers, open before answers, or none.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    parts = judged_parts(inputs, choice)
    none = [phrase(f"MATPART-{part}") for part, judged in parts.items() if nothing_left(judged)]
    if none:
        return Finding(
            "materials.none", "condition", "hygiene_zone", phrase("FND-materials.none", parts=none)
        )
    fields = open_answers(each for judged in parts.values() for each in judged)
    if not fields:
        return Finding("materials.confirmed", "condition", "hygiene_zone", phrase("FND-materials.confirmed"))
    asks = [phrase(f"MATASK-{field}") for field in fields]
    return Finding("materials.open", "condition", "hygiene_zone", phrase("FND-materials.open", asks=asks))


def _note(part: str, judged: tuple[Judged, ...]) -> Finding:
    """What may be used for a part; nothing is named while an unknown answer could exclude all of it."""
    groups = {state: [each for each in judged if each.state == state] for state in STATES}
    sentences = [_said(state, found) for state, found in groups.items() if found]
    named = "MAT-part" if groups["candidate"] or groups["trial"] else "MAT-part_open"
    what = reduce(lambda rest, first: phrase("MAT-join", first=first, rest=rest), reversed(sentences))
    text = phrase(named, part=phrase(f"MATPART-{part}"), what=what)
    return Finding(f"materials.{part}", "note", "hygiene_zone", text)


STATES = ("candidate", "trial", "open", "excluded")


def _said(state: str, found: list[Judged]) -> Phrase:
    if state == "candidate":
        return phrase("MAT-candidate", names=[_name(each) for each in found])
    if state == "open":
        fields = dict.fromkeys(field for each in found for field in each.asks)
        asks = [phrase(f"MATASK-{field}") for field in fields]
        return phrase("MAT-open", names=[_name(each) for each in found], asks=asks)
    return phrase(f"MAT-{state}", names=[because(each) for each in found])


def _name(judged: Judged) -> Phrase:
    return phrase(f"MATERIAL-{judged.material}")
