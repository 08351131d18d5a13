"""The ladder of set points to scale: what the weakest part leaves, and what the line asks."""

from __future__ import annotations

from collections.abc import Sequence

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.drawing import text_width
from drumwright.report.run_charts import spread
from drumwright.report.words import Words
from drumwright.study.control_sheet import ControlSheet, Rung

WIDTH, HEIGHT = 680.0, 322.0
TOP, FLOOR = 40.0, 296.0
LEFT, RIGHT = (236.0, 318.0), (400.0, 482.0)  # the two columns
TEXT, SMALL, APART = 10.5, 9.5, 14.0
NEEDS = ("running", "restart", "trapped", "needed")
SHADES = {
    "weakest": palette.LIMIT, "relief": palette.LIMIT, "trip": palette.LIMIT, "stop": palette.SEASON["norm"],
    "slow_down": palette.SEASON["norm"], "stall": palette.PUMP,
}  # fmt: skip


def ladder_picture(sheet: ControlSheet, words: Words) -> Picture:
    """Return the ladder of a control.

    Parameters
    ----------
    sheet : ControlSheet
    words : Words
    """
    rows = "; ".join(
        words.say("ladder.row", name=rung_name(sheet, each, words), value=level_text(each, words))
        for each in sheet.rungs
    )
    alt = words.say("ladder.alt", rows=rows, verdict=words.tell(sheet.verdict))
    caption = words.say("ladder.caption", season=words.name("season", sheet.season))
    return Picture(ladder_drawing(sheet, words), alt, caption)


def rung_name(sheet: ControlSheet, rung: Rung, words: Words) -> str:
    """Name of a rung; the weakest part by what it is.

    Parameters
    ----------
    sheet : ControlSheet
    rung : Rung
    words : Words
    """
    if rung.name == "weakest":
        return words.say("control.rung.weakest_part", part=words.say(f"control.part.{sheet.part}"))
    return words.say(f"control.rung.{rung.name}")


def level_text(rung: Rung, words: Words) -> str:
    """Level of a rung, or that none is left.

    Parameters
    ----------
    rung : Rung
    words : Words
    """
    possible = rung.level > 0.0
    return words.value(rung.level, "pressure_gauge") if possible else words.say("control.impossible")


def gap_text(rung: Rung, words: Words) -> str:
    """Distance down to the next rung, or what is missing.

    Parameters
    ----------
    rung : Rung
    words : Words
    """
    if rung.gap is None:
        return ""
    gap = words.value(abs(rung.gap), "pressure_difference")
    return gap if rung.gap >= 0.0 else words.say("ladder.missing", gap=gap)


def ladder_drawing(sheet: ControlSheet, words: Words) -> bytes:
    """Return the ladder as SVG.

    Parameters
    ----------
    sheet : ControlSheet
    words : Words
    """
    picture = draw.Drawing(WIDTH, HEIGHT)
    picture.append(draw.Rectangle(0, 0, WIDTH, HEIGHT, fill=palette.PAPER))
    highest = 1.04 * max(max(each.level, each.likely) for each in sheet.rungs)
    above = [each for each in sheet.rungs if each.name not in NEEDS]
    below = [each for each in sheet.rungs if each.name in NEEDS]
    for (left, right), name in ((LEFT, "above"), (RIGHT, "below")):
        middle = 0.5 * (left + right)
        picture.append(_text(words.say(f"ladder.{name}"), middle, TOP - 22.0, "middle", SMALL, palette.QUIET))
        picture.append(
            draw.Rectangle(left, TOP, right - left, FLOOR - TOP, fill=palette.STEEL, fill_opacity=0.5)
        )
    picture.append(draw.Line(LEFT[0], FLOOR, RIGHT[1], FLOOR, stroke=palette.INK, stroke_width=1.2))
    zero = words.say("ladder.zero", unit=words.unit("pressure_gauge"))
    picture.append(_text(zero, 0.5 * (LEFT[1] + RIGHT[0]), FLOOR + 14.0, "middle", SMALL, palette.QUIET))
    for rungs, column in ((above, LEFT), (below, RIGHT)):
        _column(picture, rungs, column, highest)
        _labels(picture, sheet, rungs, column, highest, words)
    _room(picture, sheet, highest, words)
    return str(picture.as_svg()).encode()


def _at(level: float, highest: float) -> float:
    """Where a pressure stands in the picture."""
    return FLOOR - (FLOOR - TOP) * min(max(level / highest, 0.0), 1.0)


def _shade(rung: Rung) -> str:
    return SHADES.get(rung.name, palette.SEASON["winter"])


def _column(
    picture: draw.Drawing, rungs: Sequence[Rung], column: tuple[float, float], highest: float
) -> None:
    """Bands of the gaps, the rungs over them, and their levels at likely inputs."""
    left, right = column
    ends = [*rungs[1:], None] if column == LEFT else [*rungs[1:], Rung("", 0.0, None, 0.0)]
    for rung, lower in zip(rungs, ends, strict=True):
        if lower is not None and rung.level > max(lower.level, 0.0):
            top, bottom = _at(rung.level, highest), _at(lower.level, highest)
            picture.append(
                draw.Rectangle(left, top, right - left, bottom - top, fill=_shade(rung), fill_opacity=0.16)
            )
    for rung in rungs:
        if rung.level <= 0.0:
            continue
        y, ring = _at(rung.level, highest), _at(rung.likely, highest)
        picture.append(draw.Line(left, y, right, y, stroke=_shade(rung), stroke_width=2.2))
        if rung.likely > 0.0:
            middle = 0.5 * (left + right)
            picture.append(draw.Line(middle, y, middle, ring, stroke=_shade(rung), stroke_width=0.9))
            picture.append(
                draw.Circle(middle, ring, 3.2, fill=palette.PAPER, stroke=_shade(rung), stroke_width=1.3)
            )


def _labels(
    picture: draw.Drawing, sheet: ControlSheet, rungs: Sequence[Rung], column: tuple[float, float],
    highest: float, words: Words,
) -> None:  # fmt: skip
    """Names, levels and gaps beside a column, each tied to its place."""
    listed: list[tuple[float, str, Rung, bool]] = []
    for place, rung in enumerate(rungs):
        y = _at(rung.level, highest)
        name = words.say(f"ladder.{rung.name}") if rung.name in NEEDS else rung_name(sheet, rung, words)
        form = "row" if rung.level > 0.0 else "impossible"
        text = words.say(f"ladder.{form}", name=name, value=level_text(rung, words))
        listed.append((y, text, rung, True))
        if place + 1 < len(rungs) and rung.gap is not None and rungs[place + 1].level > 0.0:
            listed.append(
                (0.5 * (y + _at(rungs[place + 1].level, highest)), gap_text(rung, words), rung, False)
            )
    places = spread([row[0] for row in listed], APART, (TOP - 4.0, FLOOR + 6.0))
    side = -1.0 if column == LEFT else 1.0
    edge = column[0] if column == LEFT else column[1]
    anchor = "end" if column == LEFT else "start"
    for (y, text, rung, named), at in zip(listed, places, strict=True):
        colour = _shade(rung) if named else palette.QUIET
        tied = named and rung.level > 0.0
        if tied:
            picture.append(draw.Lines(edge, y, edge + side * 14.0, at, edge + side * 18.0, at, stroke=colour,
                                      stroke_width=0.8, fill="none"))  # fmt: skip
        size = TEXT if named else SMALL
        room = 204.0 if column == LEFT else 172.0
        size = min(size, size * room / max(text_width(text, size, False), 1.0))
        picture.append(_text(text, edge + side * 22.0, at + 3.5, anchor, size, colour))


def _room(picture: draw.Drawing, sheet: ControlSheet, highest: float, words: Words) -> None:
    """The room between what is left and what is asked, or what is missing."""
    place = next((k for k, each in enumerate(sheet.rungs) if each.name in NEEDS), 0)
    if place == 0:
        return
    lowest, asked = sheet.rungs[place - 1], sheet.rungs[place]
    gap = lowest.gap
    if gap is None:
        return
    colour = palette.INK if gap >= 0.0 else palette.LIMIT
    top, bottom = sorted((_at(lowest.level, highest), _at(asked.level, highest)))
    x = 0.5 * (LEFT[1] + RIGHT[0])
    for y, end in ((_at(lowest.level, highest), LEFT[1]), (_at(asked.level, highest), RIGHT[0])):
        picture.append(draw.Line(end, y, x, y, stroke=colour, stroke_width=0.9, stroke_dasharray="3,2"))
    picture.append(draw.Line(x, top, x, bottom, stroke=colour, stroke_width=1.6))
    text = gap_text(lowest, words)
    middle = min(max(0.5 * (top + bottom), TOP + 10.0), FLOOR - 10.0)
    wide = text_width(text, SMALL, True) + 6.0
    picture.append(draw.Rectangle(x - 0.5 * wide, middle - 8.0, wide, 16.0, fill=palette.PAPER, stroke=colour,
                                  stroke_width=0.8))  # fmt: skip
    picture.append(_text(text, x, middle + 3.5, "middle", SMALL, colour, bold=True))


def _text(
    text: str, x: float, y: float, anchor: str, size: float, colour: str, bold: bool = False
) -> draw.Text:
    return draw.Text(text, round(size, 2), x, y, fill=colour, text_anchor=anchor, font_family=palette.FONT,
                     font_weight="bold" if bold else "normal")  # fmt: skip
