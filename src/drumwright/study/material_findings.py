"""Sentences on the materials in contact with the product of an arrangement."""

from __future__ import annotations

from functools import reduce

from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs
from drumwright.study.exposure import exposure_of
from drumwright.study.materials import Judged, judge_part, open_answers
from drumwright.study.result import Finding

_OF_FAMILY = {
    "progressing_cavity": ("rotor", "stator"),
    "air_diaphragm": ("housing", "diaphragm"),
    "follower_piston": ("housing", "rotor"),
    "lobe": ("housing", "rotor"),
    "external_gear": ("housing", "rotor"),
}


def parts_of(choice: Choice) -> tuple[str, ...]:
    """Parts in contact with the product, in its order.

    Parameters
    ----------
    choice : Choice
    """
    plate = ("plate", "seal") if choice.plated else ()
    return (*plate, *_OF_FAMILY[choice.pump.family], "gasket", "pipe", "hose")


def material_notes(inputs: Inputs, choice: Choice) -> list[Finding]:
    """One note for each part: candidates, trials, exclusions with their reason, and what is open.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    exposure = exposure_of(inputs)
    return [_note(part, judge_part(part, exposure)) for part in parts_of(choice)]


def open_materials(inputs: Inputs, choice: Choice) -> tuple[str, ...]:
    """Fields that decide between materials of an arrangement, the one that holds back most first.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    exposure = exposure_of(inputs)
    return open_answers(each for part in parts_of(choice) for each in judge_part(part, exposure))


def material_condition(inputs: Inputs, choice: Choice) -> Finding:
    """What stands with the verdict: materials are confirmed by their makers, or not named before answers.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    fields = open_materials(inputs, choice)
    if not fields:
        return Finding("materials.confirmed", "condition", "hygiene_zone", phrase("FND-materials.confirmed"))
    asks = [phrase(f"MATASK-{field}") for field in fields]
    return Finding("materials.open", "condition", "hygiene_zone", phrase("FND-materials.open", asks=asks))


def _note(part: str, judged: tuple[Judged, ...]) -> Finding:
    """What may be used for a part; nothing is named while an unknown answer could exclude all of it."""
    groups = {state: [each for each in judged if each.state == state] for state in STATES}
    sentences = [_said(state, found) for state, found in groups.items() if found]
    named = "MAT-part" if groups["candidate"] or groups["trial"] else "MAT-part_open"
    if not (groups["candidate"] or groups["trial"] or groups["open"]):
        named = "MAT-part_none"
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
    return phrase(f"MAT-{state}", names=[_because(each) for each in found])


def _name(judged: Judged) -> Phrase:
    return phrase(f"MATERIAL-{judged.material}")


def _because(judged: Judged) -> Phrase:
    """A material with the first thing that speaks against it."""
    agent, how = judged.reasons[0]
    if agent == "temperature":
        return phrase(f"MATWHY-{how}", name=_name(judged))
    return phrase(f"MATWHY-{how}", name=_name(judged), agent=phrase(f"AGENT-{agent}"))
