"""result.json: one shape, finite, stable, SI beside display units."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import pytest
import sample_result as sample

from drumwright.report import json_form
from drumwright.report.json_form import as_dictionary

TOP = [
    "form", "head", "verdict", "gate", "reason", "offer", "duties", "gates", "findings", "conditions",
    "questions", "assumptions", "arrangement", "path", "residue", "pictures", "figures", "in_time", "hazards",
    "sources", "caution",
]  # fmt: skip
FIGURE = [
    "condition",
    "unit",
    "likely",
    "low",
    "middle",
    "high",
    "display",
    "basis",
    "assumptions",
    "why",
    "meaning",
]


def _numbers(data: Any) -> list[float]:
    if isinstance(data, dict):
        return [number for each in data.values() for number in _numbers(each)]
    if isinstance(data, list):
        return [number for each in data for number in _numbers(each)]
    return [data] if isinstance(data, float) else []


def test_shape_is_the_agreed_one() -> None:
    data = as_dictionary(sample.SAMPLE)
    assert list(data) == TOP
    assert data["form"] == "drumwright.result/1"
    for key, entries in data["figures"].items():
        assert [list(entry) for entry in entries] == [FIGURE] * 3, key
    assert list(data["figures"]) == sorted({item.key for item in sample.FIGURES})


def test_si_and_display_say_the_same() -> None:
    entry = as_dictionary(sample.in_us_units())["figures"]["line.total"][0]
    assert entry["unit"] == "Pa" and entry["likely"] == 4.17e5
    assert entry["display"]["unit"] == "psi(g)"
    assert entry["display"]["likely"] == pytest.approx(4.17e5 / 6894.757293168)


def test_text_is_stable_and_reads_back() -> None:
    text = json_form.text(sample.SAMPLE)
    assert text == json_form.text(sample.SAMPLE)
    assert json.loads(text) == json.loads(json_form.dump(as_dictionary(sample.SAMPLE)))


@pytest.mark.parametrize("bad", [math.inf, -math.inf, math.nan])
def test_numbers_are_finite_or_null(bad: float) -> None:
    first = replace(sample.FIGURES[0], high=bad)
    data = json.loads(json_form.text(replace(sample.SAMPLE, figures=(first, *sample.FIGURES[1:]))))
    assert all(math.isfinite(each) for each in _numbers(data))
    entry = data["figures"][first.key][0]
    assert entry["high"] is None and entry["display"]["high"] is None and entry["low"] is not None
