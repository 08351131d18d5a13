"""A run over time as a picture: pressures with the set points as named lines, flow, speed, and the events."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from drumwright.report import palette
from drumwright.report.charts import FAR, Charts, Spec, axis, base, scale
from drumwright.report.document import Picture
from drumwright.report.run_events import run_name
from drumwright.report.run_strip import WIDE, event_marks, strip, time_kind
from drumwright.report.words import Words
from drumwright.study.run_study import Level, RunStudy
from drumwright.study.scenario import Outcome

TALL, LOW = 190, 62
MOST = 320  # points of a line; the greatest and the least of what lies between are kept
PLATE_MOVES = 0.1  # m; a plate that moves less is not drawn
SPACING = 12.0  # of the names of levels
SHADES = {"outlet": palette.SEASON["winter"], "end": palette.SEASON["norm"], "speed": palette.PUMP}


def run_picture(study: RunStudy, shown: Outcome, drawn: Charts) -> Picture:
    """Return the picture of one run.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    drawn : Charts
        Renderer with its words.
    """
    words, name, kind = drawn.words, shown.scenario.name, time_kind(shown)
    marks, unnamed = event_marks(study, shown, words)
    told = "; ".join(f"{words.value(time, kind)} {text}" for time, text in marks)
    alt = words.say("run_chart.alt", text=words.tell(shown.text), events=told)
    season = words.name("season", study.season)
    caption = words.say("run_chart.caption", name=words.tell(run_name(study, shown)), season=season)
    if study.missing > 0.0:
        missing = words.value(study.missing, "pressure_difference")
        caption = f"{caption} {words.say('run_chart.not_fit', missing=missing)}"
    if unnamed:
        caption = f"{caption} {words.say('run_chart.unnamed', count=unnamed)}"
    return Picture(drawn.svg(f"run {name}", run_spec(study, shown, words)), alt, caption)


def columns(shown: Outcome) -> dict[str, NDArray[np.float64]]:
    """What is drawn of a run: time [s], gauge pressures [Pa], flow [m3/s], speed over the wanted one.

    Where they move: height of the plate over the bottom [m], product in the hopper [m3].

    Parameters
    ----------
    shown : Outcome
    """
    rows = shown.trace.rows
    keep = _kept(rows["time"], rows["outlet_pressure"])
    wanted = max(shown.scenario.plant["speed_wanted"], 1e-12)
    found = {
        "time": rows["time"][keep],
        "outlet_pressure": rows["outlet_pressure"][keep],
        "end_pressure": rows["end_pressure"][keep],
        "pump_flow": rows["pump_flow"][keep],
        "destination_flow": rows["destination_flow"][keep],
        "speed_share": rows["speed"][keep] / wanted,
    }
    if np.ptp(rows["plate"]) > PLATE_MOVES:
        found["plate"] = rows["plate"][keep]
    if shown.scenario.plant["destination_hopper"] > 0.0:
        found["hopper"] = rows["hopper"][keep]
    return found


def _kept(times: NDArray[np.float64], values: NDArray[np.float64]) -> NDArray[np.int64]:
    """Rows that are drawn: all of a short run, else the greatest and the least of each stretch of time."""
    if times.size <= MOST:
        return np.arange(times.size)
    width = max(times[-1] - times[0], 1e-9) / (MOST // 2)
    places = np.minimum(((times - times[0]) / width).astype(int), MOST // 2 - 1)
    found = {0, times.size - 1}
    for inside in np.split(np.arange(times.size), np.flatnonzero(np.diff(places)) + 1):
        found |= {int(inside[values[inside].argmin()]), int(inside[values[inside].argmax()])}
    return np.array(sorted(found))


def run_spec(study: RunStudy, shown: Outcome, words: Words) -> Spec:
    """Return pressure, flow, speed and events of a run over one axis of time.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    words : Words
    """
    found, kind = columns(shown), time_kind(shown)
    end = words.shown(float(found["time"][-1]), kind)
    title = words.say("run_chart.time", unit=words.unit(kind))
    across = axis("x", title, scale={"domain": [0.0, end], "nice": False})
    bare = {**across, "title": None, "axis": {"labels": False, "ticks": False, "tickCount": 8}}
    marks, _ = event_marks(study, shown, words)
    rules = _rules([words.shown(time, kind) for time, _ in marks], across)
    found = {"x": words_time(found["time"], kind, words), **found}
    lower = [(("pump_flow", "destination_flow"), "flow"), (("speed_share",), "fraction")]
    lower += [((key,), size) for key, size in (("plate", "length"), ("hopper", "volume")) if key in found]
    last = len(lower) - 1
    panels = [
        _pressure(study, shown, found, bare, words),
        *(_line_panel(found, *each, across if k == last else bare, words) for k, each in enumerate(lower)),
    ]
    spec = {key: panels[0][key] for key in ("$schema", "background", "padding", "config")}
    spec["config"]["legend"] |= {"columns": 2}
    parts = [
        {key: part[key] for key in ("data", "width", "height", "layer")} | {"layer": [*rules, *part["layer"]]}
        for part in panels
    ]
    scales = {"color": "independent", "strokeDash": "independent"}
    return {
        **spec,
        "vconcat": [*strip(marks, end, kind, words), *parts],
        "spacing": 8,
        "resolve": {"scale": scales},
    }


def _pressure(
    study: RunStudy, shown: Outcome, found: dict[str, NDArray[np.float64]], across: Spec, words: Words
) -> Spec:
    """Pressures at both ends of the line, and the levels they are judged against."""
    labels = {name: words.say(f"run_chart.{name}") for name in ("outlet", "end")}
    entries = [(labels["outlet"], SHADES["outlet"], [1, 0]), (labels["end"], SHADES["end"], [6, 3])]
    drawn = {f"{name}_pressure": label for name, label in labels.items()}
    data = _rows(found, drawn, "pressure_gauge", words)
    colour, dash = scale(entries)
    bottom = min(0.0, float(found["outlet_pressure"].min()), float(found["end_pressure"].min()))
    ends = (bottom, top_of(study, shown))
    domain = [words.shown(each, "pressure_gauge") for each in ends]
    title = words.say("axis.pressure", unit=words.unit("pressure_gauge"))
    up = axis("y", title, scale={"domain": domain, "nice": False})
    line = {
        "mark": {"type": "line", "strokeWidth": 1.6, "clip": True},
        "encoding": {"x": across, "y": up, "color": colour, "strokeDash": dash, "order": {"field": "order"}},
    }
    return base(WIDE, TALL, [line, *_levels(study.levels, ends, up, words)], data)


def top_of(study: RunStudy, shown: Outcome) -> float:
    """Upper end of the axis of pressure [Pa(g)]; a weakest part far above all else is named, not drawn.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    """
    others = max(shown.peak, *(each.pressure for each in study.levels if each.name != "weakest"), 1.0)
    return 1.06 * max(others, min(study.weakest, FAR * others))


def _levels(levels: Sequence[Level], ends: tuple[float, float], up: Spec, words: Words) -> list[Spec]:
    """Set points as lines with their names beside the picture, kept apart from each other."""
    bottom, top = ends
    inside = [each for each in levels if bottom <= each.pressure]
    places = [TALL * (1.0 - (min(each.pressure, top) - bottom) / (top - bottom)) for each in inside]
    rows: list[Spec] = []
    for each, at, label in zip(inside, places, spread(places, SPACING, (0.0, float(TALL))), strict=True):
        value = words.value(each.pressure, "pressure_gauge")
        text = words.say("run_chart.level", name=words.name("run_level", each.name), value=value)
        if each.pressure > top:
            text = words.say("axis.limit_above", text=text)
        hard = each.name in ("trip", "relief", "weakest")
        row: Spec = {"at": at, "label": label, "text": text, "above": each.pressure > top}
        row["level"] = words.shown(each.pressure, "pressure_gauge")
        row["shade"] = palette.LIMIT if hard else palette.QUIET
        row["dash"] = [1, 0] if each.name == "weakest" else [2, 3] if hard else [5, 3]
        rows.append(row)
    return [layer for row in rows for layer in _level_layers(row, up)]


def _level_layers(row: Spec, up: Spec) -> Iterator[Spec]:
    """One level: its line, its name beside the picture, and what ties them."""
    data = {"data": {"values": [row]}}
    plain = {"type": "quantitative", "scale": None}
    if not row["above"]:
        mark = {"type": "rule", "strokeWidth": 1.2, "color": row["shade"], "strokeDash": row["dash"]}
        yield {**data, "mark": mark, "encoding": {"y": {**up, "field": "level"}}}
    tie = {"type": "rule", "strokeWidth": 0.7, "color": row["shade"]}
    where = {"y": {**plain, "field": "at"}, "y2": {"field": "label"}}
    yield {**data, "mark": tie, "encoding": {"x": {"value": WIDE}, "x2": {"value": WIDE + 9}, **where}}
    name = {"type": "text", "align": "left", "baseline": "middle", "fontSize": 9.5, "color": row["shade"]}
    where = {"x": {"value": WIDE + 12}, "y": {**plain, "field": "label"}, "text": {"field": "text"}}
    yield {**data, "mark": name, "encoding": where}


def spread(places: Sequence[float], apart: float, room: tuple[float, float]) -> list[float]:
    """Places moved as little as needed to stand so far apart, in their order, inside a room.

    Parameters
    ----------
    places : sequence of float
    apart : float
        Least distance.
    room : tuple of float
    """
    order = sorted(range(len(places)), key=lambda k: places[k])
    blocks: list[tuple[float, int]] = []  # mean place of those that touch, less their own steps; how many
    for step, k in enumerate(order):
        mean, count = places[k] - step * apart, 1
        while blocks and blocks[-1][0] > mean:
            before, more = blocks.pop()
            mean, count = (before * more + mean * count) / (more + count), more + count
        blocks.append((mean, count))
    highest = max(room[1] - (len(places) - 1) * apart, room[0])
    flat = [min(max(mean, room[0]), highest) for mean, count in blocks for _ in range(count)]
    found = dict(zip(order, (each + step * apart for step, each in enumerate(flat)), strict=True))
    return [found[k] for k in range(len(places))]


def _line_panel(
    found: dict[str, NDArray[np.float64]], keys: tuple[str, ...], kind: str, across: Spec, words: Words
) -> Spec:
    """Flow or speed over time."""
    labels = {key: words.say(f"run_chart.{key}") for key in keys}
    shades, dashes = (palette.PUMP, palette.SEASON["norm"]), ([1, 0], [6, 3])
    entries = [(labels[key], shades[k], dashes[k]) for k, key in enumerate(keys)]
    data = _rows(found, labels, kind, words)
    colour, dash = scale(entries)
    title = words.say(f"run_chart.{kind}", unit=words.unit(kind))
    up = axis("y", title, scale={"zero": True})
    up["axis"] = {"tickCount": 3}
    if len(keys) == 1:
        colour, dash = {"value": palette.PUMP}, {"value": [1, 0]}
    line = {
        "mark": {"type": "line", "strokeWidth": 1.4},
        "encoding": {"x": across, "y": up, "color": colour, "strokeDash": dash, "order": {"field": "order"}},
    }
    return base(WIDE, LOW, [line], data)


def words_time(times: NDArray[np.float64], kind: str, words: Words) -> NDArray[np.float64]:
    """Times in their display unit.

    Parameters
    ----------
    times : ndarray
        [s]
    kind : str
        Kind of quantity they are shown as.
    words : Words
    """
    return np.array([round(words.shown(time, kind), 5) for time in times.tolist()])


def _rows(
    found: dict[str, NDArray[np.float64]], labels: dict[str, str], kind: str, words: Words
) -> list[Spec]:
    return [
        {"x": x, "y": float(f"{words.shown(value, kind):.5g}"), "line": label, "order": index}
        for key, label in labels.items()
        for index, (x, value) in enumerate(zip(found["x"].tolist(), found[key].tolist(), strict=True))
    ]


def _rules(places: Sequence[float], across: Spec) -> list[Spec]:
    """Upright lines at the events."""
    if not places:
        return []
    mark = {"type": "rule", "strokeWidth": 0.7, "color": palette.LINE}
    values = [{"x": place} for place in dict.fromkeys(places)]
    return [{"data": {"values": values}, "mark": mark, "encoding": {"x": across}}]
