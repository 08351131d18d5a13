"""The shortlist: what it names passes, nothing on it is beaten, a list makes no verdict better, bad input."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

from drumwright.cli.main import group
from drumwright.report import shortlist_form
from drumwright.report.words import Words
from drumwright.station.casefile import load
from drumwright.study.assess import assess, judgements
from drumwright.study.criteria import CRITERIA
from drumwright.study.evaluation import evaluate
from drumwright.study.faults import play
from drumwright.study.running import machine_for
from drumwright.study.shortlist import Shortlist, passes_by_numbers, shortlist

WHOLE = Path(__file__).resolve().parents[1] / "whole"
SAMPLES = 256


@cache
def of(number: str, workers: int = 1) -> Shortlist:
    """The list of a whole case, transients left out."""
    return shortlist(load(WHOLE / f"{number}.toml"), samples=SAMPLES, workers=workers, transient=False)


@pytest.mark.parametrize("number", ["S02", "S05", "S07"])
def test_every_member_passes_as_assess_judges_it(number: str) -> None:
    found, answer = of(number), judgements(load(WHOLE / f"{number}.toml"), SAMPLES)[0]
    assert 1 < len(found.members) <= 6
    for member in found.members:
        own = evaluate(answer.problem, member.choice)
        assert passes_by_numbers(own)
        assert member.why and member.roles


@pytest.mark.parametrize("number", ["S02", "S05", "S07"])
def test_the_recommended_family_line_and_stand_are_on_the_list(number: str) -> None:
    """What `assess` recommends (the answer of the scenario, held in expected.toml) is the least change."""
    result, found = judgements(load(WHOLE / f"{number}.toml"), SAMPLES)[0], of(number)
    best = result.best
    assert best is not None
    least = next(member for member in found.members if "change" in member.roles)
    own, theirs = least.choice, best.choice
    assert own.pump.family == theirs.pump.family
    assert (own.bore, own.stand, own.stations, own.seal) == (
        theirs.bore, theirs.stand, theirs.stations, theirs.seal,
    )  # fmt: skip


@pytest.mark.parametrize("number", ["S02", "S05", "S07"])
def test_nothing_on_the_list_is_beaten_in_everything(number: str) -> None:
    signs = {"winter": -1.0, "margin": -1.0}
    points = [
        tuple(signs.get(name, 1.0) * member.numbers[name] for name in CRITERIA)
        for member in of(number).members
    ]
    for own in points:
        for other in points:
            beaten = all(a < b for a, b in zip(other, own, strict=True))
            assert not beaten


def test_the_number_of_threads_changes_nothing() -> None:
    one, two = (shortlist_form.as_dictionary(of("S02", workers), Words()) for workers in (1, 2))
    assert one == two


def test_no_size_is_named_before_the_shear_rate_is_known() -> None:
    found = of("S11")
    assert found.verdict == assess(load(WHOLE / "S11.toml"), samples=SAMPLES).verdict == "ask_first"
    assert not found.members
    shown = "\n".join(shortlist_form.lines(found, Words()))
    assert "L a turn" not in shown
    assert not any(each.helps for each in found.alternatives)


def test_a_container_nothing_enters_is_not_searched_and_another_one_is_named() -> None:
    found = of("S12")
    assert found.verdict == "refuse"
    assert not found.looked_at and not found.members
    keys = [each.key for each in found.alternatives]
    assert "container.straight_drum" in keys and "container.rigid_ibc" not in keys
    assert "no_machine" in keys


def test_where_nothing_passes_the_nearest_is_named_with_what_it_lacks() -> None:
    settings = {"line.length": "90 m", "enquiry.pressure_limit": "3 bar(g)"}
    case = load(WHOLE / "S03.toml", settings)
    found = shortlist(case, samples=SAMPLES, transient=False)
    assert found.passed == 0 and not found.members
    assert found.verdict in ("refuse", "ask_first")
    assert found.why_none is not None and found.why_none.key == "SHL-nearest"


def test_screen_and_json_keep_their_form() -> None:
    lines = list(shortlist_form.lines(of("S05"), Words()))
    assert max(map(len, lines)) <= 80
    data = json.loads(json.dumps(shortlist_form.as_dictionary(of("S05"), Words())))
    assert data["form"] == "drumwright.shortlist/1"
    assert data["looked_at"] == data["passed"] + sum(data["stopped"].values())


def test_bad_input_is_named_and_ends_with_two() -> None:
    done = CliRunner().invoke(group, ["shortlist", str(WHOLE / "S02.toml"), "--samples", "300"])
    assert done.exit_code == 2
    done = CliRunner().invoke(group, ["shortlist", str(WHOLE / "nothing.toml")])
    assert done.exit_code == 2


def test_the_blocked_outlet_is_run_for_the_list() -> None:
    """The same run by hand: control of the arrangement, outlet blocked, peak over the weakest part."""
    case = load(WHOLE / "S02.toml")
    found = shortlist(case, samples=SAMPLES)
    answer = judgements(case, SAMPLES)[0]
    member = found.members[0]
    machine = machine_for(answer.problem, evaluate(answer.problem, member.choice))
    assert member.peak == pytest.approx(play(machine, "blocked_outlet").over, rel=1e-6)


def test_another_container_says_what_else_it_takes() -> None:
    case = load(WHOLE.parents[1] / "cases" / "demo.toml", {"container.kind": "rigid_ibc"})
    listed = shortlist(case, samples=SAMPLES, transient=False)
    drum = next(each for each in listed.alternatives if each.key == "container.straight_drum")
    assert listed.passed == 0 and drum.helps and drum.text.key == "SHL-container_with"
