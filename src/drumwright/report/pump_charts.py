"""Charts of the suction: a stair from the atmosphere to the pump, and what is there and needed over flow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from drumwright.report import charts, palette
from drumwright.report.chart_rows import Entry, lines, marks, point, rows_of
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.machine_sketch import Suction
from drumwright.study.result import Result

WIDE = 560
ASKS_DASH = [2, 2]
ABSOLUTE = "pressure_absolute"


def suction_pictures(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield the stair of the suction pressure, and what is there and needed over flow.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    items, words = result.machine.suction, drawn.words
    if not items:
        return
    stair = "; ".join(
        words.say(
            "text.suction_point",
            season=words.name("season", item.season),
            there=words.band(*item.available, ABSOLUTE),
            needed=words.band(*item.needed, ABSOLUTE),
        )
        for item in items
    )
    yield Picture(
        drawn.svg("suction_stair", stair_spec(items, words)), words.say("text.stair_alt", values=stair),
        words.say("text.stair_caption"), 0.9,
    )  # fmt: skip
    ends = "; ".join(
        words.say("text.fed_point", season=words.name("season", item.season), flow=fed(item, words))
        for item in items
    )
    yield Picture(
        drawn.svg("suction_curves", suction_spec(items, words)), words.say("text.suction_alt", values=ends),
        f"{words.say('text.suction_caption')} {ends}.", 0.9,
    )  # fmt: skip


def fed(item: Suction, words: Words) -> str:
    """Return the greatest flow that is fed, with its band, in words.

    Parameters
    ----------
    item : Suction
    words : Words
    """
    if not isfinite(item.greatest[1]):
        return words.say("text.fed_all")
    if not all(isfinite(each) for each in item.greatest):
        return words.say("text.fed_from", flow=words.value(item.greatest[1], "flow", 2),
                         low=words.value(item.greatest[0], "flow", 2))  # fmt: skip
    return words.band(*item.greatest, "flow")


def stair_spec(items: Sequence[Suction], words: Words) -> Spec:
    """Return the stair from the atmosphere to what is there, beside what filling needs, by season.

    Parameters
    ----------
    items : sequence of Suction
    words : Words
    """
    plated = any(item.plate > 0.0 for item in items)
    keys = ("atmosphere", "plate", "port", "throat", "available", "needed")
    steps = [key for key in keys if plated or key not in ("plate", "port")]
    names = {key: words.say(f"step.{key}") for key in steps}
    if not plated:
        names["throat"] = words.say("step.outlet")
    data = [row for item in items for row in _stair_rows(item, names, words)]
    seasons = [words.name("season", item.season) for item in items]
    shades = [palette.SEASON[item.season] for item in items]
    colour = {"field": "season", "type": "nominal", "scale": {"domain": seasons, "range": shades}}
    x = {
        "field": "step", "type": "nominal", "title": None, "sort": list(names.values()),
        "axis": {"labelAngle": 0, "labelLimit": 120},
    }  # fmt: skip
    beside = {"field": "season", "type": "nominal", "sort": seasons}
    ends = [row["top"] for row in data] + [row["low"] for row in data if "low" in row] + [0.0]
    y = charts.axis(
        "y",
        words.say("axis.absolute", unit=words.unit(ABSOLUTE)),
        scale={"domain": [1.05 * min(ends), 1.12 * max(ends)], "nice": False},
    )
    where = {"x": x, "xOffset": beside}
    layers: list[Spec] = [
        {
            "mark": {"type": "bar", "opacity": 0.55},
            "encoding": {**where, "y": y, "y2": {"field": "z"}, "color": colour},
        },
        {
            "transform": [{"filter": "isValid(datum.low)"}],
            "mark": {"type": "rule", "strokeWidth": 1.6, "color": palette.INK},
            "encoding": {**where, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
        },
        {
            "mark": {"type": "text", "dy": -6, "fontSize": 10, "color": palette.INK},
            "encoding": {**where, "y": {**y, "field": "top"}, "text": {"field": "text"}},
        },
    ]
    spec = charts.base(WIDE, 190, layers, data)
    spec["config"]["legend"]["symbolType"] = "square"
    return spec


def _stair_rows(item: Suction, names: dict[str, str], words: Words) -> list[Spec]:
    """One bar for each step of one season: from, to, label."""
    raised = item.atmosphere + item.plate
    behind = raised - item.port
    ends = {
        "atmosphere": (0.0, item.atmosphere, item.atmosphere),
        "plate": (item.atmosphere, raised, item.plate),
        "port": (behind, raised, -item.port),
        "throat": (behind - item.throat, behind, -item.throat),
        "available": (0.0, item.available[1], item.available[1]),
        "needed": (0.0, item.needed[1], item.needed[1]),
    }
    bands = {"available": item.available, "needed": item.needed}
    rows = []
    for key, name in names.items():
        low, high, value = ends[key]
        kind = "pressure_difference" if key in ("plate", "port", "throat") else ABSOLUTE
        row: Spec = {
            "step": name, "season": words.name("season", item.season), "z": words.shown(low, ABSOLUTE),
            "y": words.shown(high, ABSOLUTE), "text": words.number(value, kind),
            "top": words.shown(max(low, high, bands.get(key, (0.0, 0.0, 0.0))[2]), ABSOLUTE),
        }  # fmt: skip
        if key in bands:
            row |= {"low": words.shown(bands[key][0], ABSOLUTE), "high": words.shown(bands[key][2], ABSOLUTE)}
        rows.append(row)
    return rows


def suction_spec(items: Sequence[Suction], words: Words) -> Spec:
    """Return inlet pressure over flow: there and needed with their bands, the wanted flow, the crossing.

    Parameters
    ----------
    items : sequence of Suction
    words : Words
    """
    entries: list[Entry] = []
    data: list[Spec] = []
    points: list[Spec] = []
    for item in items:
        name = words.name("season", item.season)
        there, asks = words.say("axis.inlet_there", season=name), words.say("axis.inlet_needed", season=name)
        entries += [
            (there, palette.SEASON[item.season], [1, 0]), (asks, palette.SEASON[item.season], ASKS_DASH),
        ]  # fmt: skip
        data += rows_of(item.flow, (item.there_low, item.there, item.there_high), there, ("flow", ABSOLUTE),
                        words)  # fmt: skip
        data += rows_of(
            item.flow, (item.asks_low, item.asks, item.asks_high), asks, ("flow", ABSOLUTE), words
        )
        points.append(point(item.wanted, item.available[1], there, ("flow", ABSOLUTE), words))
    colour, dash = charts.scale(entries)
    x = charts.axis("x", words.say("axis.flow", unit=words.unit("flow")))
    top = 1.08 * max(row["y"] for row in data)
    y = charts.axis(
        "y",
        words.say("axis.absolute", unit=words.unit(ABSOLUTE)),
        scale={"domain": [0.0, top], "nice": False},
    )
    layers = [*lines(x, y, colour, dash), marks(points, x, y, colour)]
    crossings = [row for item in items for row in _crossing(item, words)]
    if crossings:
        layers.append(_crossing_layer(crossings, x, y))
    spec = charts.base(WIDE, 200, layers, data)
    spec["config"]["legend"]["columns"] = 4
    return spec


def _crossing(item: Suction, words: Words) -> list[Spec]:
    """The place where what is there no longer is enough, where there is one."""
    place = item.greatest[1]
    if not isfinite(place) or place <= 0.0:
        return []
    number = next((index for index, flow in enumerate(item.flow) if flow >= place), len(item.flow) - 1)
    before = max(number - 1, 0)
    width = item.flow[number] - item.flow[before]
    share = (place - item.flow[before]) / width if width > 0.0 else 0.0
    value = item.there[before] + share * (item.there[number] - item.there[before])
    return [{"x": words.shown(place, "flow"), "y": words.shown(value, ABSOLUTE)}]


def _crossing_layer(points: list[Spec], x: Spec, y: Spec) -> Spec:
    return {
        "data": {"values": points},
        "mark": {"type": "point", "shape": "diamond", "size": 110, "filled": True, "opacity": 1,
                 "color": palette.LIMIT, "stroke": palette.INK},
        "encoding": {"x": x, "y": y},
    }  # fmt: skip
