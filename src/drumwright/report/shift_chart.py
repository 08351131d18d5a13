"""The course of one simulated shift: a row of bars for each resource, and the level of the hopper below."""

from __future__ import annotations

from drumwright.report import palette
from drumwright.report.charts import Charts, Spec, axis, base
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.shift import ShiftStudy

WIDE, ROW, LEVEL = 640, 24, 110
# Order of the legend; states apart in lightness too, so that they can be told in grey print.
SHADES = {
    "feeding": palette.SEASON["winter"],
    "running": palette.SEASON["winter"],
    "ready": "#bcd0e4",
    "change": palette.SEASON["norm"],
    "ahead": palette.PRODUCT,
    "walking": palette.PRODUCT,
    "cleaning": palette.SEASON["summer"],
    "waiting": palette.QUIET,
    "elsewhere": palette.LINE,
    "stopped": palette.LINE,
    "outage": palette.LIMIT,
    "starved": palette.LIMIT,
}


def course_picture(study: ShiftStudy, drawn: Charts) -> Picture:
    """Return the picture of the first shift.

    Parameters
    ----------
    study : ShiftStudy
    drawn : Charts
        Renderer with its words.
    """
    words = drawn.words
    short = words.value(study.first.shortage, "fraction")
    alt = words.say("shift.alt", drums=study.first.drums, short=short)
    return Picture(
        drawn.svg("shift", course_spec(study, words)), alt, words.say("shift.caption", seed=study.seed)
    )


def course_spec(study: ShiftStudy, words: Words) -> Spec:
    """Return bars of each resource over the hours of the shift, and the level of the hopper.

    Parameters
    ----------
    study : ShiftStudy
    words : Words
    """
    end = words.shown(study.plan.duration, "long_time")
    title = words.say("shift.axis_time", unit=words.unit("long_time"))
    across = axis("x", title, scale={"domain": [0.0, end], "nice": False})
    bars = _bars(study, across, words)
    if study.plan.hopper <= 0.0:
        return bars
    spec = {key: bars[key] for key in ("$schema", "background", "padding", "config")}
    parts = [
        {key: part[key] for key in ("data", "width", "height", "layer")}
        for part in (bars, _level(study, across, words))
    ]
    return {**spec, "vconcat": parts, "spacing": 8}


def _bars(study: ShiftStudy, across: Spec, words: Words) -> Spec:
    """Bars of stations, people, trucks and destination."""
    names = list(dict.fromkeys(bar.resource for bar in study.first.bars))
    names.sort(key=lambda name: ("station", "operator", "truck", "destination").index(name.split("_")[0]))
    labels = {name: _label(name, words) for name in names}
    used = [state for state in SHADES if any(bar.state == state for bar in study.first.bars)]
    data = [
        {
            "x": words.shown(bar.start, "long_time"), "x2": words.shown(bar.end, "long_time"),
            "who": labels[bar.resource], "line": words.name("shift_state", bar.state),
        }
        for bar in study.first.bars
    ]  # fmt: skip
    states = [words.name("shift_state", state) for state in used]
    who = {"field": "who", "type": "nominal", "title": None, "sort": [labels[name] for name in names]}
    colour = {
        "field": "line", "type": "nominal",
        "scale": {"domain": states, "range": [SHADES[state] for state in used]},
    }  # fmt: skip
    layer = {
        "mark": {"type": "bar", "height": {"band": 0.7}},
        "encoding": {"x": across, "x2": {"field": "x2"}, "y": who, "color": colour},
    }
    spec = base(WIDE, ROW * len(names), [layer], data)
    spec["config"]["legend"] |= {"symbolType": "square", "columns": 6, "symbolSize": 120}
    return spec


def _level(study: ShiftStudy, across: Spec, words: Words) -> Spec:
    """Level of the hopper over time with the lower switch."""
    data = [
        {"x": words.shown(at, "long_time"), "y": words.shown(level, "volume"), "order": index}
        for index, (at, level) in enumerate(study.first.levels)
    ]
    top = words.shown(study.plan.hopper, "volume")
    up = axis("y", words.say("shift.axis_level", unit=words.unit("volume")), scale={"domain": [0.0, top]})
    up["axis"] = {"tickCount": 4}
    line = {
        "mark": {"type": "line", "color": palette.SEASON["winter"], "strokeWidth": 1.2},
        "encoding": {"x": across, "y": up, "order": {"field": "order", "type": "quantitative"}},
    }
    switch = {
        "data": {"values": [{"y": words.shown(study.plan.start_level, "volume")}]},
        "mark": {"type": "rule", "color": palette.LIMIT, "strokeDash": [4, 3]},
        "encoding": {"y": up},
    }
    return base(WIDE, LEVEL, [line, switch], data)


def _label(name: str, words: Words) -> str:
    """A resource in words; stations are numbered."""
    kind, _, number = name.partition("_")
    said = words.name("shift_resource", kind)
    return f"{said} {number}" if number else said
