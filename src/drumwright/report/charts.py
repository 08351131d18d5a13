"""Charts as Vega-Lite specifications: plain data, drawn to SVG by one converter with our font."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.basis.catalogue import DATA
from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.words import Words, find_figure
from drumwright.study.result import CurvePair, Result

Spec = dict[str, Any]
_VERSION = "6.1"
_SHOWN = ("winter", "norm")
FAR = 1.6  # a torque limit higher than so many times the other limits is named, not drawn
_CLIP = re.compile(r"\bclip[0-9]+\b")
WIDTH = 440  # of a chart that is not as wide as the text
LEAST_SHARE = 0.005  # of the spread; below it no number is printed


class Charts:
    """Charts of one result; the same specification is drawn once and kept.

    Parameters
    ----------
    words : Words
        Labels and units.
    """

    def __init__(self, words: Words) -> None:
        self.words = words
        self._drawn: dict[str, bytes] = {}

    def profile(self, result: Result) -> Iterator[Picture]:
        """Yield the pressure profile, if there is one."""
        if result.profile:
            words = self.words
            values = "; ".join(
                words.say(
                    "text.season_high",
                    season=words.name("season", season),
                    pressure=max(point.likely for point in points),
                )
                for season, points in result.profile
                if points
            )
            svg = self.svg("profile", profile_spec(result, words))
            alt = words.say("text.profile_alt", values=values)
            yield Picture(svg, alt, words.say("text.profile_caption"))

    def curves(self, result: Result) -> Iterator[Picture]:
        """Yield pump curve against line curve, if there is one."""
        if result.curves:
            words = self.words
            values = "; ".join(
                words.say(
                    "text.season_point",
                    season=words.name("season", season),
                    pressure=pair.operating_pressure,
                    flow=pair.operating_flow,
                )
                for season, pair in result.curves
            )
            svg = self.svg("curves", curves_spec(result, words))
            alt = words.say("text.curves_alt", values=values)
            yield Picture(svg, alt, words.say("text.curves_caption"))

    def residue(self, result: Result) -> tuple[Picture, ...]:
        """Return the residue by place, if there is any."""
        if not result.residue:
            return ()
        words = self.words
        values = ", ".join(
            f"{words.name('place', part.place)} {words.band(part.low, part.likely, part.high, 'volume')}"
            for part in result.residue
        )
        svg = self.svg("residue", residue_spec(result, words))
        alt = words.say("text.residue_alt", values=values)
        caption = words.say("text.residue_caption")
        chance = find_figure(result, "residue.chance_below_one_percent", "norm")
        if chance is not None:
            text = words.value(chance.likely, "fraction")
            caption = f"{caption} {words.say('text.residue_chance', value=text)}"
        return (Picture(svg, alt, caption, 0.85),)

    def svg(self, name: str, spec: Spec) -> bytes:
        """Return a specification drawn as SVG; the same name is drawn once."""
        if name not in self._drawn:
            import vl_convert

            vl_convert.register_font_directory(str(DATA / "fonts"))
            drawn = vl_convert.vegalite_to_svg(spec, vl_version=_VERSION)
            self._drawn[name] = _numbered_anew(drawn).encode()
        return self._drawn[name]


def _numbered_anew(svg: str) -> str:
    """The same drawing with its clips counted from one: the converter counts on from chart to chart."""
    order = list(dict.fromkeys(_CLIP.findall(svg)))
    return _CLIP.sub(lambda found: f"clip{order.index(found.group()) + 1}", svg)


def base(width: int, height: int, layers: list[Spec], data: list[Spec]) -> Spec:
    """Return a layered chart of our look over its data."""
    axis = {
        "labelFont": palette.FONT, "titleFont": palette.FONT, "labelColor": palette.INK,
        "titleColor": palette.INK, "titleFontWeight": "normal", "titleFontSize": 11, "labelFontSize": 10.5,
        "gridColor": "#e4e7ea", "domainColor": palette.QUIET, "tickColor": palette.QUIET,
    }  # fmt: skip
    legend = {
        "labelFont": palette.FONT, "labelFontSize": 11, "title": None, "orient": "top", "symbolSize": 300,
        "symbolStrokeWidth": 2.2, "labelLimit": 300, "columnPadding": 16, "symbolType": "stroke",
        "symbolOpacity": 1,
    }  # fmt: skip
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "width": width,
        "height": height,
        "background": palette.PAPER,
        "padding": 4,
        "data": {"values": data},
        "layer": layers,
        "config": {"font": palette.FONT, "axis": axis, "legend": legend, "view": {"stroke": palette.LINE}},
    }


def scale(entries: Sequence[tuple[str, str, list[int]]]) -> tuple[Spec, Spec]:
    """Return colour and dash channels with one shared legend for (label, colour, dash) entries."""
    names = [label for label, _, _ in entries]
    colour = {
        "field": "line",
        "type": "nominal",
        "scale": {"domain": names, "range": [c for _, c, _ in entries]},
    }
    dash = {
        "field": "line",
        "type": "nominal",
        "scale": {"domain": names, "range": [d for _, _, d in entries]},
    }
    return colour, dash


def axis(field: str, title: str, **more: Any) -> Spec:
    """Return a channel of numbers with its title."""
    return {"field": field, "type": "quantitative", "title": title, "axis": {"tickCount": 8}, **more}


def log_axis(values: Sequence[float]) -> Spec:
    """Return a logarithmic scale that ends at the values, with as many ticks a decade as can be read."""
    low, high = min(values), max(values)
    first, last, decades = math.floor(math.log10(low)), math.ceil(math.log10(high)), math.log10(high / low)
    steps = (
        (1.0, 2.0, 3.0, 4.0, 5.0, 7.0) if decades <= 1.1 else (1.0, 2.0, 5.0) if decades <= 3.5 else (1.0,)
    )
    ticks = [float(f"{step * 10.0**power:.6g}") for power in range(first, last + 1) for step in steps]
    inside = [tick for tick in ticks if low <= tick * (1.0 + 1e-9) and tick <= high * (1.0 + 1e-9)]
    return {
        "scale": {"type": "log", "nice": False, "domain": [low, high]},
        "axis": {"format": "~r", "values": inside},
    }


def profile_spec(result: Result, words: Words) -> Spec:
    """Return the pressure profile along the path: band and line by season, and the limit."""
    data: list[Spec] = []
    entries = []
    for season, points in result.profile:
        if season not in _SHOWN and len(result.profile) > 1:
            continue
        label = words.say("axis.line", season=words.name("season", season))
        entries.append((label, palette.SEASON[season], palette.DASH[season]))
        for index, point in enumerate(points):
            shown = (words.shown(each, "pressure_gauge") for each in (point.low, point.likely, point.high))
            low, likely, high = shown
            place = words.shown(point.distance, "length")
            data.append({"x": place, "low": low, "y": likely, "high": high, "line": label, "order": index})
    limit = _outlet_limit(result)
    colour, dash = scale([*entries, *_limit_entry(limit, words)])
    x = axis("x", words.say("axis.distance", unit=words.unit("length")), scale={"nice": False, "zero": False})
    y = axis("y", words.say("axis.pressure", unit=words.unit("pressure_gauge")))
    layers: list[Spec] = [
        {
            "mark": {"type": "area", "opacity": 0.16},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 2},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash, "order": {"field": "order"}},
        },
    ]  # fmt: skip
    layers += _limit_layer(limit, colour, dash, words)
    return base(580, 190, layers, data)


def _outlet_limit(result: Result) -> float | None:
    limits = [
        border.limit
        for _, borders in result.path
        for border in borders
        if border.key == "pump_outlet" and border.limit is not None and border.limit_is == "maximum_gauge"
    ]
    return min(limits) if limits else None


def _limit_entry(limit: float | None, words: Words) -> list[tuple[str, str, list[int]]]:
    return [] if limit is None else [(words.say("axis.limit"), palette.LIMIT, [2, 3])]


def _limit_layer(limit: float | None, colour: Spec, dash: Spec, words: Words) -> list[Spec]:
    if limit is None:
        return []
    value = {"y": words.shown(limit, "pressure_gauge"), "line": words.say("axis.limit")}
    channels = {"y": {"field": "y", "type": "quantitative"}, "color": colour, "strokeDash": dash}
    return [{"data": {"values": [value]}, "mark": {"type": "rule", "strokeWidth": 1.6}, "encoding": channels}]


def curves_spec(result: Result, words: Words) -> Spec:
    """Return line curve with band, pump curve and operating point by season, over flow."""
    data: list[Spec] = []
    points: list[Spec] = []
    entries: list[tuple[str, str, list[int]]] = []
    limit: float | None = None
    for season, pair in result.curves:
        if season not in _SHOWN and len(result.curves) > 1:
            continue
        name = words.name("season", season)
        line, pump = words.say("axis.line", season=name), words.say("axis.pumps", season=name)
        entries.append((line, palette.SEASON[season], palette.DASH[season]))
        entries.append((pump, palette.PUMP, palette.DASH[season]))
        data += _line_rows(pair, words, line) + _pump_rows(pair, words, pump)
        at = words.shown(pair.operating_flow, "flow"), words.shown(pair.operating_pressure, "pressure_gauge")
        points.append({"x": at[0], "y": at[1], "line": line})
        limit = pair.limit_pressure if limit is None else min(limit, pair.limit_pressure)
    named, top = _named_limits(result, words)
    limit = None if named else limit
    colour, dash = scale([*entries, *_limit_entry(limit, words)])
    x = axis("x", words.say("axis.flow", unit=words.unit("flow")))
    y = axis("y", words.say("axis.pressure", unit=words.unit("pressure_gauge")))
    if named:
        y["scale"] = {"domain": [0.0, top], "nice": False}
    layers: list[Spec] = [
        {
            "transform": [{"filter": "isValid(datum.low)"}],
            "mark": {"type": "area", "opacity": 0.16, "clip": True},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 2, "clip": True},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash, "order": {"field": "order"}},
        },
        {
            "data": {"values": points},
            "mark": {"type": "point", "size": 90, "filled": True, "opacity": 1, "stroke": palette.INK},
            "encoding": {"x": x, "y": y, "color": colour},
        },
    ]
    layers += _limit_layer(limit, colour, dash, words) + _named_layers(named)
    return base(580, 250 if named else 220, layers, data)


def _named_limits(result: Result, words: Words) -> tuple[list[Spec], float]:
    """The lowest of each limit over the seasons that are shown, with its name, and the end of the axis.

    A torque limit far above all others stands at the upper end of the axis and says so.
    """
    found: dict[str, float] = {}
    reached = 0.0
    for season, pair in result.curves:
        if season in _SHOWN or len(result.curves) == 1:
            reached = max(reached, pair.operating_pressure)
            for key, pressure in pair.limits:
                found[key] = min(pressure, found.get(key, pressure))
    others = max((value for key, value in found.items() if key != "torque"), default=0.0)
    top = 1.12 * max(others, min(found.get("torque", 0.0), FAR * others), reached)
    rows: list[Spec] = []
    for key, pressure in sorted(found.items(), key=lambda item: item[1]):
        text = words.say(f"axis.limit_{key}", value=words.value(pressure, "pressure_gauge"))
        if pressure > top:
            text = words.say("axis.limit_above", text=text)
        at = words.shown(min(pressure, 0.95 * top), "pressure_gauge")
        rows.append({"y": at, "text": text, "main": key == "allowed", "above": pressure > top})
    for index, row in enumerate(rows):  # a text of a line too close to the one below stands at the left
        near = index > 0 and row["y"] - rows[index - 1]["y"] < 0.07 * words.shown(top, "pressure_gauge")
        row["left"] = near and not rows[index - 1]["left"]
    return rows, words.shown(top, "pressure_gauge")


def _named_layers(rows: list[Spec]) -> list[Spec]:
    if not rows:
        return []
    shade = {"condition": {"test": "datum.main", "value": palette.LIMIT}, "value": palette.QUIET}
    y = {"field": "y", "type": "quantitative"}
    layers: list[Spec] = [
        {
            "data": {"values": [row for row in rows if not row["above"]]},
            "mark": {"type": "rule", "strokeWidth": 1.3, "strokeDash": [2, 3]},
            "encoding": {"y": y, "color": shade},
        }
    ]
    for left, align, place in ((False, "right", 576), (True, "left", 130)):
        text = {"type": "text", "align": align, "dy": -5, "fontSize": 9.5}
        where = {"x": {"value": place}, "y": y, "color": shade, "text": {"field": "text"}}
        some = [row for row in rows if row["left"] == left]
        layers.append({"data": {"values": some}, "mark": text, "encoding": where})
    return layers


def _line_rows(pair: CurvePair, words: Words, label: str) -> list[Spec]:
    rows = zip(pair.flow, pair.line_low, pair.line_pressure, pair.line_high, strict=True)
    return [
        {
            "x": words.shown(flow, "flow"),
            "low": words.shown(low, "pressure_gauge"),
            "y": words.shown(likely, "pressure_gauge"),
            "high": words.shown(high, "pressure_gauge"),
            "line": label,
            "order": index,
        }
        for index, (flow, low, likely, high) in enumerate(rows)
    ]


def _pump_rows(pair: CurvePair, words: Words, label: str) -> list[Spec]:
    return [
        {
            "x": words.shown(flow, "flow"),
            "y": words.shown(pressure, "pressure_gauge"),
            "line": label,
            "order": index,
        }
        for index, (flow, pressure) in enumerate(zip(pair.pump_flow, pair.pump_pressure, strict=True))
    ]


def residue_spec(result: Result, words: Words) -> Spec:
    """Return residue by place, and the sum with one per cent of the filling: bars from P5 to P95.

    A mark stands at the likely value; the number at the right is the share of the spread of the sum.
    """
    data = [
        _residue_row(words.name("place", part.place), (part.low, part.likely, part.high), words)
        | {"share": _share(part.share, words)}
        for part in result.residue
        if part.high > 0.0
    ]
    limit = None
    total, share = (find_figure(result, f"residue.{name}", "norm") for name in ("volume", "share"))
    if total is not None:
        row = _residue_row(words.say("axis.sum"), (total.low, total.likely, total.high), words)
        data.append(row | {"share": "", "sum": True})
    if total is not None and share is not None and share.likely > 0.0:
        limit = words.shown(0.01 * total.likely / share.likely, "volume")
    title = words.say("axis.residue", unit=words.unit("volume"))
    most = max([*(row["high"] for row in data), limit or 0.0])
    across = {"zero": True, "nice": False, "domain": [0.0, 1.12 * most]}
    order = [row["place"] for row in data]
    y = {"field": "place", "type": "nominal", "title": None, "sort": order, "axis": {"labelLimit": 200}}
    return base(WIDTH, max(60, 24 * len(data)), _residue_layers(title, across, y, limit, words), data)


def _share(value: float, words: Words) -> str:
    """A share of the spread in whole per cent, empty where it is too small."""
    return (
        words.value(round(value, 2), "fraction", 2 if value >= 0.095 else 1) if value >= LEAST_SHARE else ""
    )


def _residue_row(place: str, band: tuple[float, float, float], words: Words) -> Spec:
    low, likely, high = (words.shown(each, "volume") for each in band)
    return {"place": place, "low": low, "likely": likely, "high": high}


def _residue_layers(title: str, across: Spec, y: Spec, limit: float | None, words: Words) -> list[Spec]:
    """Bars, marks, shares of the spread, and one per cent of the filling as a line."""
    bar = {"type": "bar", "height": 12, "opacity": 0.45}
    mark = {"type": "tick", "thickness": 3, "size": 18, "color": palette.INK}
    share = {"type": "text", "align": "right", "fontSize": 10.5, "color": palette.INK}
    x = axis("low", title, scale=across)
    shades = {"condition": {"test": "datum.sum", "value": palette.INK}, "value": palette.SEASON["winter"]}
    layers: list[Spec] = [
        {"mark": bar, "encoding": {"y": y, "x": x, "x2": {"field": "high"}, "color": shades}},
        {"mark": mark, "encoding": {"y": y, "x": axis("likely", title, scale=across)}},
        {"mark": share, "encoding": {"y": y, "x": {"value": WIDTH - 4}, "text": {"field": "share"}}},
    ]
    if limit is not None:
        one = {"values": [{"x": limit, "text": words.say("axis.one_percent")}]}
        at = axis("x", title, scale=across)
        rule = {"type": "rule", "strokeWidth": 1.4, "strokeDash": [2, 3], "color": palette.LIMIT}
        label = {"type": "text", "dy": -7, "fontSize": 10.5, "color": palette.LIMIT}
        layers.append({"data": one, "mark": rule, "encoding": {"x": at}})
        layers.append(
            {"data": one, "mark": label, "encoding": {"x": at, "y": {"value": 0}, "text": {"field": "text"}}}
        )
    return layers
