"""Notes on raising the plate and on outlets: each fires where its number says so, and is silent beside it."""

from __future__ import annotations

import pytest
from test_verdict import answer, keys

from drumwright.basis.phrases import render
from drumwright.study.result import Finding, Result


def found(result: Result, key: str) -> Finding:
    return next(item for item in (*result.findings, *result.conditions) if item.key == key)


def test_a_container_lighter_than_the_friction_of_the_seal_comes_up() -> None:
    """A lip rubs with about 135 N; a drum of 60 kg (588 N) stays, one of 5 kg does not."""
    light, heavy = answer({"container.tare": "5 kg"}), answer({"container.tare": "60 kg"})
    item = found(light, "container.lifts")
    assert item.role == "note" and item.limit == pytest.approx(5.0 * 9.80665)
    assert item.value is not None and item.limit is not None and item.value > item.limit
    assert "container.lifts" not in keys(heavy)
    weak = {"container.tare": "5 kg", "container.allowed_pressure": "2 mbar(g)"}
    assert found(answer({**weak, "machine.ram_force": "0 N"}), "container.lifts").role == "condition"
    held = answer({"container.tare": "5 kg", "container.hold_down": "2 kN"})
    assert "container.lifts" not in keys(held)


def test_assist_air_that_lifts_the_plate_alone_is_said() -> None:
    item = found(answer(), "withdrawal.self_rise")
    assert item.value is not None and item.limit is not None and item.value > item.limit
    assert "withdrawal.self_rise" not in keys(answer({"machine.plate_mass": "900 kg"}))


def test_a_vent_that_rested_product_plugs_needs_a_pin() -> None:
    """4 tau L/d against the assist limit: a thin product is blown out."""
    thin, stiff = ({"product.restart_factor": factor} for factor in ("1", "15"))
    assert "withdrawal.plug" not in keys(answer(thin))
    item = found(answer(stiff), "withdrawal.plug")
    assert item.value is not None and item.limit is not None and item.value > item.limit


def test_a_tilted_bin_keeps_less_and_its_line_is_bled() -> None:
    bin_ = answer({"container.kind": "rigid_ibc"})
    tilt, air = found(bin_, "outlet.tilt"), found(bin_, "outlet.line_air")
    assert tilt.value is not None and 0.0 < tilt.value < 1.0 and "10" in render(tilt.text)
    length, bore = 0.3, 0.05
    assert air.value is not None and 0.0 < air.value < 0.7854 * bore**2 * length
    assert not {"outlet.tilt", "outlet.line_air"} & keys(answer())
