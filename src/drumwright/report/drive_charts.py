"""Charts of the drive: torque over speed for a pump that turns, air pressure over flow for one on air."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from drumwright.report import charts, palette
from drumwright.report.chart_rows import Entry, lines, marks, point, rows_of
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.machine_sketch import AirCurves, TorqueCurves
from drumwright.study.result import Result

WIDE = 560
LASTING_DASH, SHORT_DASH, OTHER_DASH = [6, 3], [8, 2, 2, 2], [1, 3]


def torque_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield torque over speed, for a pump that turns.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    found, words = result.machine.torque, drawn.words
    if found is None:
        return
    alt = words.say(
        "text.torque_alt",
        season=words.name("season", found.season),
        torque=words.value(found.at[1], "torque"),
        speed=words.value(found.at[0], "rotation"),
        start=words.band(*found.start, "torque"),
        limit=words.value(found.limit, "torque"),
    )
    power = words.value(found.motor, "power")
    caption = words.say("text.torque_caption", power=power, season=words.name("season", found.season))
    yield Picture(drawn.svg("torque", torque_spec(found, words)), alt, caption, 0.9)


def torque_spec(found: TorqueCurves, words: Words) -> Spec:
    """Return torque over speed: needed, start, what the motor gives, overload setting, operating point.

    Parameters
    ----------
    found : TorqueCurves
    words : Words
    """
    kinds = ("rotation", "torque")
    names = {key: words.say(f"axis.torque_{key}") for key in ("running", "start", "own", "forced", "short")}
    entries: list[Entry] = [
        (names["running"], palette.SEASON["winter"], [1, 0]),
        (names["start"], palette.SEASON["norm"], [1, 0]),
        (names["own"], palette.PUMP, LASTING_DASH), (names["short"], palette.PUMP, SHORT_DASH),
    ]  # fmt: skip
    running = (found.running_low, found.running, found.running_high)
    data = rows_of(found.speed, running, names["running"], kinds, words)
    motor = [("own", found.own_fan), ("short", found.short)] + (
        [("forced", found.forced)] if found.forced else []
    )
    if found.forced:
        entries.insert(3, (names["forced"], palette.PUMP, OTHER_DASH))
    for key, values in motor:
        data += rows_of(found.speeds, (values,), names[key], kinds, words)
    limit = words.say("axis.torque_limit")
    entries.append((limit, palette.LIMIT, [2, 3]))
    data += rows_of((0.0, found.speeds[-1]), ((found.limit, found.limit),), limit, kinds, words)
    colour, dash = charts.scale(entries)
    end = words.shown(found.speeds[-1], "rotation")
    x = charts.axis(
        "x", words.say("axis.speed", unit=words.unit("rotation")),
        scale={"domain": [-0.02 * end, end], "nice": False},
    )  # fmt: skip
    y = charts.axis("y", words.say("axis.torque", unit=words.unit("torque")), scale={"zero": True})
    start = {"x": 0.0, "line": names["start"]} | {
        key: words.shown(value, "torque") for key, value in zip(("a", "y", "b"), found.start, strict=True)
    }
    bar: Spec = {
        "data": {"values": [start]},
        "mark": {"type": "rule", "strokeWidth": 5, "opacity": 0.6},
        "encoding": {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "b"}, "color": colour},
    }
    points = [start, point(*found.at, names["running"], kinds, words)]
    spec = charts.base(WIDE, 210, [*lines(x, y, colour, dash), bar, marks(points, x, y, colour)], data)
    spec["config"]["legend"]["columns"] = 3
    return spec


def air_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield air pressure over flow, for a pump on air.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    found, words = result.machine.air, drawn.words
    if found is None:
        return
    season = words.name("season", found.season)
    alt = words.say(
        "text.air_alt",
        season=season,
        flow=words.value(found.at[0], "flow"),
        needed=words.value(found.at[1], "pressure_gauge"),
        setting=words.value(found.setting, "pressure_gauge"),
    )
    caption = words.say("text.air_caption", season=season)
    if found.setting < found.at[1]:
        caption = f"{caption} {words.say('text.air_short')}"
    yield Picture(drawn.svg("air", air_spec(found, words)), alt, caption, 0.9)


def air_spec(found: AirCurves, words: Words) -> Spec:
    """Return air pressure over flow: needed with band, on site, the most for the pump, the regulator.

    Parameters
    ----------
    found : AirCurves
    words : Words
    """
    kinds = ("flow", "pressure_gauge")
    needed = words.say("axis.air_needed")
    entries: list[Entry] = [(needed, palette.SEASON["winter"], [1, 0])]
    data = rows_of(found.flow, (found.low, found.air, found.high), needed, kinds, words)
    levels = (
        ("there", found.there, palette.PUMP, LASTING_DASH),
        ("most", found.most, palette.QUIET, SHORT_DASH),
        ("setting", found.setting, palette.LIMIT, [2, 3]),
    )
    for key, value, shade, dashes in levels:
        label = words.say(f"axis.air_{key}")
        entries.append((label, shade, dashes))
        data += rows_of((0.0, found.flow[-1]), ((value, value),), label, kinds, words)
    colour, dash = charts.scale(entries)
    x = charts.axis("x", words.say("axis.flow", unit=words.unit("flow")))
    y = charts.axis("y", words.say("axis.air", unit=words.unit("pressure_gauge")), scale={"zero": True})
    layers = lines(x, y, colour, dash)
    if isfinite(found.at[1]):
        layers.append(marks([point(*found.at, needed, kinds, words)], x, y, colour))
    spec = charts.base(WIDE, 190, layers, data)
    spec["config"]["legend"]["columns"] = 2
    return spec
