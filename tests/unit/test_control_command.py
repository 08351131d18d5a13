"""`drumwright control`, its matrix against the table of the trade, and what a case may say of the control."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.cli.main import group
from drumwright.station.casefile import case_from_dict, load
from drumwright.station.control.matrix import EFFECTS, matrix
from drumwright.station.control.objects import default_control, resolved
from drumwright.station.control.set_points import SetPoints, names
from drumwright.study.assess import judgements
from drumwright.study.control_sheet import control_sheet
from drumwright.study.remedies import remedies
from drumwright.study.set_levels import set_points_of
from drumwright.study.set_points import coldest, footing, ladder_of, ladder_on, missing_at

S07, DEMO = Path("tests/whole/S07.toml"), Path("cases/demo.toml")
# Instruments and drive of an invented case that fits: fast, close, on a soft hose.
FAST = {
    "control.ramp_time": "0.3 s", "control.transmitter_lag": "20 ms", "control.scan_time": "10 ms",
    "control.drive_lag": "20 ms", "control.switch_delay": "10 ms", "control.run_on_time": "50 ms",
    "control.relief_tolerance": "3 %", "control.relief_overpressure": "10 %", "line.hose_growth": "5 %",
}  # fmt: skip

# Trade book 5.1, row by row: P, PL, UP, AS, VT, M, reset; our letters where a cell is a sentence there.
TRADE = {
    "emergency_stop": ("S", "H", "x", "C", "O r", "A", "latch"),
    "guard_open": ("S", "H", "x", "C", "O r", "A", "latch"),
    "air_low": ("R", "H", "x", "C", "-", "A", "hand"),
    "slow_down": ("slow", "-", "-", "-", "-", "m", "auto"),
    "process_stop": ("S", "-", "-", "-", "-", "m+A", "auto"),
    "trip": ("S", "H", "-", "-", "-", "A", "latch"),
    "relief_flow": ("S", "H", "-", "-", "-", "A", "latch"),
    "overload": ("S", "H", "-", "-", "-", "A", "latch"),
    "pump_hot": ("S", "H", "-", "-", "-", "A", "latch"),
    "suction_lost": ("R", "H", "-", "-", "-", "A", "hand"),
    "container_end": ("R>PO", "H", "ok", "O", "O,C", "m", "auto"),
    "container_absent": ("x", "x", "-", "C", "-", "m", "auto"),
    "assist_high": ("-", "H", "S", "C", "O", "A", "latch"),
    "lift_stalled": ("-", "-", "S", "C", "O", "A", "hand"),
    "overfill": ("S", "-", "-", "-", "-", "A", "latch"),
    "no_request": ("R", "-", "-", "-", "-", "m", "auto"),
    "stop_too_long": ("-", "-", "-", "-", "-", "m+A", "hand"),
    "transmitter_fault": ("S", "H", "x", "C", "-", "A", "latch"),
    "drive_fault": ("S", "H", "-", "C", "-", "A", "latch"),
    "power_return": ("x", "x", "x", "C", "-", "m", "hand"),
    "maintenance": ("lim", "-", "-", "C", "O", "m", "auto"),
}
DELAYS = {"air_low": 2.0, "overload": 3.0, "suction_lost": 5.0, "trip": 0.0, "pump_hot": 0.0}
# Rows of ours: speed while priming and pressing out, a parted hose, two states that must not last, a batch.
ADDED = {
    "press_out_rate", "prime_rate", "pressure_lost", "prime_lasts", "end_not_reached", "batch_slow",
    "batch_done",
}  # fmt: skip


def _run(*words: str) -> Result:
    return CliRunner().invoke(group, ["control", *words])


def _set(**more: str) -> list[str]:
    return [word for key, value in {**FAST, **more}.items() for word in ("--set", f"{key}={value}")]


def test_every_row_of_the_trade_table_has_its_letters_trade_book_5_1() -> None:
    points = SetPoints(**dict.fromkeys(names(), 1.0))
    rows = {row.cause: row for row in matrix(resolved(default_control(), points.level))}
    assert set(rows) == set(TRADE) | ADDED
    for cause, letters in TRADE.items():
        assert (*rows[cause].effects, rows[cause].reset) == letters, cause
    assert {cause: rows[cause].delay for cause in DELAYS} == DELAYS
    assert len(EFFECTS) == 6


def test_safety_is_wired_and_latched() -> None:
    for name in ("emergency_stop", "guard_open", "trip", "overfill"):
        each = default_control().object(name)
        assert each.reset == "manual" and each.purpose == "protective" and each.priority == 1
        assert not any(seen.scanned for seen in each.conditions)
        assert ("stop", 0.0) in each.actions


def test_an_air_pump_keeps_what_no_motor_needs() -> None:
    kept = {each.identifier for each in default_control(False).objects}
    assert {"emergency_stop", "guard_open", "air_low", "container_end", "power_return"} <= kept
    assert not kept & {"slow_down", "process_stop", "trip", "overload"}


def test_the_screen_refuses_with_the_missing_bar_and_fits_80_columns() -> None:
    shown = _run(str(S07), "--samples", "512")
    assert shown.exit_code == 0, shown.output
    lines = shown.output.splitlines()
    assert max(len(line) for line in lines) <= 80
    text = " ".join(shown.output.split())
    assert "REFUSED: they do not fit." in text and "bar are missing" in text
    assert "Safety functions are not in this logic." in text
    assert "This is a calculation aid." in text
    assert "No set point below is to be used." in text
    assert "A cushion at the pump" in text


def test_the_screen_of_a_case_that_fits() -> None:
    shown = _run(str(S07), "--samples", "512", *_set())
    text = " ".join(shown.output.split())
    assert "They fit, with" in text and "REFUSED" not in text and "squeezed" not in text
    words = ("weakest part", "relief valve set", "trip, independent switch", "stop of the process",
             "slow-down begins", "running cold")  # fmt: skip
    order = [text.index(word) for word in words]
    assert order == sorted(order)


def test_json_has_one_shape_and_the_rungs_in_order() -> None:
    data = json.loads(_run(str(S07), "--samples", "512", "--json", *_set()).output)
    assert data["form"] == "drumwright.control/1" and data["fits"] and data["missing"] == 0.0
    levels = [rung["level"] for rung in data["ladder"]]
    assert levels == sorted(levels, reverse=True)
    points = data["set_points"]
    rungs = [points[name] for name in ("restart_below", "slow_down", "stop", "trip", "relief")]
    assert rungs == sorted(rungs) and rungs[0] > 0.0
    said = {each["id"]: each for each in data["objects"]}
    assert said["trip"]["conditions"][0]["limit"] == points["trip"]
    by_weight = {"batch_slow", "batch_done"}  # no rows of this filler
    assert {row["cause"] for row in data["cause_and_effect"]} == (set(TRADE) | ADDED) - by_weight
    assert len(data["states"]) == 13


def test_us_units_are_shown_where_the_case_asks(tmp_path: Path) -> None:
    text = S07.read_text(encoding="utf-8").replace('place = "EU"', 'place = "EU"\nunits = "US"')
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    assert "psi(g)" in _run(str(tmp_path / "case.toml"), "--samples", "256").output


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("control.ramp_time=fast", "control.ramp_time"),
        ("control.relief_tolerance=60 %", "control.relief_tolerance"),
        ("control.scan_time=0 s", "control.scan_time"),
        ("control.transmitter_span=-1 bar", "control.transmitter_span"),
        ("control.hysteresis=2", "control.hysteresis"),
        ("control.rampe=1 s", "control.rampe"),
    ],
)
def test_bad_input_is_refused_by_name(setting: str, said: str) -> None:
    shown = _run(str(S07), "--set", setting)
    assert shown.exit_code == 2
    assert said in shown.output
    assert "Traceback" not in shown.output


def test_a_case_without_a_machine_has_nothing_to_control(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text('format = 1\n[[product]]\nname = "unknown"\n', encoding="utf-8")
    shown = _run(str(tmp_path / "case.toml"))
    assert shown.exit_code == 2 and "nothing to control" in shown.output


def _found(path: Path = S07, **changed: str) -> tuple[object, object]:
    answer = judgements(load(path, changed), 512)[0]
    return answer.problem, answer.best or answer.asked


def test_no_missing_input_makes_the_answer_better() -> None:
    """Silence on air in the product, and on a destination that is weak, never leaves more room."""
    problem, found = _found()
    silent = missing_at(ladder_of(problem, found))  # type: ignore[arg-type]
    problem, found = _found(**{"product.air_share": "5 %"})
    assert missing_at(ladder_of(problem, found)) <= silent  # type: ignore[arg-type]
    problem, found = _found(**{"destination.inlet_pressure_high": "3 bar(g)"})
    base = footing(problem, coldest(found), found.choice)  # type: ignore[arg-type, attr-defined]
    assert (base.weakest == 1).all()
    assert missing_at(ladder_on(base)) > silent


def test_a_weak_destination_is_asked_at_the_least_pressure_it_works_with() -> None:
    """Stands 3 bar and works from 0.5 bar: set points under 3 bar and the head, needs 2.5 bar lower."""
    strong = {"destination.inlet_pressure_high": "3 bar(g)"}
    problem, found = _found(**strong)
    base = footing(problem, coldest(found), found.choice)  # type: ignore[arg-type, attr-defined]
    problem, found = _found(**strong, **{"destination.inlet_pressure_low": "0.5 bar(g)"})
    low = footing(problem, coldest(found), found.choice)  # type: ignore[arg-type, attr-defined]
    assert low.top.weakest == pytest.approx(base.top.weakest)
    assert base.needs.running - low.needs.running == pytest.approx(np.full_like(base.flow, 2.5e5), rel=1e-9)


@pytest.mark.parametrize(
    ("field", "worse"),
    [
        ("control.ramp_time", "6 s"), ("control.transmitter_lag", "2 s"), ("control.scan_time", "1 s"),
        ("control.drive_lag", "1 s"), ("control.transmitter_tolerance", "5 %"),
        ("control.switch_delay", "1 s"), ("control.switch_tolerance", "10 %"), ("control.run_on_time", "2 s"),
        ("line.hose_growth", "0.1 %"),
        ("control.relief_tolerance", "20 %"), ("control.relief_overpressure", "50 %"),
        ("control.transmitter_span", "400 bar"),
    ],
)  # fmt: skip
def test_every_input_moves_the_ladder_the_way_it_must(field: str, worse: str) -> None:
    problem, found = _found()
    before = missing_at(ladder_of(problem, found))  # type: ignore[arg-type]
    problem, found = _found(**{field: worse})
    assert missing_at(ladder_of(problem, found)) > before  # type: ignore[arg-type]


def test_set_points_keep_their_order_where_they_do_not_fit() -> None:
    problem, found = _found()
    points = set_points_of(problem, found)  # type: ignore[arg-type]
    assert missing_at(ladder_of(problem, found)) > 0.0  # type: ignore[arg-type]
    rungs = [points.restart_below, points.slow_down, points.stop, points.trip, points.relief]
    assert rungs == sorted(rungs) and rungs[0] > 0.0 and points.relief < 10.0e5


def test_every_remedy_that_is_enough_is_enough_when_it_is_taken() -> None:
    """The hose and flow a remedy names, put into the case, leave nothing missing beyond the small sample."""
    problem, found = _found()
    named = {each.name: each for each in remedies(problem, found)}  # type: ignore[arg-type]
    assert named["cushion"].enough and named["cushion"].value > 0.0
    enough = [each.enough for each in named.values()]
    assert enough == sorted(enough, reverse=True)
    changes = [each.change for each in named.values() if each.enough]
    assert changes == sorted(changes)
    base = footing(problem, coldest(found), found.choice)  # type: ignore[arg-type, attr-defined]
    softer = base._replace(closed=base.closed._replace(gas=1.02 * named["cushion"].value))
    assert missing_at(ladder_on(softer)) < 0.02 * missing_at(ladder_on(base))
    strong = base._replace(
        top=base.top._replace(weakest=np.full_like(base.flow, 1.02 * named["class"].value))
    )
    assert missing_at(ladder_on(strong)) < 0.02 * missing_at(ladder_on(base))


def test_set_points_that_do_not_fit_are_a_condition_with_the_missing_bar() -> None:
    answer = judgements(load(S07), 512)[0]
    named = {item.key: item for item in answer.conditions}
    item = named["control.missing"]
    assert item.gate == "pressure" and item.role == "condition"
    lack = missing_at(ladder_of(answer.problem, answer.best or answer.asked))  # type: ignore[arg-type]
    assert item.value == pytest.approx(lack) and lack > 0.0
    assert "are missing between" in render(item.text)
    assert "control.missing" not in {each.key for each in judgements(load(DEMO), 256)[0].conditions}


def test_the_air_of_an_air_pump_is_said_in_its_own_way() -> None:
    sheet = control_sheet(load(S07, {"machine.pump": "air-50"}), 256)
    if sheet is None or sheet.turning:
        pytest.skip("this case takes another pump")
    assert {rung.name for rung in sheet.rungs} == {"weakest", "stall", "needed"}
    assert sheet.remedies == ()


def test_a_control_table_of_another_sort_is_refused() -> None:
    with pytest.raises(InputError):
        case_from_dict({"control": "fast"}, "test")
