"""Buffers and an outlet that shuts: what was not said never makes an answer better. Invented cases."""

import tomllib
from functools import cache
from pathlib import Path

import pytest

from drumwright.basis.phrases import render
from drumwright.station.casefile import case_from_dict
from drumwright.study.assess import assess
from drumwright.study.result import Result

BASE = tomllib.loads((Path(__file__).parents[1] / "whole" / "S07.toml").read_text(encoding="utf-8"))
CUSHION = {"buffer.kind": "gas_cushion", "buffer.volume": "10 L", "buffer.precharge": "6 bar(g)",
           "buffer.neck_bore": "65 mm", "buffer.neck_length": "0.1 m"}  # fmt: skip
SPRING = {"buffer.kind": "spring", "buffer.volume": "2 L", "buffer.precharge": "8 bar(g)",
          "buffer.full_pressure": "9.5 bar(g)"}  # fmt: skip
FAST = {"control.ramp_time": "0.3 s", "line.pressure_class": "16 bar(g)"}


@cache
def _result(settings: tuple[tuple[str, str], ...]) -> Result:
    return assess(case_from_dict(BASE, "S07", dict(settings)), samples=256)


def answer(**settings: str) -> Result:
    """Result of S07 with settings laid over it; a double underscore stands for the dot."""
    return _result(tuple(sorted((key.replace("__", "."), value) for key, value in settings.items())))


def laid(*tables: dict[str, str]) -> Result:
    """Result of S07 with tables of settings laid over it."""
    return _result(tuple(sorted({key: value for each in tables for key, value in each.items()}.items())))


def likely(result: Result, key: str) -> float:
    """Likely value of a figure [SI]."""
    return float(result.figure(key).likely)


def keys(result: Result) -> set[str]:
    """Keys of everything that is said."""
    return {item.key for item in (*result.conditions, *result.findings)}


def text(result: Result, key: str) -> str:
    """Sentence of a finding."""
    return next(render(item.text) for item in (*result.conditions, *result.findings) if item.key == key)


def test_dead_head_rise_is_flow_over_compliance() -> None:
    """Q K/V with a stated modulus of the whole line: 12 L/min into the volume of pipe and own hose."""
    result = answer(line__effective_modulus="100 MPa")
    volume = likely(result, "line.volume")
    assert likely(result, "transient.dead_head_rise") == pytest.approx(12e-3 / 60 * 1e8 / volume, rel=1e-6)


@pytest.mark.parametrize("said", [{"product.air_share": "2 %"}, {"line.hose_growth": "5 %"}])
def test_what_softens_the_line_counts_only_where_it_was_said(said: dict[str, str]) -> None:
    soft, plain = laid(said), answer()
    assert likely(soft, "transient.overshoot") < likely(plain, "transient.overshoot")
    assert likely(soft, "transient.dead_head_rise") < likely(plain, "transient.dead_head_rise")


def test_unknown_air_is_as_no_air() -> None:
    none = answer(product__air_share="0 %")
    assert likely(none, "transient.overshoot") == pytest.approx(likely(answer(), "transient.overshoot"))


@pytest.mark.parametrize("left_out", ["buffer.precharge", "buffer.neck_bore", "buffer.neck_length"])
def test_a_cushion_helps_only_where_it_was_stated_whole(left_out: str) -> None:
    whole = laid(CUSHION, FAST)
    lacking = laid({key: value for key, value in CUSHION.items() if key != left_out}, FAST)
    assert likely(whole, "transient.peak_buffered") < (
        likely(lacking, "line.allowed") + likely(lacking, "transient.overshoot")
    )
    assert "transient.peak_buffered" not in {figure.key for figure in lacking.figures}


def test_a_cushion_that_is_large_enough_silences_the_peak() -> None:
    peak = {"transient.overshoot_above"}
    assert peak <= keys(laid(FAST))
    assert not peak & keys(laid(CUSHION, FAST))


def test_a_spring_buffer_is_credited_by_its_stroke() -> None:
    result = laid(SPRING)
    peak = likely(result, "transient.peak_buffered")
    assert peak < likely(result, "line.allowed") + likely(result, "transient.overshoot")
    assert "buffer.cushion_class" not in keys(result)


@pytest.mark.parametrize("kind", [None, "gas_cushion"])
def test_a_pot_of_unknown_kind_is_screened_as_a_cushion(kind: str | None) -> None:
    result = answer(**({"buffer__kind": kind} if kind else {}))
    assert likely(result, "buffer.pressure_volume") == pytest.approx(360e2)
    said = text(result, "buffer.cushion_class")
    assert "360 bar.L" in said and "category II" in said and "open hopper" in said


def test_an_open_hopper_needs_no_class() -> None:
    result = answer(buffer__kind="open_hopper")
    assert not {"buffer.cushion_class", "buffer.stored_short", "buffer.two_things"} & keys(result)
    assert "topic.gas_cushion" not in {row.field for row in result.assumptions}


def test_without_a_safety_sheet_the_stricter_group_counts() -> None:
    said = text(answer(product__food="false"), "buffer.cushion_class")
    assert "category III with group 1" in said


def test_unknown_vessel_pressure_is_what_the_line_may_see() -> None:
    data = {key: dict(table) if key == "enquiry" else table for key, table in BASE.items()}
    del data["enquiry"]["buffer_pressure"]
    result = assess(case_from_dict(data, "S07"), samples=256)
    assert likely(result, "buffer.pressure_volume") == pytest.approx(10e5 * 60e-3)


def test_elsewhere_the_code_of_the_place_is_named() -> None:
    assert {"buffer.cushion_code"} <= keys(answer(case__place="US"))
    assert "buffer.cushion_class" not in keys(answer(case__place="US"))


def test_precharge_above_the_least_working_pressure() -> None:
    low = {"destination.inlet_pressure_low": "2 bar(g)", "destination.inlet_pressure_high": "6 bar(g)"}
    assert "buffer.precharge_high" in keys(laid(CUSHION, low))
    assert "buffer.precharge_high" not in keys(laid(CUSHION | {"buffer.precharge": "1 bar(g)"}, low))


def test_a_line_without_hose_is_called_stiff() -> None:
    assert "transient.stiff_line" in keys(answer(line__own_hose="0 m"))
    assert "transient.stiff_line" not in keys(answer())


def test_an_open_tank_asks_for_no_cushion() -> None:
    result = laid({"destination.kind": "open_tank", "buffer.kind": "none"})
    assert not {"transient.overshoot_above", "transient.stiff_line", "batch.after_flow"} & keys(result)


def test_a_batch_by_weight_says_its_after_flow() -> None:
    """Unknown air is counted here: it makes the batch worse."""
    plain = answer(destination__kind="batch_scale")
    without = answer(destination__kind="batch_scale", product__air_share="0 %")
    assert "batch.after_flow" in keys(plain)
    assert likely(plain, "batch.after_flow") > likely(without, "batch.after_flow")
    slower = answer(destination__kind="batch_scale", control__ramp_time="6 s")
    assert likely(slower, "batch.after_flow") > likely(plain, "batch.after_flow")


def test_a_thin_product_creeps_on_under_the_plate() -> None:
    data = {**BASE, "product": [{**BASE["product"][0], "model": [
        {"temperature": "12 C", "yield_stress": "0 Pa", "consistency": "2 Pa.s^n", "exponent": 1.0}
    ]}]}  # fmt: skip
    for rise, creeps in (("0 m", True), ("12 m", False)):
        case = case_from_dict(data, "thin", {"destination.kind": "open_tank", "line.rise": rise,
                                             "machine.ram_force": "8 kN", "line.length": "12 m"})  # fmt: skip
        assert ("transient.creeping" in keys(assess(case, samples=256))) is creeps


def test_a_wrong_order_of_a_spring_is_refused() -> None:
    with pytest.raises(Exception, match="precharge"):
        case_from_dict(BASE, "S07", SPRING | {"buffer.precharge": "12 bar(g)"})


def test_a_cushion_outside_the_classes_is_named_with_its_limit() -> None:
    """Trade book 4.3: 50 bar.L with group 2, 25 with group 1, which counts while nobody said the group."""
    assert "25.0 bar.L" in text(answer(), "buffer.cushion_class")
    assert "bar.L on the gas table" in text(answer(), "transient.overshoot_above")


def test_the_question_about_a_closing_destination_asks_for_stops_inlet_and_hopper() -> None:
    """One question stands for the whole group: the scenario asks for inlet limits, stop table and hopper."""
    asked = next(item for item in answer().questions if item.key == "topic.closed_destination")
    said = render(asked.ask)
    assert all(word in said for word in ("how long", "how fast", "log", "inlet pressure", "hopper"))
