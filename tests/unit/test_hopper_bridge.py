"""An open hopper that bridges a change: what is credited, and what silence never credits. Invented case."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path

import pytest
from scipy import stats

from drumwright.basis.tables import read_toml
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

BASE = tomllib.loads((Path(__file__).parents[1] / "whole" / "S07.toml").read_text(encoding="utf-8"))
HOPPER = {
    "buffer.kind": "open_hopper", "buffer.volume": "90 L", "shift.draw": "12 L/min",
    "enquiry.flow": "20 L/min", "shift.heel": "0 L", "shift.start_level": "95 %",
}  # fmt: skip


TIMES = ("model.change_arm", "model.pallet_exchange", "shift.react_time")


@cache
def _result(settings: tuple[tuple[str, str], ...]) -> Result:
    return assess(case_from_dict(BASE, "S07", dict(settings)), samples=512)


def answer(without: str = "", **changed: str) -> Result:
    """S07 with an open hopper and settings laid over it; a double underscore stands for the dot."""
    settings = HOPPER | {key.replace("__", "."): value for key, value in changed.items()}
    return _result(tuple(sorted((k, v) for k, v in settings.items() if k != without)))


def fails(result: Result) -> bool:
    """Whether a change breaks the flow of what was asked for."""
    return any(item.key == "rate.uninterrupted" for item in result.findings)


def test_a_hopper_that_outlasts_the_change_at_its_p95_bridges_it() -> None:
    """95 % of 90 L at 12 L/min are 7.1 min, against a lognormal change of 4.5 min, spread 25 %, by SciPy."""
    sigma = math.sqrt(math.log(1.0 + 0.25**2))
    p95 = stats.lognorm(sigma, scale=4.5 * math.exp(-0.5 * sigma**2)).ppf(0.95)
    assert 0.95 * 90.0 / 12.0 > p95 > 0.95 * 80.0 / 12.0
    passes = answer()
    assert not fails(passes)
    item = next(item for item in passes.conditions if item.key == "supply.bridged")
    assert item.value == pytest.approx(p95 * 60.0, rel=1e-9)
    assert item.limit == pytest.approx(0.95 * 90.0 / 12.0 * 60.0, rel=1e-9)
    assert fails(answer(buffer__volume="80 L"))


def test_nothing_is_credited_where_the_pump_cannot_fill_it_again() -> None:
    """One station keeps up 12 L/min from 198/(16.5 - 4.5) = 16.5 L/min of its pump."""
    assert not fails(answer(enquiry__flow="16.6 L/min"))
    assert fails(answer(enquiry__flow="16.4 L/min"))
    assert fails(answer(without="shift.draw", enquiry__flow="12 L/min"))


@pytest.mark.parametrize("field", ["shift.heel", "shift.start_level"])
def test_silence_never_credits_more(field: str) -> None:
    assert fails(answer(without=field))
    assert not fails(answer(without=field, buffer__volume="120 L"))


@pytest.mark.parametrize("kind", ["gas_cushion", "spring", "none"])
def test_no_other_buffer_is_taken_for_an_open_hopper(kind: str) -> None:
    result = answer(buffer__kind=kind, buffer__volume="500 L")
    assert fails(result)
    assert "supply.bridged" not in {item.key for item in result.conditions}


def test_the_hopper_of_the_destination_counts_with_it() -> None:
    """The filler of the scenario has 25 L of its own: 65 L more bridge the change."""
    assert not fails(answer(buffer__volume="65 L", destination__hopper_volume="25 L"))
    assert fails(answer(buffer__volume="65 L"))


def test_the_pallet_is_in_the_change_of_a_moving_arm() -> None:
    """No change time stated: arm and exchange of the pallet at likely inputs, their spread, reaction."""
    data = {**BASE, "enquiry": {k: v for k, v in BASE["enquiry"].items() if k != "change_time"}}
    said = HOPPER | {"enquiry.stand_wanted": "moving_arm", "buffer.volume": "1000 L"}
    result = assess(case_from_dict(data, "S07", said), samples=512)
    item = next(item for item in result.conditions if item.key == "supply.bridged")
    row = read_toml("defaults.toml")
    minutes = {name: float(row[f"{name}"]["likely"].split()[0]) for name in TIMES}
    sigma = math.sqrt(math.log(1.0 + 0.25**2))
    p95 = math.exp(1.6448536269514722 * sigma - 0.5 * sigma**2)
    mean = minutes["model.change_arm"] + minutes["model.pallet_exchange"]
    assert item.value == pytest.approx(60.0 * (mean * p95 + minutes["shift.react_time"]), rel=1e-6)
