"""What a judged case does in time: its control, its runs and one shift, as the note shows them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drumwright.basis.errors import NotJudgedYet, QuantityError
from drumwright.basis.phrases import Phrase, phrase

if TYPE_CHECKING:
    from drumwright.station.records import Case
    from drumwright.study.answer import Judgement
    from drumwright.study.control_sheet import ControlSheet
    from drumwright.study.run_study import RunStudy
    from drumwright.study.shift import ShiftStudy


@dataclass(frozen=True, slots=True)
class LiftRow:
    """One manual lift: heaviest mass and recommended limit [kg], their ratio."""

    name: str
    mass: float
    limit: float
    index: float


@dataclass(frozen=True, slots=True)
class InTime:
    """Control, runs, shift and manual lifts of the binding duty; what there is not says why.

    Parameters
    ----------
    about : Phrase
        Which arrangement runs.
    control : ControlSheet or None
    runs : RunStudy or None
        The normal run and every single fault.
    shift : ShiftStudy or None
        Of the case as asked.
    no_shift : str
        Why there is no shift, "" where there is one.
    lifts : tuple of LiftRow
        Worst first; empty where an aid was said to be there.
    cleaning : tuple of Phrase
        What a change of product takes, where the shift has some.
    """

    about: Phrase
    control: ControlSheet | None
    runs: RunStudy | None
    shift: ShiftStudy | None
    no_shift: str
    lifts: tuple[LiftRow, ...]
    cleaning: tuple[Phrase, ...]


def in_time(case: Case, answer: Judgement) -> InTime:
    """Run what was judged: nothing is judged again.

    Parameters
    ----------
    case : Case
    answer : Judgement
        Of the binding duty.
    """
    found = answer.best or answer.asked
    shift, no_shift = _shift(case)
    lifts: tuple[LiftRow, ...] = ()
    if found is not None:
        from drumwright.study.lifting import manual_lifts

        lifts = tuple(
            LiftRow(each.name, each.mass, each.limit, each.index)
            for each in manual_lifts(answer.problem.inputs, found.choice)
        )
    control, runs = _machine(case, answer)
    cleaning = tuple(item.text for item in answer.conditions if item.key.startswith("cleaning."))
    return InTime(_about(answer), control, runs, shift, no_shift, lifts, cleaning)


def _about(answer: Judgement) -> Phrase:
    """Which arrangement is meant."""
    if answer.best is None:
        return phrase("TIME-as_asked")
    changes = [text for _, text in answer.changes]
    return phrase("TIME-changed", names=changes) if changes else phrase("TIME-passes")


def _machine(case: Case, answer: Judgement) -> tuple[ControlSheet | None, RunStudy | None]:
    """Control and runs, where something flows."""
    found = answer.best or answer.asked
    if found is None or not found.balances:
        return None, None
    from drumwright.study.control_sheet import sheet_for
    from drumwright.study.run_study import all_of
    from drumwright.study.running import flows, machine_for

    title, units = case.case.title or answer.name, case.case.units or "metric"
    sheet = sheet_for(title, units, answer.problem, found)
    if not flows(found):
        return sheet, None
    return sheet, all_of(case, machine_for(answer.problem, found))


def _shift(case: Case) -> tuple[ShiftStudy | None, str]:
    """A shift as asked, or why there is none."""
    from drumwright.study.shift import shift

    try:
        return shift(case), ""
    except (QuantityError, NotJudgedYet) as error:
        return None, str(error)
