"""The shift of a case: what is taken, what is said, command, data, an interruption."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

import drumwright
from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import render
from drumwright.cli.main import group
from drumwright.report.charts import Charts
from drumwright.report.shift_chart import SHADES, course_picture, course_spec
from drumwright.report.shift_form import as_dictionary, shown
from drumwright.report.words import Words
from drumwright.station.casefile import case_from_dict, load
from drumwright.study.shift import ShiftStudy, shift
from drumwright.study.shift_formula import formula
from drumwright.study.shift_inputs import prepare
from drumwright.study.shift_simulation import simulate

WHOLE = Path(__file__).parent.parent / "whole"
FILLER = WHOLE / "S07.toml"


def study(name: str, shifts: int = 12, buffer: str | None = None, **settings: str) -> ShiftStudy:
    """A few shifts of a case with some fields overridden."""
    given = {key.replace("__", "."): value for key, value in settings.items()}
    return shift(load(WHOLE / f"{name}.toml", given), shifts=shifts, buffer=buffer)


def said(found: ShiftStudy) -> set[str]:
    return {item.key for item in found.sentences}


def test_public_names() -> None:
    assert drumwright.shift is shift
    assert drumwright.ShiftStudy is ShiftStudy


def test_a_flow_that_equals_the_draw_is_not_taken_for_a_pump_that_refills() -> None:
    found = study("S07")
    assert "SHF-faster_pump" in said(found)
    assert found.plan.pump_flow > found.formula.least_flow
    stated = study("S07", shift__refill_flow="15 L/min")
    assert "SHF-faster_pump" not in said(stated)
    assert "SHF-falls_behind" in said(stated)


def test_a_pump_that_falls_behind_starves_whatever_the_hopper() -> None:
    """No stops, 13 L/min against the 16.5 that are needed: what a cycle brings over what is drawn."""
    plan = study("S07", shift__refill_flow="13 L/min", shift__availability="100 %", buffer="500 L").plan
    plan = replace(plan, stops=(), duration=10.0 * plan.duration)
    run = next(simulate(plan, 1, 1))
    exact = 1.0 - 990.0 / (0.198 / (13e-3 / 60.0) + 270.0)
    assert formula(plan, 0.85).shortage == pytest.approx(exact, rel=1e-9)
    assert run.shortage == pytest.approx(exact, abs=0.03)


def test_a_change_as_long_as_a_drum_is_said_to_be_hopeless() -> None:
    found = study("S07", enquiry__change_time="20 min")
    assert {"SHF-never", "SHF-no_pump"} <= said(found)
    assert as_dictionary(found, Words())["formula"]["least_flow"] is None


def test_a_stated_change_time_holds_waiting_and_other_work() -> None:
    plan = study("S07").plan
    assert (plan.react_time, plan.walk_time, plan.elsewhere) == (0.0, 0.0, 0.0)
    plan = study("S01").plan
    assert plan.react_time > 0.0 and plan.elsewhere == pytest.approx(0.7)


def test_silence_never_makes_the_shift_better() -> None:
    """Each said perfect value lets at least as much through as what is taken in its place."""
    silent = study("S01", shifts=40)
    for field, value in (
        ("shift__availability", "100 %"),
        ("enquiry__operator_share", "100 %"),
        ("shift__react_time", "0 min"),
        ("shift__walk_time", "0 min"),
    ):
        better = study("S01", shifts=40, **{field: value})
        assert better.row("drums").mean >= silent.row("drums").mean, field
    thirsty = study("S07", shifts=40)
    for field, value in (("shift__availability", "100 %"), ("shift__heel", "0 L")):
        assert study("S07", shifts=40, **{field: value}).row("shortage").mean <= thirsty.row("shortage").mean


def test_what_is_taken_is_listed_once_with_its_source() -> None:
    found = study("S07", buffer="60 L").taken
    names = [item.name for item in found]
    assert len(names) == len(set(names))
    assert {"shift.availability", "shift.outage", "shift.heel", "shift.stop_spread"} <= set(names)
    assert "shift.change_spread" not in names  # it was said
    assert all(item.source for item in found)


def test_a_closed_pot_gives_no_more_than_its_pressures_allow() -> None:
    """60 L from 6 bar(g) to 0.3 bar(g) at sea level, precharge 70 %: the gas law written out here."""
    least, most, before = 1.31325, 7.01325, max(0.7 * 1.31325, 1.01325)
    gives = 60.0 * (before / least) * (1.0 - (least / most) ** (1.0 / 1.4))
    found = study("S07", site__altitude="0 m")
    assert found.plan.hopper == pytest.approx(gives * 1e-3, rel=1e-9)
    assert "SHF-closed_pot" in said(found)
    assert {"model.precharge_share", "destination.pressure"} <= {item.name for item in found.taken}
    hopper = study("S07", buffer__kind="open_hopper", shift__heel="2 L")
    assert hopper.plan.hopper == pytest.approx(58e-3, rel=1e-9)
    assert "SHF-closed_pot" not in said(hopper)
    assert hopper.row("shortage").mean < found.row("shortage").mean


def test_a_precharge_above_the_destination_gives_nothing() -> None:
    assert study("S07", buffer__kind="gas_cushion", buffer__precharge="2 bar(g)").plan.hopper == 0.0


def test_a_named_volume_of_the_buffer_goes_before_the_wish() -> None:
    plan = study("S07", buffer__kind="open_hopper", buffer__volume="90 L", shift__heel="0 L").plan
    assert plan.hopper == pytest.approx(90e-3)
    spring = study("S07", buffer__kind="spring", buffer__volume="20 L").plan
    assert spring.hopper == pytest.approx(20e-3)


def test_drums_by_formula_are_those_that_are_not_missed() -> None:
    """Nothing bridges a change: no formula may count drums the destination waits for."""
    for name in ("S03", "S09", "S11"):
        found = study(name, shifts=40)
        assert found.row("drums").formula == pytest.approx(found.row("drums").mean, rel=0.15), name


def test_two_times_of_a_change_that_nobody_timed_are_both_said() -> None:
    assert "SHF-not_timed" not in said(study("S07"))
    item = next(item for item in study("S05").sentences if item.key == "SHF-not_timed")
    assert "7.00 min" in render(item)
    arm = next(
        item
        for item in study("S05", enquiry__stand_wanted="moving_arm").sentences
        if item.key == "SHF-not_timed"
    )
    assert "4.50 min" in render(arm)


def test_own_times_replace_the_elements() -> None:
    data = {
        "format": 1, "case": {"title": "x"}, "product": [{"name": "x"}],
        "container": [{"kind": "straight_drum"}],
        "enquiry": {"flow": "2 m3/h"},
        "shift": {"element": [{"name": "wipe", "time": "9 min"}, {"name": "bring", "time": "4 min"}]},
    }  # fmt: skip
    plan = prepare(case_from_dict(data, "x", {})).plan
    times = {item.name: item for item in plan.elements}
    assert times["wipe"].time.likely == 540.0 and times["wipe"].stated
    assert not times["raise"].stated


@pytest.mark.parametrize(
    ("settings", "layout"),
    [
        ({"container.kind": "pail"}, "pail"),
        ({"container.kind": "rigid_ibc"}, "bin_without_plate"),
        ({"enquiry.stand_wanted": "moving_arm"}, "moving_arm"),
        ({"enquiry.stand_wanted": "tandem"}, "tandem"),
        ({}, "fixed_mast"),
    ],
)
def test_layouts(settings: dict[str, str], layout: str) -> None:
    data = {
        "format": 1, "case": {"title": "x"}, "product": [{"name": "x"}],
        "container": [{"kind": "straight_drum"}],
        "enquiry": {"flow": "1 m3/h"},
    }  # fmt: skip
    plan = prepare(case_from_dict(data, "x", settings)).plan
    assert plan.layout == layout
    assert plan.shared_line is (layout == "tandem")
    assert plan.stations == (2 if layout == "tandem" else 1)


def test_an_opening_only_or_nothing_that_flows_is_refused_in_words() -> None:
    data = {"format": 1, "case": {"title": "x"}, "product": [{"name": "x"}]}
    with pytest.raises(QuantityError, match="how much flows"):
        prepare(case_from_dict(data, "x", {}))
    data |= {"container": [{"kind": "tight_head_drum"}], "enquiry": {"flow": "1 m3/h"}}
    with pytest.raises(QuantityError, match="opening"):
        prepare(case_from_dict(data, "x", {}))


def test_formula_is_enough_where_hands_are_few_and_nothing_is_shared() -> None:
    found = study(
        "S01", enquiry__change_time="2 min", enquiry__operator_share="100 %", enquiry__flow="0.6 m3/h"
    )
    assert "SHF-enough" in said(found)
    assert not any(key.startswith("SHF-why") for key in said(found))
    assert "SHF-enough" not in said(study("S07"))


def test_an_interruption_keeps_what_was_done() -> None:
    def tell(done: int) -> None:
        if done == 5:
            raise KeyboardInterrupt

    case = load(FILLER)
    found = shift(case, shifts=50, tell=tell)
    assert (found.shifts, found.asked) == (5, 50)
    whole = shift(case, shifts=5)
    assert found.rows == whole.rows


def test_every_sentence_can_be_said() -> None:
    for name in ("S01", "S02", "S07", "S09"):
        for item in study(name).sentences:
            assert render(item) and render(item, "US")


def test_small_shares_are_no_zero() -> None:
    words = Words()
    assert shown(1e-5, "fraction", words) == "< 0.1 %"
    assert shown(0.0, "fraction", words) == "0.0 %"
    assert shown(0.066, "fraction", words) == "6.6 %"


def test_chart_holds_every_resource_and_state() -> None:
    words = Words()
    found = study("S07")
    assert {bar.state for bar in found.first.bars} <= set(SHADES)
    spec = course_spec(found, words)
    assert len(spec["vconcat"]) == 2
    busy = study("S02")
    assert {bar.state for bar in busy.first.bars} <= set(SHADES)
    assert "vconcat" not in course_spec(busy, words)
    picture = course_picture(found, Charts(words))
    assert picture.svg.startswith(b"<svg") and "containers" in picture.alt
    assert picture.svg == course_picture(study("S07"), Charts(words)).svg


def test_bars_of_one_station_follow_each_other() -> None:
    bars = [bar for bar in study("S07").first.bars if bar.resource == "station_1"]
    assert all(one.end == pytest.approx(two.start) for one, two in pairwise(bars))
    assert bars[-1].end == pytest.approx(28800.0)


def test_command_prints_a_table_and_data(tmp_path: Path) -> None:
    run = CliRunner().invoke(
        group, ["shift", str(FILLER), "--shifts", "5", "--buffer", "90 L", "--seed", "7"]
    )
    assert run.exit_code == 0, run.output
    assert "5 simulated shifts, seed 7" in run.output and "demand not met" in run.output
    assert all(len(line) <= 80 for line in run.output.splitlines())
    chart = tmp_path / "c.svg"
    call = ["shift", str(FILLER), "--shifts", "5", "--json", "--svg", str(chart)]
    run = CliRunner().invoke(group, call)
    data = json.loads(run.stdout)
    assert data["form"] == "drumwright.shift/1" and chart.exists()
    assert {row["key"] for row in data["rows"]} >= {"drums", "shortage", "level_low", "operator_use"}


@pytest.mark.parametrize("buffer", ["60", "6 bar", "-5 L"])
def test_a_buffer_that_is_no_volume_is_refused(buffer: str) -> None:
    run = CliRunner().invoke(group, ["shift", str(FILLER), "--shifts", "2", "--buffer", buffer])
    assert run.exit_code == 2 and "Traceback" not in run.output
