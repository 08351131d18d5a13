"""Charts as Vega-Lite specifications: plain data, drawn to SVG by one converter with our font."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.basis.catalogue import DATA
from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.result import CurvePair, FitSummary, Result

Spec = dict[str, Any]
_VERSION = "6.1"
_SHOWN = ("winter", "norm")


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
        return (Picture(svg, alt, words.say("text.residue_caption"), 0.85),)

    def fits(self, result: Result) -> Iterator[Picture]:
        """Yield the flow curves with their fitted models."""
        words = self.words
        values = ", ".join(
            f"{words.value(fit.temperature, 'temperature')} {words.name('model', fit.model)}"
            for fit in result.fits
        )
        svg = self.svg("fits", fits_spec(result.fits, words))
        yield Picture(svg, words.say("text.fit_alt", values=values), words.say("text.fits_caption"), 0.85)

    def svg(self, name: str, spec: Spec) -> bytes:
        """Return a specification drawn as SVG; the same name is drawn once."""
        if name not in self._drawn:
            import vl_convert

            vl_convert.register_font_directory(str(DATA / "fonts"))
            self._drawn[name] = vl_convert.vegalite_to_svg(spec, vl_version=_VERSION).encode()
        return self._drawn[name]


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
    """Return a logarithmic scale that ends at the values, with ticks at 1, 2 and 5 or at the tens alone."""
    low, high = min(values), max(values)
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    steps = (1.0, 2.0, 5.0) if last - first <= 4 else (1.0,)
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
    colour, dash = scale([*entries, *_limit_entry(limit, words)])
    x = axis("x", words.say("axis.flow", unit=words.unit("flow")))
    y = axis("y", words.say("axis.pressure", unit=words.unit("pressure_gauge")))
    layers: list[Spec] = [
        {
            "transform": [{"filter": "isValid(datum.low)"}],
            "mark": {"type": "area", "opacity": 0.16},
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
    layers += _limit_layer(limit, colour, dash, words)
    return base(580, 220, layers, data)


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
    """Return residue by place as bars from P5 to P95 with a mark at the likely value."""
    data = [
        {
            "place": words.name("place", part.place),
            "low": words.shown(part.low, "volume"),
            "likely": words.shown(part.likely, "volume"),
            "high": words.shown(part.high, "volume"),
        }
        for part in result.residue
    ]
    title = words.say("axis.residue", unit=words.unit("volume"))
    y = {"field": "place", "type": "nominal", "title": None, "sort": None, "axis": {"labelLimit": 200}}
    layers: list[Spec] = [
        {
            "mark": {"type": "bar", "height": 12, "color": palette.SEASON["winter"], "opacity": 0.45},
            "encoding": {"y": y, "x": axis("low", title, scale={"zero": True}), "x2": {"field": "high"}},
        },
        {
            "mark": {"type": "tick", "thickness": 3, "size": 18, "color": palette.INK},
            "encoding": {"y": y, "x": axis("likely", title)},
        },
    ]
    return base(440, max(60, 26 * len(data)), layers, data)


def fits_spec(fits: Sequence[FitSummary], words: Words) -> Spec:
    """Return points and fitted models of all flow curves on logarithmic axes."""
    points: list[Spec] = []
    data: list[Spec] = []
    shades = [palette.SEASON["norm"], palette.SEASON["winter"], palette.SEASON["summer"], palette.PUMP]
    dashes = [palette.DASH["winter"], palette.DASH["norm"], palette.DASH["summer"], [8, 2, 2, 2]]
    entries = []
    for index, fit in enumerate(fits):
        model = words.name("model", fit.model)
        label = f"{words.value(fit.temperature, 'temperature')}, {model}"
        entries.append((label, shades[index % 4], dashes[index % 4]))
        points += [
            {"x": rate, "y": stress, "line": label} for rate, stress in fit.points if rate > 0 < stress
        ]
        data += [{"x": rate, "y": stress, "line": label} for rate, stress in _model_points(fit)]
    colour, dash = scale(entries)
    log = {"type": "log", "nice": False}
    ticks = {"format": "~r", "tickCount": 5}
    x = axis("x", words.say("axis.shear_rate"), scale=log, axis=ticks)
    y = axis("y", words.say("axis.stress"), scale=log, axis=ticks)
    layers: list[Spec] = [
        {
            "mark": {"type": "line", "strokeWidth": 1.8},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        },
        {
            "data": {"values": points},
            "mark": {"type": "point", "size": 45, "filled": True, "opacity": 1},
            "encoding": {"x": x, "y": y, "color": colour},
        },
    ]
    return base(440, 200, layers, data)


def _model_points(fit: FitSummary, count: int = 31) -> list[tuple[float, float]]:
    """Return points of a fitted model over its range; the model's law in its own parameters."""
    given = {name: value for name, _, _, value, _ in fit.parameters}
    low, high = max(fit.shear_rate_low, 1e-9), max(fit.shear_rate_high, 1e-9)
    rates = [low * (high / low) ** (index / (count - 1)) for index in range(count)]
    return [(rate, stress) for rate in rates if (stress := _stress(fit.model, given, rate)) > 0.0]


def _stress(model: str, given: dict[str, float], rate: float) -> float:
    yield_stress = given.get("yield_stress", 0.0)
    consistency = given.get("consistency", given.get("viscosity", 0.0))
    if model == "casson":
        return float((yield_stress**0.5 + (consistency * rate) ** 0.5) ** 2)
    return float(yield_stress + consistency * rate ** given.get("exponent", 1.0))
