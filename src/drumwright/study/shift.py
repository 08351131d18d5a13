"""A shift of a case: formula and simulation side by side, with what decides which of them to believe."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.quantities import read
from drumwright.basis.statistics import quantiles
from drumwright.station.records import Case
from drumwright.study.shift_formula import Formula, formula, reasons
from drumwright.study.shift_inputs import Prepared, Taken, prepare
from drumwright.study.shift_plan import Plan, Run
from drumwright.study.shift_simulation import simulate

MOST_BUFFER = 20.0  # [m3] as the field of the case
DEFAULT_SHIFTS = 200  # least that a promise is read from (trade book 2.3)


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity by formula and by simulation.

    Parameters
    ----------
    key : str
        Name of the row.
    kind : str
        Kind of quantity.
    formula : float or None
        None where no formula gives it.
    mean, low, high : float
        Mean, P5 and P95 over the simulated shifts.
    """

    key: str
    kind: str
    formula: float | None
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ShiftStudy:
    """What one shift comes to.

    Parameters
    ----------
    plan : Plan
    formula : Formula
    rows : tuple of Row
        Formula beside simulation.
    sentences : tuple of Phrase
        What decides, in words.
    taken : tuple of Taken
        Numbers nobody said.
    shifts, asked : int
        Shifts simulated, and asked for.
    seed : int
    first : Run
        The first shift with its course.
    """

    plan: Plan
    formula: Formula
    rows: tuple[Row, ...]
    sentences: tuple[Phrase, ...]
    taken: tuple[Taken, ...]
    shifts: int
    asked: int
    seed: int
    first: Run

    def row(self, key: str) -> Row:
        """Return a row by its key; raises StopIteration if there is none."""
        return next(row for row in self.rows if row.key == key)


def shift(
    case: Case,
    *,
    shifts: int = DEFAULT_SHIFTS,
    seed: int | None = None,
    buffer: str | None = None,
    tell: Callable[[int], None] | None = None,
) -> ShiftStudy:
    """Simulate shifts of a case as it was asked.

    Parameters
    ----------
    case : Case
        As read.
    shifts : int
        How many shifts.
    seed : int, optional
        Seed of the streams; that of the case where it is left out.
    buffer : str, optional
        Volume of a hopper in place of that of the case, such as "60 L".
    tell : callable, optional
        Called with the number of shifts done. If it raises KeyboardInterrupt, what was done is kept.

    Returns
    -------
    ShiftStudy

    Raises
    ------
    QuantityError
        If nothing says how much flows, the container goes by a lance, or `buffer` is no volume.
    """
    size = read(buffer, "volume") if buffer is not None else None
    if size is not None and not 0.0 <= size <= MOST_BUFFER:
        raise QuantityError(*trouble("SHF-004", text=str(buffer)))
    prepared = prepare(case, size)
    number = seed if seed is not None else case.case.seed if case.case.seed is not None else 20260101
    runs: list[Run] = []
    try:
        for run in simulate(prepared.plan, shifts, number):
            runs.append(run)
            if tell is not None:
                tell(len(runs))
    except KeyboardInterrupt:
        if tell is None or not runs:
            raise
    return study_of(prepared, runs, shifts, number)


def study_of(prepared: Prepared, runs: Sequence[Run], asked: int, seed: int) -> ShiftStudy:
    """Put formula and simulated shifts side by side.

    Parameters
    ----------
    prepared : Prepared
    runs : sequence of Run
        At least one.
    asked : int
        Shifts that were asked for.
    seed : int
    """
    plan = prepared.plan
    found = formula(plan, prepared.factor)
    rows = tuple(_rows(plan, found, runs))
    decides = reasons(plan, found, prepared.products, prepared.promised)
    said = [*_said(plan, found, runs), *decides, *prepared.notes]
    return ShiftStudy(plan, found, rows, tuple(said), prepared.taken, len(runs), asked, seed, runs[0])


def _rows(plan: Plan, found: Formula, runs: Sequence[Run]) -> list[Row]:
    """Rows that exist for a plan."""

    def row(key: str, kind: str, by_formula: float | None, values: list[float]) -> Row:
        array = np.array(values)
        low, high = quantiles(array, 0.05, 0.95)
        return Row(key, kind, by_formula, float(array.mean()), low, high)

    listed = [row("drums", "count", float(int(found.drums + 1e-9)), [float(run.drums) for run in runs])]
    if plan.supplies:
        # over all shifts: the mean of the shares would count a short demand as much as a long one
        whole = sum(run.short for run in runs) / max(sum(run.demanded for run in runs), 1e-12)
        by_formula = found.shortage if plan.hopper > 0.0 else found.lost
        shares = row("shortage", "fraction", by_formula, [run.shortage for run in runs])
        listed.append(Row("shortage", "fraction", shares.formula, whole, shares.low, shares.high))
        listed.append(_by_outage(runs))
        if plan.hopper > 0.0:
            listed.append(row("level_low", "volume", None, [run.level_low for run in runs]))
    elif plan.drums > 0.0:
        reached = [float(run.drums >= plan.drums) for run in runs]
        share = float(np.mean(reached))
        listed.append(Row("reached", "fraction", float(found.drums >= plan.drums), share, share, share))
    cycles = found.drums * found.cycle / (plan.duration * (1 if plan.shared_line else plan.stations))
    busy = None if plan.supplies else cycles + plan.cleans * plan.cleaning_time / plan.duration
    listed.append(row("station_use", "fraction", busy, [run.station_use for run in runs]))
    listed.append(row("operator_use", "fraction", found.operator_use, [run.operator_use for run in runs]))
    if any(item.truck for item in plan.elements):
        listed.append(row("truck_use", "fraction", None, [run.truck_use for run in runs]))
    share = found.queue / max(found.cycle + found.queue, 1e-9)
    listed.append(row("waiting", "fraction", share, [run.waiting for run in runs]))
    listed.append(row("outage", "fraction", None, [run.outage for run in runs]))
    return listed


def _by_outage(runs: Sequence[Run]) -> Row:
    """Share of the demand not met while a station was out of order and none fed."""
    shares = [run.short_by_outage / run.demanded if run.demanded > 0.0 else 0.0 for run in runs]
    low, high = quantiles(np.array(shares), 0.05, 0.95)
    whole = sum(run.short_by_outage for run in runs) / max(sum(run.demanded for run in runs), 1e-12)
    return Row("shortage_outage", "fraction", None, whole, low, high)


def _said(plan: Plan, found: Formula, runs: Sequence[Run]) -> list[Phrase]:
    """The numbers behind the table in sentences."""
    listed = [
        phrase("SHF-factor", factor=found.factor, shift=plan.duration),
        phrase("SHF-change", value=found.change.mean, far=found.change_p95, emptying=found.emptying),
    ]
    if plan.supplies:
        listed.append(_kept_up(plan, found))
        listed.append(
            phrase("SHF-bridge", value=found.bridge, have=plan.hopper, draw=plan.draw, time=found.change_p95)
        )
        if plan.hopper <= 0.0:
            listed.append(phrase("SHF-no_hopper", value=found.lost))
    elif plan.drums > 0.0:
        listed.append(
            phrase("SHF-stations", drums=plan.drums, count=found.stations_needed, have=plan.stations)
        )
    if plan.shared_line and plan.stations > 1:
        key = "SHF-tandem_goes_on" if found.change_p95 <= found.emptying else "SHF-tandem_breaks"
        listed.append(phrase(key, value=found.change_p95, limit=found.emptying))
    if plan.stations > 1:
        listed.append(phrase("SHF-one_person", value=found.stations_per_person, have=plan.stations))
    if found.truck_queue > 0.0:
        listed.append(phrase("SHF-truck", value=found.truck_queue))
    away = float(np.mean([run.outage for run in runs]))
    if away > 0.0:
        listed.append(phrase("SHF-outages", value=plan.availability, share=away))
        if plan.hopper > 0.0:
            listed.append(phrase("SHF-outages_last", value=plan.outage))
    return listed


def _kept_up(plan: Plan, found: Formula) -> Phrase:
    """Whether the pump keeps up the draw over changes."""
    if not np.isfinite(found.least_flow):
        return phrase("SHF-never", value=found.change.mean, limit=found.lasts)
    key = "SHF-keeps_up" if plan.pump_flow >= found.least_flow else "SHF-falls_behind"
    return phrase(key, value=plan.pump_flow, limit=found.least_flow, lasts=found.lasts)
