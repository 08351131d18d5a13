"""All that is said of the control of a case: ladder, remedies, objects, states, cause and effect."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import NotJudgedYet
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.delivery.destination import is_closed
from drumwright.station.control.layout import STATES
from drumwright.station.control.matrix import Row, matrix
from drumwright.station.control.objects import Control, resolved
from drumwright.station.control.set_points import SetPoints
from drumwright.station.control.words import object_phrase, output_phrase, reason_phrase, transition_phrase
from drumwright.station.records import Case
from drumwright.study.assess import SAMPLES_WHAT_IF, judgements
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.remedies import Remedy, remedies
from drumwright.study.set_levels import CAREFUL, control_of
from drumwright.study.set_points import (
    PARTS,
    Footing,
    air_ladder_of,
    binding_need,
    coldest,
    footing,
    ladder_on,
    missing_at,
)


@dataclass(frozen=True, slots=True)
class Rung:
    """One level of the ladder, from the top down."""

    name: str
    level: float  # [Pa(g)] at the careful end of its band
    gap: float | None  # down to the next rung [Pa]
    likely: float  # [Pa(g)] at likely inputs


@dataclass(frozen=True, slots=True)
class ObjectSaid:
    """One control object with its sentences."""

    identifier: str
    purpose: str
    priority: int
    text: Phrase
    reason: Phrase


@dataclass(frozen=True, slots=True)
class StateSaid:
    """One state: what it lets the machine do, and the ways out of it."""

    name: str
    title: Phrase
    outputs: Phrase
    exits: tuple[Phrase, ...]


@dataclass(frozen=True, slots=True)
class ControlSheet:
    """The control of the arrangement a case rests on."""

    title: str
    units: str
    season: str
    turning: bool  # a motor turns the pump
    closed: bool  # the destination can close on it
    part: str  # weakest part: line, destination or pump
    rungs: tuple[Rung, ...]
    missing: float  # P95 [Pa]; zero or less where the set points fit
    verdict: Phrase
    remedies: tuple[Remedy, ...]
    points: SetPoints
    control: Control  # with numbers
    objects: tuple[ObjectSaid, ...]
    states: tuple[StateSaid, ...]
    rows: tuple[Row, ...]


def control(case: Case, *, samples: int = SAMPLES_WHAT_IF, at: str | None = None) -> ControlSheet:
    """Set points, control and cause and effect of a case.

    Parameters
    ----------
    case : Case
        As read; gaps become numbered assumptions.
    samples : int
        Scrambled Sobol points, a power of two.
    at : str, optional
        winter, norm, summer, or a product temperature such as "10 C".

    Returns
    -------
    ControlSheet
        Of the arrangement that passes, else of the one as asked, for the binding duty.

    Raises
    ------
    NotJudgedYet
        If no arrangement can be computed.
    QuantityError
        If `at` is neither a season nor a temperature the product can have.
    """
    sheet = control_sheet(case, samples, at)
    if sheet is None:
        what, allowed, remedy = trouble("RUN-001")
        raise NotJudgedYet(f"{what}: {allowed}; {remedy}")
    return sheet


def control_sheet(case: Case, samples: int = SAMPLES_WHAT_IF, at: str | None = None) -> ControlSheet | None:
    """Control of the arrangement that passes, else of the one as asked, for the binding duty of a case.

    Parameters
    ----------
    case : Case
    samples : int
        As in `assess`.
    at : str, optional
        As in `assess`.

    Returns
    -------
    ControlSheet or None
        None where no arrangement can be computed.
    """
    answer = judgements(case, samples, at)[0]
    found = answer.best or answer.asked
    if found is None or not found.balances:
        return None
    return sheet_for(case.case.title or answer.name, case.case.units or "metric", answer.problem, found)


def sheet_for(title: str, units: str, problem: Problem, found: Evaluation) -> ControlSheet:
    """Control of a judged arrangement.

    Parameters
    ----------
    title, units : str
        Of the case.
    problem : Problem
    found : Evaluation
        With balances.
    """
    control, points = control_of(problem, found)
    numbered = resolved(control, points.level)
    base = footing(problem, coldest(found), found.choice)
    turning = found.choice.pump.turns
    rungs, missing, verdict = _ladder(base) if turning else _air(problem, found, base)
    return ControlSheet(
        title=title,
        units=units,
        season=next(iter(found.balances)),
        turning=turning,
        closed=is_closed(problem.inputs.choices["destination.kind"] or "open_tank"),
        part=PARTS[int(np.bincount(base.weakest, minlength=len(PARTS)).argmax())],
        rungs=rungs,
        missing=missing,
        verdict=verdict,
        remedies=remedies(problem, found),
        points=points,
        control=numbered,
        objects=tuple(
            ObjectSaid(o.identifier, o.purpose, o.priority, object_phrase(o), reason_phrase(o))
            for o in numbered.objects
        ),
        states=tuple(_state(name, numbered) for name in STATES),
        rows=matrix(numbered),
    )


def _state(name: str, control: Control) -> StateSaid:
    exits = tuple(transition_phrase(each) for each in control.transitions if each.origin == name)
    return StateSaid(name, phrase(f"CTL-state.{name}"), output_phrase(control.output(name)), exits)


def _ladder(base: Footing) -> tuple[tuple[Rung, ...], float, Phrase]:
    """Rungs from the weakest part down to what the line asks, and whether they fit."""
    made = ladder_on(base)
    low = [("weakest", made.weakest), ("relief", made.relief), ("trip", made.trip), ("stop", made.stop),
           ("slow_down", made.slow_down)]  # fmt: skip
    levels = [(name, quantiles(values[1:], CAREFUL)[0], float(values[0])) for name, values in low]
    asked = sorted(
        ((name, quantiles(values[1:], 1.0 - CAREFUL)[0], float(values[0])) for name, values in
         zip(base.needs._fields, base.needs, strict=True)),
        key=lambda row: -row[1],
    )  # fmt: skip
    missing = missing_at(made)
    rungs = _rungs([*levels, *asked])
    if missing <= 0.0:
        return rungs, missing, phrase("CTL-fits", room=-missing)
    slow = len(levels) - 1
    rungs = (*rungs[:slow], replace(rungs[slow], gap=-missing), *rungs[slow + 1 :])
    need, limit = phrase(f"CTL-need.{binding_need(made)}"), levels[0][1]
    return rungs, missing, phrase("CTL-misfit", value=missing, need=need, limit=limit)


def _rungs(rows: list[tuple[str, float, float]]) -> tuple[Rung, ...]:
    below = [row[1] for row in rows[1:]]
    gaps = [row[1] - level for row, level in zip(rows, below, strict=False)]
    return tuple(Rung(row[0], row[1], gap, row[2]) for row, gap in zip(rows, [*gaps, None], strict=True))


def _air(problem: Problem, found: Evaluation, base: Footing) -> tuple[tuple[Rung, ...], float, Phrase]:
    """What limits a pump that air drives."""
    made = air_ladder_of(problem, found)
    assert made is not None  # the pump is driven by air
    stall = (made.stall, CAREFUL)
    rows = [("weakest", (made.weakest, CAREFUL)), ("stall", stall), ("needed", (made.needed, 1.0 - CAREFUL))]
    levels = [(name, quantiles(v[1:], share)[0], float(v[0])) for name, (v, share) in rows]
    missing = missing_at(made)
    slots = {"regulator": quantiles(made.regulator[1:], CAREFUL)[0],
             "relief": quantiles(made.air_relief[1:], CAREFUL)[0]}  # fmt: skip
    if missing <= 0.0:
        return _rungs(levels), missing, phrase("CTL-air_fits", room=-missing, **slots)
    return _rungs(levels), missing, phrase("CTL-air_misfit", value=missing, **slots)
