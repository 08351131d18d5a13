"""What an answer says of warming and cold: bands, frost, both ends of a thin product; invented cases."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_verdict import answer, keys

from drumwright.basis.phrases import render
from drumwright.machine.container import thaw
from drumwright.station import frozen
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

WHOLE = Path(__file__).parents[1] / "whole"
BANDS: dict[str, Any] = {
    "product.temperature": {"low": "5 C", "norm": "20 C", "high": "25 C"},
    "site.warm_to": "25 C",
    "site.heating": "band_heater",
    "site.heating_temperature": "60 C",
    "site.hall_temperature": "15 C",
}
FROST: dict[str, Any] = {
    "product.temperature": {"low": "5 C", "norm": "15 C", "high": "25 C"},
    "product.freezes_at": "-2 C",
    "site.store_temperature": "-25 C",
}


def likely(result: Result, key: str) -> float:
    """A figure of the arrangement shown, at likely values."""
    return next(item for item in result.figures if item.key.endswith(key)).likely


def said(result: Result, key: str) -> str:
    """Words of a finding or condition."""
    return next(render(item.text) for item in (*result.findings, *result.conditions) if item.key == key)


def scenario(name: str, **product: Any) -> Result:
    data = tomllib.loads((WHOLE / f"{name}.toml").read_text(encoding="utf-8"))
    data["product"][0] |= product
    return assess(case_from_dict(data, name, {}), samples=256)


def test_bands_that_were_not_described_are_an_assumption_and_cover_a_part() -> None:
    found = answer(BANDS)
    assert {"site.heater_power", "site.heater_height"} <= {row.field for row in found.assumptions}
    assert {"warm_up.uncovered", "warm_up.unlimited", "warm_up.band_heater"} <= keys(found)
    whole = answer({**BANDS, "site.heater_power": "3 kW", "site.heater_height": "0.85 m"})
    assert not {"site.heater_power", "site.heater_height"} & {row.field for row in whole.assumptions}
    assert "warm_up.uncovered" not in keys(whole)
    assert 3.0 * likely(whole, "warm_up.core_time") < likely(found, "warm_up.core_time")


def test_a_weak_heater_never_comes_to_its_limit_and_nothing_is_said_of_one_passed() -> None:
    strong, weak = (
        answer({**BANDS, "site.heater_height": "0.85 m", "site.heater_power": power})
        for power in ("2 kW", "400 W")
    )
    assert "warm_up.unlimited" in keys(strong) and likely(strong, "warm_up.limit_time") < 2 * 3600.0
    assert "warm_up.unlimited" not in keys(weak)
    assert not [item for item in weak.figures if item.key.endswith("warm_up.limit_time")]
    assert likely(weak, "warm_up.surroundings") < 333.0 < likely(strong, "warm_up.unlimited_wall")


def test_bands_whose_power_the_hall_eats_up_warm_nothing() -> None:
    feeble = answer({**BANDS, "site.heater_height": "0.85 m", "site.heater_power": "40 W"})
    assert "warm_up.weak" in keys(feeble) and "warm_up.time" not in keys(feeble)
    winter = dict(feeble.path)["winter"][0].temperature
    assert winter == pytest.approx(278.15, abs=0.1)
    enough = answer({**BANDS, "site.heater_height": "0.85 m", "site.heater_power": "1 kW"})
    assert "warm_up.weak" not in keys(enough)
    assert dict(enough.path)["winter"][0].temperature == pytest.approx(298.15, abs=0.1)


def test_time_above_what_the_product_bears_is_named() -> None:
    hot = answer({**BANDS, "product.maximum_temperature": "45 C", "site.heater_height": "0.85 m"})
    assert "45.0 °C it bears for" in said(hot, "warm_up.too_hot")
    hours = likely(hot, "warm_up.time_above") / 3600.0
    assert 0.0 < hours < likely(hot, "warm_up.core_time") / 3600.0
    mild = answer({**BANDS, "product.maximum_temperature": "70 C", "site.heater_height": "0.85 m"})
    assert not [item for item in mild.figures if item.key.endswith("warm_up.time_above")]


def test_the_picture_under_bands_has_its_target_when_it_is_ready() -> None:
    curves = answer(BANDS).warm_curves
    assert curves is not None
    assert np.interp(curves.ready, curves.times, curves.core) == pytest.approx(curves.target, abs=0.2)
    rows = zip(curves.core, curves.mean, curves.wall, strict=True)
    assert all(core <= mean + 1e-9 and mean <= wall + 1e-9 for core, mean, wall in rows)
    assert max(curves.wall) <= curves.around + 1e-9


def test_power_of_bands_nobody_uses_is_named_as_not_used() -> None:
    assert "not_judged.fields" in keys(answer({"site.heater_power": "2 kW"}))
    assert "Power of the band heaters" not in said_fields(answer(BANDS))


def said_fields(result: Result) -> str:
    return " ".join(render(item.text) for item in result.findings if item.key == "not_judged.fields")


def test_a_night_in_the_frost_names_ice_and_a_wall_that_latent_heat_holds() -> None:
    cold = answer(FROST)
    assert "cold.frozen" in keys(cold) and "cold.night" not in keys(cold)
    text = said(cold, "cold.frozen")
    wall = float(text.split(" in its core, ")[1].split(" °C")[0])
    assert -15.0 < wall < -2.0
    mild = answer({**FROST, "site.store_temperature": "0 C"})
    assert "cold.night" in keys(mild) and "cold.frozen" not in keys(mild)


def test_a_product_that_turns_over_is_given_both_ends_in_days() -> None:
    thin = scenario("S12")
    text = said(thin, "warm_up.standing")
    assert "(1.4 days) if the product turns over" in text and "(3.2 days) if it stands still" in text
    assert likely(thin, "warm_up.standing_time") > 2.0 * likely(thin, "warm_up.core_time")
    assert "warm_up.standing" not in keys(scenario("S03"))
    assert "product.conductivity" in {row.field for row in thin.assumptions}


def test_a_frozen_drum_is_thawed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The run on the grid is kept with the problem; a second one draws the picture."""
    runs: list[float] = []
    plain = thaw.drum_history

    def counted(*given: Any, **more: Any) -> Any:
        runs.append(given[4])
        return plain(*given, **more)

    monkeypatch.setattr(thaw, "drum_history", counted)
    monkeypatch.setattr(frozen, "drum_history", counted)
    ice = {"low": "-18 C", "norm": "20 C", "high": "30 C"}
    scenario("S03", freezes_at="-2 C", latent_heat="200 kJ/kg", temperature=ice)
    assert len(runs) == 1
