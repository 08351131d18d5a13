"""The commands: exit codes, clear errors without traceback, light help."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from drumwright.cli.main import group

CASE = """
[case]
title = "Invented paste"
date = "2026-03-04"
[[product]]
name = "invented paste"
density = "1100 kg/m3"
temperature = {low = "10 C", norm = "20 C", high = "25 C"}
model = [{temperature = "20 C", yield_stress = "100 Pa", consistency = "100 Pa.s^n", exponent = 0.4}]
[[container]]
kind = "KIND"
[enquiry]
flow = "1 m3/h"
drums_per_shift = 6
[line]
bore = "80 mm"
length = "4 m"
rise = "1 m"
[destination]
kind = "open_tank"
"""
FAST = ("--samples", "256")


@pytest.fixture
def case(tmp_path: Path) -> str:
    """Path of a case that can be judged."""
    path = tmp_path / "paste.toml"
    path.write_text(CASE.replace("KIND", "straight_drum"), encoding="utf-8")
    return str(path)


@pytest.fixture
def hopeless(tmp_path: Path) -> str:
    """Path of a case no plate can serve."""
    path = tmp_path / "closed.toml"
    path.write_text(CASE.replace("KIND", "tight_head_drum"), encoding="utf-8")
    return str(path)


def run(*arguments: str) -> Result:
    """Run a command; an exception that is not an exit is a failure of the program."""
    done = CliRunner().invoke(group, list(arguments))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def test_assess_prints_the_verdict(case: str) -> None:
    done = run("assess", case, *FAST)
    assert done.exit_code == 0 and "VERDICT" in done.stdout


def test_gate_stops_only_where_asked(case: str, hopeless: str) -> None:
    assert run("assess", hopeless, *FAST).exit_code == 0
    assert run("assess", hopeless, "--gate", *FAST).exit_code == 1
    assert json.loads(run("assess", case, "--json", *FAST).stdout)["verdict"] in ("go", "go_if")
    assert run("assess", case, "--gate", *FAST).exit_code == 0


def test_set_moves_the_figure_and_writes_nothing(case: str) -> None:
    before = Path(case).read_bytes()
    static = run("get", case, "line.static", *FAST).stdout
    moved = run("get", case, "line.static", "--set", "line.rise=3 m", *FAST).stdout
    assert static != moved and Path(case).read_bytes() == before


def test_get_tells_what_was_asked_from_what_is_recommended() -> None:
    """Where the answer changes the line, both numbers come with their name."""
    demo = str(Path(__file__).parents[2] / "cases" / "demo.toml")
    text = run("get", demo, "line.total", *FAST).stdout
    assert text.index("As asked") < text.index("As recommended")
    data = json.loads(run("get", demo, "line.total", "--json", *FAST).stdout)
    assert list(data) == ["line.total", "recommended.line.total"]
    assert "As asked" not in run("get", demo, "recommended.line.total", *FAST).stdout


def test_at_gives_another_season(case: str) -> None:
    norm = json.loads(run("get", case, "line.pipe_friction", "--at", "norm", "--json", *FAST).stdout)
    cold = json.loads(run("get", case, "line.pipe_friction", "--at", "5 C", "--json", *FAST).stdout)
    likely = [each["line.pipe_friction"][0]["likely"] for each in (cold, norm)]
    assert likely[0] > likely[1] > 0


def test_why_explains(case: str) -> None:
    text = run("assess", case, "--why", "line.static", *FAST).stdout
    assert "Equation:" in text and "Source:" in text
    data = json.loads(run("assess", case, "--why", "line.static", "--json", *FAST).stdout)
    assert data["equation"] and data["values"][0]["unit"] == "Pa"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("assess", "CASE", "--why", "line.totl"), "did you mean line.total"),
        (("get", "CASE", "nonsense.at.all"), "there is no figure"),
        (("assess", "CASE", "--set", "line.bor=3 m"), "line.bore"),
        (("assess", "CASE", "--set", "line.bore"), "not a setting"),
        (("assess", "CASE", "--set", "=3 m"), "not a setting"),
        (("assess", "CASE", "--set", "line.bore=soft"), "line.bore"),
        (("assess", "CASE", "--at", "5 bar"), "temperature"),
        (("assess", "CASE", "--samples", "100"), "power of two"),
        (("assess", "CASE", "--samples", "0"), "power of two"),
        (("check", "nowhere.toml"), "nowhere.toml"),
        (("assess", "."), "folder"),
        (("new", "CASE"), "exists"),
        (("report", "CASE", "-o", "CASE"), "cannot be written"),
        (("report", "CASE", "-o", "CASE/under"), "cannot be written"),
        (("assess",), "CASE"),
        (("assess", "CASE", "--bogus"), "--bogus"),
    ],
)
def test_bad_input_is_exit_2_and_one_clear_line(case: str, arguments: tuple[str, ...], words: str) -> None:
    done = run(*(each.replace("CASE", case) if each != "CASE" else case for each in arguments))
    assert done.exit_code == 2
    assert words in done.stderr and "Traceback" not in done.output


def test_every_problem_of_a_case_is_printed(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('[line]\nbore = "3"\nlenght = "3 m"\nrise = "3 bar"\n', encoding="utf-8")
    done = run("check", str(path))
    assert done.exit_code == 2
    assert [done.stderr.count(f"{path}:{line}:") for line in (2, 3, 4)] == [1, 1, 1]


def test_report_writes_its_files_and_says_where(case: str, tmp_path: Path) -> None:
    folder = tmp_path / "made" / "here"
    done = run("report", case, "-o", str(folder), *FAST)
    assert done.exit_code == 0
    names = sorted(each.name for each in folder.iterdir())
    assert names == ["note.pdf", "proposal.pdf", "result.json", "stock-pinned.toml"]
    for name in names:
        assert str(folder / name) in done.stdout
    assert json.loads((folder / "result.json").read_text("utf-8"))["verdict"]


def test_run_case_prints_and_writes(case: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("run-case", case, *FAST)
    assert done.exit_code == 0 and "VERDICT" in done.stdout
    assert (tmp_path / "out" / "paste" / "proposal.pdf").read_bytes().startswith(b"%PDF")


def test_new_case_can_be_checked_and_questioned(tmp_path: Path) -> None:
    path = tmp_path / "fresh.toml"
    assert run("new", str(path)).exit_code == 0
    checked = run("check", str(path))
    assert checked.exit_code == 0 and "A-001" in checked.stdout
    asked = run("questions", str(path))
    assert asked.exit_code == 0 and " 1. [" in asked.stdout


def test_error_of_the_program_is_not_swallowed(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a bug")

    monkeypatch.setattr("drumwright.study.assess.assess", broken)
    with pytest.raises(RuntimeError, match="a bug"):
        run("assess", case)


HEAVY = ("numpy", "scipy", "pydantic", "pint", "typst", "vl_convert", "drawsvg", "rich")


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom drumwright.cli.main import group\n"
        "try:\n    group(['--help'], prog_name='drumwright')\n"
        "except SystemExit as end:\n    assert end.code == 0\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")


def test_narrow_encoding_does_not_stop_the_answer(case: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "drumwright", "assess", case, *FAST],
        capture_output=True,
        env={"PYTHONIOENCODING": "ascii", "PYTHONPATH": ":".join(sys.path)},
    )
    assert done.returncode == 0 and b"VERDICT" in done.stdout
