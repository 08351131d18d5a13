"""Section of the container with its plate, to scale; and four containers on their pallet."""

from __future__ import annotations

from collections.abc import Iterator

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.words import Words
from drumwright.study.result import Result, Section

WIDTH, TALL = 620.0, 300.0
_INK = {"stroke": palette.INK, "stroke_width": 1.4, "fill": "none"}
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
        heel=words.value(found.heel, "diameter"),
    )
    yield Picture(container_drawing(found, words), alt, words.say("text.section_caption"), 0.85)


def container_drawing(found: Section, words: Words) -> bytes:
    """Return the section as SVG: filled on the left half, at the end on the right one.

    Parameters
    ----------
    found : Section
    words : Words
    """
    picture = draw.Drawing(WIDTH, TALL + 70.0, font_family=palette.FONT)
    picture.append(draw.Rectangle(0, 0, WIDTH, TALL + 70.0, fill=palette.PAPER))
    scale = min(TALL / (found.height * 1.25), 250.0 / max(found.top, found.bottom))
    place = _Frame(190.0, TALL + 24.0, scale)
    _inside(picture, found, place)
    if found.seal:
        _plate(picture, found, place, found.filled, -1)
        _plate(picture, found, place, max(found.heel, 0.004), 1)
    _dimensions(picture, found, place, words)
    if found.pallet is not None:
        _pallet(picture, found.pallet, words)
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


def _half(found: Section, up: float) -> float:
    """Half width of the inside at a height [m]."""
    return 0.5 * (found.bottom + (found.top - found.bottom) * up / found.height)


def _inside(picture: draw.Drawing, found: Section, place: _Frame) -> None:
    for side, level in ((-1, found.filled), (1, found.heel)):
        corners = [(0.0, 0.0), (_half(found, 0.0), 0.0), (_half(found, level), level), (0.0, level)]
        flat = [each for across, up in corners for each in (place.x(side * across), place.y(up))]
        picture.append(draw.Lines(*flat, close=True, fill=palette.PRODUCT, stroke="none"))
        wall = draw.Path(**_INK)
        wall.M(place.x(0.0), place.y(0.0)).L(place.x(side * _half(found, 0.0)), place.y(0.0))
        spots = [found.height * (index + 1) / (found.hoops + 1) for index in range(found.hoops)]
        for up in spots:
            wide = 0.02
            for at, out in ((up - wide, 0.0), (up, found.hoop_depth), (up + wide, 0.0)):
                wall.L(place.x(side * (_half(found, at) + out)), place.y(at))
        wall.L(place.x(side * _half(found, found.height)), place.y(found.height))
        picture.append(wall)
    picture.append(
        draw.Line(place.middle, place.y(-0.03), place.middle, place.y(found.height * 1.1),
                  stroke_dasharray="8 3 2 3", **_THIN)
    )  # fmt: skip


def _plate(picture: draw.Drawing, found: Section, place: _Frame, up: float, side: int) -> None:
    """Half of the plate with its seal at a height, and half of the port over it."""
    half, thick, port = 0.5 * found.disc, 0.035, 0.5 * found.port
    top, left = place.y(up + thick), min(place.x(side * port), place.x(side * half))
    picture.append(
        draw.Rectangle(left, top, abs(half - port) * place.scale, thick * place.scale, fill=palette.STEEL,
                       stroke=palette.INK, stroke_width=1.0)
    )  # fmt: skip
    wall = _half(found, min(up + 0.5 * thick, found.height))
    reached = min(wall, half + found.reach)
    if found.reach > 0.0:
        thickness = 6.0 if found.seal == "inflatable_seal" else 2.4
        middle = place.y(up + 0.5 * thick)
        picture.append(
            draw.Line(place.x(side * half), middle, place.x(side * reached), middle, stroke=palette.LIMIT,
                      stroke_width=thickness, stroke_linecap="round")
        )  # fmt: skip
    tube = place.x(side * port)
    picture.append(draw.Line(tube, top, tube, place.y(found.height * 1.12), **_INK))


def _dimensions(picture: draw.Drawing, found: Section, place: _Frame, words: Words) -> None:
    left = place.x(-_half(found, found.height)) - 16.0
    _measure(
        picture, (left, place.y(0.0)), (left, place.y(found.height)), words.value(found.height, "diameter")
    )
    above = place.y(found.height * 1.12) - 8.0
    ends = [(place.x(side * _half(found, found.height)), above) for side in (-1, 1)]
    _measure(picture, ends[0], ends[1], words.value(found.top, "diameter"))
    below = place.y(0.0) + 16.0
    ends = [(place.x(side * _half(found, 0.0)), below) for side in (-1, 1)]
    _measure(picture, ends[0], ends[1], words.value(found.bottom, "diameter"))
    right = place.x(max(_half(found, 0.0), _half(found, found.height))) + 14.0
    notes = [
        (
            place.y(found.filled),
            words.say("text.section_filled", value=words.value(found.filled, "diameter")),
        ),
        (place.y(0.0) - 4.0, words.say("text.section_heel", value=words.value(found.heel, "diameter"))),
    ]
    if found.seal:
        disc = words.say("text.section_disc", value=words.value(found.disc, "diameter"))
        notes.append((place.y(0.0) - 34.0, disc))
        port = words.say("text.section_port", value=words.value(found.port, "diameter"))
        notes.append((place.y(0.0) - 19.0, port))
    for y, text in notes:
        picture.append(draw.Text(text, TEXT, right, y + 3.0, fill=palette.INK))


def _measure(picture: draw.Drawing, start: tuple[float, float], end: tuple[float, float], text: str) -> None:
    """A dimension line with a tick at either end and its number."""
    picture.append(draw.Line(*start, *end, **_THIN))
    upright = start[0] == end[0]
    for x, y in (start, end):
        tick = (x - 4, y, x + 4, y) if upright else (x, y - 4, x, y + 4)
        picture.append(draw.Line(*tick, **_THIN))
    x, y = 0.5 * (start[0] + end[0]), 0.5 * (start[1] + end[1])
    if upright:
        picture.append(
            draw.Text(text, TEXT, x - 6, y, text_anchor="middle", fill=palette.INK,
                      transform=f"rotate(-90 {x - 6} {y})")
        )  # fmt: skip
    else:
        picture.append(
            draw.Text(text, TEXT, x, y - 5 if y < TALL else y + 13, text_anchor="middle", fill=palette.INK)
        )


def _pallet(picture: draw.Drawing, pallet: tuple[float, float, float], words: Words) -> None:
    """Four containers on their pallet from above, to their own scale."""
    length, width, outside = pallet
    scale = 130.0 / max(length, width, 2.0 * outside)
    middle, level = WIDTH - 110.0, 140.0
    picture.append(
        draw.Rectangle(middle - 0.5 * scale * length, level - 0.5 * scale * width, scale * length,
                       scale * width, fill=palette.STEEL, stroke=palette.INK, stroke_width=1.2)
    )  # fmt: skip
    for across in (-0.5, 0.5):
        for along in (-0.5, 0.5):
            at = (middle + across * scale * outside, level + along * scale * outside)
            picture.append(
                draw.Circle(*at, 0.5 * scale * outside, fill=palette.PRODUCT, fill_opacity=0.45,
                            stroke=palette.INK, stroke_width=1.0)
            )  # fmt: skip
    over = max(0.0, outside - 0.5 * length, outside - 0.5 * width)
    sides = f"{words.value(length, 'diameter')} x {words.value(width, 'diameter')}"
    for index, text in enumerate(
        (
            words.say("text.section_pallet", value=sides),
            words.say("text.section_overhang", value=words.value(over, "diameter")),
        )
    ):
        spot = level + 0.5 * scale * max(width, 2.0 * outside) + 18.0 + 14.0 * index
        picture.append(draw.Text(text, TEXT, middle, spot, text_anchor="middle", fill=palette.INK))
