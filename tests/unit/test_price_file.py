"""Prices in their own file: what is refused with its line, what is flagged, what is read."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

import drumwright
from drumwright.basis.errors import InputError
from drumwright.station.price_file import day_of, prices_of, read_prices, units
from money_kit import ALL_PRICES, DEMO, price_text

ROW = """format = 1
currency = "marks"

[[price]]
name = "product"
value = 2
unit = "per kg"
date = 2026-01-01
valid_until = 2027-12-31
said_by = "the test"
"""


def read(tmp_path: Path, text: str):
    file = tmp_path / "prices.toml"
    file.write_text(text, encoding="utf-8")
    return read_prices(file, "prices.toml")


def test_every_price_is_read_in_si(tmp_path: Path) -> None:
    found = read(tmp_path, price_text())
    assert set(found.prices) == set(ALL_PRICES)
    assert found.currency == "marks" and found.example
    assert found.prices["electricity"].estimate.likely == pytest.approx(0.2 / 3.6e6)
    assert found.prices["labour"].estimate.likely == pytest.approx(30.0 / 3600.0)
    assert found.prices["disposal"].estimate.likely == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("one", "other"),
    [("per kg", "per lb"), ("per kg", "per t"), ("per m3", "per US gal"), ("per m3", "per L")],
)
def test_units_of_one_price_agree_with_the_units_of_the_case(one: str, other: str) -> None:
    kind = "mass" if "kg" in one else "volume"
    plain = [drumwright.read(f"1 {each.removeprefix('per ')}", kind) for each in (one, other)]
    for name, row in units().items():
        if one in row and other in row:
            assert row[other] / row[one] == pytest.approx(plain[0] / plain[1], rel=1e-12), name


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("value = 2\n", "value = -2\n", 6, "less than nothing"),
        ("value = 2\n", 'value = "2 or so"\n', 6, "or so"),
        ("value = 2\n", 'value = "1,250"\n', 6, "1,250"),
        ("value = 2\n", "value = nan\n", 6, "nan"),
        ("value = 2\n", "value = 2\nlow = 3\n", 6, "rising order"),
        ("value = 2\n", "", 4, ""),
        ('"per kg"', '"per drum"', 7, "no unit of this price"),
        ('"product"', '"paste"', 5, "no price the program counts with"),
        ("date = 2026-01-01\n", 'date = "last summer"\n', 8, "no date"),
        ("date = 2026-01-01\n", "", 4, "no date"),
        ("2027-12-31", "2025-12-31", 9, "before the day"),
        ("valid_until = 2027-12-31\n", "", 4, "no date"),
        ('said_by = "the test"', 'said_by = " "', 10, "nobody"),
        ('said_by = "the test"', 'said_by = "the test"\ncurrency = "crowns"', 11, "cannot be added"),
        ('said_by = "the test"', 'said_by = "the test"\nmargin = 0.3', 11, "no word of a price file"),
        ('currency = "marks"\n', "", 0, "does not name its currency"),
        ("format = 1\n", "format = 2\n", 1, "no version"),
    ],
)
def test_what_cannot_be_used_is_refused_with_its_line(
    tmp_path: Path, old: str, new: str, line: int, said: str
) -> None:
    assert old in ROW
    with pytest.raises(InputError) as refused:
        read(tmp_path, ROW.replace(old, new))
    problems = refused.value.problems
    assert any(said in each.what and each.line == line for each in problems), [str(p) for p in problems]
    assert all(each.remedy and each.file == "prices.toml" for each in problems)


def test_a_price_that_stands_twice_and_a_file_without_one_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="stands twice"):
        read(tmp_path, ROW + ROW.partition("\n\n")[2])
    with pytest.raises(InputError, match="no price in it"):
        read(tmp_path, 'format = 1\ncurrency = "marks"\n')


def test_two_currencies_are_refused_and_named(tmp_path: Path) -> None:
    file = tmp_path / "prices.toml"
    file.write_text(price_text(), encoding="utf-8")
    case = drumwright.load(DEMO, {"money.currency": "crowns"})
    with pytest.raises(InputError, match="cannot be added"):
        prices_of(case, file)


@pytest.mark.parametrize("name", ["../prices.toml", "/prices.toml", "no-such.toml", "", "~/p.toml"])
def test_a_file_outside_the_folder_or_not_there_is_refused(name: str) -> None:
    case = drumwright.load(DEMO)
    case = case.model_copy(update={"money": case.money.model_copy(update={"prices": name})})
    with pytest.raises(InputError):
        prices_of(case)


def test_the_state_of_a_price_hangs_on_the_date_of_the_case(tmp_path: Path) -> None:
    price = read(tmp_path, ROW).prices["product"]
    assert price.state(None) == "undated"
    assert price.state(datetime.date(2027, 12, 31)) == "valid"
    assert price.state(datetime.date(2028, 1, 1)) == "expired"
    assert price.state(datetime.date(2025, 12, 31)) == "later"
    assert day_of("2026-11-25") == datetime.date(2026, 11, 25)
    assert day_of("soon") is None and day_of(None) is None
