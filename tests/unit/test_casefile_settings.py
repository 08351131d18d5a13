"""Overrides of a case: taken by path, refused with a remedy, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

from drumwright.basis.errors import InputError
from drumwright.station.casefile import load
from drumwright.station.records import get_field


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """A case with two products."""
    file = tmp_path / "case.toml"
    file.write_text(
        '[[product]]\nname = "paste"\n[[product]]\nname = "other"\n[line]\nown_hose = "3 m"\n',
        encoding="utf-8",
    )
    return file


@pytest.mark.parametrize(
    ("path", "text", "expected"),
    [
        ("line.own_hose", "0 m", 0.0),
        ("line.own_hose", "0", 0.0),
        ("line.own_hose", '{low = "1 m", value = "2 m", high = "3 m"}', 2.0),
        ("product[1].density", "1000 kg/m3", 1000.0),
        ("product[0].temperature.low", "5 C", 278.15),
        ("container.tare", "20 kg", 20.0),
    ],
)
def test_settings_override(two: Path, path: str, text: str, expected: float) -> None:
    case = load(two, {path: text})
    assert get_field(case, path).likely == expected
    assert case.digest != load(two).digest


def test_settings_take_words(two: Path) -> None:
    case = load(
        two, {"line.existing": "yes", "container.kind": "pail", "case.seed": "7", "case.title": "A {b}"}
    )
    assert (case.line.existing, case.container[0].kind, case.case.seed, case.case.title) == (
        True,
        "pail",
        7,
        "A {b}",
    )


@pytest.mark.parametrize(
    ("path", "text", "word"),
    [
        ("line.hose", "3 m", "own_hose"),
        ("lime.bore", "DN65", "line.bore"),
        ("product.density", "1000 kg/m3", "counted from 0"),
        ("product[2].density", "1000 kg/m3", "index"),
        ("line", "x", "line.length"),
        ("product[0]", "x", "name the field"),
        ("line.bore.low", "DN65", "field reference"),
        ("line..bore", "DN65", "field reference"),
        ("", "DN65", "field reference"),
        ("line.bore", "{low =", "quotes"),
        ("line.bore", "2 bar", "a length"),
        ("product[0].temperature.low", "0", "0 °C"),
        ("line.existing", "perhaps", "true"),
        ("digest", "x", "field"),
    ],
)
def test_settings_that_cannot_be_used_are_named(two: Path, path: str, text: str, word: str) -> None:
    with pytest.raises(InputError) as caught:
        load(two, {path: text})
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == ("setting", 0)
    assert word in problem.remedy + problem.allowed
