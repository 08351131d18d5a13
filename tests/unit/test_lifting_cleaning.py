"""Manual lifts and cleaning classes: screening numbers, and the conditions they bring."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_verdict import answer

from drumwright.basis.phrases import render
from drumwright.station.casefile import load
from drumwright.study.assess import assess
from drumwright.study.lifting import frequency_factor, weight_limit
from drumwright.study.result import Result

WHOLE = Path(__file__).parent.parent / "whole"
INCH, POUND, HOUR = 0.0254, 0.45359237, 3600.0


def judged(name: str, **settings: str) -> Result:
    given = {key.replace("__", "."): value for key, value in settings.items()}
    return assess(load(WHOLE / f"{name}.toml", given), samples=1024)


def keys(result: Result) -> set[str]:
    return {item.key for item in result.conditions}


def test_best_posture_allows_the_load_constant() -> None:
    assert weight_limit(0.25, 0.75, 0.25, 0.0, 0.0, HOUR, "good") == pytest.approx(23.0)


def test_indices_of_the_trade_book_come_out_with_the_assumed_postures() -> None:
    """Trade book 4.1: 2.2 and 2.7; its postures are not said, ours are assumed: no verification of either."""
    assert 20.0 / weight_limit(0.60, 0.88, 0.15, 0.0, 0.0, HOUR, "fair") == pytest.approx(2.2, rel=0.05)
    assert 20.0 / weight_limit(0.50, 0.15, 0.75, 0.0, 0.0, HOUR, "poor") == pytest.approx(2.7, rel=0.05)


def test_metric_form_stays_a_little_below_the_form_in_inches() -> None:
    """The form in inches and pounds typed anew: 51 lb, 10/H, 1 - 0.0075 |V - 30|, 0.82 + 1.8/D."""
    for height, coupling in ((15.0, 0.95), (64.0, 1.0)):
        inches = 51.0 * 10.0 / 23.0 * (1.0 - 0.0075 * abs(height - 30.0)) * (0.82 + 1.8 / 49.0) * coupling
        limit = weight_limit(23.0 * INCH, height * INCH, 49.0 * INCH, 0.0, 0.2 / 60.0, HOUR, "fair") / POUND
        assert 0.96 * inches < limit < inches


@pytest.mark.parametrize(
    ("reach", "height", "angle"), [(0.64, 0.8, 0.0), (0.3, 1.8, 0.0), (0.3, 0.8, 140.0), (0.3, -0.1, 0.0)]
)
def test_out_of_reach_nothing_may_be_lifted(reach: float, height: float, angle: float) -> None:
    assert weight_limit(reach, height, 0.5, angle, 0.0, HOUR, "good") == 0.0


def test_more_often_and_longer_never_allows_more() -> None:
    for time in (HOUR, 2.0 * HOUR, 8.0 * HOUR):
        row = [frequency_factor(rate / 60.0, time) for rate in (0.1, 0.2, 1.0, 3.5, 9.0, 12.0, 30.0)]
        assert row == sorted(row, reverse=True)
        assert row[-1] == 0.0
    assert frequency_factor(5.0 / 60.0, 8.0 * HOUR) < frequency_factor(5.0 / 60.0, 0.5 * HOUR)
    assert frequency_factor(0.1 / 60.0, 8.0 * HOUR) == 1.0  # hands rest long enough
    assert frequency_factor(0.5 / 60.0, 8.0 * HOUR) == 0.81


def test_an_empty_drum_asks_for_an_aid_and_an_aid_silences_it() -> None:
    result = judged("S01")
    assert "people.lifting" in keys(result)
    assert result.figure("people.lifting_index").likely > 1.0
    helped = judged("S01", shift__lifting_aid="true")
    assert "people.lifting" not in keys(helped)


def test_bins_are_lifted_by_nobody() -> None:
    assert "people.lifting" not in keys(answer({"container.kind": "rigid_ibc"}))


def test_changes_of_product_say_class_parts_and_that_no_clean_is_judged() -> None:
    result = judged("S02")
    assert {"cleaning.class", "cleaning.sequence", "not_judged.hygiene"} <= keys(result)
    text = next(render(item.text) for item in result.conditions if item.key == "cleaning.class")
    assert "class c" in text and "pump" in text and "seal of the plate" in text
    assert result.figure("cleaning.water_per_shift").high > result.figure("cleaning.water_per_shift").low
    soft = judged("S02", shift__cleaning="same_family")
    assert "cleaning.allergen" in keys(soft)


def test_one_product_has_no_change_but_the_clean_stays_unjudged() -> None:
    result = judged("S01")
    assert not {"cleaning.class", "cleaning.sequence"} & keys(result)
    assert "not_judged.hygiene" in keys(result)


def test_a_product_that_does_not_cure_is_no_reactive_one() -> None:
    """Said to cure with nothing is said not to cure: water has its place."""
    said = {"enquiry__recipes_per_shift": "3"}
    text = {
        cure: next(
            render(item.text)
            for item in judged("S01", product__cures_with=cure, **said).conditions
            if item.key == "cleaning.class"
        )
        for cure in ("nothing", "moisture")
    }
    assert "class c" in text["nothing"] and "class d" in text["moisture"]
