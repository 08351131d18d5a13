"""The check behind the materials: a part for which nothing of the table will do stops one pump, or all."""

from __future__ import annotations

from dataclasses import replace

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.pump.limits import material_name
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs
from drumwright.study.check import Check, flat
from drumwright.study.exposure import exposure_of
from drumwright.study.materials import Judged, judge_part

_OF_FAMILY = {
    "progressing_cavity": ("housing", "rotor", "stator"),
    "air_diaphragm": ("housing", "diaphragm"),
    "follower_piston": ("housing", "rotor", "pump_seal"),
    "lobe": ("housing", "rotor", "pump_seal"),
    "external_gear": ("housing", "rotor", "pump_seal"),
}
_SOFT = ("stator", "diaphragm", "pump_seal")  # parts the elastomers of a pump row are of


def parts_of(choice: Choice) -> tuple[str, ...]:
    """Parts in contact with the product, in its order.

    Parameters
    ----------
    choice : Choice
    """
    plate = ("plate", "seal") if choice.plated else ()
    return (*plate, *_OF_FAMILY[choice.pump.family], "gasket", "pipe", "hose")


def judged_parts(inputs: Inputs, choice: Choice) -> dict[str, tuple[Judged, ...]]:
    """Every part in contact with its materials; soft parts of a pump with those its row names.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    exposure = exposure_of(inputs, choice.warm_to)
    own = tuple(dict.fromkeys(material_name(name) for name, _ in choice.pump.temperature_limits))
    return {part: judge_part(part, exposure, own if part in _SOFT else ()) for part in parts_of(choice)}


def nothing_left(judged: tuple[Judged, ...]) -> bool:
    """Whether every material is excluded: an unknown answer excludes none.

    Parameters
    ----------
    judged : tuple of Judged
    """
    return all(each.state == "excluded" for each in judged)


def material_checks(inputs: Inputs, choice: Choice) -> list[Check]:
    """Parts for which nothing of the table will do; no check where something will, or may.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice

    Notes
    -----
    A part of the pump rejects that pump. A part that every pump needs is not decided before its makers say.
    """
    found = []
    for part, judged in judged_parts(inputs, choice).items():
        if not nothing_left(judged):
            continue
        check = flat(f"materials.{part}", "hygiene_zone", False, 0.0, 1.0, "count")
        what, name = (
            phrase("MAT-excluded", names=[because(each) for each in judged]),
            phrase(f"MATPART-{part}"),
        )
        if part in _OF_FAMILY[choice.pump.family]:
            kind = phrase(f"KIND-{choice.pump.family}")
            text = phrase("CHK-materials.pump", part=name, family=kind, what=what)
            found.append(replace(check, figure="", text=text))
        else:
            text = phrase("CHK-materials.common", part=name, what=what)
            found.append(replace(check, figure="", text=text, decided=False))
    return found


def because(judged: Judged) -> Phrase:
    """A material with everything that speaks against it.

    Parameters
    ----------
    judged : Judged
    """
    reasons = []
    for agent, how in judged.reasons:
        if agent == "temperature":
            reasons.append(phrase(f"MATWHY-{how}"))
        else:
            reasons.append(phrase(f"MATWHY-{how}", agent=phrase(f"AGENT-{agent}")))
    return phrase("MAT-because", name=phrase(f"MATERIAL-{judged.material}"), reasons=reasons)
