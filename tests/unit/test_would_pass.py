"""What would make it pass: each value judged again passes, one step less fails; reasons no number changes."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from drumwright.cli.main import group
from drumwright.report import would_pass_form
from drumwright.report.words import Words
from drumwright.station.casefile import load
from drumwright.study.assess import assess, judgements
from drumwright.study.levers import Lever, State
from drumwright.study.would_pass import SAMPLES, WouldPass, _Seeker, would_pass

WHOLE = Path(__file__).resolve().parents[1] / "whole"
DEMO = WHOLE.parents[1] / "cases" / "demo.toml"


@cache
def of(number: str, pairs: bool = True) -> WouldPass:
    """The changes of a whole case."""
    return would_pass(load(WHOLE / f"{number}.toml"), pairs=pairs)


@cache
def seeker() -> _Seeker:
    """What looks for changes of the demo."""
    answer = judgements(load(DEMO), SAMPLES)[0]
    assert answer.asked is not None
    return _Seeker(answer, answer.problem, answer.asked)


def lever(name: str) -> Lever:
    """A lever of the demo."""
    return next(each for each in seeker().levers if each.name == name)


@pytest.mark.parametrize("name", ["bore", "class", "length", "warm", "flow"])
def test_the_smallest_that_passes_is_the_first_of_its_steps(name: str) -> None:
    """Every step in turn (second route) against the halving."""
    own = lever(name)
    place = seeker().smallest(own, State())
    assert place is not None
    passes = [seeker().passes(own.set(value, State())) for value in own.values[: place + 3]]
    assert passes.index(True) == place


def test_what_is_said_to_pass_passes_as_a_case_of_its_own() -> None:
    """The bore and the class put into the case and judged by `assess`: the pressure gate is no obstacle."""
    found = would_pass(load(DEMO), pairs=False)
    values = {way.levers[0]: way.values[0] for way in found.singles}
    plain = {gate.key: gate.status for gate in assess(load(DEMO), samples=SAMPLES).as_asked}
    assert plain["pressure"] != "pass"
    for field, name in (("line.pressure_class", "class"), ("line.length", "length")):
        length = load(DEMO).line.length
        assert length is not None
        value = (
            f"{float(values[name]) / 1e5} bar(g)" if name == "class" else f"{values[name] * length.likely} m"
        )
        changed = assess(load(DEMO, {field: value}), samples=SAMPLES)
        assert {gate.key: gate.status for gate in changed.as_asked}["pressure"] == "pass", name


def test_two_together_where_neither_is_enough() -> None:
    found = of("S03")
    assert not found.singles
    assert ("bore", "warm") in [way.levers for way in found.pairs]
    assert {"bore", "warm"} <= set(found.not_enough)
    way = next(way for way in found.pairs if way.levers == ("bore", "warm"))
    assert way.prices and way.chance >= 0.95


def test_a_filler_that_may_not_stop_takes_a_second_station_or_a_hopper_with_a_faster_pump() -> None:
    found = of("S07")
    assert {("stand",), ("stations",)} <= {way.levers for way in found.singles}
    assert ("faster", "hopper") in [way.levers for way in found.pairs]
    assert found.set_points


def test_what_no_number_changes_is_said() -> None:
    refused = of("S12")
    assert refused.verdict == "refuse" and not refused.singles and not refused.pairs
    assert refused.no_number[0].key == "WPS-opening"
    asked = of("S11")
    assert not asked.singles and not asked.pairs
    assert "WPS-withheld" in [text.key for text in asked.no_number]


def test_an_unknown_zone_is_no_number() -> None:
    case = load(DEMO, {"product.flammable": "true"})
    assert "WPS-zone" in [text.key for text in would_pass(case, pairs=False).no_number]


def test_more_than_two_changes_are_those_of_the_answer() -> None:
    found = would_pass(load(WHOLE / "S09.toml"))
    assert not found.singles and not found.pairs
    assert len(found.together) == 3


def test_screen_json_and_bad_input() -> None:
    lines = list(would_pass_form.lines(of("S07"), Words()))
    assert max(map(len, lines)) <= 80
    data = json.loads(json.dumps(would_pass_form.as_dictionary(of("S07"), Words())))
    assert data["form"] == "drumwright.would_pass/1"
    assert CliRunner().invoke(group, ["would-pass", str(DEMO), "--samples", "7"]).exit_code == 2
