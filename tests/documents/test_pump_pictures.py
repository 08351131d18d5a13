"""Pictures of pump, line and stand: they agree with the figures and with sums made here, and are whole."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from math import hypot, inf, pi
from xml.etree import ElementTree

import numpy as np
import pytest
from test_container_pictures import boxes, result

from drumwright.report.charts import Charts, curves_spec
from drumwright.report.drive_charts import air_picture, torque_picture
from drumwright.report.json_form import as_dictionary
from drumwright.report.line_chart import length_bore_picture, length_bore_spec
from drumwright.report.pump_charts import fed, stair_spec, suction_pictures, suction_spec
from drumwright.report.stand_drawing import TALL, stand_drawing, stand_picture
from drumwright.report.words import Words, words_of
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.machine_sketch import StandSketch
from drumwright.study.result import Figure, Result

CASES = ("S01", "S02", "S03", "S05", "S07", "S09", "S09-air")


def figure(found: Result, key: str, season: str = "") -> Figure:
    """A figure of the arrangement that is shown."""
    return found.figure(f"recommended.{key}" if found.recommended else key, season)


@cache
def open_bin(wanted: str = "2 m3/h", yield_stress: str = "40 Pa", consistency: str = "20 Pa.s^n") -> Result:
    """An invented sauce in a bin that levels itself or not, without a plate."""
    data = {
        "format": 1,
        "case": {"title": "invented bin", "date": "2026-01-02", "place": "EU"},
        "enquiry": {"flow": wanted, "drums_per_shift": 4},
        "product": [{
            "name": "invented sauce", "food": True, "density": "1100 kg/m3",
            "temperature": {"low": "10 C", "norm": "20 C", "high": "30 C"},
            "model": [{
                "temperature": "20 C", "yield_stress": yield_stress, "consistency": consistency,
                "exponent": 0.45,
            }],
        }],
        "container": [{"kind": "rigid_ibc", "usable_volume": "950 L"}],
        "destination": {"kind": "open_tank"},
        "line": {"bore": "DN50", "length": "6 m", "rise": "1 m"},
        "site": {"ceiling": "4 m", "air_pressure": "6 bar(g)"},
    }  # fmt: skip
    return assess(case_from_dict(data, "bin", {}), samples=256)


@pytest.mark.parametrize("name", CASES)
def test_the_stair_adds_up_to_what_is_there(name: str) -> None:
    found = result(name)
    assert [item.season for item in found.machine.suction] == ["winter", "norm"]
    for item in found.machine.suction:
        there = item.atmosphere + item.plate - item.port - item.throat
        assert there == pytest.approx(item.available[1], abs=1e-3)
        assert item.port > 0.0 and item.throat > 0.0
        for key, band in (("inlet_absolute", item.available), ("inlet_required", item.needed)):
            own = figure(found, f"feed.{key}", item.season)
            assert band[1] == own.likely
            assert band[0] == pytest.approx(own.low, rel=0.02) and band[2] == pytest.approx(
                own.high, rel=0.02
            )


@pytest.mark.parametrize("name", CASES)
def test_the_curves_over_flow_pass_through_the_wanted_flow_and_fall_and_rise(name: str) -> None:
    for item in result(name).machine.suction:
        assert np.interp(item.wanted, item.flow, item.there) == pytest.approx(item.available[1], rel=1e-3)
        assert np.interp(item.wanted, item.flow, item.asks) == pytest.approx(item.needed[1], rel=1e-3)
        assert np.all(np.diff(item.flow) > 0.0) and np.all(np.diff(item.there) < 0.0)
        assert np.all(np.diff(item.asks) > -1e-6)
        for low, likely, high in ((item.there_low, item.there, item.there_high),
                                  (item.asks_low, item.asks, item.asks_high)):  # fmt: skip
            assert all(a <= c for a, c in zip(low, high, strict=True)) and len(low) == len(likely)


def test_beyond_the_greatest_flow_that_is_fed_the_margin_is_negative() -> None:
    stiff = open_bin("3 m3/h", "60 Pa", "500 Pa.s^n")
    crossed = [
        item for item in stiff.machine.suction if np.isfinite(item.greatest[1]) and item.greatest[1] > 0
    ]
    assert crossed, "the invented product is thick enough to end the feed"
    for item in crossed:
        margin = np.array(item.there) - np.array(item.asks)
        assert np.interp(item.greatest[1], item.flow, margin) == pytest.approx(0.0, abs=50.0)
        assert item.greatest[0] <= item.greatest[1] <= item.greatest[2]
        assert margin[-1] < 0.0
        fails = item.wanted > item.greatest[1]
        assert fails == (figure(stiff, "feed.margin", item.season).likely < 0.0)
        diamonds = suction_spec([item], Words())["layer"][-1]["data"]["values"]
        assert diamonds[0]["x"] == pytest.approx(item.greatest[1] * 3600.0)


def test_a_bin_without_a_plate_has_suction_and_line_and_no_stand() -> None:
    found = open_bin()
    assert found.machine.stand is None and found.machine.suction and found.machine.length_bore
    item = found.machine.suction[0]
    assert item.plate == 0.0 and item.port == pytest.approx(0.0, abs=1e-6) and item.throat > 0.0
    steps = {row["step"] for row in stair_spec([item], Words())["data"]["values"]}
    assert steps == {"atmosphere", "- outlet, suction line", "there at the pump", "needed to fill"}


@pytest.mark.parametrize("name", CASES)
def test_the_pump_curve_passes_through_its_point_and_ends_at_its_rating_or_stall(name: str) -> None:
    found = result(name)
    for season, pair in found.curves:
        limits = dict(pair.limits)
        assert limits["allowed"] < limits["weakest"]
        assert limits["allowed"] == figure(found, "line.allowed").likely
        assert list(pair.pump_pressure) == sorted(pair.pump_pressure)
        assert all(b <= a + 1e-15 for a, b in zip(pair.pump_flow, pair.pump_flow[1:], strict=False))
        moved = np.interp(pair.operating_pressure, pair.pump_pressure, pair.pump_flow)
        if "stall" in limits:
            assert moved >= pair.operating_flow  # its air is throttled down to the wanted flow
            assert limits["stall"] == figure(found, "pump.stall_pressure", season).likely
            assert pair.pump_pressure[-1] <= limits["stall"]
        else:
            assert moved == pytest.approx(pair.operating_flow, rel=2e-3)
            assert pair.pump_pressure[-1] <= limits["rated"] + 1e5
            assert limits["torque"] > 0.0
    if "torque" in dict(found.curves[0][1].limits):
        own = figure(found, "drive.overload_pressure")
        assert dict(found.curves[0][1].limits)["torque"] == own.likely


@pytest.mark.parametrize("name", ["S01", "S02", "S03", "S05", "S07"])
def test_torque_meets_the_figures_and_the_power_of_the_motor(name: str) -> None:
    found = result(name)
    drawn = found.machine.torque
    assert drawn is not None and found.machine.air is None
    assert drawn.at[1] == figure(found, "pump.torque", drawn.season).likely
    assert np.interp(drawn.at[0], drawn.speed, drawn.running) == pytest.approx(drawn.at[1], rel=2e-3)
    assert drawn.start[1] == figure(found, "pump.start_torque", drawn.season).likely
    assert drawn.limit == figure(found, "drive.overload_torque").likely
    shaft = 2.0 * pi * np.array(drawn.speeds) * np.array(drawn.forced or drawn.own_fan)
    assert shaft.max() <= drawn.motor + 1e-9  # no speed gives more than the rated power, the gear takes some
    assert all(own <= short for own, short in zip(drawn.own_fan, drawn.short, strict=True))
    assert drawn.slowest < drawn.at[0] < drawn.fastest


def test_air_pump_needs_more_air_for_more_flow_and_its_setting_protects_the_line() -> None:
    found = result("S09-air")
    drawn = found.machine.air
    assert drawn is not None and found.machine.torque is None
    finite = [value for value in drawn.air if np.isfinite(value)]
    assert finite == sorted(finite) and len(finite) >= 5
    limits = dict(found.curves[0][1].limits)
    assert limits["stall"] <= limits["weakest"] * (1.0 + 1e-9)
    assert limits["stall"] == pytest.approx(drawn.setting * 9.0)  # ratio of the pump
    assert drawn.at[0] == pytest.approx(found.machine.suction[0].wanted)
    wanted = found.curves[0][1].operating_pressure
    assert drawn.at[1] * limits["stall"] / drawn.there > wanted  # friction and losses take some of the air


@pytest.mark.parametrize("name", CASES)
def test_the_length_of_the_case_lies_on_its_pressure(name: str) -> None:
    """Where the line runs at the allowed pressure is worked out here from the pressure and gradient shown."""
    found = result(name)
    drawn = found.machine.length_bore
    assert drawn is not None
    bore, length = drawn.chosen or drawn.asked or (0.0, 0.0)
    total, friction = (
        figure(found, f"line.{key}", drawn.season).likely for key in ("total", "pipe_friction")
    )
    per_metre = (friction - figure(found, "line.hose_friction", drawn.season).likely) / length
    longest = length + (drawn.allowed - total) / per_metre
    shown = np.exp(np.interp(np.log(bore), np.log(drawn.bores), np.log(np.maximum(drawn.running, 1e-9))))
    assert shown == pytest.approx(max(longest, 0.0), rel=0.02)
    for values in (drawn.running, drawn.running_most, drawn.restart_most, drawn.still):
        assert list(values) == sorted(values)
    assert all(a <= b + 1e-9 for a, b in zip(drawn.restart_most, drawn.still, strict=True))
    assert [row[0] for row in drawn.classes] == sorted(row[0] for row in drawn.classes)


def test_without_yield_stress_a_line_starts_at_any_length() -> None:
    thin = open_bin("2 m3/h", "0 Pa").machine.length_bore
    assert thin is not None and set(thin.still) == {inf}
    spec = length_bore_spec(thin, Words())
    assert all(np.isfinite(row["y"]) for row in spec["data"]["values"])


@pytest.mark.parametrize("name", CASES)
def test_the_stand_is_as_high_as_its_figure(name: str) -> None:
    found = result(name)
    drawn = found.machine.stand
    assert drawn is not None
    assert drawn.needed == figure(found, "stand.height").likely
    parts = drawn.pallet + drawn.container + drawn.clearance + drawn.plate + drawn.above
    assert parts == pytest.approx(drawn.needed)
    assert drawn.far == figure(found, "stand.reach").likely
    assert drawn.stroke == pytest.approx(drawn.container + drawn.clearance)
    for x, y in drawn.places:
        assert min(abs(hypot(x, y) - each) for each in (drawn.near, drawn.far)) < 1e-9


def stands() -> list[StandSketch]:
    found = [result(name).machine.stand for name in CASES]
    own = [each for each in found if each is not None]
    low = replace(own[0], there=2.4)
    tower = replace(own[0], there=9.0)
    bin_ = replace(
        own[0], outside=1.2, container=1.16, disc=1.1, near=0.75, far=0.75, stroke=1.26, needed=2.86
    )
    arm = next(each for each in own if each.places)
    return [*own, low, tower, bin_, replace(arm, there=2.5), replace(own[1], kind="tandem", stations=2)]


@pytest.mark.parametrize("system", ["metric", "US"])
def test_texts_of_the_stand_stay_inside_and_apart(system: str) -> None:
    for stand in stands():
        svg = stand_drawing(stand, Words(system))
        wide = float(ElementTree.fromstring(svg).attrib["width"])
        found = boxes(svg)
        assert len(found) >= 6
        for text, left, upper, right, lower in found:
            assert left >= 0.0 and right <= wide and upper >= 0.0 and lower <= TALL, (stand.kind, text)
        for index, (one, *a) in enumerate(found):
            for other, *b in found[index + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (stand.kind, stand.beside, one, other)


def test_the_elevation_is_to_scale() -> None:
    stand = result("S01").machine.stand
    assert stand is not None
    svg = stand_drawing(stand, Words())
    rects = [
        element.attrib for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}rect")
    ]
    sizes = {(round(float(each["width"]), 1), round(float(each["height"]), 1)) for each in rects}
    mast = max((size for size in sizes if size[1] < TALL), key=lambda size: size[1])
    scale = mast[1] / stand.needed
    assert mast[0] == pytest.approx(2.0 * stand.mast * scale, abs=0.1)
    container = (round(stand.outside * scale, 1), round(stand.container * scale, 1))
    assert any(abs(w - container[0]) <= 0.2 and abs(h - container[1]) <= 0.2 for w, h in sizes)


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("name", CASES)
def test_pictures_are_whole_and_say_what_they_show(name: str, units: str) -> None:
    found = result(name, units)
    words = words_of(found)
    drawn = Charts(words)
    pictures = [
        *suction_pictures(found, drawn), *torque_picture(found, drawn), *air_picture(found, drawn),
        *length_bore_picture(found, drawn), *stand_picture(found, words),
    ]  # fmt: skip
    assert len(pictures) == 5
    again = Charts(words)
    assert [each.svg for each in suction_pictures(found, again)] == [each.svg for each in pictures[:2]]
    for picture in pictures:
        assert picture.alt and picture.caption and "{" not in picture.alt + picture.caption
        assert 0.5 <= picture.width <= 1.0
        ElementTree.fromstring(picture.svg)
        assert set(re.findall(rb'font-family="([^"]+)"', picture.svg)) == {b"Liberation Sans"}
    assert words.unit("rotation" if name != "S09-air" else "pressure_gauge").encode() in pictures[2].svg


def test_limits_are_named_in_the_picture_of_the_curves() -> None:
    found = result("S01")
    texts = [
        row["text"]
        for layer in curves_spec(found, Words())["layer"]
        for row in layer.get("data", {}).get("values", [])
        if "text" in row
    ]
    assert any(text.startswith("rated pressure of the pump 12") for text in texts)
    assert any(text.startswith("torque limit") for text in texts)


def test_a_torque_limit_far_above_all_others_is_named_and_not_drawn() -> None:
    found = result("S01")
    far = tuple(
        (season, replace(pair, limits=(*(row for row in pair.limits if row[0] != "torque"), ("torque", 9e6))))
        for season, pair in found.curves
    )
    spec = curves_spec(replace(found, curves=far), Words())
    top = spec["layer"][0]["encoding"]["y"]["scale"]["domain"][1]
    rows = [
        row for layer in spec["layer"] for row in layer.get("data", {}).get("values", []) if "text" in row
    ]
    named = next(row for row in rows if row["text"].startswith("torque limit"))
    assert named["text"].endswith("90.0 bar(g), above the picture") and named["y"] < top < 90.0


def test_air_that_protects_the_line_but_is_too_little_is_said() -> None:
    found = result("S09-air")
    drawn = found.machine.air
    assert drawn is not None
    for setting, short in ((drawn.at[1] - 1.0, True), (drawn.at[1] + 1.0, False)):
        other = replace(found, machine=replace(found.machine, air=replace(drawn, setting=setting)))
        caption = next(iter(air_picture(other, Charts(Words())))).caption
        assert ("less than the wanted flow takes" in caption) == short


def test_what_is_fed_is_said_in_words() -> None:
    item = result("S01").machine.suction[0]
    assert fed(replace(item, greatest=(inf, inf, inf)), Words()) == "beyond all the pump can move"
    assert "to beyond" in fed(replace(item, greatest=(1e-4, 1e-3, inf)), Words())
    assert fed(replace(item, greatest=(1e-3, 1.1e-3, 1.2e-3)), Words()).endswith("m3/h")


def test_the_numbers_are_in_the_json() -> None:
    data = as_dictionary(result("S05"))["pictures"]
    assert {"suction", "torque", "air", "length_bore", "stand"} <= set(data)
    assert data["air"] is None and data["stand"]["kind"] == "moving_arm" and len(data["stand"]["places"]) == 4
    assert len(data["torque"]["speed"]) == len(data["torque"]["running"])
    assert dict(data["curves"]["norm"]["limits"])["rated"] > 0.0
