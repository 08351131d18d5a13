"""Events of a run as lines of text over its picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.report import palette
from drumwright.report.charts import Spec
from drumwright.report.drawing import text_width
from drumwright.report.run_events import told_events
from drumwright.report.words import Words
from drumwright.study.run_study import RunStudy
from drumwright.study.scenario import Outcome

WIDE = 500  # of the picture without what stands beside it
BESIDE = 130  # room for texts at the right of the picture
EVENT_ROW, EVENT_SIZE = 12.5, 9.0
LONGEST = 62  # signs of one line of events
MOST_MARKS = 24
BETWEEN = "; "  # events in one text
LONG = 300.0  # s; a longer run is drawn over minutes
# Kinds that are not named where a run has too many events, the least telling first.
SPARED = (
    ("EV-object_ends",), ("EV-line_moves", "EV-line_stands", "EV-inlet_fed", "EV-hopper_fed"),
    ("EV-valve_closes", "EV-valve_opens"), ("EV-pump_starts", "EV-pump_stops"),
)  # fmt: skip


def time_kind(shown: Outcome) -> str:
    """Kind of quantity the times of a run are shown as.

    Parameters
    ----------
    shown : Outcome
    """
    return "duration" if float(shown.trace.rows["time"][-1]) > LONG else "short_time"


def event_marks(study: RunStudy, shown: Outcome, words: Words) -> tuple[list[tuple[float, str]], int]:
    """Events of a run for its picture, and how many are not named there.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    words : Words

    Notes
    -----
    Events at one time are one text, as long as it is not too long. Where a run has too many, the least
    telling kinds are left out, and in the end the last ones.
    """
    told = list(told_events(study, shown))
    kept = told
    near = 0.002 * max(float(shown.trace.rows["time"][-1]), 1.0)
    marks = _joined([(time, words.tell(said)) for time, said in kept], near)
    for kinds in SPARED:
        if len(marks) <= MOST_MARKS:
            break
        kept = [(time, said) for time, said in kept if said.key not in kinds]
        marks = _joined([(time, words.tell(said)) for time, said in kept], near)
    named = sum(1 + text.count(BETWEEN) for _, text in marks[:MOST_MARKS])
    return marks[:MOST_MARKS], len(told) - named


def _joined(told: Sequence[tuple[float, str]], near: float) -> list[tuple[float, str]]:
    """Events at one time in one text."""
    found: list[tuple[float, str]] = []
    for time, text in told:
        if found and time - found[-1][0] <= near and len(found[-1][1]) + len(text) < LONGEST:
            found[-1] = (found[-1][0], f"{found[-1][1]}{BETWEEN}{text}")
        else:
            found.append((time, text))
    return found


def strip(marks: Sequence[tuple[float, str]], end: float, kind: str, words: Words) -> Iterator[Spec]:
    """Names of the events over the picture, each on a line of its own that is free there.

    Parameters
    ----------
    marks : sequence of (float, str)
        Time [s] and text.
    end : float
        Of the axis, in the display unit.
    kind : str
        Kind of quantity of the time.
    words : Words
    """
    if not marks:
        return
    rows: list[dict[str, Any]] = []
    free: list[float] = []  # from the right: where the last text on a line begins
    for time, text in reversed(marks):
        at = WIDE * words.shown(time, kind) / end
        said = f"{words.value(time, kind)} {text}"
        wide = text_width(said, EVENT_SIZE, False)
        begin = max(min(at, WIDE + BESIDE - wide), 0.0)
        rows.append({"at": at, "begin": begin, "text": said, "line": len(rows), "wide": wide})
    for row in rows:
        place = next((k for k, begin in enumerate(free) if row["begin"] + row["wide"] + 8 < begin), len(free))
        if place == len(free):
            free.append(row["begin"])
        free[place] = row["begin"]
        row["line"] = place
    tall = EVENT_ROW * len(free)
    for row in rows:
        row["y"] = tall - EVENT_ROW * (row["line"] + 0.5)
        row["end"] = tall + 8
    plain = {"type": "quantitative", "scale": None}
    x, up = ({**plain, "field": field, "axis": None} for field in ("at", "y"))
    name = {
        "type": "text",
        "align": "left",
        "baseline": "middle",
        "dx": 3,
        "fontSize": EVENT_SIZE,
        "clip": False,
    }
    layers: list[Spec] = [
        {"mark": {"type": "rule", "strokeWidth": 0.7, "color": palette.LINE},
         "encoding": {"x": x, "y": up, "y2": {"field": "end"}}},
        *({"mark": {**name, **look},
           "encoding": {"x": {**x, "field": "begin"}, "y": up, "text": {"field": "text"}}}
          for look in ({"stroke": palette.PAPER, "strokeWidth": 3.0}, {"color": palette.INK})),
    ]  # fmt: skip
    yield {"data": {"values": rows}, "width": WIDE, "height": tall, "layer": layers, "view": {"stroke": None}}
