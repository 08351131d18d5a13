"""The moving arm from above, to its own scale: four containers, the mast, the nearest and farthest reach."""

from __future__ import annotations

import math

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.rim_detail import fits_in
from drumwright.report.words import Words
from drumwright.study.machine_sketch import StandSketch

PLAN_WIDTH = 250.0
TEXT, MIDDLE = 10.5, 178.0
_SIDE = 200.0
_INK = {"stroke": palette.INK, "stroke_width": 1.2}


def plan(picture: draw.Drawing, found: StandSketch, room: tuple[float, float], words: Words) -> None:
    """Draw the containers under the arm from above.

    Parameters
    ----------
    picture : Drawing
    found : StandSketch
        With places.
    room : tuple of float
        Left and right end of the room on the drawing.
    words : Words
    """
    assert found.pallet_size is not None
    length, width = found.pallet_size
    last = max(max(x for x, _ in found.places) + 0.5 * found.outside, found.far)
    across = max(width, 2.0 * max(y for _, y in found.places) + found.outside)
    scale = min(_SIDE / (last + found.mast), _SIDE / across)
    left = 0.5 * (room[0] + room[1]) - 0.5 * scale * (last + found.mast)
    mast = left + scale * found.mast
    start = sum(x for x, _ in found.places) / len(found.places) - 0.5 * length
    picture.append(_text(words.say("stand.plan"), 0.5 * (room[0] + room[1]), 40.0, bold=True))
    picture.append(
        draw.Rectangle(mast + scale * start, MIDDLE - 0.5 * scale * width, scale * length, scale * width,
                       fill=palette.STEEL, **_INK)
    )  # fmt: skip
    for x, y in found.places:
        picture.append(
            draw.Circle(mast + scale * x, MIDDLE + scale * y, 0.5 * scale * found.outside,
                        fill=palette.PRODUCT, fill_opacity=0.5, **_INK)
        )  # fmt: skip
    side = 2.0 * scale * found.mast
    picture.append(draw.Rectangle(mast - 0.5 * side, MIDDLE - 0.5 * side, side, side, fill=palette.INK))
    for radius in (found.near, found.far):
        _arc(picture, (mast, MIDDLE), scale * radius, found)
    _radii(picture, found, (mast, scale))
    below = MIDDLE + 0.5 * scale * across
    slots = {"length": words.value(length, "length"), "width": words.value(width, "length")}
    rows = (
        words.say("stand.near", value=words.value(found.near, "length")),
        words.say("stand.far", value=words.value(found.far, "length")),
        words.say("stand.side", **slots),
    )
    for index, text in enumerate(rows):
        spot = below + 26.0 + 15.0 * index
        picture.append(_text(text, 0.5 * (room[0] + room[1]), spot, width=PLAN_WIDTH - 10.0))


def _arc(picture: draw.Drawing, middle: tuple[float, float], radius: float, found: StandSketch) -> None:
    """The way of the arm's end between the two containers at this radius."""
    angle = max(math.atan2(abs(y), x) for x, y in found.places)
    near, far = (math.cos(angle) * radius, math.sin(angle) * radius), middle
    arc = draw.Path(fill="none", stroke=palette.SEASON["winter"], stroke_width=1.2, stroke_dasharray="5 3")
    arc.M(far[0] + near[0], far[1] - near[1]).A(radius, radius, 0, 0, 1, far[0] + near[0], far[1] + near[1])
    picture.append(arc)


def _radii(picture: draw.Drawing, found: StandSketch, frame: tuple[float, float]) -> None:
    """The arm to a near and to a far container."""
    mast, scale = frame
    ordered = sorted(found.places)
    for x, y in (ordered[0], ordered[-1]):
        end = mast + scale * x, MIDDLE + scale * y
        picture.append(draw.Line(mast, MIDDLE, *end, stroke=palette.SEASON["winter"], stroke_width=2.0))
        picture.append(draw.Circle(*end, 2.5, fill=palette.SEASON["winter"]))


def _text(text: str, x: float, y: float, width: float = 1e9, bold: bool = False) -> draw.Text:
    weight = "bold" if bold else "normal"
    size = fits_in(text, TEXT, width)
    return draw.Text(text, size, x, y, text_anchor="middle", fill=palette.INK, font_weight=weight)
