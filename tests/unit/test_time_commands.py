"""Runs, control and shift are the same from Python and from the command line; files are written whole."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import drumwright
from drumwright.cli.main import group
from drumwright.report import control_form, run_form, shift_form
from drumwright.report.json_form import dump
from drumwright.report.words import Words

DEMO = Path("cases/demo.toml")
MISSED = Path("tests/whole/S12.toml")  # too stiff to be pumped


def call(*arguments: object) -> Result:
    """Run the program in this process."""
    return CliRunner().invoke(group, [str(each) for each in arguments])


@pytest.mark.parametrize("fault", [None, "blocked_outlet", "power_loss"])
def test_a_run_is_the_same_from_python_and_from_the_command_line(fault: str | None) -> None:
    asked = () if fault is None else ("--fault", fault)
    done = call("run", DEMO, *asked, "--samples", 256, "--json")
    study = drumwright.run(drumwright.load(DEMO), fault=fault, samples=256)
    assert done.exit_code == 0
    assert done.stdout == dump(run_form.as_dictionary(study, Words()))
    screen = call("run", DEMO, *asked, "--samples", 256).stdout
    assert drumwright.render(study.outcomes[0].text).split(".")[0].split(":")[0] in screen


def test_the_search_is_the_same_from_python_and_from_the_command_line() -> None:
    options = ("--worst", "--runs", 12, "--duration", "12 s", "--workers", 1, "--samples", 256, "--json")
    done = call("run", DEMO, *options)
    study = drumwright.run_worst(drumwright.load(DEMO), runs=12, duration="12 s", samples=256)
    assert done.exit_code == 0
    assert done.stdout == dump(run_form.as_dictionary(study, Words()))


def test_control_is_the_same_from_python_and_from_the_command_line() -> None:
    done = call("control", DEMO, "--samples", 256, "--json")
    sheet = drumwright.control(drumwright.load(DEMO), samples=256)
    assert done.stdout == dump(control_form.as_dictionary(sheet, Words()))


def test_a_shift_is_the_same_from_python_and_from_the_command_line() -> None:
    done = call("shift", DEMO, "--shifts", 5, "--seed", 3, "--json")
    study = drumwright.shift(drumwright.load(DEMO), shifts=5, seed=3)
    assert done.stdout == dump(shift_form.as_dictionary(study, Words()))


def test_the_note_and_the_commands_say_the_same_with_the_same_samples() -> None:
    case = drumwright.load(DEMO)
    result = drumwright.assess(case, samples=512, in_time=True)
    found = result.in_time
    assert found is not None and found.runs is not None and found.control is not None
    words = Words()
    run, control = drumwright.run(case, every_fault=True, samples=512), drumwright.control(case, samples=512)
    assert run_form.as_dictionary(found.runs, words) == run_form.as_dictionary(run, words)
    assert dump(control_form.as_dictionary(found.control, words)) == dump(
        control_form.as_dictionary(control, words)
    )
    assert found.shift is not None
    assert shift_form.as_dictionary(found.shift, words) == shift_form.as_dictionary(
        drumwright.shift(case), words
    )
    data = json.loads(drumwright.documents(result)["result.json"])
    assert data["in_time"]["run"]["weakest"] == run.weakest


def test_running_in_time_changes_nothing_else_of_an_answer() -> None:
    case = drumwright.load(DEMO)
    plain = json.loads(drumwright.documents(drumwright.assess(case, samples=256))["result.json"])
    with_runs = json.loads(
        drumwright.documents(drumwright.assess(case, samples=256, in_time=True))["result.json"]
    )
    assert plain.pop("in_time") is None and with_runs.pop("in_time") is not None
    assert plain["pictures"].pop("run") is None and with_runs["pictures"].pop("run") is not None
    assert plain == with_runs


def test_files_of_a_run_and_of_a_ladder_are_written(tmp_path: Path) -> None:
    folder = tmp_path / "run"
    done = call("run", DEMO, "--fault", "failed_relief", "--samples", 256, "-o", folder)
    assert done.exit_code == 0
    names = ["failed_relief.csv", "failed_relief.svg", "run.json", "run.pdf"]
    assert sorted(path.name for path in folder.iterdir()) == names
    assert all(str(folder / name) in done.output for name in names)
    ladder = tmp_path / "ladder.svg"
    assert call("control", DEMO, "--samples", 256, "--svg", ladder).exit_code == 0
    assert ladder.read_bytes().startswith(b"<?xml")


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file")
    done = call("run", DEMO, "--samples", 256, "-o", taken)
    assert done.exit_code == 2 and "cannot be written" in done.output
    assert call("run", DEMO, "--samples", 300).exit_code == 2


def test_what_cannot_run_is_refused_from_python_as_from_the_command_line() -> None:
    case = drumwright.load(MISSED)
    with pytest.raises(drumwright.NotJudgedYet):
        drumwright.run(case, samples=256)
    with pytest.raises(drumwright.NotJudgedYet):
        drumwright.control(case, samples=256)
    assert call("run", MISSED, "--samples", 256).exit_code == 2
    assert call("control", MISSED, "--samples", 256).exit_code == 2
    with pytest.raises(drumwright.QuantityError):
        drumwright.run(drumwright.load(DEMO), fault="no_such_fault")


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("case", [DEMO, Path("tests/whole/S07.toml")])
def test_screens_are_eighty_columns_wide(case: Path, units: str) -> None:
    small = ("--set", f"case.units={units}", "--samples", 256)
    screens = [
        call("run", case, "--faults", *small),
        call("run", case, "--fault", "hose_burst", *small),
        call("control", case, *small),
        call("shift", case, "--shifts", 3, "--set", f"case.units={units}"),
    ]
    for done in screens:
        assert done.exit_code == 0
        assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_two_ways_of_running_at_once_are_refused() -> None:
    for options in (
        ("--drums", 1, "--faults"),
        ("--faults", "--worst"),
        ("--fault", "power_loss", "--drums", 2),
    ):
        done = call("run", DEMO, *options)
        assert done.exit_code == 2 and "one of --fault" in done.stderr
    assert call("run", DEMO, "--drums", 0).exit_code == 2
