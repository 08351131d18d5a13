"""Whole enquiries (invented) against a senior engineer's answer: verdict, gate, figures, flags, findings."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from scorer import score

from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

HERE = Path(__file__).parent
SAMPLES = 2048


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


EXPECTED, CHECKS, PENDING = _read("expected.toml"), _read("checks.toml"), _read("pending.toml")
SCORING = _read("scoring.toml")


@cache
def _result(
    name: str, at: str | None, settings: tuple[tuple[str, str], ...], dropped: tuple[str, ...]
) -> Result:
    data = _read(f"{name}.toml")
    for path in dropped:
        table, _, field = path.partition(".")
        if field.isdigit():  # a whole record of a list
            del data[table][int(field)]
            continue
        record = data[table][0] if isinstance(data[table], list) else data[table]
        del record[field]
    return assess(case_from_dict(data, name, dict(settings)), samples=SAMPLES, at=at)


def _of(name: str, row: dict[str, Any] | None = None) -> Result:
    row = row or {}
    settings = tuple(sorted(row.get("set", {}).items()))
    return _result(name, row.get("at"), settings, tuple(row.get("drop", ())))


def _said(result: Result) -> set[str]:
    return {item.key for item in (*result.findings, *result.conditions)}


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_verdict_and_gate(name: str) -> None:
    result = _of(name)
    assert (result.verdict, result.gate) == (EXPECTED[name]["verdict"], EXPECTED[name]["gate"])


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_expected_flags_are_raised(name: str) -> None:
    raised = {row.field: row.flag for row in _of(name).assumptions}
    wanted = EXPECTED[name]["flags"]
    assert {field: raised.get(field) for field in wanted} == wanted


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_what_must_be_said_is_found(name: str) -> None:
    assert set(EXPECTED[name]["says"]) <= _said(_of(name))


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_twin_without_the_cause_is_silent(name: str) -> None:
    """A neighbour case with the cause removed no longer raises the finding."""
    twin = EXPECTED[name]["twin"]
    result = _of(name, twin)
    assert not set(twin["gone"]) & _said(result)
    if "verdict_not" in twin:
        assert result.verdict != twin["verdict_not"]


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_no_firm_offer_goes_out(name: str) -> None:
    """None of these enquiries may get a firm offer; a refusal gets none at all."""
    result = _of(name)
    assert result.offer == ("nothing" if result.verdict == "refuse" else "budget_letter")


def _rows() -> list[Any]:
    return [
        pytest.param(name, row, id=f"{name}-{row['figure']}-{index}")
        for name, rows in CHECKS.items()
        for index, row in enumerate(rows)
    ]


def _missed(name: str, row: dict[str, Any]) -> str:
    """What a check value has against what it should be, "" where it is met."""
    figure = _of(name, row).figure(row["figure"])
    if "range" in row:
        met = row["range"][0] <= figure.middle <= row["range"][1]
        return "" if met else f"{figure.middle} outside {row['range']}"
    tolerance = row["absolute"] if "absolute" in row else row["relative"] * abs(row["value"])
    return "" if abs(figure.likely - row["value"]) <= tolerance else f"{figure.likely} for {row['value']}"


@pytest.mark.parametrize(("name", "row"), _rows())
def test_check_value(name: str, row: dict[str, Any]) -> None:
    assert _missed(name, row) == ""


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_every_scenario_scores_ninety_points(name: str) -> None:
    """Trade book 7: by its own scoring."""
    met = [(row["figure"], not _missed(name, row)) for row in CHECKS.get(name, ())]
    found = score(_of(name), EXPECTED[name], met, SCORING[name])
    assert found.total >= 90.0, found.lost


def test_a_firm_offer_where_none_may_go_out_scores_nothing() -> None:
    for name in ("S11", "S12"):
        wrong = replace(_of(name), offer="firm_offer")
        assert score(wrong, EXPECTED[name], (), SCORING[name]).total == 0.0


def test_a_wrong_verdict_or_a_forbidden_sentence_costs_its_points() -> None:
    good = score(_of("S01"), EXPECTED["S01"], (), SCORING["S01"])
    wrong = score(replace(_of("S01"), verdict="refuse"), EXPECTED["S01"], (), SCORING["S01"])
    assert good.total - wrong.total == pytest.approx(40.0)
    forbidden = {**SCORING["S01"], "must_not": ["[Ww]inter"]}
    assert score(_of("S01"), EXPECTED["S01"], (), forbidden).words == 0.0
    unasked = {**EXPECTED["S01"], "flags": {"topic.never": "R"}}
    assert score(_of("S01"), unasked, (), SCORING["S01"]).questions == 0.0


def test_pending_lines_are_still_open() -> None:
    """A line that passes must move from pending.toml to the checks; there may be none."""
    for name, rows in PENDING.items():
        for row in rows:
            result = _of(name)
            if "figure" in row:
                assert row["figure"] not in {figure.key for figure in result.figures}, (name, row)
            else:
                reached = result.verdict == row["verdict"] and result.gate == row.get("gate", result.gate)
                assert not reached, (name, row)
