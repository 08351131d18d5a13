"""The set-point ladder with a stated cushion or modulus: what is credited, and what silence never credits."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

import pytest

from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

BASE = tomllib.loads((Path(__file__).parents[1] / "whole" / "S07.toml").read_text(encoding="utf-8"))
CUSHION = {
    "buffer.kind": "gas_cushion", "buffer.volume": "20 L", "buffer.precharge": "1.3 bar(g)",
    "buffer.neck_bore": "65 mm", "buffer.neck_length": "0.1 m", "buffer.pressure": "10 bar(g)",
}  # fmt: skip


@cache
def _result(settings: tuple[tuple[str, str], ...]) -> Result:
    return assess(case_from_dict(BASE, "S07", dict(settings)), samples=512)


def missing(without: str = "", **changed: str) -> float:
    """Pressure the set points lack [Pa] with the cushion and settings laid over it."""
    settings = CUSHION | {key.replace("__", "."): value for key, value in changed.items()}
    result = _result(tuple(sorted((k, v) for k, v in settings.items() if k != without)))
    return float(result.figure("control.missing").high)


def test_a_cushion_that_was_stated_whole_makes_room() -> None:
    assert missing() == 0.0
    found = _result(tuple(sorted(CUSHION.items())))
    assert "control.missing" not in {item.key for item in found.conditions}


def test_the_more_gas_the_less_is_missing() -> None:
    lacks = [missing(buffer__volume=volume) for volume in ("0 L", "1 L", "3 L", "6 L", "20 L")]
    assert lacks == sorted(lacks, reverse=True) and lacks[0] > 20e5


@pytest.mark.parametrize("field", [each for each in CUSHION if each not in ("buffer.pressure",)])
def test_no_cushion_is_credited_that_was_not_stated_whole(field: str) -> None:
    assert missing(without=field) == pytest.approx(missing(buffer__volume="0 L"), rel=1e-9)


@pytest.mark.parametrize(
    "worse",
    [
        {"buffer__neck_bore": "15 mm", "buffer__neck_length": "1 m"},
        {"buffer__pressure": "6 bar(g)"},
        {"buffer__kind": "open_hopper"},
        {"buffer__kind": "none"},
    ],
)
def test_a_narrow_neck_or_a_weak_vessel_is_no_cushion(worse: dict[str, str]) -> None:
    """A vessel that bears less than the weakest part, a neck that takes more than the hysteresis."""
    assert missing(**worse) == pytest.approx(missing(buffer__volume="0 L"), rel=1e-9)


def test_a_stated_modulus_takes_the_place_of_hose_and_product() -> None:
    """The band is Q max(t_ramp, 4 t_lag) K/V at a stated K, whatever the hose does."""
    result = _result((("line.effective_modulus", "20 bar"), ("line.hose_growth", "0.5 %")))
    other = _result((("line.effective_modulus", "20 bar"), ("line.hose_growth", "5 %")))
    assert result.figure("control.slow_down").likely == pytest.approx(
        other.figure("control.slow_down").likely, rel=1e-12
    )
    volume = result.figure("line.volume").likely
    band = 12e-3 / 60.0 * max(1.5, 4.0 * 0.15) * 20e5 / volume
    gap = result.figure("control.stop").likely - result.figure("control.slow_down").likely
    assert gap == pytest.approx(band, rel=1e-6)
