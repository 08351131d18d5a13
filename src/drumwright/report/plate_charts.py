"""Charts of plate and warm-up: force against the last gap, temperatures over the time in the warm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.report import charts, palette
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.result import PlateForce, Result, WarmCurves

Entry = tuple[str, str, list[int]]
SEEN, FAR = 6.0, 40.0  # the force axis ends this far above the force that is there, and below it at most
STILL_DASH = [1, 3]


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


def plate_force_spec(items: Sequence[PlateForce], words: Words) -> Spec:
    """Return force over gap on logarithmic axes: needed with band, by yield stress alone, there; end gap.

    Parameters
    ----------
    items : sequence of PlateForce
        By season, over the same gaps; seasons with the same curve are drawn once.
    words : Words
    """
    entries: list[Entry] = []
    lines: list[Spec] = []
    points: list[Spec] = []
    for season, name, item in _drawn(items, words):
        found, label = _force_rows(item, season, name, words)
        entries += label
        lines += found
        low, likely, high = (words.shown(each, "diameter") for each in item.gap)
        at = words.shown(item.there, "force")
        points.append({"x": likely, "low": low, "high": high, "y": at, "line": label[0][0]})
    gaps = [words.shown(gap, "diameter") for item in items for gap in item.gaps]
    x = charts.axis("x", words.say("axis.gap", unit=words.unit("diameter")), **charts.log_axis(gaps))
    y = charts.axis(
        "y", words.say("axis.force", unit=words.unit("force")), **charts.log_axis(_forces_seen(items, words))
    )
    spec = charts.base(440, 200, _force_layers(x, y, entries, points), lines)
    spec["config"]["legend"]["columns"] = max(2, len(entries) // max(1, len(points)))
    return spec


def _forces_seen(items: Sequence[PlateForce], words: Words) -> list[float]:
    """Ends of the force axis: round the force that is there, and down to what yield alone takes there."""
    there = [item.there for item in items]
    low = min(there) / SEEN
    for item in items:
        if item.still and item.still[0] > 0.0:
            at_end = item.still[0] * item.gaps[0] / max(item.gap[1], item.gaps[0])  # it falls as 1/gap
            low = min(low, max(0.7 * at_end, min(there) / FAR))
    return [words.shown(low, "force"), words.shown(max(there) * SEEN, "force")]


def _drawn(items: Sequence[PlateForce], words: Words) -> Iterator[tuple[str, str, PlateForce]]:
    """Seasons with their names; the later ones join the first where their curve is the same."""
    first, rest = items[0], items[1:]
    same = [item for item in rest if item.needed == first.needed and item.there == first.there]
    names = [words.name("season", item.season) for item in (first, *same)]
    yield first.season, ", ".join(names), first
    for item in rest:
        if item not in same:
            yield item.season, words.name("season", item.season), item


def _force_rows(item: PlateForce, season: str, name: str, words: Words) -> tuple[list[Spec], list[Entry]]:
    """Points of the lines of one season, and their legend."""
    shade = palette.SEASON[season]
    needs, there = words.say("axis.needs", season=name), words.say("axis.there", season=name)
    still = words.say("axis.still", season=name)
    entries: list[Entry] = [(needs, shade, palette.DASH["winter"]), (there, shade, palette.DASH["norm"])]
    rows: list[Spec] = []
    for gap, *forces in zip(item.gaps, item.needed, item.low, item.high, strict=True):
        force, low, high = (words.shown(value, "force") for value in forces)
        rows.append({"x": words.shown(gap, "diameter"), "y": force, "a": low, "b": high, "line": needs})
    for gap in (item.gaps[0], item.gaps[-1]):
        rows.append({"x": words.shown(gap, "diameter"), "y": words.shown(item.there, "force"), "line": there})
    held = [(gap, force) for gap, force in zip(item.gaps, item.still, strict=False) if force > 0.0]
    if held:
        entries.append((still, shade, STILL_DASH))
        rows += [
            {"x": words.shown(gap, "diameter"), "y": words.shown(force, "force"), "line": still}
            for gap, force in held
        ]
    return rows, entries


def _force_layers(x: Spec, y: Spec, entries: list[Entry], points: list[Spec]) -> list[Spec]:
    colour, dash = charts.scale(entries)
    layers = _band_and_lines(x, y, colour, dash)
    across = {**x, "field": "low"}
    layers.append(
        {
            "data": {"values": points},
            "mark": {"type": "rule", "strokeWidth": 5, "opacity": 0.55, "clip": True},
            "encoding": {"x": across, "x2": {"field": "high"}, "y": y, "color": colour},
        }
    )
    layers.append(_marks(points, x, y, colour))
    return layers


def _band_and_lines(x: Spec, y: Spec, colour: Spec, dash: Spec) -> list[Spec]:
    """Bands where rows carry one, and all lines; nothing is drawn beyond the axes."""
    return [
        {
            "transform": [{"filter": "isValid(datum.a)"}],
            "mark": {"type": "area", "opacity": 0.18, "clip": True},
            "encoding": {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "b"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 1.8, "clip": True},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        },
    ]


def _marks(points: list[Spec], x: Spec, y: Spec, colour: Spec) -> Spec:
    return {
        "data": {"values": points},
        "mark": {"type": "point", "size": 70, "filled": True, "opacity": 1, "stroke": palette.INK},
        "encoding": {"x": x, "y": y, "color": colour},
    }


def warm_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield the temperatures over the time in the warm.

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
    alt = words.say(
        "text.warm_alt",
        target=words.value(found.target, "temperature"),
        around=words.value(found.around, "temperature"),
        time=words.value(found.ready, "long_time"),
    )
    kind = found.mode if found.mode in ("convection", "phase_change") else "conduction"
    yield Picture(drawn.svg("warm", warm_spec(found, words)), alt, words.say(f"text.warm_{kind}"), 0.85)


def warm_spec(found: WarmCurves, words: Words) -> Spec:
    """Return temperatures over time with the band of the core, target and surroundings.

    Parameters
    ----------
    found : WarmCurves
    words : Words
    """
    mixed = found.mode == "convection"
    shown = (("core", "winter"),) if mixed else (("core", "winter"), ("mean", "norm"), ("wall", "summer"))
    labels = {"core": {"convection": "mixed", "phase_change": "coldest"}.get(found.mode, "core")}
    names = {place: words.say(f"axis.{labels.get(place, place)}") for place, _ in shown}
    entries = [(names[place], palette.SEASON[season], palette.DASH[season]) for place, season in shown]
    levels = _levels(found, words)
    entries += [(label, shade, dash) for _, label, shade, dash in levels]
    colour, dash = charts.scale(entries)
    most = words.shown(found.times[-1], "long_time")
    x = charts.axis(
        "x", words.say("axis.hours", unit=words.unit("long_time")), scale={"domain": [0, most], "nice": False}
    )
    y = charts.axis(
        "y", words.say("axis.temperature", unit=words.unit("temperature")), scale=_span(found, words)
    )
    ready = words.shown(found.ready, "long_time")
    point = {"x": ready, "y": words.shown(found.target, "temperature"), "line": names["core"]}
    layers = [*_band_and_lines(x, y, colour, dash), _marks([point], x, y, colour)]
    spec = charts.base(440, 200, layers, _warm_rows(found, words, names, levels))
    spec["config"]["legend"]["columns"] = len(shown) if len(shown) > 1 else len(entries)
    return spec


def _span(found: WarmCurves, words: Words) -> Spec:
    """Scale of the temperatures with a little room, so that no line lies on the frame."""
    values = [words.shown(each, "temperature") for each in (found.core[0], found.target, found.around)]
    room = 0.05 * (max(values) - min(values))
    return {"domain": [min(values) - room, max(values) + room], "nice": False, "zero": False}


def _levels(found: WarmCurves, words: Words) -> list[tuple[float, str, str, list[int]]]:
    """Horizontal lines: temperature [K], label with its number, colour, dash."""
    rows = [
        (found.target, "target", palette.LIMIT, [2, 3]),
        (found.around, "around", palette.QUIET, [8, 2, 2, 2]),
        (found.melts, "melts", palette.PUMP, [1, 3]),
    ]
    return [
        (value, words.say(f"axis.{key}", value=words.value(value, "temperature")), shade, dash)
        for value, key, shade, dash in rows
        if value is not None
    ]


def _warm_rows(
    found: WarmCurves, words: Words, names: dict[str, str], levels: list[tuple[float, str, str, list[int]]]
) -> list[Spec]:
    """One row for each time and line; the core carries its band, where there is one."""
    data: list[dict[str, Any]] = []
    for index, time in enumerate(found.times):
        at = words.shown(time, "long_time")
        for place, label in names.items():
            value = words.shown(getattr(found, place)[index], "temperature")
            row: dict[str, Any] = {"x": at, "y": value, "line": label}
            if place == "core" and found.core_low:
                row["a"] = words.shown(found.core_low[index], "temperature")
                row["b"] = words.shown(found.core_high[index], "temperature")
            data.append(row)
        if index in (0, len(found.times) - 1):
            data += [
                {"x": at, "y": words.shown(value, "temperature"), "line": label}
                for value, label, _, _ in levels
            ]
    return data
