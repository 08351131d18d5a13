"""Two cases side by side: every change is found, moves are explained by changes tried alone, faces agree."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from drumwright.cli.main import group
from drumwright.station.casefile import load
from drumwright.station.records import Case
from drumwright.study.assess import assess
from drumwright.study.difference import Difference, difference

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "cases" / "demo.toml"
WHOLE = ROOT / "tests" / "whole"
SAMPLES = 256


def demo(**settings: str) -> Case:
    return load(DEMO, {name.replace("__", "."): value for name, value in settings.items()})


def between(before: Case, after: Case) -> Difference:
    return difference(before, after, samples=SAMPLES)


def test_a_case_does_not_differ_from_itself() -> None:
    found = between(demo(), demo())
    assert (found.changes, found.moves, found.gone, found.new) == ((), (), (), ())
    assert found.asked_now == () and found.asked_no_more == ()


def test_another_seed_is_no_move() -> None:
    """Both are sampled with the seed of the first: noise of the sampler is no difference."""
    found = between(demo(), demo(case__seed="77"))
    assert found.changes == () and found.moves == ()


def test_one_change_explains_all_that_it_moves() -> None:
    before, after = demo(), demo(product__temperature__low="5 C")
    found = between(before, after)
    assert [each.path for each in found.changes] == ["product.temperature.low"]
    assert found.moves
    for move in found.moves:
        if move.before is not None and move.after is not None and move.causes:
            assert move.causes[0].effect == pytest.approx(move.after.likely - move.before.likely)
            assert move.together == pytest.approx(0.0, abs=1e-9 * abs(move.after.likely) + 1e-12)
    line = next(each for each in found.moves if each.figure.key == "line.total")
    assert line.after is not None and line.before is not None
    assert line.after.likely > line.before.likely  # colder is thicker
    assert line.after == assess(after, samples=SAMPLES).figure("line.total", line.figure.condition)


def test_two_changes_are_told_apart_and_what_is_left_is_said() -> None:
    found = between(demo(), demo(product__temperature__low="5 C", line__length="12 m"))
    line = next(
        each for each in found.moves if each.figure.key == "line.total" and each.figure.condition == "winter"
    )
    assert line.after is not None and line.before is not None
    effects = {each.path: each.effect for each in line.causes}
    assert set(effects) == {"product.temperature.low", "line.length"}
    total = line.after.likely - line.before.likely
    assert sum(effects.values()) + line.together == pytest.approx(total)
    assert line.together > 0.0  # a longer line of colder product costs more than both alone
    norm = next(
        each for each in found.moves if each.figure.key == "line.total" and each.figure.condition == "norm"
    )
    assert [each.path for each in norm.causes] == ["line.length"]  # winter moves winter only


def test_a_list_of_another_length_is_one_change() -> None:
    before = load(WHOLE / "S01.toml")
    fewer = before.model_copy(update={"product": (before.product[0].model_copy(update={"flow_curve": ()}),)})
    assert len(before.product[0].flow_curve) > 1
    paths = [each.path for each in between(before, fewer).changes]
    assert paths == ["product.flow_curve"]


def test_a_verdict_that_turns_names_what_turns_it_alone() -> None:
    """Flammable without a known zone is asked first, whatever else changes."""
    found = between(demo(), demo(product__flammable="true", line__length="4 m"))
    verdicts = {path: result.verdict for path, result in found.alone if result is not None}
    assert set(verdicts) == {"product.flammable", "line.length"}
    assert verdicts["product.flammable"] == found.after.verdict != found.before.verdict
    assert verdicts["line.length"] == found.before.verdict


def test_many_changes_are_tried_table_by_table() -> None:
    found = between(load(WHOLE / "S01.toml"), load(WHOLE / "S03.toml"))
    assert len(found.changes) > 24
    assert all("." not in path for path, _ in found.alone)


def test_command_line_and_python_say_the_same(tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    text = DEMO.read_text(encoding="utf-8").replace('low = "12 C"', 'low = "5 C"', 1)
    other.write_text(text, encoding="utf-8")
    for each in DEMO.parent.iterdir():
        if each.is_file() and each.suffix != ".toml":
            (tmp_path / each.name).write_bytes(each.read_bytes())
    options = ["diff", str(DEMO), str(other), "--samples", str(SAMPLES)]
    said = CliRunner().invoke(group, [*options, "--json"])
    assert said.exit_code == 0, said.output
    data = json.loads(said.stdout)
    found = between(load(DEMO), load(other))
    assert data["after"]["verdict"] == found.after.verdict
    assert [row["path"] for row in data["changes"]] == [each.path for each in found.changes]
    assert [row["figure"] for row in data["moves"]] == [each.figure.key for each in found.moves]
    screen = CliRunner().invoke(group, options)
    long = [line for line in screen.stdout.splitlines() if len(line) > 80 and str(tmp_path) not in line]
    assert screen.exit_code == 0 and long == []
    assert "product.temperature.low: 12.0 °C -> 5.0 °C" in screen.stdout


def test_a_file_that_cannot_be_read_is_named() -> None:
    said = CliRunner().invoke(group, ["diff", str(DEMO), "nowhere.toml"])
    assert said.exit_code == 2 and "nowhere.toml" in said.output
