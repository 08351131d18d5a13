"""The product's path as a drawing: schematic with numbered borders above, one flag for each border below.

Not to scale. Units of the drawing are about a quarter of a millimetre on paper; text is at least 10 of them.
"""

from __future__ import annotations

from collections.abc import Sequence

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.words import Words, border_name
from drumwright.study.result import BORDERS, Arrangement, Border, Result

WIDTH, HEIGHT = 680.0, 386.0
FLOOR = 214.0
FLAG_TOP, FLAG_HEIGHT, FLAG_GAP = 236.0, 146.0, 7.0
_SHOWN = ("winter", "norm")
_BINS = ("rigid IBC", "folding bin", "bag in bin")
_INK = {"stroke": palette.INK, "stroke_width": 1.3, "fill": "none"}
_PIPE = {"stroke": palette.PRODUCT, "fill": "none", "stroke_linejoin": "round"}

Place = tuple[float, float]


def path_drawing(result: Result, words: Words) -> bytes:
    """Return the drawing of the recommended arrangement, else of the one as asked, as SVG.

    Parameters
    ----------
    result : Result
        A finished answer; where it holds no path, only the schematic is drawn.
    words : Words
        Labels and units.
    """
    arrangement = result.recommended or result.asked_arrangement
    height = HEIGHT if result.path else FLAG_TOP
    picture = draw.Drawing(WIDTH, height, font_family=palette.FONT)
    picture.append(draw.Rectangle(0, 0, WIDTH, height, fill=palette.PAPER))
    places = _schematic(picture, arrangement, words)
    if not result.path:
        return str(picture.as_svg()).encode()
    known = {season: {border.key: border for border in borders} for season, borders in result.path}
    seasons = [season for season in _SHOWN if season in known] or list(known)[:2]
    for index, key in enumerate(BORDERS):
        x, y = places[key]
        _balloon(picture, x, y, index + 1)
        at: dict[str, Border] = {season: known[season][key] for season in seasons if key in known[season]}
        _flag(picture, index, border_name(result, key, words), at, words)
    return str(picture.as_svg()).encode()


def _schematic(picture: draw.Drawing, arrangement: Arrangement, words: Words) -> dict[str, Place]:
    names: dict[str, str] = {part.role: part.name for part in arrangement.parts}
    sizes: dict[str, str] = {
        part.role: words.value(part.size, part.kind) for part in arrangement.parts if part.size is not None
    }
    with_plate = "plate" in names
    kind = names.get("container", "")
    picture.append(draw.Line(8, FLOOR, WIDTH - 8, FLOOR, stroke=palette.LINE, stroke_width=1))
    left, right, top = _container(picture, kind)
    middle = 0.5 * (left + right)
    if with_plate:
        pump = (middle, top - 30.0)
        surface = _plate(picture, left, right, top, pump)
    elif "outlet" in names:
        pump = (right + 52.0, FLOOR - 25.0)
        surface = _outlet(picture, right, top, pump)
    else:
        pump = (right + 46.0, top - 22.0)
        surface = _lance(picture, middle, top, pump)
    end = _line(picture, pump, right, names, sizes)
    _pump(picture, pump)
    _caption(picture, 8, FLOOR + 14, names.get("container", ""))
    low = "outlet" in names
    _caption(picture, pump[0] - (14 if low else -20), pump[1] - (32 if low else 22), names.get("pump", ""))
    _caption(picture, WIDTH - 8, FLOOR + 14, names.get("destination", ""), "end")
    return {
        "surface": (surface[0][0], surface[0][1]),
        "under_plate": surface[1],
        "pump_inlet": (pump[0] - 15.0, pump[1] + 24.0) if with_plate else (pump[0] - 28.0, pump[1] - 9.0),
        "pump_outlet": (pump[0] + 30.0, pump[1] + (-17.0 if low else 13.0)),
        "line_end": end[0],
        "delivery": end[1],
    }


def _container(picture: draw.Drawing, kind: str) -> tuple[float, float, float]:
    """Draw the container with its product; return left, right and top of its mouth."""
    left, right, top, taper = 62.0, 168.0, 96.0, 0.0
    if kind in _BINS:
        left, right, top = 40.0, 190.0, 108.0
    elif kind == "pail":
        left, right, top = 80.0, 150.0, 132.0
    elif kind == "conical drum":
        taper = 13.0
    level = top + 34.0
    inner = taper * (level - top) / (FLOOR - top)
    product = draw.Lines(
        left + inner, level, left + taper, FLOOR - 3, right - taper, FLOOR - 3, right - inner, level,
        close=True, fill=palette.PRODUCT,
    )  # fmt: skip
    picture.append(product)
    wall = {**_INK, "stroke_width": 2.2}
    picture.append(
        draw.Lines(
            left, top, left + taper, FLOOR - 2, right - taper, FLOOR - 2, right, top, close=False, **wall
        )
    )
    if kind == "tight head drum" or kind == "rigid IBC":
        middle = 0.5 * (left + right)
        picture.append(draw.Line(left, top, middle - 9, top, **wall))
        picture.append(draw.Line(middle + 9, top, right, top, **wall))
    if kind == "rigid IBC":
        for x in (left + 37, left + 75, left + 113):
            picture.append(draw.Line(x, top + 4, x, FLOOR - 4, stroke=palette.QUIET, stroke_width=0.6))
    elif kind not in _BINS and kind != "pail" and not taper:
        for y in (top + 44, top + 80):
            picture.append(draw.Line(left - 3, y, left - 3, y + 8, **wall))
            picture.append(draw.Line(right + 3, y, right + 3, y + 8, **wall))
    return left, right, top


def _plate(picture: draw.Drawing, left: float, right: float, top: float, pump: Place) -> tuple[Place, Place]:
    """Draw plate, seal and throat; return the places of "surface" and "under plate"."""
    y, middle = top + 26.0, 0.5 * (left + right)
    picture.append(draw.Line(middle, y + 10, middle, pump[1] + 12, stroke_width=11, **_PIPE))
    for side in (-6.5, 6.5):
        picture.append(draw.Line(middle + side, y, middle + side, pump[1] + 13, **_INK))
    for start, stop in ((left + 5, middle - 6.5), (middle + 6.5, right - 5)):
        picture.append(
            draw.Rectangle(
                start, y, stop - start, 8, fill=palette.STEEL, stroke=palette.INK, stroke_width=1.1
            )
        )
    for x, lean in ((left + 1, 4), (right - 1, -4)):
        picture.append(draw.Line(x + lean, y + 1, x, y + 12, stroke=palette.INK, stroke_width=2.6))
    return (left + 22, y - 11), (left + 22, y + 25)


def _lance(picture: draw.Drawing, middle: float, top: float, pump: Place) -> tuple[Place, Place]:
    """Draw a suction lance through the opening; return the places of "surface" and "under plate"."""
    foot = FLOOR - 14.0
    picture.append(draw.Lines(middle, foot, middle, pump[1], pump[0] - 12, pump[1], stroke_width=8, **_PIPE))
    for side in (-5.0, 5.0):
        lines = (middle + side, foot, middle + side, pump[1] + side, pump[0] - 12, pump[1] + side)
        picture.append(draw.Lines(*lines, close=False, **_INK))
    return (middle - 34, top + 44), (middle - 34, foot - 8)


def _outlet(picture: draw.Drawing, right: float, top: float, pump: Place) -> tuple[Place, Place]:
    """Draw outlet, valve and short suction of a bin; return the places of "surface" and "under plate"."""
    y = pump[1]
    picture.append(draw.Line(right - 2, y, pump[0] - 12, y, stroke_width=8, **_PIPE))
    for side in (-5.0, 5.0):
        picture.append(draw.Line(right, y + side, pump[0] - 13, y + side, **_INK))
    valve = right + 13.0
    picture.append(
        draw.Lines(
            valve - 7, y - 8, valve + 7, y + 8, valve + 7, y - 8, valve - 7, y + 8, close=True,
            fill=palette.PAPER, stroke=palette.INK, stroke_width=1.3,
        )
    )  # fmt: skip
    return (right - 120, top + 44), (right - 22, y - 3)


def _pump(picture: draw.Drawing, at: Place) -> None:
    """Draw a pump: circle with the arrow head of flow, to the proportions of ISO 10628-2."""
    x, y, radius = at[0], at[1], 14.0
    picture.append(draw.Circle(x, y, radius, fill=palette.PAPER, stroke=palette.INK, stroke_width=1.6))
    half = radius * 0.866
    picture.append(
        draw.Lines(x - 0.5 * radius, y - half, x + radius, y, x - 0.5 * radius, y + half, close=False, **_INK)
    )


def _line(
    picture: draw.Drawing, pump: Place, right: float, names: dict[str, str], sizes: dict[str, str]
) -> tuple[Place, Place]:
    """Draw own hose, pipe, lift and destination; return the places of "line end" and "delivery"."""
    start, flange, rise_at = pump[0] + 14.0, 330.0, 520.0
    low, high = 176.0, 54.0
    hose = draw.Path(stroke_width=9, **_PIPE)
    edge = draw.Path(stroke=palette.INK, stroke_width=11.5, fill="none")
    for path in (edge, hose):
        path.M(start, pump[1]).C(start + 62, pump[1] - 4, flange - 66, low, flange, low)
        picture.append(path)
    corners = (flange, low, rise_at, low, rise_at, high, 590.0, high)
    picture.append(
        draw.Lines(*corners, close=False, **{**_INK, "stroke_width": 11.5, "stroke_linejoin": "round"})
    )
    picture.append(draw.Lines(*corners, close=False, stroke_width=9, **_PIPE))
    for x in (flange - 2.5, flange + 2.5):
        picture.append(draw.Line(x, low - 9, x, low + 9, **{**_INK, "stroke_width": 1.8}))
    _caption(
        picture,
        max(0.5 * (max(start, right) + flange) - 6, start + 48),
        206,
        _joined(names.get("hose", ""), sizes.get("hose", "")),
        "middle",
    )
    _caption(
        picture,
        0.5 * (flange + rise_at),
        206,
        _joined(names.get("line", ""), sizes.get("line", "")),
        "middle",
    )
    _destination(picture, names.get("destination", ""), high)
    return (rise_at + 16, high - 17), (646.0, 83.0)


def _joined(*texts: str) -> str:
    return " ".join(text for text in texts if text)


def _destination(picture: draw.Drawing, kind: str, high: float) -> None:
    """Draw where the product goes: an open vessel, or a closed one for the others."""
    left, right, top, level = 566.0, 664.0, 96.0, 128.0
    picture.append(draw.Rectangle(left, level, right - left, FLOOR - 3 - level, fill=palette.PRODUCT))
    wall = {**_INK, "stroke_width": 2.2}
    picture.append(draw.Lines(left, top, left, FLOOR - 2, right, FLOOR - 2, right, top, close=False, **wall))
    outlet = 590.0
    closed = kind not in ("open tank", "batch scale", "hopper", "")
    foot = level if closed else top + 12
    picture.append(
        draw.Lines(outlet - 4.5, high, outlet, high, outlet, foot, close=False, stroke_width=9, **_PIPE)
    )
    picture.append(
        draw.Lines(outlet - 4, high - 5.7, outlet + 5.7, high - 5.7, outlet + 5.7, foot, close=False, **_INK)
    )
    picture.append(draw.Line(outlet - 5.7, high + 5.7, outlet - 5.7, foot, **_INK))
    if closed:
        picture.append(draw.Line(left, top, outlet - 7, top, **wall))
        picture.append(draw.Line(outlet + 7, top, right, top, **wall))


def _balloon(picture: draw.Drawing, x: float, y: float, number: int) -> None:
    picture.append(draw.Circle(x, y, 8.5, fill=palette.INK, stroke=palette.PAPER, stroke_width=1.2))
    picture.append(_text(str(number), 11, x, y + 4, palette.PAPER, "middle", bold=True))


def _flag(picture: draw.Drawing, index: int, name: str, at: dict[str, Border], words: Words) -> None:
    """Draw the flag of one border: pressures by season, absolute, flow, temperature, margin."""
    width = (WIDTH - 16 - 5 * FLAG_GAP) / 6
    left, top = 8 + index * (width + FLAG_GAP), FLAG_TOP
    picture.append(
        draw.Rectangle(left, top, width, FLAG_HEIGHT, fill=palette.PAPER, stroke=palette.LINE, stroke_width=1)
    )
    picture.append(draw.Rectangle(left, top, width, 21, fill=palette.STEEL))
    _balloon(picture, left + 12, top + 10.5, index + 1)
    picture.append(_fitted(name, 10.5, left + 24, top + 14.5, width - 27, bold=True))
    y = top + 36
    for season, border in at.items():
        gauge = words.value(border.pressure_gauge[1], "pressure_gauge")
        _pair(
            picture,
            words.name("season", season),
            gauge,
            left,
            y,
            width,
            palette.SEASON.get(season, palette.INK),
        )
        y += 15
    first = next(iter(at.values()))
    rows = (
        words.value(first.pressure_absolute[1], "pressure_absolute"),
        words.value(first.flow, "flow"),
        " / ".join(words.value(border.temperature, "temperature") for border in at.values()),
    )
    for text in rows:
        picture.append(_fitted(text, 10, left + width - 5, y, width - 10, "end", palette.QUIET))
        y += 14
    _margins(picture, at, words, left, y, width)


def _margins(
    picture: draw.Drawing, at: dict[str, Border], words: Words, left: float, y: float, width: float
) -> None:
    worst = min(
        (b for b in at.values() if b.margin), key=lambda b: b.margin[1] if b.margin else 0.0, default=None
    )
    if worst is None or worst.margin is None or worst.limit is None:
        return
    kind = "pressure_absolute" if worst.limit_is == "minimum_absolute" else "pressure_gauge"
    colour = palette.LIMIT if worst.margin[1] < 0 else palette.INK
    picture.append(
        draw.Line(left + 5, y - 10, left + width - 5, y - 10, stroke=palette.LINE, stroke_width=0.8)
    )
    _pair(
        picture, words.say("screen.limit"), words.value(worst.limit, kind), left, y + 4, width, palette.QUIET
    )
    margin = words.value(worst.margin[1], "pressure_difference")
    _pair(picture, words.say("screen.margin"), margin, left, y + 18, width, colour, bold=True)


def _pair(
    picture: draw.Drawing,
    label: str,
    value: str,
    left: float,
    y: float,
    width: float,
    colour: str,
    bold: bool = True,
) -> None:
    """Draw a label at the left and a value at the right of a flag."""
    picture.append(_fitted(label, 10, left + 5, y, 0.38 * width, "start", palette.QUIET))
    room = width - 13 - min(text_width(label, 10, False), 0.38 * width)
    picture.append(_fitted(value, 10.5, left + width - 5, y, room, "end", colour, bold))


def _caption(picture: draw.Drawing, x: float, y: float, text: str, anchor: str = "start") -> None:
    if text:
        picture.append(_fitted(text, 10.5, x, y, 330, anchor, palette.QUIET))


def _fitted(
    text: str, size: float, x: float, y: float, room: float, anchor: str = "start", colour: str = palette.INK,
    bold: bool = False,
) -> draw.Text:  # fmt: skip
    """Return a text that is made smaller where it would be wider than its room."""
    wide = text_width(text, size, bold)
    if wide > room:
        size = max(6.0, size * room / wide)
    return _text(text, size, x, y, colour, anchor, bold)


def _text(
    text: str, size: float, x: float, y: float, colour: str, anchor: str, bold: bool = False
) -> draw.Text:
    weight = "bold" if bold else "normal"
    return draw.Text(
        text,
        round(size, 2),
        x,
        y,
        fill=colour,
        text_anchor=anchor,
        font_weight=weight,
        font_family=palette.FONT,
    )


_NARROW = frozenset("ijlt.,:;'|!()[]/ fIr")
_WIDE = frozenset("mMW%@")


def text_width(text: str, size: float, bold: bool) -> float:
    """Return about how wide a text is in our font, a little on the safe side.

    Parameters
    ----------
    text : str
    size : float
        Size of the font.
    bold : bool
        Whether the text is bold.
    """
    units: Sequence[float] = [_width(sign) for sign in text]
    return sum(units) * size * (1.04 if bold else 1.0)


def _width(sign: str) -> float:
    if sign in _NARROW:
        return 0.31
    if sign in _WIDE:
        return 0.9
    return 0.7 if sign.isupper() else 0.56
