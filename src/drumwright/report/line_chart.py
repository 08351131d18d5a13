"""Chart of the line: how long it may be over its bore, running, after a stop, and by pressure class."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from drumwright.report import charts, palette
from drumwright.report.chart_rows import Entry, rows_of
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.machine_sketch import LengthBore
from drumwright.study.result import Result

KINDS = ("diameter", "length")
SHORTER, LONGER = 0.2, 15.0  # ends of the length axis over the length of the case
TALL, WIDE = 250, 520


def length_bore_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield length against bore, where there is a pipe.

    Parameters
    ----------
    result : Result
    drawn : Charts
        Renderer with its words.
    """
    found, words = result.machine.length_bore, drawn.words
    if found is None:
        return
    season = words.name("season", found.season)
    points = "; ".join(
        words.say("text.map_point", name=label, bore=words.value(bore, "diameter"),
                  length=words.value(length, "length"))
        for label, bore, length in _points(found, words)
    )  # fmt: skip
    caption = words.say(
        "text.map_caption", season=season, flow=words.value(found.flow, "flow"),
        allowed=words.value(found.allowed, "pressure_gauge"),
    )  # fmt: skip
    svg = drawn.svg("length_bore", length_bore_spec(found, words))
    yield Picture(svg, words.say("text.map_alt", values=points), caption, 0.9)


def _points(found: LengthBore, words: Words) -> list[tuple[str, float, float]]:
    rows = (("asked", found.asked), ("chosen", found.chosen))
    return [(words.say(f"axis.map_{key}"), *point) for key, point in rows if point is not None]


def length_bore_spec(found: LengthBore, words: Words) -> Spec:
    """Return longest pipe over bore on logarithmic axes, with the points of the case.

    Parameters
    ----------
    found : LengthBore
    words : Words
    """
    points = _points(found, words)
    lengths = [length for _, _, length in points]
    ends = (SHORTER * min(lengths), LONGER * max(lengths))
    rows: tuple[tuple[str, Sequence[float], str, list[int]], ...] = (
        ("running", found.running, palette.SEASON["winter"], [6, 3]),
        ("running_most", found.running_most, palette.SEASON["winter"], [1, 0]),
        ("restart", found.restart_most, palette.SEASON["norm"], [1, 0]),
        ("still", found.still, palette.SEASON["summer"], [2, 2]),
    )
    entries: list[Entry] = []
    data: list[Spec] = []
    for key, values, shade, dash in rows:
        label = words.say(f"axis.map_{key}")
        entries.append((label, shade, dash))
        data += _rows(found.bores, values, label, ends, words)
    classes = [(f"class {place}", row) for place, row in enumerate(found.classes)]
    thin = [row for label, (_, values) in classes for row in _rows(found.bores, values, label, ends, words)]
    colour, dashes = charts.scale(entries)
    x = charts.axis("x", words.say("axis.bore", unit=words.unit("diameter")),
                    **charts.log_axis([words.shown(each, "diameter") for each in found.bores]))  # fmt: skip
    y = charts.axis("y", words.say("axis.pipe", unit=words.unit("length")),
                    **charts.log_axis([words.shown(each, "length") for each in ends]))  # fmt: skip
    layers = [
        *_class_layers(thin, _class_labels(found, ends, words), x, y),
        {
            "mark": {"type": "line", "strokeWidth": 2, "clip": True},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dashes, "order": {"field": "order"}},
        },
        *_point_layers(points, x, y, words),
    ]
    spec = charts.base(WIDE, TALL, layers, data)
    spec["config"]["legend"]["columns"] = 2
    return spec


def _rows(
    bores: Sequence[float], values: Sequence[float], label: str, ends: tuple[float, float], words: Words
) -> list[Spec]:
    """Rows of a line on logarithmic axes: no length of zero, endless ones end far above the axis."""
    pairs = [
        (bore, min(value, 1e3 * ends[1])) for bore, value in zip(bores, values, strict=True) if value > 0.0
    ]
    return rows_of([bore for bore, _ in pairs], ([value for _, value in pairs],), label, KINDS, words)


def _class_labels(found: LengthBore, ends: tuple[float, float], words: Words) -> list[Spec]:
    """A label for each pressure class at the end of its line inside the axes."""
    labels = []
    for pressure, values in found.classes:
        inside = [
            (bore, value)
            for bore, value in zip(found.bores, values, strict=True)
            if isfinite(value) and 1.1 * ends[0] < value < 0.72 * ends[1]
        ]
        if inside:
            bore, value = inside[-1]
            text = words.value(pressure, "pressure_gauge", 2)
            labels.append(
                {"x": words.shown(bore, "diameter"), "y": words.shown(value, "length"), "text": text}
            )
    return labels


def _class_layers(rows: list[Spec], labels: list[Spec], x: Spec, y: Spec) -> list[Spec]:
    line = {"type": "line", "strokeWidth": 0.9, "color": palette.QUIET, "opacity": 0.7, "clip": True}
    text = {"type": "text", "fontSize": 9.5, "color": palette.QUIET, "align": "right", "dx": -3, "dy": -4}
    return [
        {
            "data": {"values": rows},
            "mark": line,
            "encoding": {"x": x, "y": y, "detail": {"field": "line"}, "order": {"field": "order"}},
        },
        {"data": {"values": labels}, "mark": text, "encoding": {"x": x, "y": y, "text": {"field": "text"}}},
    ]


def _point_layers(points: list[tuple[str, float, float]], x: Spec, y: Spec, words: Words) -> list[Spec]:
    """The line as asked as an open mark, the one of the arrangement as a full one, each with its name."""
    rows = [
        {"x": words.shown(bore, "diameter"), "y": words.shown(length, "length"), "text": label,
         "fill": palette.PAPER if place == 0 and len(points) > 1 else palette.INK}
        for place, (label, bore, length) in enumerate(points)
    ]  # fmt: skip
    mark = {
        "type": "point",
        "size": 80,
        "filled": True,
        "opacity": 1,
        "stroke": palette.INK,
        "strokeWidth": 1.6,
    }
    fill = {"field": "fill", "type": "nominal", "scale": None, "legend": None}
    layers: list[Spec] = [
        {"data": {"values": rows}, "mark": mark, "encoding": {"x": x, "y": y, "fill": fill}}
    ]
    for place, row in enumerate(rows):  # the names stand on either side, so that they never meet
        side = {"align": "right", "dx": -9} if place == 0 and len(rows) > 1 else {"align": "left", "dx": 9}
        text = {"type": "text", "fontSize": 10.5, "color": palette.INK, "dy": 3, **side}
        layers.append(
            {
                "data": {"values": [row]},
                "mark": text,
                "encoding": {"x": x, "y": y, "text": {"field": "text"}},
            }
        )
    return layers
