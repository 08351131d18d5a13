"""Many cases at once: each is what `assess` says of it, for any number of processes; another stock."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from drumwright.basis.errors import QuantityError
from drumwright.cli.main import group
from drumwright.station.casefile import load
from drumwright.study import spread_out as spreading
from drumwright.study.assess import assess
from drumwright.study.sweep import sweep

ROOT = Path(__file__).resolve().parents[2]
WHOLE = ROOT / "tests" / "whole"
S01, S11, S12 = (WHOLE / f"S{number}.toml" for number in ("01", "11", "12"))
STOCK = ROOT / "cases" / "stock-example.toml"
SAMPLES = 256


def test_every_row_is_what_assess_says() -> None:
    rows = sweep([S01, S12], samples=SAMPLES)
    for row, path in zip(rows, (S01, S12), strict=True):
        result = assess(load(path), samples=SAMPLES)
        assert row.own is not None and row.other is None and not row.moved
        assert (row.own.verdict, row.own.gate, row.own.reason) == (result.verdict, result.gate, result.reason)


def test_any_number_of_processes_gives_the_same() -> None:
    one, two = (sweep([S01, S11, S12], samples=SAMPLES, workers=count) for count in (1, 3))
    assert one == two


def test_another_stock_is_compared_and_names_the_parts_that_move() -> None:
    row = sweep([S01], stock=STOCK, samples=SAMPLES)[0]
    assert row.own is not None and row.other is not None and row.moved
    assert dict(row.own.parts)["pump"] != dict(row.other.parts)["pump"]
    same = sweep([S12], stock=STOCK, samples=SAMPLES)[0]
    assert not same.moved  # nothing enters that drum, whatever the parts


def test_a_bad_case_says_why_in_its_row(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("[line]\nbore = 5\n", encoding="utf-8")
    (tmp_path / "b.toml").write_bytes(S01.read_bytes())
    bad, good = sweep([tmp_path], samples=SAMPLES)
    assert "a.toml" in bad.error and bad.own is None
    assert good.error == "" and good.own is not None


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(QuantityError, match="no TOML file"):
        sweep([tmp_path])


def test_a_cluster_without_its_library_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spreading, "find_spec", lambda name: None)
    with pytest.raises(QuantityError, match="not installed"):
        sweep([S01], samples=SAMPLES, cluster="local")


def test_the_command_says_what_python_says() -> None:
    options = ["sweep", str(S01), str(S12), "--samples", str(SAMPLES), "--workers", "1"]
    said = CliRunner().invoke(group, [*options, "--json"])
    assert said.exit_code == 0, said.output
    rows = sweep([S01, S12], samples=SAMPLES)
    data = json.loads(said.stdout)["cases"]
    assert [each["own"]["verdict"] for each in data] == [row.own.verdict for row in rows if row.own]
    screen = CliRunner().invoke(group, [*options, "--stock", str(STOCK)]).stdout
    assert "Cases that move with the other stock: 1" in screen and "pump:" in screen


def test_a_file_that_is_not_there_stops_nothing() -> None:
    bad, good = sweep([Path("nowhere.toml"), S12], samples=SAMPLES)
    assert "nowhere.toml" in bad.error and good.own is not None
