"""Section of the container with its plate, to scale; its rim larger; and four containers on their pallet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.rim_detail import FRAME, fits_in, half_width, larger, rim_detail, rim_notes, rims
from drumwright.report.words import Words
from drumwright.study.result import Result, Section

TALL = 392.0
FULL_WIDTH = 680.0  # of a drawing as wide as the text
THICK = 0.035  # [m] of the plate as drawn
_FLOOR, _BRIM, _MOST_WIDE = 338.0, 58.0, 206.0
_MIDDLE = 172.0
_DETAILS_AT, _PALLET_AT = 350.0, 515.0
_INK = {"stroke": palette.INK, "stroke_width": 1.6, "fill": "none"}
_THIN = {"stroke": palette.QUIET, "stroke_width": 0.8}
TEXT = 10.5


def container_picture(result: Result, words: Words) -> Iterator[Picture]:
    """Yield the section of the container, where there is one.

    Parameters
    ----------
    result : Result
    words : Words
    """
    found = result.section
    if found is None:
        return
    alt = words.say(
        "text.section_alt",
        top=words.value(found.top, "diameter"),
        bottom=words.value(found.bottom, "diameter"),
        height=words.value(found.height, "diameter"),
        filled=words.value(found.filled, "diameter"),
        heel=words.value(found.heel, "diameter"),
    )
    caption = words.say("text.section_outlet_caption")
    if found.seal:
        slots = {"thick": words.value(THICK, "diameter"), "times": larger(found, _scale(found))}
        caption = words.say("text.section_caption", **slots)
    yield Picture(container_drawing(found, words), alt, caption, round(_width(found) / FULL_WIDTH, 2))


def _width(found: Section) -> float:
    if found.pallet is not None:
        return FULL_WIDTH
    return _PALLET_AT if found.seal else _DETAILS_AT + 30.0


def _scale(found: Section) -> float:
    """Of the section, pixels to the metre."""
    over = 1.14 if found.seal else 1.0
    return min((_FLOOR - _BRIM) / (found.height * over), _MOST_WIDE / max(found.top, found.bottom))


def container_drawing(found: Section, words: Words) -> bytes:
    """Return the section as SVG: filled on the left half, at the end on the right one.

    Parameters
    ----------
    found : Section
    words : Words
    """
    picture = draw.Drawing(_width(found), TALL, font_family=palette.FONT)
    picture.append(draw.Rectangle(0, 0, _width(found), TALL, fill=palette.PAPER))
    place = _Frame(_MIDDLE, _FLOOR, _scale(found))
    _inside(picture, found, place)
    if found.seal:
        _plate(picture, found, place, found.filled, -1)
        _plate(picture, found, place, found.gap, 1)
        _details(picture, found, place, words)
    elif found.outlet:
        _outlet(picture, found, place)
    _dimensions(picture, found, place, words)
    _notes(picture, found, place, words)
    if found.pallet is not None:
        _pallet(picture, found, words)
    return str(picture.as_svg()).encode()


class _Frame:
    """Where metres of the section stand on the drawing."""

    def __init__(self, middle: float, floor: float, scale: float) -> None:
        self.middle, self.floor, self.scale = middle, floor, scale

    def x(self, across: float) -> float:
        """Place of a distance from the axis [m]."""
        return self.middle + self.scale * across

    def y(self, up: float) -> float:
        """Place of a height above the bottom [m]."""
        return self.floor - self.scale * up


def _inside(picture: draw.Drawing, found: Section, place: _Frame) -> None:
    """Product, wall with its hoops, bottom and axis."""
    for side, level in ((-1, found.filled), (1, found.gap if found.seal else found.heel)):
        edge, across = half_width(found, 0.0), half_width(found, level)
        product = draw.Path(fill=palette.PRODUCT, stroke="none")
        product.M(place.x(0.0), place.y(level)).L(place.x(0.0), place.y(-found.dish))
        product.Q(place.x(side * 0.5 * edge), place.y(-found.dish), place.x(side * edge), place.y(0.0))
        picture.append(product.L(place.x(side * across), place.y(level)).Z())
        wall = draw.Path(**_INK)
        wall.M(place.x(0.0), place.y(-found.dish))
        wall.Q(place.x(side * 0.5 * edge), place.y(-found.dish), place.x(side * edge), place.y(0.0))
        for up in _hoops(found):
            wide = 0.5 * found.hoop_width
            for at, out in ((up - wide, 0.0), (up, found.hoop_depth), (up + wide, 0.0)):
                wall.L(place.x(side * (half_width(found, at) + out)), place.y(at))
        wall.L(place.x(side * half_width(found, found.height)), place.y(found.height))
        picture.append(wall)
    axis = draw.Line(
        place.middle, place.y(-0.03), place.middle, place.y(found.height) - 14.0,
        stroke_dasharray="8 3 2 3", **_THIN,
    )  # fmt: skip
    picture.append(axis)


def _hoops(found: Section) -> list[float]:
    """Heights of the hoops [m], about the middle of the wall."""
    spacing = found.hoop_spacing or found.height / (found.hoops + 1)
    first = 0.5 * (found.height - spacing * (found.hoops - 1))
    return [first + spacing * index for index in range(found.hoops)]


def _plate(picture: draw.Drawing, found: Section, place: _Frame, up: float, side: int) -> None:
    """Half of the plate with its seal at a height, and half of the port over it."""
    half, port = 0.5 * found.disc, 0.5 * found.port
    top, left = place.y(up + THICK), min(place.x(side * port), place.x(side * half))
    picture.append(
        draw.Rectangle(left, top, abs(half - port) * place.scale, THICK * place.scale, fill=palette.STEEL,
                       stroke=palette.INK, stroke_width=1.0)
    )  # fmt: skip
    reached = min(half_width(found, min(up, found.height)), half + found.reach)
    if found.reach > 0.0:
        tube = found.seal == "inflatable_seal"
        middle = place.y(up + (0.5 * THICK if tube else 0.006))
        picture.append(
            draw.Line(place.x(side * half), middle, place.x(side * reached), middle,
                      stroke=palette.SEASON["winter"], stroke_width=6.0 if tube else 2.6)
        )  # fmt: skip
    open_to = half_width(found, min(up, found.height))
    if open_to > reached:
        ends = [each for across in (reached, open_to) for each in (place.x(side * across), place.y(up))]
        picture.append(draw.Line(*ends, stroke=palette.LIMIT, stroke_width=2.0))
    tube_at = place.x(side * port)
    picture.append(draw.Line(tube_at, top, tube_at, min(top, _above(found, place) + 8.0), **_INK))


def _above(found: Section, place: _Frame) -> float:
    """Height of the dimension over the container on the drawing, clear of the ports."""
    return min(place.y(found.height) - 22.0, place.y(found.filled + THICK) - 18.0)


def _outlet(picture: draw.Drawing, found: Section, place: _Frame) -> None:
    """Outlet of a bin at its floor, on the right."""
    wall = place.x(half_width(found, 0.0))
    for up in (0.0, found.outlet):
        picture.append(draw.Line(wall, place.y(up), wall + 26.0, place.y(up), **_INK))
    picture.append(
        draw.Rectangle(wall - 2.0, place.y(found.outlet), 28.0, place.scale * found.outlet,
                       fill=palette.PRODUCT, stroke="none")
    )  # fmt: skip


def _details(picture: draw.Drawing, found: Section, place: _Frame, words: Words) -> None:
    """Both rims, larger, with their notes and the letters that point at them."""
    scale = larger(found, place.scale) * place.scale
    full, end = rims(found)
    notes = rim_notes(found, words)
    spots = (
        (place.x(-half_width(found, found.filled)) + 1.0, place.y(found.filled + 0.5 * THICK)),
        (place.x(half_width(found, found.gap)) - 1.0, place.y(found.gap + 0.5 * THICK)),
    )
    rows = (("A", full, -1, 26.0), ("B", end, 1, 204.0))
    for (letter, rim, side, top), lines, (x, y) in zip(rows, notes, spots, strict=True):
        picture.append(draw.Circle(x, y, 9.0, fill="none", stroke=palette.QUIET, stroke_width=0.9))
        at = x + side * 9.0
        picture.append(_text(letter, at + side * 6.0, y - 7.0, bold=True))
        title = words.say(f"text.section_{letter.lower()}")
        picture.append(_text(title, _DETAILS_AT, top - 6.0, width=FRAME[0], bold=True))
        rim_detail(picture, found, rim, (_DETAILS_AT, top), scale, side)
        for index, (text, warned) in enumerate(lines):
            shade = palette.LIMIT if warned else palette.INK
            spot = top + FRAME[1] + 14.0 + 13.5 * index
            picture.append(_text(text, _DETAILS_AT, spot, width=FRAME[0], shade=shade))


def _text(
    text: str, x: float, y: float, anchor: str = "start", width: float = 1e9, shade: str = palette.INK,
    bold: bool = False,
) -> draw.Text:  # fmt: skip
    size = fits_in(text, TEXT, width)
    weight = "bold" if bold else "normal"
    return draw.Text(text, size, x, y, text_anchor=anchor, fill=shade, font_weight=weight)


def _dimensions(picture: draw.Drawing, found: Section, place: _Frame, words: Words) -> None:
    """Heights on the left, diameters above and, where it differs, below."""
    wall = place.x(-max(half_width(found, 0.0), half_width(found, found.height)))
    heights = [found.filled, found.height] if _headspace(found) else [found.height]
    for out, up in zip((18.0, 40.0), heights, strict=False):
        ends = [(wall - out, place.y(0.0)), (wall - out, place.y(up))]
        _measure(picture, ends, words.value(up, "diameter"))
    above = _above(found, place)
    ends = [(place.x(side * half_width(found, found.height)), above) for side in (-1, 1)]
    _measure(picture, ends, words.value(found.top, "diameter"))
    if found.bottom != found.top:
        ends = [(place.x(side * half_width(found, 0.0)), place.floor + 30.0) for side in (-1, 1)]
        _measure(picture, ends, words.value(found.bottom, "diameter"), 11.0)
    for side, key in ((-1, "full"), (1, "emptied")):
        at = place.x(side * 0.5 * half_width(found, 0.0))
        picture.append(_text(words.say(f"text.section_{key}"), at, place.floor + 18.0, "middle"))


def _headspace(found: Section) -> bool:
    """Whether the container is known to be filled less than to the brim."""
    return found.height - found.filled > 1e-3


def _notes(picture: draw.Drawing, found: Section, place: _Frame, words: Words) -> None:
    """Notes in the empty half and beside the wall."""
    across = half_width(found, 0.5 * found.height)
    room = place.scale * across - 0.5 * place.scale * found.port - 10.0
    start = place.x(0.5 * found.port) + 6.0
    rows = [("headspace", found.height - found.filled)] if _headspace(found) else []
    if found.seal:
        rows += [("port", found.port), ("disc", found.disc)]
    else:
        rows += [("outlet", found.outlet), ("heel", found.heel)]
    rows += [("width", found.width)] if found.width else []
    rows += [("dish", found.dish)] if found.dish else []
    middle = 0.5 * (place.y(found.height) + place.floor) - 13.0 * len(rows)
    for index, (key, value) in enumerate(rows):
        label = words.say(f"text.section_{key}", value=words.value(value, "diameter"))
        first, _, last = label.partition(": ")
        y = middle + 30.0 * index
        picture.append(_text(first, start, y - 6.0, width=room, shade=palette.QUIET))
        picture.append(_text(last, start, y + 7.0, width=room))


def _measure(
    picture: draw.Drawing, ends: Sequence[tuple[float, float]], text: str, below: float = -5.0
) -> None:
    """A dimension line with a tick at either end and its number."""
    (x_from, y_from), (x_to, y_to) = ends
    picture.append(draw.Line(x_from, y_from, x_to, y_to, **_THIN))
    upright = x_from == x_to
    for x, y in ends:
        tick = (x - 4, y, x + 4, y) if upright else (x, y - 4, x, y + 4)
        picture.append(draw.Line(*tick, **_THIN))
    x, y = 0.5 * (x_from + x_to), 0.5 * (y_from + y_to)
    if not upright:
        picture.append(_text(text, x, y + below, "middle"))
        return
    picture.append(
        draw.Text(text, TEXT, x - 5, y, text_anchor="middle", fill=palette.INK,
                  transform=f"rotate(-90 {x - 5} {y})")
    )  # fmt: skip


def _pallet(picture: draw.Drawing, found: Section, words: Words) -> None:
    """Four containers on their pallet from above, to their own scale."""
    assert found.pallet is not None and found.overhang is not None
    length, width, outside = found.pallet
    scale = 132.0 / max(length, width, 2.0 * outside)
    middle, level = _PALLET_AT + 82.0, 118.0
    corner = (middle - 0.5 * scale * length, level - 0.5 * scale * width)
    look = {"fill": palette.STEEL, "stroke": palette.INK, "stroke_width": 1.2}
    picture.append(_text(words.say("text.section_above"), middle, 20.0, "middle", 150.0, bold=True))
    picture.append(draw.Rectangle(*corner, scale * length, scale * width, **look))
    for across in (-0.5, 0.5):
        for along in (-0.5, 0.5):
            at = (middle + across * scale * outside, level + along * scale * outside)
            picture.append(
                draw.Circle(*at, 0.5 * scale * outside, fill=palette.PRODUCT, fill_opacity=0.5,
                            stroke=palette.INK, stroke_width=1.0)
            )  # fmt: skip
    out = palette.LIMIT if max(found.overhang) > 0.0 else palette.INK
    picture.append(draw.Rectangle(*corner, scale * length, scale * width, fill="none", stroke=out,
                                  stroke_width=1.4, stroke_dasharray="4 2"))  # fmt: skip
    over = [words.value(each, "diameter") for each in found.overhang]
    sides = [words.value(each, "diameter") for each in (length, width)]
    rows = [
        (words.say("text.section_pallet", length=sides[0], width=sides[1]), palette.INK),
        (words.say("text.section_outside", value=words.value(outside, "diameter")), palette.INK),
        (words.say("text.section_along", value=over[0]), out if found.overhang[0] else palette.INK),
        (words.say("text.section_across", value=over[1]), out if found.overhang[1] else palette.INK),
    ]
    for index, (text, shade) in enumerate(rows):
        spot = level + 0.5 * scale * max(width, 2.0 * outside) + 20.0 + 14.0 * index
        picture.append(_text(text, middle, spot, "middle", 158.0, shade))
