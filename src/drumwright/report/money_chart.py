"""Tornado of the money: what each number at its P5 and P95 makes of the sum, widest first."""

from __future__ import annotations

from drumwright.report import palette
from drumwright.report.charts import WIDTH, Charts, Spec, axis, base
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.economics import MoneyStudy

SEEN = 0.01  # of the widest bar; a narrower one is not seen


def tornado_picture(study: MoneyStudy, drawn: Charts) -> Picture:
    """Return the picture.

    Parameters
    ----------
    study : MoneyStudy
        With swings.
    drawn : Charts
        Renderer with its words.
    """
    words = drawn.words
    first = study.swings[0]
    ends = sorted((first.at_low, first.at_high))
    alt = words.say(
        "money.alt", name=words.name("money_swing", first.name), low=words.value(ends[0], "money", 2),
        high=words.value(ends[1], "money", 2),
    )  # fmt: skip
    caption = words.say("money.caption", name=words.say(f"money.swings_{study.swings_of}"))
    return Picture(drawn.svg("money", tornado_spec(study, words)), alt, caption, 0.85)


def tornado_spec(study: MoneyStudy, words: Words) -> Spec:
    """Return bars from the sum at P5 to the sum at P95 of each number, with the sum at likely inputs.

    Parameters
    ----------
    study : MoneyStudy
    words : Words
    """
    middle = study.row(study.swings_of).likely
    swings = [swing for swing in study.swings if swing.width >= SEEN * study.swings[0].width]
    data: list[Spec] = []
    for swing in swings:
        name = words.name("money_swing", swing.name)
        for end, value in (("low", swing.at_low), ("high", swing.at_high)):
            data.append({"name": name, "from": middle, "to": value, "end": words.say(f"money.at_{end}")})
    title = words.say("money.axis", name=words.say(f"money.swings_{study.swings_of}"), unit=study.currency)
    ends = [words.say("money.at_low"), words.say("money.at_high")]
    shades = [palette.SEASON["winter"], palette.SEASON["norm"]]
    order = list(dict.fromkeys(row["name"] for row in data))
    y = {"field": "name", "type": "nominal", "title": None, "sort": order, "axis": {"labelLimit": 220}}
    colour = {
        "field": "end", "type": "nominal", "title": None, "scale": {"domain": ends, "range": shades},
    }  # fmt: skip
    x = axis("from", title, scale={"zero": False, "nice": True})
    zero = [{"x": 0.0}] if min(row["to"] for row in data) < 0.0 else []
    rules = [({"x": middle}, palette.INK, [1, 0]), *((each, palette.LIMIT, [2, 3]) for each in zero)]
    layers: list[Spec] = [
        {
            "mark": {"type": "bar", "height": 13},
            "encoding": {"y": y, "x": x, "x2": {"field": "to"}, "color": colour},
        },
        *(
            {
                "data": {"values": [value]},
                "mark": {"type": "rule", "strokeWidth": 1.4, "strokeDash": dash, "color": shade},
                "encoding": {"x": {"field": "x", "type": "quantitative"}},
            }
            for value, shade, dash in rules
        ),
    ]
    spec = base(WIDTH, max(60, 24 * len(swings)), layers, data)
    spec["config"]["legend"] |= {"symbolType": "square", "symbolSize": 120}
    return spec
