"""Charts of plate and warm-up: force against the last gap, temperatures over the time in the warm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drumwright.report import charts, palette
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.result import PlateForce, Result, WarmCurves


def plate_force_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield the force that each gap needs against the force that is there.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    if not result.plate_force:
        return
    words = drawn.words
    values = "; ".join(
        words.say(
            "text.plate_force_point",
            season=words.name("season", item.season),
            force=words.value(item.there, "force"),
            gap=words.band(*item.gap, "diameter"),
        )
        for item in result.plate_force
    )
    svg = drawn.svg("plate_force", plate_force_spec(result.plate_force, words))
    yield Picture(
        svg, words.say("text.plate_force_alt", values=values), words.say("text.plate_force_caption"), 0.85
    )


def plate_force_spec(items: tuple[PlateForce, ...], words: Words) -> Spec:
    """Return force over gap on logarithmic axes with its band, the force that is there and the end gap.

    Parameters
    ----------
    items : tuple of PlateForce
    words : Words
    """
    entries: list[tuple[str, str, list[int]]] = []
    data: list[Spec] = []
    points: list[Spec] = []
    for item in items:
        name = words.name("season", item.season)
        needs, there = words.say("axis.needs", season=name), words.say("axis.there", season=name)
        shade = palette.SEASON[item.season]
        entries += [(needs, shade, palette.DASH["winter"]), (there, shade, palette.DASH["norm"])]
        for gap, force, low, high in zip(item.gaps, item.needed, item.low, item.high, strict=True):
            row = {key: words.shown(value, "force") for key, value in (("y", force), ("a", low), ("b", high))}
            data.append({"x": words.shown(gap, "diameter"), **row, "line": needs})
        for gap in (item.gaps[0], item.gaps[-1]):
            at = words.shown(item.there, "force")
            data.append({"x": words.shown(gap, "diameter"), "y": at, "line": there})
        points.append(
            {"x": words.shown(item.gap[1], "diameter"), "y": words.shown(item.there, "force"), "line": needs}
        )
    colour, dash = charts.scale(entries)
    log = {"type": "log", "nice": False}
    axis = {"format": "~r", "tickCount": 6}
    x = charts.axis("x", words.say("axis.gap", unit=words.unit("diameter")), scale=log, axis=axis)
    y = charts.axis("y", words.say("axis.force", unit=words.unit("force")), scale=log, axis=axis)
    layers: list[Spec] = [
        {
            "transform": [{"filter": "isValid(datum.a)"}],
            "mark": {"type": "area", "opacity": 0.16},
            "encoding": {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "b"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 1.8},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        },
        {
            "data": {"values": points},
            "mark": {"type": "point", "size": 70, "filled": True, "opacity": 1, "stroke": palette.INK},
            "encoding": {"x": x, "y": y, "color": colour},
        },
    ]
    return charts.base(440, 190, layers, data)


def warm_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield core, mean and wall temperature over the time in the warm.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    found = result.warm_curves
    if found is None:
        return
    words = drawn.words
    svg = drawn.svg("warm", warm_spec(found, words))
    alt = words.say(
        "text.warm_alt",
        target=words.value(found.target, "temperature"),
        around=words.value(found.around, "temperature"),
        time=words.value(found.ready, "long_time"),
    )
    yield Picture(svg, alt, words.say("text.warm_caption"), 0.85)


def warm_spec(found: WarmCurves, words: Words) -> Spec:
    """Return temperatures over time with the band of the core, target and surroundings.

    Parameters
    ----------
    found : WarmCurves
    words : Words
    """
    shown = (("core", "winter"), ("mean", "norm"), ("wall", "summer"))
    names = {place: words.say(f"axis.{place}") for place, _ in shown}
    entries = [(names[place], palette.SEASON[season], palette.DASH[season]) for place, season in shown]
    entries += [
        (words.say("axis.target"), palette.LIMIT, [2, 3]),
        (words.say("axis.around"), palette.QUIET, [8, 2, 2, 2]),
    ]
    data = _warm_rows(found, words, names)
    colour, dash = charts.scale(entries)
    x = charts.axis("x", words.say("axis.hours", unit=words.unit("long_time")))
    y = charts.axis("y", words.say("axis.temperature", unit=words.unit("temperature")), scale={"zero": False})
    point = {
        "x": words.shown(found.ready, "long_time"),
        "y": words.shown(found.target, "temperature"),
        "line": names["core"],
    }
    layers: list[Spec] = [
        {
            "transform": [{"filter": "isValid(datum.a)"}],
            "mark": {"type": "area", "opacity": 0.16},
            "encoding": {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "b"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 1.8},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        },
        {
            "data": {"values": [point]},
            "mark": {"type": "point", "size": 70, "filled": True, "opacity": 1, "stroke": palette.INK},
            "encoding": {"x": x, "y": y, "color": colour},
        },
    ]
    return charts.base(440, 190, layers, data)


def _warm_rows(found: WarmCurves, words: Words, names: dict[str, str]) -> list[Spec]:
    """One row for each time and line; the core carries its band."""
    data: list[dict[str, Any]] = []
    for index, time in enumerate(found.times):
        at = words.shown(time, "long_time")
        for place in names:
            value = words.shown(getattr(found, place)[index], "temperature")
            row: dict[str, Any] = {"x": at, "y": value, "line": names[place]}
            if place == "core":
                row["a"] = words.shown(found.core_low[index], "temperature")
                row["b"] = words.shown(found.core_high[index], "temperature")
            data.append(row)
        for key, level in (("axis.target", found.target), ("axis.around", found.around)):
            data.append({"x": at, "y": words.shown(level, "temperature"), "line": words.say(key)})
    return data
