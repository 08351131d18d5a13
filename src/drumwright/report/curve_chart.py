"""Flow curves with their models and band, as a Vega-Lite specification and as SVG."""

from __future__ import annotations

from collections.abc import Iterator

from drumwright.basis.catalogue import DATA
from drumwright.flow.numbers import Array
from drumwright.product.curve_study import CurveStudy
from drumwright.product.fit import ModelFit, modelled
from drumwright.report import charts, palette
from drumwright.report.charts import Spec
from drumwright.report.words import Words
from drumwright.study.fitting import Fitted

_SHADES = (
    palette.SEASON["norm"],
    palette.SEASON["winter"],
    palette.SEASON["summer"],
    palette.PUMP,
    palette.LIMIT,
)
_DASHES = ([1, 0], [6, 3], [2, 2], [8, 2, 2, 2], [10, 4])


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
    points: list[Spec] = []
    band: list[Spec] = []
    lines: list[Spec] = []
    entries: list[tuple[str, str, list[int]]] = []
    for study in studies:
        for model, label in _shown(study, len(studies) == 1, words):
            index = len(entries) % len(_SHADES)
            entries.append((label, _SHADES[index], _DASHES[index]))
            stress = _of(model, study.grid)
            lines += [{"x": x, "y": y, "line": label} for x, y in _pairs(study.grid, stress)]
        label = entries[-1][0]
        points += [{"x": x, "y": y, "line": label} for x, y in _pairs(study.shear_rate, study.stress)]
        low, _, high = study.band
        band += [
            {"x": x, "low": a, "high": b, "line": label}
            for x, a, b in zip(study.grid.tolist(), low.tolist(), high.tolist(), strict=True)
            if a > 0.0
        ]
    return charts.base(440, 260, _layers(entries, points, band, words), lines)


def _layers(
    entries: list[tuple[str, str, list[int]]], points: list[Spec], band: list[Spec], words: Words
) -> list[Spec]:
    colour, dash = charts.scale(entries)
    log = {"type": "log", "nice": False}
    axis = {"format": "~r", "tickCount": 5}
    stresses = [point["y"] for point in points]
    around = {**log, "domain": [0.5 * min(stresses), 2.0 * max(stresses)], "clamp": False}
    x = charts.axis("x", words.say("axis.shear_rate"), scale=log, axis=axis)
    y = charts.axis("y", words.say("axis.stress"), scale=around, axis=axis)
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
    values = {parameter.name: parameter.value for parameter in model.parameters}
    tau_y, n = values.get("yield_stress", 0.0), values.get("exponent", 1.0)
    return modelled(model.model, tau_y, values["consistency"], n, rate)


def _pairs(x: Array, y: Array) -> list[tuple[float, float]]:
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
    import vl_convert

    vl_convert.register_font_directory(str(DATA / "fonts"))
    drawn: str = vl_convert.vegalite_to_svg(curve_spec(fitted, words), vl_version=charts._VERSION)
    return drawn.encode()
