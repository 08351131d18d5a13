"""The search for the worst: the same for any number of processes, again to the last bit, never less."""

from __future__ import annotations

import json
import os
import shlex
import signal
import subprocess
import sys
import time
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.cli.main import group
from drumwright.station.casefile import load
from drumwright.station.transient.compiled import available
from drumwright.study import worst
from drumwright.study.draws import (
    AIR,
    CLOSES,
    FAULTS,
    RAMPS,
    Draw,
    bench_of,
    checked,
    draw_of,
    drawn,
    run_draw,
)
from drumwright.study.running import Machine, machine_of
from drumwright.study.worst import BLOCK, Worst, search, spans

S07 = Path("tests/whole/S07.toml")
FAST = available()
RUNS = 160 if FAST else 20
ASKED = {"duration": 15.0, "products": 3, "seed": 5}


@cache
def machine() -> Machine:
    return machine_of(load(S07), samples=256)


@cache
def found(runs: int = RUNS, workers: int = 1, seed: int = 5) -> Worst:
    return search(machine(), runs=runs, workers=workers, duration=15.0, products=3, seed=seed)


def test_one_process_and_two_find_the_same() -> None:
    assert found(workers=2) == found(workers=1)


def test_another_seed_finds_another_run() -> None:
    assert found(seed=6).peaks[0].draw != found().peaks[0].draw


def test_a_peak_comes_again_to_the_last_bit_from_its_text() -> None:
    """The word that is printed reads back to the same draw, and its run to the same pressure."""
    for peak in found().peaks:
        again, bench = checked(machine(), peak.draw.text())
        bench = bench_of(machine(), 3)
        assert again == peak.draw
        trace = run_draw(bench, again, 15.0, fast=FAST)
        assert trace.peaks[peak.part] == peak.pressure
        rows = run_draw(bench, again, 15.0, fast=FAST, every=0.02)
        assert rows.peaks[peak.part] == peak.pressure
        assert rows.rows["outlet_pressure"].max() <= rows.peaks["outlet"] + 1.0


@pytest.mark.parametrize("runs", [BLOCK, 100, 150])
def test_more_runs_with_the_same_seed_never_find_less(runs: int) -> None:
    """What a run is depends on its index and on those before it alone."""
    less, more = found(min(runs, RUNS)), found()
    for one, other in zip(less.peaks, more.peaks, strict=True):
        assert one.pressure <= other.pressure
    best = dict(more.by_fault)
    assert all(best[fault] >= peak for fault, peak in less.by_fault)


@given(st.integers(1, 100_000))
def test_every_run_is_in_one_part_of_its_block(runs: int) -> None:
    parts = spans(runs)
    assert parts[0][0] == 0 and parts[-1][1] == runs
    assert all(one[1] == other[0] for one, other in pairwise(parts))
    assert all(first < end for first, end, _ in parts)
    longer = spans(runs + 1000)
    shared = [part for part in parts if part[1] < runs]
    assert longer[: len(shared)] == shared


def test_what_was_found_lies_in_what_was_searched() -> None:
    bench = bench_of(machine(), 3)
    seen = set()
    for index in range(400):
        draw = drawn(bench, 5, index)
        seen.add(draw.fault)
        assert (draw.season, draw.sample, draw.worn) in bench.plants
        assert AIR[0] <= draw.air <= AIR[1] and CLOSES[0] <= draw.closing <= CLOSES[1]
        assert RAMPS[0] <= draw.ramp <= RAMPS[1] and 0.1 <= draw.moment <= bench.settles + 3.0
        assert max(abs(draw.offset), abs(draw.switch), abs(draw.relief)) <= 1.0
        near = drawn(bench, 5, index, (draw,))
        assert near.fault == draw.fault and abs(near.moment - draw.moment) < 0.16 * (bench.settles + 3.0)
    assert seen == set(FAULTS)


DRAWS = st.builds(
    Draw, st.sampled_from(("winter", "norm", "summer")), st.integers(0, 4096), st.integers(0, 1),
    *(st.floats(allow_nan=False, allow_infinity=False) for _ in range(8)), st.sampled_from(FAULTS),
)  # fmt: skip


@settings(max_examples=300)
@given(DRAWS)
def test_a_draw_reads_back_from_its_text(draw: Draw) -> None:
    assert draw_of(draw.text()) == draw


@settings(max_examples=300)
@given(st.text(max_size=200))
def test_no_other_text_is_a_draw(text: str) -> None:
    with pytest.raises(ValueError):
        draw_of(text)


def test_a_draw_of_another_machine_is_refused() -> None:
    with pytest.raises(ValueError):
        checked(machine(), replace(found().peaks[0].draw, sample=987_654).text())


@pytest.mark.parametrize("workers", [1, 2])
def test_ctrl_c_keeps_what_was_found(workers: int) -> None:
    """A stop in the middle: the peaks are those of the runs that were done."""

    def tell(done: int) -> None:
        if done >= 60:
            raise KeyboardInterrupt

    kept = search(machine(), runs=100_000, workers=workers, tell=tell, **ASKED)  # type: ignore[arg-type]
    assert kept.stopped and 60 <= kept.done < 1000 and kept.asked == 100_000
    assert kept.peaks
    if kept.done <= RUNS:
        assert kept.peaks[0].pressure <= found().peaks[0].pressure


@pytest.mark.skipif(os.name == "nt" or not FAST, reason="needs signals and the compiled kernel")
def test_ctrl_c_at_the_command_line_ends_with_an_answer() -> None:
    command = [sys.executable, "-m", "drumwright", "run", str(S07), "--worst", "--runs", "1000000",
               "--workers", "2", "--duration", "15 s"]  # fmt: skip
    for wait in (5.0, 30.0, 60.0):  # a slow machine is still reading the case after the first
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
            time.sleep(wait)
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=120)
        if "Again:" in out:
            break
    assert process.returncode == 0, err
    assert "Stopped by hand" in out and "Again:" in out and "Traceback" not in err


def test_a_search_stopped_before_its_first_run_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def at_once(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(worst, "_shared", at_once)
    done = CliRunner().invoke(group, ["run", str(S07), "--worst", "--runs", "20", "--workers", "1"])
    assert done.exit_code == 0 and "Stopped by hand after 0 runs" in " ".join(done.output.split())


def test_the_line_that_is_printed_gives_the_same_peak_again() -> None:
    """Word for word, with the settings, the samples and the duration of the search."""
    settings_of = ["--samples", "256", "--duration", "15 s", "--set", "line.hose_growth=3 %"]
    runner = CliRunner()
    first = runner.invoke(
        group, ["run", str(S07), "--worst", "--runs", "20", "--workers", "1", "--json", *settings_of]
    )
    screen = runner.invoke(
        group, ["run", str(S07), "--worst", "--runs", "20", "--workers", "1", *settings_of]
    )
    line = next(each for each in screen.output.splitlines() if "--again" in each)
    again = runner.invoke(group, [*shlex.split(line)[1:], "--json"])
    assert again.exit_code == 0, again.output
    peaks = {peak["part"]: peak["pressure"] for peak in json.loads(first.stdout)["worst"]["peaks"]}
    assert json.loads(again.stdout)["runs"][0]["peak"] == peaks["outlet"]


def test_progress_is_told_up_to_the_end() -> None:
    told: list[int] = []
    search(machine(), runs=40, workers=1, tell=told.append, **ASKED)  # type: ignore[arg-type]
    assert told == sorted(told) and told[-1] == 40


def test_the_worst_is_no_lower_than_the_single_blocked_outlet_of_the_same_products() -> None:
    """Two directions: with the relief shut and the switch dead the search must come higher than without."""
    faults = dict(found().by_fault)
    assert max(faults.values()) == found().peaks[0].pressure
    assert np.isfinite(found().surge) and found().unsolved == 0


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (("--fault", "no_such_fault"), "hose_burst"),
        (("--duration", "-5 s"), "duration"),
        (("--duration", "5 bar"), "bar"),
        (("--duration", "soon"), "soon"),
        (("--season", "spring"), "spring"),
        (("--again", "season=winter"), "season=winter"),
        (("--worst", "--runs", "0"), "10"),
        (("--worst", "--runs", "-3"), "10"),
        (("--worst", "--workers", "0"), "0"),
        (("--worst", "--workers", "1000000"), "1000000"),
        (("--worst", "--seed", "-1"), "-1"),
        (("--samples", "100"), "100"),
    ],
)  # fmt: skip
def test_input_that_cannot_be_used_is_told_with_code_2(options: tuple[str, ...], word: str) -> None:
    done = CliRunner().invoke(group, ["run", str(S07), *options])
    assert done.exit_code == 2 and isinstance(done.exception, SystemExit)
    assert word in done.output and "Traceback" not in done.output


@pytest.mark.parametrize(
    "path", ["tests/whole/no_such_case.toml", "tests/whole/S12.toml", "pyproject.toml", "README.md"]
)
def test_what_is_no_case_or_does_not_flow_is_told_with_code_2(path: str) -> None:
    """No file, no case, and S12, whose product is too stiff to be pumped."""
    done = CliRunner().invoke(group, ["run", path])
    assert done.exit_code == 2 and isinstance(done.exception, SystemExit)
    assert done.output.strip() and "Traceback" not in done.output
