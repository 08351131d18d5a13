"""The answer sheet: what a plant manager asks, in that order, with numbers of this case or what to ask."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.records import Case
from drumwright.study.alternatives import Terms
from drumwright.study.answer import Judgement
from drumwright.study.cash_flow import annuity
from drumwright.study.cleaning import cleaning_class, row_of
from drumwright.study.machine_uses import Uses
from drumwright.study.savings import FEWER, Year, savings, total

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Answered:
    """One question with its answers; the last of them may be what to ask."""

    key: str
    answers: tuple[Phrase, ...]
    known: bool = True


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the answers are taken from."""

    case: Case
    answers: list[Judgement]
    year: Year | None
    uses: Uses | None
    terms: Terms


def sheet_of(
    case: Case, answers: list[Judgement], year: Year | None, uses: Uses | None, terms: Terms
) -> tuple[Answered, ...]:
    """Answer the questions of trade book 3 in their order.

    Parameters
    ----------
    case : Case
    answers : list of Judgement
        The binding one first.
    year : Year or None
    uses : Uses or None
    terms : Terms

    Returns
    -------
    tuple of Answered
        None for a machine that is refused: there is nothing to ask of it.
    """
    if answers[0].decision.verdict == "refuse":
        return ()
    sheet = Sheet(case, answers, year, uses, terms)
    found = []
    for key, answer in QUESTIONS:
        said = answer(sheet)
        known = bool(said) and said[-1].key != "MNY-ask"
        found.append(Answered(key, said or (phrase("MNY-ask"),), known))
    return tuple(found)


def _middle(values: Array) -> float:
    return quantiles(np.asarray(values)[1:], 0.5)[0]


def _volume(sheet: Sheet) -> tuple[Phrase, ...]:
    year, terms = sheet.year, sheet.terms
    if year is None:
        return ()
    saved, fewer = total(savings(year)), total(savings(year.with_containers(FEWER)))
    found = [phrase("MNY-sheet.volume", value=_middle(saved), after=_middle(fewer))]
    if terms.spent is not None and terms.rate is not None and terms.years is not None:
        value = fewer * annuity(terms.rate, terms.years) - terms.spent
        loss = float((value[1:] < 0.0).mean())
        found.append(phrase("MNY-sheet.volume_value", value=_middle(value), chance=loss))
    return tuple(found)


def _cash(sheet: Sheet) -> tuple[Phrase, ...]:
    if sheet.year is None:
        return ()
    items = savings(sheet.year)
    gains = sum(items[name] for name in ("residue", "disposal"))
    found = [phrase("MNY-sheet.cash", value=_middle(np.asarray(gains)))]
    labour, eases = _middle(items["labour"]), _middle(items["eases"])
    if sheet.case.money.hours_released is True:
        found.append(phrase("MNY-sheet.released", value=labour))
    elif eases > 0.0:
        key = "MNY-sheet.eases" if sheet.case.money.hours_released is False else "MNY-sheet.eases_ask"
        found.append(phrase(key, value=eases))
    if labour < 0.0:
        found.append(phrase("MNY-sheet.more_hours", value=-labour))
    return tuple(found)


def _stops(sheet: Sheet) -> tuple[Phrase, ...]:
    said, year = sheet.case.money, sheet.year
    found = []
    if year is not None:
        for key, life in (("wear", year.wear_life), ("seals", year.seal_life)):
            unsealed = key == "seals" and sheet.uses is not None and not sheet.uses.sealed
            if unsealed or not np.isfinite(life).all():
                continue
            low, high = quantiles(life[1:], 0.05, 0.95)
            yearly = quantiles((year.containers / life)[1:], 0.05, 0.95)
            slots = {"low": _two(low), "high": _two(high), "least": yearly[0], "most": yearly[1]}
            found.append(phrase(f"MNY-sheet.{key}", **slots))
    for key, time in (("pump_repair", said.pump_repair), ("seal_change", said.seal_change)):
        if time is not None:
            found.append(phrase(f"MNY-sheet.{key}", value=time.likely))
    if said.spares_from is not None:
        found.append(phrase("MNY-sheet.said", text=said.spares_from))
    if None in (said.pump_repair, said.seal_change, said.spares_from):
        found.append(phrase("MNY-ask"))
    return tuple(found)


def _two(count: float) -> int:
    """A number of containers to two digits: the wear rate carries no more."""
    step = 10.0 ** max(np.floor(np.log10(max(count, 1.0))) - 1.0, 0.0)
    return int(step * np.floor(count / step))


def _people(sheet: Sheet) -> tuple[Phrase, ...]:
    if sheet.uses is None:
        return ()
    low, high = quantiles(sheet.uses.hands[1:], 0.05, 0.95)
    found = [phrase("MNY-sheet.people", value=float(sheet.uses.hands[0]), low=low, high=high)]
    inputs = sheet.answers[0].problem.inputs
    if "enquiry.drums_per_shift" in inputs.estimates:
        share = float(sheet.uses.hands[0]) * inputs.likely("enquiry.drums_per_shift")
        share /= inputs.likely("enquiry.shift")
        found.append(phrase("MNY-sheet.people_share", value=share))
    return tuple(found)


def _missed(sheet: Sheet) -> tuple[Phrase, ...]:
    text = sheet.case.money.last_purchase
    return () if text is None else (phrase("MNY-sheet.said", text=text),)


def _residue(sheet: Sheet) -> tuple[Phrase, ...]:
    if sheet.uses is None:
        return ()
    share = sheet.uses.left / sheet.uses.filling
    winter = sheet.uses.left_winter / sheet.uses.filling
    middle, high = quantiles(share[1:], 0.5, 0.95)
    cold = quantiles(winter[1:], 0.95)[0]
    return (phrase("MNY-sheet.residue", value=middle, high=high, cold=cold),)


def _next(sheet: Sheet) -> tuple[Phrase, ...]:
    if len(sheet.answers) < 2:
        return (phrase("MNY-sheet.next"), phrase("MNY-ask"))
    return tuple(
        phrase("MNY-sheet.duty", name=each.name, verdict=phrase(f"RPT.verdict.{each.decision.verdict}"))
        for each in sheet.answers
    )


def _cleaning(sheet: Sheet) -> tuple[Phrase, ...]:
    inputs = sheet.answers[0].problem.inputs
    name = cleaning_class(inputs)
    row = row_of(name)["minutes"]
    slots = {
        "low": 60.0 * row["low"],
        "high": 60.0 * row["high"],
        "time": inputs.likely("enquiry.cleaning_time"),
    }
    found = [phrase("MNY-sheet.cleaning", name=phrase(f"CLEAN-{name}"), **slots)]
    return (*found, phrase("MNY-ask")) if "enquiry.cleaning_time" in inputs.defaulted else tuple(found)


def _signs(sheet: Sheet) -> tuple[Phrase, ...]:
    text = sheet.case.money.signs_file
    return () if text is None else (phrase("MNY-sheet.said", text=text),)


def _noise(sheet: Sheet) -> tuple[Phrase, ...]:
    text = sheet.case.money.noise
    return () if text is None else (phrase("MNY-sheet.said", text=text),)


def _floor(sheet: Sheet) -> tuple[Phrase, ...]:
    answer = sheet.answers[0]
    unanchored = next((each for each in answer.conditions if each.key == "stand.unanchored"), None)
    if unanchored is not None:
        return (unanchored.text,)
    allowed = answer.problem.inputs.choices["site.anchoring"]
    if allowed is None:
        return ()
    return (phrase("MNY-sheet.floor" if allowed else "MNY-sheet.no_floor"),)


QUESTIONS: tuple[tuple[str, Callable[[Sheet], tuple[Phrase, ...]]], ...] = (
    ("volume", _volume),
    ("cash", _cash),
    ("stops", _stops),
    ("people", _people),
    ("missed", _missed),
    ("residue", _residue),
    ("next", _next),
    ("cleaning", _cleaning),
    ("signs", _signs),
    ("noise", _noise),
    ("floor", _floor),
)
