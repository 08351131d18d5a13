"""The search with its exact bars against plain evaluation of every candidate in the same order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

import drumwright.study.search as search_module
from drumwright.station.arrangement import Choice
from drumwright.station.casefile import load
from drumwright.station.inputs import draw, resolve
from drumwright.station.rheology import evidence
from drumwright.study.evaluation import Problem, evaluate
from drumwright.study.search import search
from drumwright.study.search_options import candidates

WHOLE = Path(__file__).parent.parent / "whole"
MOST = 1500  # candidates the plain loop may need


def _problem(name: str, samples: int = 64, **settings: str) -> Problem:
    case = load(WHOLE / f"{name}.toml", settings)
    container = next(c for c in case.container if c.kind == "straight_drum")
    inputs = resolve(case, case.product[0], container)
    known = evidence(case.product[0], inputs.likely("product.temperature.norm"))
    return Problem(inputs, draw(inputs, samples, 3), known)


@pytest.mark.parametrize("name", ["S01", "S02", "S07"])
def test_bars_leave_out_nothing_that_passes(name: str) -> None:
    problem = _problem(name)
    found = search(problem)
    assert found.best is not None
    for count, choice in enumerate(candidates(problem.inputs)):
        assert count < MOST, "the plain loop did not reach the arrangement found"
        if evaluate(problem, choice, quick=True).passes:
            assert choice == found.best.choice
            return


@pytest.mark.parametrize(("name", "settings"), [("S09", {}), ("S11", {}), ("S03", {"line.length": "30 m"})])
def test_ruling_out_greater_flows_changes_no_answer(
    name: str, settings: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What fails by suction or pressure fails at more flow: without that rule the answer is the same."""
    problem = _problem(name, **settings)
    with_rule = search(problem, limit=5000)

    def only_this(choice: Choice, names: list[str]) -> Iterator[tuple[object, ...]]:
        keys = search_module._dependencies(choice)
        return (keys[each] for each in names)

    monkeypatch.setattr(search_module, "_also_faster", only_this)
    without = search(problem, limit=5000)
    assert len(with_rule.tried) < len(without.tried)
    assert with_rule.exhausted and without.exhausted
    assert (with_rule.best and with_rule.best.choice) == (without.best and without.best.choice)


@pytest.mark.parametrize("name", ["S01", "S03"])
def test_what_is_kept_for_others_changes_no_check(name: str) -> None:
    """Feed, line and law kept between arrangements give what a problem of its own gives."""
    problem = _problem(name)
    for choice in islice(candidates(problem.inputs), 0, 400, 40):
        shared = evaluate(problem, choice)
        alone = evaluate(replace(problem), choice)
        assert [check.key for check in shared.checks] == [check.key for check in alone.checks]
        for one, other in zip(shared.checks, alone.checks, strict=True):
            assert np.array_equal(one.value, other.value) and np.array_equal(one.ok, other.ok)


def test_a_changed_problem_keeps_nothing_of_the_first() -> None:
    problem = _problem("S01")
    law, _, _ = problem.law("winter", None)
    thicker = replace(problem, sample={**problem.sample, "product.batch_factor": np.full(65, 2.0)})
    assert thicker.kept is not problem.kept
    assert float(np.asarray(thicker.law("winter", None)[0].yield_stress)[0]) > float(
        np.asarray(law.yield_stress)[0]
    )


def test_quick_evaluation_passes_exactly_what_the_full_one_passes() -> None:
    problem = _problem("S01")
    for index, choice in enumerate(candidates(problem.inputs)):
        if index > 60:
            break
        assert evaluate(problem, choice, quick=True).passes == evaluate(problem, choice).passes


def test_a_search_without_any_answer_says_that_it_is_exhausted() -> None:
    problem = _problem("S01", **{"enquiry.pressure_limit": "0.1 bar(g)"})
    found = search(problem)
    assert found.best is None and found.exhausted
    assert found.tried


def test_a_season_that_fails_fails_the_arrangement() -> None:
    """Winter alone fails S01 as asked; norm and summer alone pass it."""
    problem = _problem("S01")
    first = next(iter(candidates(problem.inputs)))
    judged = {s: evaluate(replace(problem, seasons=(s,)), first).passes for s in ("winter", "summer")}
    assert judged == {"winter": False, "summer": True}


@pytest.mark.parametrize("name", ["S01", "S02"])
def test_a_settled_rate_leaves_out_nothing(name: str) -> None:
    """Where rate and people pass as asked, the shorter list ends at the same arrangement."""
    problem = _problem(name)
    whole, short = search(problem), search(problem, rate_settled=True)
    assert whole.best is not None and short.best is not None
    assert whole.best.choice == short.best.choice
