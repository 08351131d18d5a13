"""A simulated shift on the screen and as plain data: formula and simulation side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from drumwright.basis.phrases import phrase
from drumwright.report.folding import wrapped
from drumwright.report.words import Words
from drumwright.study.shift import Row, ShiftStudy
from drumwright.study.shift_inputs import Taken

FORM = "drumwright.shift/1"
PLAIN = ("count", "fraction")  # kinds without a unit in the name of their row
LESS_THAN = 0.0005  # of a share: shown as below 0.1 %
Json = dict[str, Any]


def lines(study: ShiftStudy, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright shift`.

    Parameters
    ----------
    study : ShiftStudy
    words : Words
        Labels and units.
    """
    yield words.say("shift.head", shifts=study.shifts, seed=study.seed)
    if study.shifts < study.asked:
        yield from wrapped(words.tell(phrase("SHF-stopped", count=study.shifts, asked=study.asked)), "")
    yield ""
    yield words.say("shift.columns")
    for row in study.rows:
        label, by_formula, mean, ends = cells(row, words)
        yield f"{label:<34}{by_formula:>11}{mean:>12}  {ends:>21}"
    yield ""
    for said in study.sentences:
        yield from wrapped(words.tell(said), "- ")
    if study.taken:
        yield ""
        yield words.say("shift.taken")
        for item in study.taken:
            yield from wrapped(taken_row(item, words), "  ")


def cells(row: Row, words: Words) -> tuple[str, str, str, str]:
    """Return a row of the table: name, formula, mean of the simulation, its ends.

    Parameters
    ----------
    row : Row
    words : Words
    """
    by_formula = "-" if row.formula is None else shown(row.formula, row.kind, words)
    mean = shown(row.mean, row.kind, words)
    ends = f"{shown(row.low, row.kind, words)} .. {shown(row.high, row.kind, words)}"
    name = words.name("shift_row", row.key)
    if row.kind not in PLAIN:
        name = words.say("shift.row_unit", name=name, unit=words.unit(row.kind))
    return name, by_formula, mean, ends


def shown(value: float, kind: str, words: Words) -> str:
    """Return a value of the table without a unit; a share with one decimal and never a zero that is none.

    Parameters
    ----------
    value : float
    kind : str
    words : Words
    """
    if kind == "count":
        return f"{value:.1f}".removesuffix(".0")
    if kind == "fraction":
        return words.say("shift.below") if 0.0 < value < LESS_THAN else f"{100.0 * value:.1f} %"
    return words.number(value, kind)


def taken_row(item: Taken, words: Words) -> str:
    """Return a number that nobody said, with its band and source.

    Parameters
    ----------
    item : Taken
    words : Words
    """
    found = item.estimate
    band = words.band(found.low, found.likely, found.high, item.kind)
    return words.say("shift.taken_row", name=item.name, value=band, source=item.source)


def as_dictionary(study: ShiftStudy, words: Words) -> Json:
    """Return everything as plain data, SI units; what is not finite becomes null.

    Parameters
    ----------
    study : ShiftStudy
    words : Words
        For the sentences.
    """
    return {
        "form": FORM,
        "seed": study.seed,
        "shifts": study.shifts,
        "asked": study.asked,
        "rows": [_row(row) for row in study.rows],
        "formula": _formula(study),
        "plan": _plan(study),
        "sentences": [words.tell(each) for each in study.sentences],
        "taken": [
            {
                "name": item.name, "kind": item.kind, "low": item.estimate.low,
                "likely": item.estimate.likely, "high": item.estimate.high, "basis": item.estimate.basis,
                "source": item.source,
            }
            for item in study.taken
        ],
        "course": [[bar.resource, bar.state, bar.start, bar.end] for bar in study.first.bars],
        "levels": [list(point) for point in study.first.levels],
    }  # fmt: skip


def _formula(study: ShiftStudy) -> Json:
    found = study.formula
    return {
        "change_mean": found.change.mean,
        "change_variation": found.change.variation,
        "change_p95": found.change_p95,
        "emptying": found.emptying,
        "drum_lasts": found.lasts,
        "cycle": found.cycle,
        "factor": found.factor,
        "stations_needed": found.stations_needed,
        "hands": found.hands,
        "stations_per_person": found.stations_per_person,
        "queue_for_people": _finite(found.queue),
        "queue_for_truck": _finite(found.truck_queue),
        "least_flow": _finite(found.least_flow),
        "bridge_volume": found.bridge,
        "lost_share": found.lost,
    }


def _plan(study: ShiftStudy) -> Json:
    plan = study.plan
    return {
        "layout": plan.layout,
        "stations": plan.stations,
        "pump_flow": plan.pump_flow,
        "draw": plan.draw,
        "hopper": plan.hopper,
        "start_level": plan.start_level,
        "operators": plan.operators,
        "availability": plan.availability,
        "stops": [[each.every_run, each.lasts, each.spread] for each in plan.stops],
    }


def _row(row: Row) -> Json:
    return {
        "key": row.key, "kind": row.kind, "formula": row.formula, "mean": row.mean, "p5": row.low,
        "p95": row.high,
    }  # fmt: skip


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
