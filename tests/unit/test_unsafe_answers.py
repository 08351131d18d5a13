"""Answers that would mislead somebody who relies on them; each beside the case in which it is right."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from test_verdict import answer, keys

from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.machine.container.warm_up import HeatCard, Store, warm_up
from drumwright.study.result import Result

COLD: dict[str, Any] = {"product.temperature": {"low": "5 C", "norm": "20 C", "high": "25 C"}}
WARM = {**COLD, "site.warm_to": "20 C", "site.heating": "hot_room"}


def core(result: Result, season: str = "winter") -> float:
    """Core temperature at the product's surface in a season [C]."""
    return dict(result.path)[season][0].temperature - 273.15


@pytest.mark.parametrize("ambient", [268.15, 283.15, 290.15])
def test_surroundings_short_of_the_target_never_warm_to_it(ambient: float) -> None:
    card = HeatCard(0.4, 3000.0, 1100.0, 3e-4, 100.0)
    found = warm_up(0.57, 0.8, card, Store(ambient, 9.0), np.array([283.15]), np.array([293.15]))
    assert np.all(np.isinf(np.asarray(found.core_time))) and np.all(np.isinf(np.asarray(found.mean_time)))
    ready = warm_up(0.57, 0.8, card, Store(303.15, 9.0), np.array([283.15]), np.array([293.15]))
    assert np.all(np.isfinite(np.asarray(ready.core_time)))


@pytest.mark.parametrize(
    ("heating", "field", "value"),
    [("hot_room", "heating_temperature", "18 C"), ("hall_air", "hall_temperature", "5 C")],
)
def test_a_store_colder_than_the_core_wanted_is_refused_by_field(
    heating: str, field: str, value: str
) -> None:
    with pytest.raises(InputError, match=field):
        answer({**WARM, "site.heating": heating, f"site.{field}": value})
    assert answer({**WARM, "site.heating": heating, f"site.{field}": "30 C"}).verdict


def test_a_bath_of_unknown_temperature_warms_nothing() -> None:
    timed = {**COLD, "site.heating": "water_bath", "site.conditioning_time": "48 h"}
    unknown = answer(timed)
    assert core(unknown) == pytest.approx(5.0, abs=0.1)
    assert "not_judged.fields" in keys(unknown)
    assert core(answer({**timed, "site.heating_temperature": "35 C"})) > 10.0


def test_a_time_too_short_for_the_core_wanted_is_what_the_feed_sees() -> None:
    room = {**WARM, "site.heating_temperature": "30 C"}
    short = answer({**room, "site.conditioning_time": "10 h"})
    assert core(short) < 12.0
    assert core(answer(room)) == pytest.approx(20.0, abs=0.01)


def test_a_room_hotter_than_the_product_bears_is_computed_at_what_it_bears() -> None:
    hot = answer({**WARM, "site.heating_temperature": "90 C", "product.maximum_temperature": "40 C"})
    around = next(item for item in hot.figures if item.key.endswith("warm_up.surroundings"))
    assert around.likely == pytest.approx(313.15)
    assert "warm_up.too_hot" in keys(hot)


def test_a_hall_that_was_said_to_be_cold_cools_what_stands_in_it() -> None:
    stands = {"product.temperature": {"low": "40 C", "norm": "50 C", "high": "60 C"}, "product.model": [
        {"temperature": "20 C", "yield_stress": "100 Pa", "consistency": "80 Pa.s^n", "exponent": 0.35}],
        "site.conditioning_time": "100 h"}  # fmt: skip
    assert core(answer({**stands, "site.hall_temperature": "15 C"})) < 30.0
    assert core(answer(stands)) == pytest.approx(40.0, abs=0.1)


def test_a_lance_in_a_stiff_product_bores_a_hole() -> None:
    stiff = answer({"container.kind": "tight_head_drum"})
    assert "lance.hole" in keys(stiff)
    syrup = [{"temperature": "20 C", "consistency": "5 Pa.s^n", "exponent": 1.0}]
    assert "lance.hole" not in keys(answer({"container.kind": "tight_head_drum", "product.model": syrup}))


def test_a_bin_at_its_outlet_keeps_what_the_customer_accepts() -> None:
    stiff = {
        "container.kind": "rigid_ibc",
        "container.outlet_bore": "80 mm",
        "container.outlet_length": "0.3 m",
    }
    heel = next(item for item in answer(stiff).findings if item.key == "container.heel")
    assert heel.role == "fail" and heel.limit == pytest.approx(0.05)
    accepted = answer({**stiff, "enquiry.residue_wanted": "60 %"})
    assert not [item for item in accepted.findings if item.key == "container.heel" and item.role == "fail"]


def test_a_bag_in_a_bin_leaves_product_in_its_folds() -> None:
    bag = answer({"container.kind": "bag_in_bin"}, drop=("container.liner",))
    assert "model.liner_residue" in {row.field for row in bag.assumptions}
    bare = answer({"container.kind": "folding_bin"})
    assert "model.liner_residue" not in {row.field for row in bare.assumptions}


def test_a_published_starting_value_alone_is_never_a_yes() -> None:
    """The same prior beside a reading of this product may be."""
    prior = answer({"product.prior": "tomato paste"}, drop=("product.model",))
    assert prior.verdict == "ask_first" and "starting point" in render(prior.reason)


def test_a_wish_that_was_overruled_is_said_in_the_reason() -> None:
    wished = answer({"enquiry.plate_wanted": "none"})
    assert wished.verdict == "go_if" and "none was wished for" in render(wished.reason)
    assert "none was wished for" not in render(answer().reason)


def test_an_inflatable_seal_leaves_half_of_the_push_or_does_not_pass() -> None:
    """Air that holds the rim must lie under what the friction rule allows (physics book 2.5)."""
    seal = {"enquiry.plate_wanted": "inflatable_seal"}
    strong = answer({**seal, "machine.ram_force": "50 kN"})
    rule = next(item for item in strong.conditions if item.key == "plate.inflation_rule")
    assert rule.value is not None and rule.limit is not None and rule.value < rule.limit
    weak = answer({**seal, "machine.ram_force": "300 N"})
    assert next(gate for gate in weak.as_asked if gate.key == "container_plate").status == "fail"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("container.inside_diameter", "50 mm"),
        ("container.corner_radius", "1 m"),
        ("machine.plate_clearance", "0 mm"),
        ("product.freezing_width", "0 K"),
    ],
)
def test_a_value_nothing_can_be_computed_with_is_refused_by_field(field: str, value: str) -> None:
    with pytest.raises(InputError, match=field.split(".")[1]):
        answer({field: value})


def test_a_cone_upside_down_is_refused() -> None:
    cone = {"container.kind": "conical_drum", "container.diameter_bottom": "580 mm"}
    with pytest.raises(InputError, match="diameter_top"):
        answer({**cone, "container.diameter_top": "500 mm"})


def test_floor_in_the_warm_follows_the_footprint_of_the_container() -> None:
    """A bin stands by itself; four drums share a pallet."""
    room = {**WARM, "site.heating_temperature": "35 C"}

    def each(changes: dict[str, Any]) -> float:
        found = {
            item.key.removeprefix("recommended."): item.likely for item in answer({**room, **changes}).figures
        }
        return found["warm_up.floor"] / np.ceil(found["warm_up.stock"])

    syrup = [{"temperature": "20 C", "consistency": "5 Pa.s^n", "exponent": 1.0}]
    bins = each({"container.kind": "rigid_ibc", "product.model": syrup, "enquiry.drums_per_shift": 2,
                 "container.outlet_bore": "80 mm", "container.outlet_length": "0.3 m"})  # fmt: skip
    assert bins >= 2.0 * 1.0 * 0.9
    assert each({}) < 1.5


BIN = {"container.kind": "folding_bin"}


def test_what_is_asked_first_is_what_would_decide() -> None:
    """A check that waits for a field makes that field the first question."""
    rounding = answer(BIN)
    assert rounding.verdict == "ask_first"
    assert "container.corner_radius" in [item.key for item in rounding.questions[:2]]
    fibre = answer({"container.kind": "fibre_drum"})
    assert fibre.verdict == "ask_first" and "diameter" in fibre.questions[0].key
    assert "container.corner_radius" not in {row.field for row in answer().assumptions}


def test_rounder_corners_leave_less_in_the_corners_of_a_bin() -> None:
    """A follower of a given corner radius reaches a corner that is as round, and misses a sharper one."""

    def corners(radius: str) -> float:
        found = answer({**BIN, "container.corner_radius": radius})
        return next(part.likely for part in found.residue if part.place == "bin_corners")

    assert corners("0 mm") > corners("40 mm") > corners("150 mm") == 0.0


def test_a_bin_is_described_by_its_sides() -> None:
    fields = [row[1] for row in answer(BIN).understood]
    assert "container.length" in fields and "container.inside_diameter" not in fields


def test_the_feed_limit_of_an_outlet_is_told_and_bounds_the_flow() -> None:
    syrup = [{"temperature": "20 C", "consistency": "5 Pa.s^n", "exponent": 1.0}]
    case = {"container.kind": "rigid_ibc", "product.model": syrup, "container.outlet_length": "0.3 m"}

    def told(bore: str) -> dict[str, float]:
        found = answer({**case, "container.outlet_bore": bore})
        return {item.key: item.likely for item in found.figures if item.condition in ("winter", "all")}

    wide, narrow = told("80 mm"), told("40 mm")
    for found in (wide, narrow):
        assert found["outlet.fed_full"] > found["outlet.fed_low"] > 0.0
    # laminar and Newtonian: near the fourth power of the bore, the entry and the valve take some of it
    assert 8.0 < wide["outlet.fed_low"] / narrow["outlet.fed_low"] < 16.5
    assert "outlet.fed_low" not in {item.key for item in answer().figures}


def test_no_lip_is_believed_under_a_press_ten_times_as_strong() -> None:
    strong = answer({"machine.ram_force": "50 kN"})
    assert next(gate for gate in strong.as_asked if gate.key == "container_plate").status == "fail"
    assert next(gate for gate in answer().as_asked if gate.key == "container_plate").status == "pass"
