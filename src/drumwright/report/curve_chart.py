"""Flow curves with points, models and band: of the command that fits and of the note, one chart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from drumwright.flow.numbers import Array
from drumwright.product.curve_study import CurveStudy
from drumwright.product.fit import MODELS, Model, ModelFit, modelled
from drumwright.report import charts, palette
from drumwright.report.charts import Charts, Spec
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.fitting import Fitted
from drumwright.study.result import FitSummary, Result

Pairs = list[tuple[float, float]]
_SHADES = (
    palette.SEASON["norm"],
    palette.SEASON["winter"],
    palette.SEASON["summer"],
    palette.PUMP,
    palette.LIMIT,
)
_DASHES = ([1, 0], [6, 3], [2, 2], [8, 2, 2, 2], [10, 4])
POINTS = 31  # of a line drawn from its parameters alone


@dataclass(frozen=True, slots=True)
class Curve:
    """One line of the chart with its points and its band; shear rates [1/s], stresses [Pa]."""

    label: str
    line: Pairs
    points: Pairs
    band: list[tuple[float, float, float]]


def curve_spec(fitted: Fitted, words: Words) -> Spec:
    """Return points, models and band of every curve on logarithmic axes.

    Parameters
    ----------
    fitted : Fitted
        Flow curves as fitted; at least one of them with a fit.
    words : Words
        Labels and units.

    Notes
    -----
    One curve shows all its models, several show the chosen one of each. The band is P5 to P95 of the
    resamples and holds both sweeps.
    """
    studies = [each for each in fitted.studies if each.fit is not None]
    curves: list[Curve] = []
    for study in studies:
        shown = list(_shown(study, len(studies) == 1, words))
        for index, (model, label) in enumerate(shown):
            line = _pairs(study.grid, _of(model, study.grid))
            last = index == len(shown) - 1
            points = _pairs(study.shear_rate, study.stress) if last else []
            curves.append(Curve(label, line, points, _band(study) if last else []))
    return curves_chart(curves, words, 260)


def fits_spec(fits: Sequence[FitSummary], words: Words) -> Spec:
    """Return points and chosen models of the flow curves of a result.

    Parameters
    ----------
    fits : sequence of FitSummary
    words : Words
    """
    curves = []
    for fit in fits:
        label = f"{words.value(fit.temperature, 'temperature')}, {words.name('model', fit.model)}"
        points = [(rate, stress) for rate, stress in fit.points if rate > 0 < stress]
        curves.append(Curve(label, _summary_line(fit), points, []))
    return curves_chart(curves, words, 200)


def fits_picture(result: Result, drawn: Charts) -> Iterator[Picture]:
    """Yield the flow curves of a result with their fitted models.

    Parameters
    ----------
    result : Result
        With at least one fit.
    drawn : Charts
        Renderer with its words.
    """
    words = drawn.words
    values = ", ".join(
        f"{words.value(fit.temperature, 'temperature')} {words.name('model', fit.model)}"
        for fit in result.fits
    )
    svg = drawn.svg("fits", fits_spec(result.fits, words))
    yield Picture(svg, words.say("text.fit_alt", values=values), words.say("text.fits_caption"), 0.85)


def curves_chart(curves: Sequence[Curve], words: Words, height: int) -> Spec:
    """Return lines, points and bands on logarithmic axes.

    Parameters
    ----------
    curves : sequence of Curve
    words : Words
    height : int
        Of the chart.
    """
    entries, points, band, lines = [], [], [], []
    for index, curve in enumerate(curves):
        entries.append((curve.label, _SHADES[index % len(_SHADES)], _DASHES[index % len(_DASHES)]))
        lines += [{"x": x, "y": y, "line": curve.label} for x, y in curve.line]
        points += [{"x": x, "y": y, "line": curve.label} for x, y in curve.points]
        band += [{"x": x, "low": a, "high": b, "line": curve.label} for x, a, b in curve.band]
    return charts.base(440, height, _layers(entries, points, band, lines, words), lines)


def _layers(
    entries: list[tuple[str, str, list[int]]],
    points: list[Spec],
    band: list[Spec],
    lines: list[Spec],
    words: Words,
) -> list[Spec]:
    colour, dash = charts.scale(entries)
    seen = points or lines
    rates, stresses = ([row[axis] for row in seen] for axis in ("x", "y"))
    across = charts.log_axis([0.85 * min(rates), 1.18 * max(rates)])
    upright = charts.log_axis([0.75 * min(stresses), 1.33 * max(stresses)])
    x = charts.axis("x", words.say("axis.shear_rate"), **across)
    y = charts.axis("y", words.say("axis.stress"), **upright)
    low = {**y, "field": "low"}
    return [
        {
            "data": {"values": band},
            "mark": {"type": "area", "opacity": 0.18, "clip": True},
            "encoding": {"x": x, "y": low, "y2": {"field": "high"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 1.8, "clip": True},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        },
        {
            "data": {"values": points},
            "mark": {"type": "point", "size": 45, "filled": True, "opacity": 1},
            "encoding": {"x": x, "y": y, "color": colour},
        },
    ]


def _summary_line(fit: FitSummary) -> Pairs:
    """Points of a fitted model over its range, from its parameters."""
    given = {name: value for name, _, _, value, _ in fit.parameters}
    low, high = max(fit.shear_rate_low, 1e-9), max(fit.shear_rate_high, 1e-9)
    rate = np.geomspace(low, high, POINTS)
    return _pairs(rate, _stress(fit.model, given, rate))


def _band(study: CurveStudy) -> list[tuple[float, float, float]]:
    low, _, high = study.band
    rows = zip(study.grid.tolist(), low.tolist(), high.tolist(), strict=True)
    return [row for row in rows if row[1] > 0.0]


def _shown(study: CurveStudy, every: bool, words: Words) -> Iterator[tuple[ModelFit, str]]:
    """Models to draw with their labels, the chosen one last."""
    assert study.fit is not None
    warm = "" if study.temperature is None else words.value(study.temperature, "temperature")
    models = sorted(study.fit.models, key=lambda model: model.model == study.fit.chosen)  # type: ignore[union-attr]
    for model in models:
        chosen = model.model == study.fit.chosen
        if every or chosen:
            name = words.name("model", model.model)
            yield model, f"{warm}, {name}" if warm and not every else name


def _of(model: ModelFit, rate: Array) -> Array:
    return _stress(model.model, {item.name: item.value for item in model.parameters}, rate)


def _stress(name: str, given: dict[str, float], rate: Array) -> Array:
    """Stress of a model with the parameters it has [Pa]."""
    model: Model = next(each for each in MODELS if each == name)
    tau_y, n = given.get("yield_stress", 0.0), given.get("exponent", 1.0)
    return modelled(model, tau_y, given["consistency"], n, rate)


def _pairs(x: Array, y: Array) -> Pairs:
    return [(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True) if b > 0.0]


def curve_svg(fitted: Fitted, words: Words) -> bytes:
    """Return the picture as SVG with the house's font.

    Parameters
    ----------
    fitted : Fitted
        Flow curves as fitted.
    words : Words
        Labels and units.
    """
    return Charts(words).svg("fit", curve_spec(fitted, words))
