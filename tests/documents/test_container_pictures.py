"""Pictures of container, plate and warm-up: they agree with the figures and are drawn whole."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from drumwright.report.charts import Charts
from drumwright.report.container_drawing import TALL, WIDTH, container_picture
from drumwright.report.json_form import as_dictionary
from drumwright.report.plate_charts import plate_force_picture, warm_picture
from drumwright.report.words import words_of
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

WHOLE = Path(__file__).parent.parent / "whole"


@cache
def result(name: str, units: str = "metric") -> Result:
    data = tomllib.loads((WHOLE / f"{name}.toml").read_text(encoding="utf-8"))
    data["case"]["units"] = units
    return assess(case_from_dict(data, name, {}), samples=512)


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
    assert 0.0 < cone.heel < 0.01 < cone.filled < cone.height


@pytest.mark.parametrize("name", ["S01", "S03", "S05", "S09"])
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
    assert len(pictures) >= 2
    for picture in pictures:
        assert picture.alt and picture.caption and "{" not in picture.alt + picture.caption
        ElementTree.fromstring(picture.svg)
    section = ElementTree.fromstring(pictures[0].svg)
    for text in section.iter("{http://www.w3.org/2000/svg}text"):
        assert 0.0 < float(text.attrib["x"]) < WIDTH and 0.0 < float(text.attrib["y"]) < TALL + 70.0


def test_the_numbers_of_the_pictures_are_in_the_json() -> None:
    data = as_dictionary(result("S03"))["pictures"]
    assert isinstance(data, dict)
    assert list(data) == ["profile", "curves", "residue", "fits", "plate_force", "warm_up", "section"]
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
