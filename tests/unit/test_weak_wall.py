"""A wall that bears less than the plate presses: the ram is turned down, or the reason has the number."""

from __future__ import annotations

import pytest
from test_verdict import answer, keys

from drumwright.basis.phrases import render
from drumwright.study.result import Result

RAM = {"machine.ram_force": {"low": "6 kN", "likely": "7 kN", "high": "8 kN", "basis": "assumed"}}


def beside(limit: str) -> Result:
    return answer({**RAM, "container.allowed_pressure": limit})


def test_a_strong_wall_leaves_the_ram_alone() -> None:
    for found in (answer(RAM), beside("1 bar(g)")):
        assert "change.ram" not in keys(found)


@pytest.mark.parametrize("limit", [0.25, 0.15, 0.08])
def test_the_ram_is_turned_down_to_what_the_wall_bears(limit: float) -> None:
    found = beside(f"{limit} bar(g)")
    assert found.verdict == "go_if" and found.gate == "container_plate"
    assert "ram turned down to" in render(found.reason) and f"{limit:.3g}" in render(found.reason)
    asked, now = (found.figure(f"{head}plate.under_pressure") for head in ("", "recommended."))
    assert asked.likely > limit * 1e5 >= now.high
    # no more than needed: what stays in the drum rises with a weaker ram
    assert found.figure("recommended.residue.share").likely >= answer(RAM).figure("residue.share").likely


def test_a_weaker_wall_asks_for_a_weaker_ram() -> None:
    forces = [
        beside(f"{limit} bar(g)").figure("recommended.plate.force").likely for limit in (0.25, 0.15, 0.08)
    ]
    assert forces == sorted(forces, reverse=True) and forces[-1] > 0.0


@pytest.mark.parametrize(("limit", "verdict"), [("0.02", "ask_first"), ("0.003", "refuse")])
def test_where_no_ram_is_weak_enough_the_reason_has_both_numbers(limit: str, verdict: str) -> None:
    """The weight of the plate alone is about 0.02 bar on a drum."""
    found = beside(f"{limit} bar(g)")
    assert found.verdict == verdict and found.gate == "container_plate"
    assert "on the wall of the container" in render(found.reason) and limit in render(found.reason)
