"""Elevation of the stand to scale: container on its pallet, plate at both ends of its stroke, pump, beam."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.document import Picture
from drumwright.report.rim_detail import fits_in
from drumwright.report.stand_plan import PLAN_WIDTH, plan
from drumwright.report.words import Words
from drumwright.study.machine_sketch import StandSketch
from drumwright.study.result import Result

TALL = 400.0
FULL_WIDTH = 680.0  # of a drawing as wide as the text
TEXT = 10.5
FLOOR, TOP = 356.0, 26.0
BEAM_SEEN = 1.9  # a beam higher than so many times what is needed is named, not drawn
SPACING = 0.30  # between the containers of two stations [m]; assumed
BARS = {"metric": (0.25, 0.5, 1.0), "US": (0.3048, 0.6096, 0.9144)}  # lengths of the scale bar [m]
LEFT, RIGHT = 84.0, 92.0  # room for the dimensions beside the drawing
OVER_PUMP = 0.25  # room for the hose over a pump beside the mast [m]; drawn only
BEHIND = 0.75  # room behind the mast for a pump beside it [m]; drawn only
_INK = {"stroke": palette.INK, "stroke_width": 1.4, "fill": "none"}
_THIN = {"stroke": palette.QUIET, "stroke_width": 0.8}
_PART = {"fill": palette.STEEL, "stroke": palette.INK, "stroke_width": 1.2}


def stand_picture(result: Result, words: Words) -> Iterator[Picture]:
    """Yield the elevation of the stand, where there is a plate.

    Parameters
    ----------
    result : Result
    words : Words
    """
    found = result.machine.stand
    if found is None:
        return
    alt = words.say(
        "text.stand_alt",
        needed=words.value(found.needed, "length"),
        there=words.value(found.there, "length"),
        stroke=words.value(found.stroke, "length"),
        reach=words.value(found.far, "length"),
    )
    svg = stand_drawing(found, words)
    yield Picture(svg, alt, words.say("text.stand_caption"), round(_width(found) / FULL_WIDTH, 2))


def _units(found: StandSketch) -> int:
    """Masts that are drawn side by side."""
    return 2 if found.kind == "tandem" else 1


def _reaches(found: StandSketch) -> tuple[float, ...]:
    """Where the middles of the containers stand before the mast in the elevation [m]."""
    return tuple(sorted({x for x, _ in found.places})) if found.places else (found.near,)


def _span(found: StandSketch) -> tuple[float, float]:
    """Ends of one unit, behind and before the middle of the mast [m]."""
    behind = BEHIND if found.beside else found.mast + 0.05
    return behind, _reaches(found)[-1] + 0.5 * found.outside


def _scale(found: StandSketch) -> float:
    """Pixels to the metre."""
    drawn = found.there if _beam_drawn(found) else found.needed
    behind, before = _span(found)
    wide = _units(found) * (behind + before) + (_units(found) - 1) * SPACING
    room = FULL_WIDTH - LEFT - RIGHT - (PLAN_WIDTH if found.places else 0.0)
    highest = max(drawn, found.needed, found.pump + OVER_PUMP if found.beside else 0.0)
    return min((FLOOR - TOP) / highest, room / wide)


def _beam_drawn(found: StandSketch) -> bool:
    return found.there <= BEAM_SEEN * found.needed


def _width(found: StandSketch) -> float:
    behind, before = _span(found)
    wide = _units(found) * (behind + before) + (_units(found) - 1) * SPACING
    own = LEFT + RIGHT + _scale(found) * wide
    if found.places:
        return FULL_WIDTH
    return min(FULL_WIDTH, max(own, 400.0))


class Place:
    """Where metres stand on the drawing: from the middle of one mast, and over the floor."""

    def __init__(self, mast: float, scale: float) -> None:
        self.mast, self.scale = mast, scale

    def x(self, before: float) -> float:
        """Place of a distance before the mast [m]."""
        return self.mast + self.scale * before

    def y(self, up: float) -> float:
        """Place of a height over the floor [m]."""
        return FLOOR - self.scale * up


def stand_drawing(found: StandSketch, words: Words) -> bytes:
    """Return the elevation as SVG, with a plan where an arm reaches several containers.

    Parameters
    ----------
    found : StandSketch
    words : Words
    """
    width, scale = _width(found), _scale(found)
    picture = draw.Drawing(width, TALL, font_family=palette.FONT)
    picture.append(draw.Rectangle(0, 0, width, TALL, fill=palette.PAPER))
    behind, before = _span(found)
    edge = width - (PLAN_WIDTH if found.places else 0.0)
    whole = scale * (_units(found) * (behind + before) + (_units(found) - 1) * SPACING)
    start = LEFT + max(0.0, 0.5 * (edge - LEFT - RIGHT - whole))
    places = [
        Place(start + scale * (behind + index * (behind + before + SPACING)), scale)
        for index in range(_units(found))
    ]
    ends = (places[0].x(-behind), places[-1].x(before))
    picture.append(draw.Line(ends[0] - 66.0, FLOOR, ends[1] + 80.0, FLOOR, **_INK))
    for index, place in enumerate(places):
        _unit(picture, found, place, up=index == _units(found) - 1, both=_units(found) == 1)
        if _units(found) > 1:
            text = words.say("stand.station", number=index + 1)
            picture.append(_text(text, place.x(found.near), FLOOR + 15.0, "middle"))
    _beam(picture, found, ends, words, scale)
    _dimensions(picture, found, places, ends, words)
    _bar(picture, ends[0] - 60.0, scale, words)
    if found.places:
        plan(picture, found, (edge, width), words)
    return str(picture.as_svg()).encode()


def _unit(picture: draw.Drawing, found: StandSketch, place: Place, up: bool, both: bool) -> None:
    """One mast with its containers, the plate up or down; of a single one both, the lower one dashed."""
    reaches = _reaches(found)
    for reach in reaches:
        _container(picture, found, place, reach)
    high = found.pallet + found.container + found.clearance
    if up or both:
        _head(
            picture, found, place, reaches[0] if not both or len(reaches) == 1 else reaches[-1], high, False
        )
    if both or not up:
        _head(picture, found, place, reaches[0] if len(reaches) == 1 or not both else reaches[-1],
              high - found.stroke, both)  # fmt: skip
    mast = (place.x(-found.mast), place.y(found.needed))
    size = (2.0 * found.mast * place.scale, place.scale * found.needed)
    picture.append(draw.Rectangle(*mast, *size, **_PART))
    if found.beside:
        _pump_beside(picture, found, place, high + found.plate if up else found.pallet + found.plate)


def _container(picture: draw.Drawing, found: StandSketch, place: Place, reach: float) -> None:
    left, wide = place.x(reach - 0.5 * found.outside), place.scale * found.outside
    top = place.y(found.pallet + found.container)
    picture.append(
        draw.Rectangle(left, top, wide, place.scale * found.container, fill=palette.PRODUCT,
                       fill_opacity=0.45, stroke=palette.INK, stroke_width=1.4)
    )  # fmt: skip
    deck = place.y(found.pallet)
    picture.append(draw.Rectangle(left - 3.0, deck, wide + 6.0, 3.0, **_PART))
    for share in (0.0, 0.45, 0.9):
        foot = left - 3.0 + share * (wide + 6.0)
        picture.append(draw.Rectangle(foot, deck + 3.0, 0.1 * (wide + 6.0), FLOOR - deck - 3.0, **_PART))


def _head(
    picture: draw.Drawing, found: StandSketch, place: Place, reach: float, up: float, dashed: bool
) -> None:
    """Plate with all that rides on it at a height, and the arm that holds it."""
    look = dict(_PART)
    if dashed:
        look = {"fill": "none", "stroke": palette.QUIET, "stroke_width": 1.1, "stroke_dasharray": "4 3"}
    scale, half = place.scale, 0.5 * found.disc
    picture.append(
        draw.Rectangle(place.x(reach - half), place.y(up + found.plate), 2.0 * half * scale,
                       found.plate * scale, **look)
    )  # fmt: skip
    on_plate = up + found.plate
    wide = max(found.port, 0.09) if found.beside else 0.26
    high = on_plate + found.above
    picture.append(
        draw.Rectangle(place.x(reach - 0.5 * wide), place.y(high), wide * scale, found.above * scale, **look)
    )
    arm = on_plate + 0.04
    near = place.x(reach - 0.5 * wide) if reach > 0.0 else place.x(0.0)
    picture.append(
        draw.Rectangle(
            place.x(found.mast), place.y(arm + 0.07), near - place.x(found.mast), 0.07 * scale, **look
        )
    )


def _pump_beside(picture: draw.Drawing, found: StandSketch, place: Place, outlet: float) -> None:
    """The pump on the floor behind the mast, with its suction hose over the mast from the plate."""
    scale = place.scale
    wide = 0.30 * scale
    left = place.x(-BEHIND + 0.08)
    picture.append(draw.Rectangle(left, place.y(found.pump), wide, found.pump * scale, **_PART))
    x, y = left + 0.5 * wide, place.y(found.pump)
    end = place.x(_reaches(found)[-1]), place.y(outlet + 0.6 * found.above)
    lift = min(y, end[1]) - 16.0
    hose = draw.Path(stroke=palette.QUIET, stroke_width=3.0, fill="none", stroke_linecap="round")
    picture.append(hose.M(x, y).C(x, lift, end[0], lift, *end))


def _beam(
    picture: draw.Drawing, found: StandSketch, ends: tuple[float, float], words: Words, scale: float
) -> None:
    """The lowest beam with its height; red where the stand does not fit under it."""
    short = found.needed > found.there
    shade = palette.LIMIT if short else palette.INK
    if not _beam_drawn(found):
        text = words.say("stand.above", value=words.value(found.there, "length"))
        picture.append(_text(text, 0.5 * (ends[0] + ends[1]), 14.0, "middle"))
        return
    y = FLOOR - scale * found.there
    picture.append(
        draw.Rectangle(ends[0] - 66.0, y - 7.0, ends[1] - ends[0] + 132.0, 7.0, fill=palette.STEEL,
                       stroke=shade, stroke_width=1.2)
    )  # fmt: skip
    key = "there" if found.there_said else "there_assumed"
    text = words.say(f"stand.{key}", value=words.value(found.there, "length"))
    picture.append(_text(text, 0.5 * (ends[0] + ends[1]), y - 11.0, "middle", shade=shade))


def _dimensions(
    picture: draw.Drawing,
    found: StandSketch,
    places: Sequence[Place],
    ends: tuple[float, float],
    words: Words,
) -> None:
    """Heights at both sides and the reach below."""
    last, shade = places[-1], palette.LIMIT if found.needed > found.there else palette.INK
    high = found.pallet + found.container + found.clearance
    rows = (
        (ends[0] - 22.0, 0.0, found.pallet + found.container, "container", found.container, palette.INK),
        (ends[1] + 20.0, high - found.stroke, high, "stroke", found.stroke, palette.INK),
        (ends[1] + 46.0, 0.0, found.needed, "needed", found.needed, shade),
    )
    for x, low, top, key, value, colour in rows:
        start = found.pallet if key == "container" else low
        text = words.say(f"stand.{key}", value=words.value(value, "length"))
        _measure(picture, [(x, last.y(start)), (x, last.y(top))], text, colour)
    text = words.say("stand.pallet", value=words.value(found.pallet, "length"))
    picture.append(_text(text, ends[0] - 74.0, FLOOR + 13.0, width=80.0))
    _pump_name(picture, found, last, words)
    if not found.places:
        first = places[0]
        text = words.say("stand.reach", value=words.value(found.near, "length"))
        y = FLOOR + (24.0 if len(places) > 1 else 12.0)
        _measure(picture, [(first.x(0.0), y), (first.x(found.near), y)], text, palette.INK)


def _pump_name(picture: draw.Drawing, found: StandSketch, place: Place, words: Words) -> None:
    """The name of the pump at its place, behind the mast or over the plate."""
    if found.beside:
        x, y = place.x(-BEHIND + 0.08) - 5.0, place.y(found.pump) + 14.0
        for index, part in enumerate(words.say("stand.pump_beside").split(" ", 2)):
            picture.append(_text(part, x, y + 13.0 * index, "end", width=72.0))
        return
    x = place.x(_reaches(found)[-1]) + 4.0
    y = place.y(found.needed - 0.36 * found.above)
    text = words.say("stand.pump_on")
    size = fits_in(text, TEXT, 0.68 * place.scale * found.above)
    picture.append(
        draw.Text(
            text,
            size,
            x,
            y,
            text_anchor="middle",
            fill=palette.INK,
            transform=f"rotate(-90 {x} {y})",
        )
    )


def _measure(picture: draw.Drawing, ends: Sequence[tuple[float, float]], text: str, shade: str) -> None:
    """A dimension line with a tick at either end and its text."""
    (x_from, y_from), (x_to, y_to) = ends
    picture.append(draw.Line(x_from, y_from, x_to, y_to, **_THIN))
    upright = x_from == x_to
    for x, y in ends:
        tick = (x - 4, y, x + 4, y) if upright else (x, y - 4, x, y + 4)
        picture.append(draw.Line(*tick, **_THIN))
    if not upright:
        picture.append(_text(text, x_to + 6.0, y_to + 4.0, "start", shade=shade))
        return
    x, y = x_from - 5.0, 0.5 * (y_from + y_to) - 8.0
    size = fits_in(text, TEXT, abs(y_to - y_from) + 26.0)
    picture.append(
        draw.Text(text, size, x, y, text_anchor="middle", fill=shade, transform=f"rotate(-90 {x} {y})")
    )


def _bar(picture: draw.Drawing, left: float, scale: float, words: Words) -> None:
    """A scale bar under the floor."""
    bars = BARS[words.system]
    length = max((each for each in bars if each * scale <= 66.0), default=bars[0])
    y = TALL - 10.0
    picture.append(draw.Line(left, y, left + scale * length, y, stroke=palette.INK, stroke_width=3.0))
    text = words.say("stand.scale", value=words.value(length, "length"))
    picture.append(_text(text, left, y - 6.0))


def _text(
    text: str, x: float, y: float, anchor: str = "start", width: float = 1e9, shade: str = palette.INK
) -> draw.Text:
    return draw.Text(text, fits_in(text, TEXT, width), x, y, text_anchor=anchor, fill=shade)
