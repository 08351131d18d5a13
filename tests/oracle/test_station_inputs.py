"""From case to sample: what was said stays, gaps are filled and named, draws are repeatable."""

from __future__ import annotations

import copy
import itertools
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drumwright.basis.estimate import Estimate
from drumwright.station.by_kind import defaults
from drumwright.station.casefile import case_from_dict, load
from drumwright.station.inputs import REFIT, Inputs, dimensions, draw, resolve
from station_kit import PASTE, changed

TEXT = """
[case]
title = "what if"
[enquiry]
flow = "1 m3/h"
[[product]]
name = "paste"
temperature = {low="10 C", norm="20 C", high="30 C"}
[[product.model]]
temperature = "20 C"
yield_stress = "150 Pa"
consistency = "60 Pa.s^n"
exponent = 0.35
[[container]]
kind = "straight_drum"
[line]
bore = "DN50"
length = {low="4 m", likely="5 m", high="7 m", basis="assumed"}
"""


def resolved(data: dict[str, Any]) -> Inputs:
    """Inputs of a case given as tables."""
    case = case_from_dict(data, "test")
    return resolve(case, case.product[0], case.container[0] if case.container else None)


def test_a_case_from_a_file_and_from_tables_gives_equal_inputs(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(TEXT)
    read, made = load(path), case_from_dict(tomllib.loads(TEXT), "what if")
    one, other = (resolve(case, case.product[0], case.container[0]) for case in (read, made))
    assert one.estimates == other.estimates
    assert (one.choices, one.defaulted, one.missing) == (other.choices, other.defaulted, other.missing)
    first, second = draw(one, 64, 7), draw(other, 64, 7)
    assert first.keys() == second.keys()
    assert all(np.array_equal(first[key], second[key]) for key in first)


def test_a_setting_is_the_same_as_writing_it(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(TEXT)
    set_, path2 = load(path, {"line.bore": "DN65"}), tmp_path / "other.toml"
    path2.write_text(TEXT.replace("DN50", "DN65"))
    written = load(path2)
    one, other = (resolve(case, case.product[0], case.container[0]) for case in (set_, written))
    assert one.estimates == other.estimates


def test_what_is_said_is_never_overwritten() -> None:
    said = {
        "line.own_hose": ("7 m", 7.0), "line.rise": ("0.2 m", 0.2), "site.ceiling": ("5 m", 5.0),
        "machine.plate_mass": ("33 kg", 33.0), "enquiry.shift": ("300 min", 18000.0),
        "destination.pressure": ("1.1 bar(g)", 1.1e5), "line.working_share": ("0.7", 0.7),
        "container.hoop_depth": ("11 mm", 0.011), "container.bottom_mismatch": ("2 mm", 0.002),
        "product.restart_factor": ("1.9", 1.9), "product.batch_factor": ("1.05", 1.05),
    }  # fmt: skip
    data = changed(PASTE, container__bottom_depth="12 mm")
    data = changed(data, **{key.replace(".", "__"): text for key, (text, _) in said.items()})
    inputs = resolved(data)
    for key, (_, value) in said.items():
        made = inputs.estimates[key]
        assert (made.low, made.high, made.basis) == (made.likely, made.likely, "customer")
        assert made.likely == pytest.approx(value, rel=1e-12)
        assert key not in inputs.defaulted


def test_gaps_are_filled_and_named() -> None:
    inputs = resolved({"product": [{"name": "x"}], "container": [{"kind": "straight_drum"}]})
    for key, row in defaults().items():
        if key.startswith(("one_point.", "evidence.")):
            assert key not in inputs.estimates
        else:
            assert key in inputs.estimates and key in inputs.defaulted
            assert row.estimate.low <= inputs.likely(key) <= row.estimate.high or key.startswith(
                ("product.vapour", "product.temp")
            )
    assert {"enquiry.flow", "line.bore", "line.length", "product.flow_curve"} <= inputs.missing
    assert not resolved(PASTE).missing


def test_one_number_brings_its_own_unknowns() -> None:
    data = copy.deepcopy(PASTE)
    del data["product"][0]["model"]
    data["product"][0]["viscosity"] = "180000 cP"
    inputs = resolved(data)
    names = {"one_point.shear_rate", "one_point.exponent", "one_point.yield_share"}
    assert names <= inputs.defaulted
    data["product"][0]["viscosity_shear_rate"] = "10 1/s"
    known = resolved(data)
    assert known.likely("one_point.shear_rate") == pytest.approx(10.0)
    assert "one_point.shear_rate" not in known.defaulted


def test_bends_and_valves_become_diameters() -> None:
    """Hooper K1: 800 a bend, 300 a full-bore valve, over 64 (printed 12.5, 4.7); a stated sum goes first."""
    inputs = resolved(changed(PASTE, line__bends=3, line__valves=2))
    assert inputs.likely("line.fittings_diameters") == pytest.approx(3 * 800 / 64 + 2 * 300 / 64)
    assert "line.fittings_diameters" not in inputs.defaulted
    assert resolved(changed(PASTE, line__bends=0, line__valves=0)).likely("line.fittings_diameters") == 0.0
    both = resolved(changed(PASTE, line__bends=3, line__fittings_diameters=8))
    assert both.likely("line.fittings_diameters") == 8.0


def test_the_bottom_depth_becomes_a_mismatch() -> None:
    """Mean gap of a spherical cap under a flat plate: half its depth, by integration over the disc."""
    inputs = resolved(changed(PASTE, container__bottom_depth="12 mm"))
    made = inputs.estimates["container.bottom_mismatch"]
    radius, depth = 0.28575, 0.012
    ball = (radius**2 + depth**2) / (2.0 * depth)
    r = np.linspace(0.0, radius, 20001)
    gap = np.sqrt(ball**2 - r**2) - (ball - depth)  # depth below the rim
    mean = np.trapezoid(gap * r, r) / np.trapezoid(r, r)
    assert made.likely == pytest.approx(mean, rel=1e-3)
    assert made.low < made.likely < made.high
    assert made.basis == "computed" and "container.bottom_mismatch" not in inputs.defaulted


def test_the_usable_volume_follows_from_the_height() -> None:
    data = changed(PASTE, container__inside_height="850 mm", container__headspace="60 mm")
    del data["container"][0]["usable_volume"]
    area = 0.25 * np.pi * 0.5715**2
    assert resolved(data).likely("container.usable_volume") == pytest.approx(area * 0.79)


@pytest.mark.parametrize("said", [
    {"norm": "60 C"}, {"norm": "-10 C"}, {"norm": "22 C"}, {"low": "-20 C"}, {"low": "30 C"},
    {"high": "10 C"}, {"low": "10 C", "high": "12 C"}, {},
])  # fmt: skip
def test_winter_norm_and_summer_stay_in_order(said: dict[str, str]) -> None:
    inputs = resolved(changed(PASTE, product__temperature=said))
    low, norm, high = (inputs.likely(f"product.temperature.{name}") for name in ("low", "norm", "high"))
    assert low <= norm <= high
    for name, text in said.items():
        assert inputs.likely(f"product.temperature.{name}") == pytest.approx(float(text[:-2]) + 273.15)


def test_the_first_point_is_likely_and_the_rest_lies_between_the_ends() -> None:
    inputs = resolved(
        changed(PASTE, line__length={"low": "4 m", "likely": "5 m", "high": "9 m", "basis": "assumed"})
    )
    sample = draw(inputs, 512, 3)
    assert sample.keys() == inputs.estimates.keys() | {REFIT}
    assert sample[REFIT][0] == -1.0 and np.all((sample[REFIT][1:] >= 0.0) & (sample[REFIT][1:] < 1.0))
    for key, estimate in inputs.estimates.items():
        values = sample[key]
        assert values.shape == (513,)
        assert values[0] == estimate.likely
        assert np.all((values >= estimate.low) & (values <= estimate.high)) or estimate.shape == "normal"
    assert len(np.unique(sample["line.length"])) > 500


def test_the_same_seed_gives_the_same_bytes() -> None:
    inputs = resolved(PASTE)
    one, same, other = draw(inputs, 256, 5), draw(inputs, 256, 5), draw(inputs, 256, 6)
    for key, values in one.items():
        assert values.tobytes() == same[key].tobytes()
        if len(np.unique(values)) > 1:
            assert values.tobytes() != other[key].tobytes()
            assert values[0] == other[key][0]


def test_one_answer_more_moves_no_other_sample() -> None:
    before, after = (draw(resolved(data), 128, 5) for data in (PASTE, changed(PASTE, site__ceiling="4 m")))
    for key in before.keys() & after.keys():
        if key != "site.ceiling":
            assert np.array_equal(before[key], after[key]), key


def test_temperatures_and_the_pressure_class_are_conditions_not_samples() -> None:
    sample = draw(resolved({"product": [{"name": "x"}]}), 64, 5)
    for key in ("product.temperature.low", "product.temperature.norm", "product.temperature.high",
                "line.pressure_class"):  # fmt: skip
        assert len(np.unique(sample[key])) == 1, key


def test_every_quantity_owns_a_row_of_the_sampler() -> None:
    rows = dimensions()
    assert len(set(rows)) == len(rows)
    # two runs in order: those that were there first, and behind them those that came later
    assert sum(one > other for one, other in itertools.pairwise(rows)) == 1
    assert rows.index("site.ceiling") < rows.index("control.ramp_time")
    assert set(resolved(PASTE).estimates) <= set(rows)
    assert set(defaults()) <= set(rows)


def test_the_longest_stop_is_not_shorter_than_a_stated_stop() -> None:
    plain = resolved(PASTE).estimates["model.filler_stop"]
    stop = [{"every_run": "10 min", "lasts": "45 s"}, {"every_run": "2 h", "lasts": "25 min"}]
    found = resolved({**PASTE, "destination": {**PASTE.get("destination", {}), "stop": stop}})
    longest = found.estimates["model.filler_stop"]
    assert (longest.low, longest.likely, longest.high) == (1500.0, 1500.0, 3000.0)
    assert plain.likely < 1500.0 and "model.filler_stop" in found.defaulted
    short = [{"every_run": "10 min", "lasts": "45 s"}]
    kept = resolved({**PASTE, "destination": {**PASTE.get("destination", {}), "stop": short}})
    assert kept.estimates["model.filler_stop"] == plain


def test_replacing_one_estimate_leaves_the_others() -> None:
    inputs = resolved(PASTE)
    made = inputs.with_estimate("line.length", Estimate.exact(9.0))
    assert made.likely("line.length") == 9.0 and inputs.likely("line.length") == 5.0
    assert {key for key in made.estimates if made.estimates[key] != inputs.estimates[key]} == {"line.length"}
