"""Runs of a case on the screen and as plain data: what happened, levels, events, the table of faults."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.report.run_events import run_name, told_events
from drumwright.report.words import Words
from drumwright.study.draws import AIR, CLOSES
from drumwright.study.faults import FAULTS
from drumwright.study.run_study import RunStudy
from drumwright.study.scenario import Outcome
from drumwright.study.worst import Worst

FORM = "drumwright.run/1"
WIDTH = 80
COLUMNS, HEIGHT = 50, 13  # of the picture of the pressure
MOST_EVENTS = 24
LITTLE = 1.0e-5  # m3; less is said to be less
Json = dict[str, Any]


def lines(study: RunStudy, words: Words, again: str = "") -> Iterator[str]:
    """Yield the screen of `drumwright run`.

    Parameters
    ----------
    study : RunStudy
    words : Words
    again : str
        Command that runs the worst again, without its draw.
    """
    yield f"{words.tell(phrase('RUN-title'))}   {study.title}"
    yield "-" * WIDTH
    yield from _wrapped(_levels(study, words))
    season = phrase(f"SEASON-{study.season}")
    yield from _wrapped(words.tell(phrase("RUN-season", season=season)))
    if study.missing > 0.0:
        yield from _wrapped(words.tell(phrase("RUN-not_fit", missing=study.missing)))
    yield ""
    if study.worst is not None:
        yield from _worst(study.worst, study, words, again)
        yield ""
    if len(study.outcomes) > 1:
        yield from _table(study, words)
    for shown in study.outcomes[:1]:
        if len(study.outcomes) > 1:
            continue
        yield from _wrapped(words.tell(shown.text))
        for note in shown.notes:
            yield from _wrapped(words.tell(note))
        yield ""
        yield from picture(study, shown, words)
        yield ""
        yield from _events(study, shown, words)
    yield ""
    yield from _wrapped(words.tell(phrase("RUN-caution")))
    yield from _wrapped(words.tell(phrase("CAUTION")))


def _wrapped(text: str, indent: str = "", hang: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + hang)


def _levels(study: RunStudy, words: Words) -> str:
    at = {level.name: level.pressure for level in study.levels}
    if not study.turns:
        return words.tell(phrase("RUN-levels_air", stall=at["stall"], weakest=study.weakest))
    return words.tell(
        phrase(
            "RUN-levels", slow=at["slow_down"], stop=at["stop"], trip=at["trip"], relief=at["relief"],
            weakest=study.weakest,
        )
    )  # fmt: skip


def picture(study: RunStudy, shown: Outcome, words: Words) -> Iterator[str]:
    """The pressure at the pump outlet over time as characters, with the levels it is judged against.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    words : Words
    """
    times, values = shown.trace.rows["time"], shown.trace.rows["outlet_pressure"]
    if times.size < 2:
        return
    top = 1.05 * max(float(values.max()), shown.peak, study.weakest)

    def row_of(value: float) -> int:
        return round((HEIGHT - 1) * min(max(value / top, 0.0), 1.0))

    grid = [[" "] * COLUMNS for _ in range(HEIGHT)]
    marks: dict[int, list[str]] = {}
    for level in study.levels:
        marks.setdefault(row_of(level.pressure), []).append(words.name("run_level", level.name))
    for row in marks:
        grid[row] = ["."] * COLUMNS
    edges = np.linspace(times[0], times[-1], COLUMNS + 1)
    ends = np.interp(edges, times, values)
    for column in range(COLUMNS):
        inside = (times >= edges[column]) & (times <= edges[column + 1])
        seen = np.concatenate((values[inside], ends[column : column + 2]))
        low, high = row_of(float(seen.min())), row_of(float(seen.max()))
        for row in range(low, high + 1):
            grid[row][column] = "#" if row == high else "|"
    for row in range(HEIGHT - 1, -1, -1):
        label = words.value(row / (HEIGHT - 1) * top, "pressure_gauge", 2) if row % 3 == 0 else ""
        named = " ".join(marks.get(row, ()))
        yield f"{label:>11} {''.join(grid[row])} {named}"[:WIDTH].rstrip()
    begin, end = words.value(float(times[0]), "short_time"), words.value(float(times[-1]), "short_time")
    yield f"{'':11} {begin:<{COLUMNS // 2}}{end:>{COLUMNS // 2}}"


def _events(study: RunStudy, shown: Outcome, words: Words) -> Iterator[str]:
    yield words.tell(phrase("RUN-events"))
    told = list(told_events(study, shown))
    for time, said in told[:MOST_EVENTS]:
        yield from _wrapped(f"{time:>9.2f} s  {words.tell(said)}", "  ", " " * 13)
    if len(told) > MOST_EVENTS:
        yield f"  ... {len(told) - MOST_EVENTS}"


def fault_cells(study: RunStudy, each: Outcome, words: Words) -> tuple[str, ...]:
    """One row of the table of faults: name, peak, of the weakest part, time to stop, lost, what caught it.

    Parameters
    ----------
    study : RunStudy
    each : Outcome
    words : Words
    """
    name = words.tell(run_name(study, each))
    if not each.trace.solved:
        status = each.trace.status.replace("_", " ")
        return name, "", "", "", "", words.tell(phrase("RUN-unsolved", status=status))
    stop = (
        words.tell(phrase("RUN-still_runs"))
        if each.time_to_stop is None
        else words.value(each.time_to_stop, "short_time", 2)
    )
    peak, share = words.value(each.peak, "pressure_gauge"), words.value(each.over, "fraction", 2)
    gone = each.spilled + each.relieved
    little = 0.0 < gone < LITTLE
    lost = words.number(LITTLE if little else gone, "volume", 1 if little else 2)
    lost = words.tell(phrase("RUN-less", value=lost)) if little else lost
    return name, peak, share, stop, lost, words.tell(phrase(f"CAUGHT-{each.caught_by}"))


def _table(study: RunStudy, words: Words) -> Iterator[str]:
    yield words.tell(phrase("RUN-table"))
    heads = [words.tell(phrase(f"RUN-col.{name}")) for name in ("fault", "peak", "over", "stop", "spilled")]
    yield f"  {heads[0]:<36}{heads[1]:>12}{heads[2]:>9}{heads[3]:>13}{heads[4]:>8}"
    yield f"{words.unit('volume'):>{WIDTH}}"
    for each in study.outcomes:
        name, peak, share, stop, lost, caught = fault_cells(study, each, words)
        mark = "!" if each.over > 1.0 else " "
        yield f"{mark} {name[:36]:<36}{peak:>12}{share:>9}{stop:>13}{lost:>8}".rstrip()
        yield from _wrapped(caught, " " * 6)
        for note in own_notes(each):
            yield from _wrapped(words.tell(note), " " * 6)


def own_notes(each: Outcome) -> tuple[Phrase, ...]:
    """What a fault adds that its row of the table cannot say.

    Parameters
    ----------
    each : Outcome
    """
    return tuple(note for note in each.notes if note.key.startswith("RUN-jam"))


def _worst(found: Worst, study: RunStudy, words: Words, again: str) -> Iterator[str]:
    slots = {"runs": found.done, "asked": found.asked, "duration": found.duration, "seed": str(found.seed)}
    yield from _wrapped(words.tell(phrase("RUN-worst.title", **slots)))
    if found.stopped:
        yield from _wrapped(words.tell(phrase("RUN-worst.stopped", runs=found.done)))
    if found.unsolved:
        yield from _wrapped(words.tell(phrase("RUN-worst.unsolved", count=found.unsolved)))
    for peak in found.peaks:
        yield from _wrapped(
            words.tell(
                phrase(
                    "RUN-worst.found", part=words.name("run_part", peak.part), value=peak.pressure,
                    share=peak.pressure / found.weakest, index=str(peak.index),
                )
            )
        )  # fmt: skip
    yield from _wrapped(words.tell(phrase("RUN-worst.over", count=found.over)))
    for fault, pressure in found.by_fault:
        value = words.value(pressure, "pressure_gauge")
        yield f"  {words.name('run_fault', fault):<44}{value:>14}"
    ranges = [
        phrase("RUN-worst.range.moment", low=0.1, high=found.latest),
        phrase("RUN-worst.range.closing", low=CLOSES[0], high=CLOSES[1]),
        phrase("RUN-worst.range.product", count=found.products, seasons=list(found.seasons)),
        phrase("RUN-worst.range.air", low=AIR[0], high=AIR[1]),
        phrase("RUN-worst.range.wear"),
        phrase("RUN-worst.range.tolerance"),
        phrase("RUN-worst.range.fault", names=[words.name("run_fault", name) for name in _faults(found)]),
    ]
    yield from _wrapped(words.tell(phrase("RUN-worst.searched", names=ranges)))
    yield from _wrapped(words.tell(phrase("RUN-worst.not_searched", surge=found.surge)))
    for peak in found.peaks[:1]:
        yield from _wrapped(words.tell(phrase("RUN-worst.again", line="")))
        yield f"{again} --again '{peak.draw.text()}'"


def _faults(found: Worst) -> list[str]:
    return [fault for fault, _ in found.by_fault if fault != "none"]


def as_dictionary(study: RunStudy, words: Words, traces: bool = True) -> Json:
    """Return everything as plain data, SI units.

    Parameters
    ----------
    study : RunStudy
    words : Words
        Of the sentences.
    traces : bool
        With every row of every run.
    """
    worst = study.worst
    return {
        "form": FORM,
        "title": study.title,
        "season": study.season,
        "levels": {level.name: level.pressure for level in study.levels},
        "weakest": study.weakest,
        "weakest_part": study.part,
        "set_points_fit": study.missing <= 0.0,
        "missing": max(study.missing, 0.0),
        "faults": list(FAULTS),
        "runs": [_outcome(study, each, words, traces) for each in study.outcomes],
        "worst": None if worst is None else {
            "asked": worst.asked, "done": worst.done, "unsolved": worst.unsolved, "over": worst.over,
            "duration": worst.duration, "seed": worst.seed, "stopped": worst.stopped, "surge": worst.surge,
            "by_fault": dict(worst.by_fault),
            "peaks": [
                {"part": peak.part, "pressure": peak.pressure, "index": peak.index, "draw": peak.draw.text()}
                for peak in worst.peaks
            ],
        },
    }  # fmt: skip


def _outcome(study: RunStudy, shown: Outcome, words: Words, traces: bool) -> Json:
    trace = shown.trace
    rows = {"trace": {name: values.tolist() for name, values in trace.rows.items()}} if traces else {}
    return {
        "name": shown.scenario.name,
        "status": trace.status,
        "peak": shown.peak,
        "peak_time": shown.peak_time,
        "end_peak": shown.end_peak,
        "least_inlet_absolute": shown.least_inlet,
        "of_weakest": shown.over,
        "time_to_stop": shown.time_to_stop,
        "spilled": shown.spilled,
        "relieved": shown.relieved,
        "closed_form_rise": shown.closed_form_rise,
        "closed_form_peak": shown.closed_form_peak,
        "caught_by": shown.caught_by,
        "sentence": words.tell(shown.text),
        "notes": [words.tell(note) for note in shown.notes],
        "volume_missing": trace.imbalance,
        "steps": trace.steps,
        "events": [[time, words.tell(said)] for time, said in told_events(study, shown)],
        **rows,
    }
