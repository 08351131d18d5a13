"""Numbers and labels of a document."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from drumwright.report.files import folder_name
from drumwright.report.glyphs import clean, printable
from drumwright.report.words import Words, digits_of


@pytest.mark.parametrize(
    ("low", "likely", "high", "kind", "text"),
    [
        (3.8e5, 4.17e5, 4.8e5, "pressure_gauge", "4.2 (3.8 to 4.8) bar(g)"),
        (4.17e5, 4.17e5, 4.17e5, "pressure_gauge", "4.17 bar(g)"),
        (4.171e5, 4.172e5, 4.173e5, "pressure_gauge", "4.17 bar(g)"),
        (4.0e5, 4.17e5, 4.3e5, "pressure_gauge", "4.17 (4.00 to 4.30) bar(g)"),
        (283.15, 288.15, 293.15, "temperature", "15 (10 to 20) °C"),
        (0.5, math.nan, 1.0, "ratio", "not computed"),
    ],
)
def test_band_shows_no_more_digits_than_it_carries(
    low: float, likely: float, high: float, kind: str, text: str
) -> None:
    assert Words().band(low, likely, high, kind) == text


def test_pressure_below_a_millibar_is_zero_on_paper() -> None:
    assert Words().value(3.0, "pressure_gauge") == "0 bar(g)"
    assert Words("US").value(3.0, "pressure_gauge") == "0 psi(g)"
    assert Words().value(333.0, "pressure_gauge") == "0.003 bar(g)"
    assert Words().value(1234.5, "pressure_gauge") == "0.012 bar(g)"


def test_pressure_is_rounded_once() -> None:
    assert Words().value(1.17475e5, "pressure_absolute") == "1.17 bar(a)"  # not 1.175 first, then 1.18


def test_digits_of_a_band() -> None:
    assert digits_of(1.0, 1.05, 1.1) == 3
    assert digits_of(1.0, 1.2, 1.5) == 2
    assert digits_of(0.0, 0.0, 0.0) == 3


@pytest.mark.parametrize(
    ("stem", "name"),
    [("demo", "demo"), ("a:b?", "a-b-"), ("con", "case-con"), ("LPT1", "case-LPT1"), ("...", "case")],
)
def test_folder_names_suit_every_system(stem: str, name: str) -> None:
    assert folder_name(Path(f"{stem}.toml")) == name


def test_font_prints_what_its_map_says() -> None:
    known = printable()
    assert {ord(sign) for sign in "Aé°µ□Ωж"} <= known
    assert not {0x4E2D, 0x07, 0x1F600} & known
    assert clean("a\tb\x00\u4e2d°\r\nc") == "a    b□□°\nc"
