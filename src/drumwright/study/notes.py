"""What is worth saying beside the verdict: notes on the arrangement, rules of the trade, wishes not met."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumwright.basis.phrases import Phrase, phrase
from drumwright.study import findings as found_in
from drumwright.study import trade_rules
from drumwright.study.buffer_findings import delivery_notes
from drumwright.study.figures import Scene
from drumwright.study.line_notes import line_notes
from drumwright.study.material_findings import material_notes
from drumwright.study.plate_findings import plate_findings
from drumwright.study.pump_figures import pump_notes
from drumwright.study.result import Finding
from drumwright.study.shift_figures import supply_notes
from drumwright.study.warming import cold_night, weak_bands

if TYPE_CHECKING:
    from drumwright.study.answer import Judgement


def notes(answer: Judgement, shown: list[Scene]) -> list[Finding]:
    """Everything worth saying of a judgement beside its obstacles.

    Parameters
    ----------
    answer : Judgement
    shown : list of Scene
        Seasons of the arrangement shown.
    """
    return [*_as_asked(answer), *_plate(shown), *_pump(shown), *_materials(shown), *_rules(answer, shown)]


def _as_asked(answer: Judgement) -> list[Finding]:
    """What is worth saying of the arrangement as asked beside its obstacles."""
    if answer.asked is None:
        return []
    return [
        *supply_notes(answer.problem.inputs, answer.problem.sample, answer.asked.choice),
        *cold_night(answer.problem),
        *weak_bands(answer.problem),
        *found_in.line_findings(answer.asked),
        *found_in.passage_findings(answer.problem, answer.asked),
        *(item for item in found_in.beyond_findings(answer.asked) if item.role == "note"),
    ]


def _plate(shown: list[Scene]) -> list[Finding]:
    """What is worth saying of the plate of the arrangement shown, in its norm season."""
    return next((plate_findings(scene) for scene in shown if scene.season == "norm"), [])


def _pump(shown: list[Scene]) -> list[Finding]:
    """Pump, drive and line of the arrangement shown, in its coldest season."""
    if not shown or shown[0].problem.size_withheld:
        return []
    return [*pump_notes(shown[0]), *line_notes(shown[0]), *delivery_notes(shown)]


def _materials(shown: list[Scene]) -> list[Finding]:
    """Materials in contact of the arrangement shown."""
    return material_notes(shown[0].problem.inputs, shown[0].evaluation.choice) if shown else []


def _rules(answer: Judgement, shown: list[Scene]) -> list[Finding]:
    """Rules of the trade that speak on the arrangement shown."""
    return [
        *(trade_rules.air_pump_for_abrasives(answer.coarse) if answer.asked_scenes else ()),
        *trade_rules.lip_plate_residue(shown),
        *trade_rules.residue_wanted(shown),
    ]


def _accepted(item: Finding) -> Phrase:
    """The same numbers said as what would have to be accepted."""
    likely_kept = item.value is not None and item.limit is not None and item.value <= item.limit
    slots = dict(item.text.slots)
    if likely_kept and item.probability is not None:
        return phrase("PROMISE-chance", chance=item.probability, **slots)
    return phrase("PROMISE-accept", **slots)


def unmet_wishes(shown: list[Scene]) -> tuple[Finding, ...]:
    """A wanted residue that is not promised stands with the conditions, not only in a note.

    Parameters
    ----------
    shown : list of Scene
        Seasons of the arrangement shown.
    """
    return tuple(
        replace(item, key="residue.not_promised", role="condition", probability=None, text=_accepted(item))
        for item in trade_rules.residue_wanted(shown)
        if item.text.key == "PROMISE-not"
    )
