"""Machines against products: a pair is what `assess` says of it, for any number of processes; bad files."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from drumwright.basis.errors import InputError, QuantityError
from drumwright.cli.main import group
from drumwright.station.casefile import load
from drumwright.station.pairing import load_pair
from drumwright.study.assess import assess
from drumwright.study.matrix import matrix

WHOLE = Path(__file__).resolve().parents[1] / "whole"
S01, S02, S03, S12 = (WHOLE / f"S{number}.toml" for number in ("01", "02", "03", "12"))
SAMPLES = 256
CARD = 'name = "paste"\ndensity = "1100 kg/m3"\ntemperature = {low = "15 C", norm = "20 C"}\n'


def test_a_machine_with_its_own_product_is_its_own_case() -> None:
    own, whole = load_pair(S01, S01), load(S01)
    assert own.product == whole.product and own.line == whole.line
    found = matrix([S01], [S01], samples=SAMPLES).pairs[0]
    result = assess(whole, samples=SAMPLES)
    assert found.verdict == result.verdict
    assert {gate.key: gate.status for gate in found.gates} == {
        gate.key: gate.status for gate in result.as_asked
    }
    assert found.flow is not None and found.flow.likely == min(
        each.likely for each in result.figures if each.key == "station.flow"
    )


def test_a_new_product_meets_the_old_machine() -> None:
    pair = load_pair(S01, S03)
    assert pair.product[0].name == "lubricating grease NLGI 2"
    assert pair.line == load(S01).line and pair.container == load(S01).container and pair.duty == ()
    found = matrix([S01], [S03], samples=SAMPLES).pairs[0]
    assert not found.as_it_stands and found.decides is not None
    assert found.decides.gate == "feed"  # grease at -5 C does not reach the pump of this machine
    assert found.changes


def test_any_number_of_processes_gives_the_same() -> None:
    one = matrix([S01, S02], [S01, S03], samples=SAMPLES)
    seen: list[tuple[int, int]] = []
    two = matrix([S01, S02], [S01, S03], samples=SAMPLES, workers=2, tell=lambda *now: seen.append(now))
    assert one == two
    assert seen == [(k, 4) for k in range(1, 5)]


def test_a_card_and_a_folder_are_read(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(CARD, encoding="utf-8")
    shutil.copy(S12, tmp_path / "b.toml")
    found = matrix([S01], [tmp_path], samples=SAMPLES)
    assert found.products == ("paste", "base resin")
    assert found.pair("S01", "paste").verdict == "ask_first"  # no flow curve: nothing is invented
    with pytest.raises(KeyError):
        found.pair("S01", "jam")


def test_a_bad_field_of_a_card_is_told_with_its_file_and_line(tmp_path: Path) -> None:
    path = tmp_path / "card.toml"
    path.write_text(CARD + 'price = "much"\n', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_pair(S01, path)
    problem = caught.value.problems[0]
    assert problem.file == str(path) and problem.line == 4 and "price" in problem.field
    found = matrix([S01], [path], samples=SAMPLES).pairs[0]
    assert "price" in found.error and found.verdict == ""


@pytest.mark.parametrize("text", ["[line]\nbore = '50 mm'\n", "product = []\n", "density = '1 kg/L'\n"])
def test_a_file_without_a_product_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "none.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match="no product stands"):
        matrix([S01], [path])


def test_an_empty_folder_and_too_many_pairs_are_refused(tmp_path: Path) -> None:
    with pytest.raises(QuantityError, match="no TOML file"):
        matrix([tmp_path], [S01])
    with pytest.raises(QuantityError, match="pairs are too many"):
        matrix([S01] * 60, [S01] * 60)


def test_the_command_says_what_python_says(tmp_path: Path) -> None:
    options = ["matrix", str(S01), str(S01), str(S12), "--samples", str(SAMPLES), "--workers", "1"]
    said = CliRunner().invoke(group, [*options, "--json"])
    assert said.exit_code == 0, said.output
    rows = json.loads(said.stdout)["pairs"]
    found = matrix([S01], [S01, S12], samples=SAMPLES)
    assert [row["verdict"] for row in rows] == [each.verdict for each in found.pairs]
    screen = CliRunner().invoke(group, options).stdout
    assert all(len(line) <= 80 for line in screen.splitlines())
    assert "base resin" in screen and "of 2 pairs as they stand" in screen
    missing = CliRunner().invoke(group, ["matrix", str(S01), str(tmp_path / "no.toml")])
    assert missing.exit_code == 2 and "no.toml" in missing.output
