"""Pictures of container, plate and warm-up: they agree with the figures and are drawn whole."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from drumwright.report.charts import Charts
from drumwright.report.container_drawing import TALL, container_drawing, container_picture
from drumwright.report.drawing import text_width
from drumwright.report.json_form import as_dictionary
from drumwright.report.plate_charts import plate_force_picture, warm_picture
from drumwright.report.rim_detail import larger, rim_notes, rims
from drumwright.report.words import Words, words_of
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result, Section

WHOLE = Path(__file__).parent.parent / "whole"


# S09 with a piston pump, driven by air
SETTINGS = {
    "S09-air": {"machine.pump": "piston-06-9", "line.bore": "DN80", "line.pressure_class": "25 bar(g)"}
}


@cache
def result(name: str, units: str = "metric") -> Result:
    data = tomllib.loads((WHOLE / f"{name[:3]}.toml").read_text(encoding="utf-8"))
    data["case"]["units"] = units
    return assess(case_from_dict(data, name, SETTINGS.get(name, {})), samples=512)


@pytest.mark.parametrize("name", ["S01", "S03", "S05"])
def test_the_force_that_is_there_meets_the_curve_at_the_last_gap(name: str) -> None:
    found = result(name)
    assert {item.season for item in found.plate_force} == {"winter", "norm"}
    for item in found.plate_force:
        needed = np.exp(np.interp(np.log(item.gap[1]), np.log(item.gaps), np.log(item.needed)))
        assert needed == pytest.approx(item.there, rel=0.02)
        assert all(low <= high for low, high in zip(item.low, item.high, strict=True))
        prefix = "recommended." if found.recommended else ""
        assert item.gap[1] == found.figure(f"{prefix}residue.flow_gap", item.season).likely
        assert item.gaps == found.plate_force[0].gaps and list(item.gaps) == sorted(item.gaps)
        assert item.gaps[0] < item.gap[0] and item.gap[2] < item.gaps[-1]


def test_the_yield_stress_alone_needs_less_and_its_force_falls_as_one_over_the_gap() -> None:
    for item in result("S05").plate_force:
        assert all(0.0 < still < needed for still, needed in zip(item.still, item.needed, strict=True))
        held = [still * gap for still, gap in zip(item.still, item.gaps, strict=True)]
        assert held == pytest.approx([held[0]] * len(held))


def frozen() -> Result:
    data = tomllib.loads((WHOLE / "S03.toml").read_text(encoding="utf-8"))
    product = data["product"][0]
    product |= {"freezes_at": "-2 C", "latent_heat": "200 kJ/kg"}
    product["temperature"] = {"low": "-18 C", "norm": "20 C", "high": "30 C"}
    return assess(case_from_dict(data, "frozen", {}), samples=256)


@pytest.mark.parametrize(("name", "key", "mode"), [
    ("S03", "recommended.warm_up.core_time", "conduction"),
    ("S12", "warm_up.core_time", "convection"),
])  # fmt: skip
def test_the_core_has_its_target_when_it_is_ready(name: str, key: str, mode: str) -> None:
    found = result(name)
    curves = found.warm_curves
    assert curves is not None and curves.mode == mode
    assert curves.ready == found.figure(key).likely
    assert np.interp(curves.ready, curves.times, curves.core) == pytest.approx(curves.target, abs=0.2)
    rows = zip(curves.core_low, curves.core, curves.core_high, strict=True)
    assert all(low <= core + 1e-9 and core <= high + 1e-9 for low, core, high in rows)
    assert all(
        core <= mean <= wall <= curves.around
        for core, mean, wall in zip(curves.core, curves.mean, curves.wall, strict=True)
    )


def test_a_frozen_container_stays_at_its_plateau_before_it_warms() -> None:
    found = frozen()
    curves = found.warm_curves
    assert curves is not None and curves.mode == "phase_change" and curves.core_low == ()
    assert curves.ready == found.figure("recommended.warm_up.core_time").likely
    assert np.interp(curves.ready, curves.times, curves.core) == pytest.approx(curves.target, abs=0.5)
    assert curves.melts == pytest.approx(271.15)
    core, times = np.array(curves.core), np.array(curves.times)
    in_band = times[(core > curves.melts - 4.0) & (core < curves.melts + 0.1)]
    assert np.ptp(in_band) > 0.25 * curves.ready  # latent heat, against some hours on the way there and on
    assert len(times) <= 64


def test_what_is_not_warmed_has_no_curves() -> None:
    assert result("S01").warm_curves is None


def test_a_drum_no_plate_enters_has_no_section_and_a_cone_has_its_own() -> None:
    assert result("S12").section is None
    cone = result("S05").section
    assert cone is not None and (cone.top, cone.bottom) == (0.590, 0.510)
    assert cone.seal == "inflatable_seal" and cone.pallet == (1.2, 1.0, 0.6)
    assert cone.overhang == pytest.approx((0.0, 0.1))
    assert 0.0 < cone.gap < cone.heel < 0.01 < cone.filled < cone.height
    straight = result("S01").section
    assert straight is not None and straight.dish == pytest.approx(0.012)  # as stated
    assert straight.hoops == 2 and straight.hoop_spacing > 0.2 and straight.pallet is None


def test_details_show_what_the_seal_leaves_open() -> None:
    cone = result("S05").section
    assert cone is not None
    full, end = rims(cone)
    assert full.beside == pytest.approx(
        0.5 * (0.590 - (0.590 - 0.510) * (1 - cone.filled / 0.85) - cone.disc)
    )
    assert full.open_gap(cone.reach) == 0.0 == end.open_gap(cone.reach)
    with_lip = replace(cone, seal="lip_seal", reach=0.008, lips=1)
    notes, _ = rim_notes(with_lip, Words())
    assert notes[1][1] and Words().value(full.beside - 0.008, "diameter") in notes[1][0]
    hard = replace(cone, seal="hard_plate", reach=0.0, lips=0)
    assert rim_notes(hard, Words())[1][1][1]
    assert larger(cone, 400.0) > larger(replace(cone, top=0.9), 400.0) >= 2


BIN = Section(
    "rectangular", 1.12, 1.12, 0.95, 0.876, 0, 0.0, "double_lip_seal", 1.11, 0.008, 0.08, 0.0072, None,
    width=0.92, gap=0.0057, lips=2,
)  # fmt: skip
OPEN_BIN = replace(BIN, seal="", disc=0.0, reach=0.0, lips=0, port=0.0, gap=0.0, outlet=0.05, filled=0.95)


def sections() -> list[Section]:
    found = [result(name).section for name in ("S01", "S03", "S05", "S09")]
    drums = [each for each in found if each is not None]
    cone = drums[2]
    steep = replace(cone, top=0.72, bottom=0.48, seal="lip_seal", reach=0.008, lips=1, filled=0.725)
    flat = replace(cone, pallet=(1.2, 1.2, 0.585), overhang=(0.0, 0.0), seal="hard_plate", reach=0.0)
    return [*drums, steep, flat, BIN, OPEN_BIN, replace(drums[0], dish=0.0, height=2.0, filled=1.99)]


def boxes(svg: bytes) -> list[tuple[str, float, float, float, float]]:
    """Content, left, upper, right and lower end of every text."""
    found = []
    for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        get = element.attrib
        content, size = "".join(element.itertext()), float(get["font-size"])
        wide = text_width(content, size, get.get("font-weight") == "bold")
        left = -wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[get.get("text-anchor", "start")]
        x, y = float(get["x"]), float(get["y"])
        box = (x + left, y - 0.75 * size, x + left + wide, y + 0.2 * size)
        if "transform" in get:
            assert get["transform"].startswith("rotate(-90")
            box = (x - 0.75 * size, y - left - wide, x + 0.2 * size, y - left)
        assert size >= 7.0 and content
        found.append((content, *box))
    return found


@pytest.mark.parametrize("system", ["metric", "US"])
def test_texts_of_a_section_stay_inside_and_apart(system: str) -> None:
    for section in sections():
        svg = container_drawing(section, Words(system))
        wide = float(ElementTree.fromstring(svg).attrib["width"])
        found = boxes(svg)
        assert len(found) >= 8
        for text, left, upper, right, lower in found:
            assert left >= 0.0 and right <= wide and upper >= 0.0 and lower <= TALL, text
        for index, (one, *a) in enumerate(found):
            for other, *b in found[index + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (one, other)


@pytest.mark.parametrize("name", ["S01", "S03", "S05", "S09", "S12"])
@pytest.mark.parametrize("units", ["metric", "US"])
def test_pictures_are_whole_and_say_what_they_show(name: str, units: str) -> None:
    found = result(name, units)
    words = words_of(found)
    drawn = Charts(words)
    pictures = [
        *container_picture(found, words),
        *plate_force_picture(found, drawn),
        *warm_picture(found, drawn),
    ]
    assert len(pictures) == {"S01": 2, "S03": 3, "S05": 2, "S09": 3, "S12": 1}[name]
    for picture in pictures:
        assert picture.alt and picture.caption and "{" not in picture.alt + picture.caption
        assert 0.5 <= picture.width <= 1.0
        ElementTree.fromstring(picture.svg)
        assert set(re.findall(rb'font-family="([^"]+)"', picture.svg)) == {b"Liberation Sans"}


def test_the_numbers_of_the_pictures_are_in_the_json() -> None:
    data = as_dictionary(result("S03"))["pictures"]
    assert isinstance(data, dict)
    assert list(data) == [
        "profile", "curves", "residue", "fits", "plate_force", "warm_up", "section", "suction", "torque",
        "air", "length_bore", "stand", "run",
    ]  # fmt: skip
    assert list(data["plate_force"][0]) == [
        "season",
        "gaps",
        "needed",
        "low",
        "high",
        "there",
        "gap",
        "still",
    ]
    assert list(data["warm_up"]) == [
        "times", "core", "mean", "wall", "core_low", "core_high", "target", "around", "ready",
        "mode", "melts",
    ]  # fmt: skip
    assert list(data["profile"]["norm"][0]) == ["distance", "low", "likely", "high", "label"]
    assert len(data["curves"]["norm"]["flow"]) == len(data["curves"]["norm"]["line_pressure"])
    assert set(data["section"]) >= {"top", "bottom", "height", "filled", "seal", "disc", "port", "heel"}


def test_the_shares_of_the_spread_add_up_and_are_in_the_json() -> None:
    found = result("S05")
    assert sum(part.share for part in found.residue) == pytest.approx(1.0)
    rows = as_dictionary(found)["pictures"]["residue"]
    assert list(rows[0]) == ["place", "low", "likely", "high", "share"]
    driver = next(item for item in found.findings if item.key == "residue.driver")
    assert driver.value == max(part.share for part in found.residue)
