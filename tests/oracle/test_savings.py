"""Savings of a year against sums written out anew, and against the figures of the verdict itself."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import drumwright
from drumwright.station.inputs import dimensions
from drumwright.study.economics import money
from drumwright.study.money_rows import Rows, names
from drumwright.study.savings import (
    ITEMS,
    Year,
    break_even_containers,
    break_even_residue,
    quantities,
    savings,
    total,
)
from money_kit import ALL_PRICES, DEMO, counted


def year(released: bool = False, **changed: float) -> Year:
    """A year of the base example of trade book 3, with invented uses."""
    values = {
        "containers": 4800.0, "filling": 230.0, "left_old": 6.9, "left_new": 1.84, "product": 1.1,
        "disposal": 0.0, "hands_old": 900.0, "hands_new": 420.0, "wage": 28.0 / 3600.0, "changeovers": 0.0,
        "lost_old": 0.0, "lost_new": 20.0, "clean_old": 0.0, "clean_new": 2700.0, "water": 0.2,
        "water_price": 5.0, "agent": 0.0, "agent_price": 0.0, "energy": 3e5, "energy_price": 0.2 / 3.6e6,
        "heat": 1e7, "heat_price": 0.1 / 3.6e6, "air": 0.6, "leaks": 0.25, "air_price": 0.02,
        "seal_life": 1500.0, "seal_price": 400.0,
        "wear_life": 9000.0, "wear_price": 1200.0,
    } | changed  # fmt: skip
    return Year(**{name: np.full(3, value) for name, value in values.items()}, released=released)


def test_the_base_example_by_hand_trade_book_3() -> None:
    """4800 containers of 230 kg, 3 to 0.8 %, 1.1 a kg, 15 to 7 min, 28 an hour: gains written out."""
    found = savings(year(released=True))
    assert found["residue"][0] == pytest.approx(4800 * 230 * (0.03 - 0.008) * 1.1)
    assert found["labour"][0] == pytest.approx(4800 * (15 - 7) * 28 / 60)
    assert found["electricity"][0] == pytest.approx(-4800 * 3e5 / 3.6e6 * 0.2)
    assert found["heat"][0] == pytest.approx(-4800 * 1e7 / 3.6e6 * 0.1)
    assert found["air"][0] == pytest.approx(-4800 * 0.8 * 0.02)
    assert found["seals"][0] == pytest.approx(-4800 / 1500 * 400)
    assert found["pump_wear"][0] == pytest.approx(-4800 / 9000 * 1200)


def test_changes_of_product_by_hand() -> None:
    found = savings(year(changeovers=50.0, disposal=0.3, lost_old=2.0, clean_old=600.0, released=True))
    assert found["changeover"][0] == pytest.approx(-50 * 18 * 1.4)
    assert found["cleaning"][0] == pytest.approx(-50 * 0.2 * 5)
    hours = (4800 * 480 - 50 * 2100) / 3600
    assert found["labour"][0] == pytest.approx(hours * 28)


def test_break_even_against_brentq() -> None:
    rate, years, spent = 0.1, 8.0, 8e4
    factor = math.fsum(1.1**-n for n in range(1, 9))

    def worth(count: float) -> float:
        items = savings(year(containers=count, changeovers=40.0))
        return float(sum(items[name][0] for name in ITEMS)) * factor - spent

    ours = float(break_even_containers(year(changeovers=40.0), np.full(3, spent), rate, years)[0])
    assert ours == pytest.approx(brentq(worth, 1.0, 1e6, xtol=1e-9), rel=1e-9)
    share = float(break_even_residue(year(), np.full(3, spent), rate, years)[0])
    left = total(savings(year(left_new=share * 230.0)))[0]
    assert left * factor == pytest.approx(spent, rel=1e-12)


def test_no_number_of_containers_pays_where_each_one_loses() -> None:
    assert np.isinf(break_even_containers(year(left_new=9.0), np.full(3, 8e4), 0.1, 8.0)).all()


def test_the_residue_is_that_of_the_verdict(tmp_path: Path) -> None:
    """A quarter of the year winter, the rest as in the norm: likely masses of the figures of the verdict."""
    case = drumwright.load(DEMO)
    result = drumwright.assess(case, samples=512)
    found = counted(tmp_path, samples=512)
    left = {s: result.figure("recommended.residue.mass", s).likely for s in ("winter", "norm")}
    said = {row[1]: row[3] for row in result.understood}
    volume, density = said["container.usable_volume"], said["product.density"]
    mean = 0.25 * left["winter"] + 0.75 * left["norm"]
    kept = 12 * 230 * (0.045 * volume * density - mean)
    row = next(row for row in found.items if row.key == "residue")
    assert row.likely == pytest.approx(kept * ALL_PRICES["product"][0], rel=1e-9)


def test_the_bands_are_those_of_the_verdict() -> None:
    """P95 of the residue in winter on the answer sheet is that of the figure, from the same samples."""
    case = drumwright.load(DEMO)
    figure = drumwright.assess(case, samples=1024).figure("recommended.residue.share", "winter")
    answer = next(each for each in money(case, samples=1024).sheet if each.key == "residue").answers[0]
    assert dict(answer.slots)["cold"] == pytest.approx(figure.high, rel=1e-9)


def test_samples_of_money_stand_beside_those_of_the_case() -> None:
    assert len(set(names())) == len(names())
    assert len(dimensions()) + len(names()) <= 640  # rows of the table of directions
    rows = Rows(1024, 7)
    one = rows.of("price.product", drumwright.Estimate(1.0, 2.0, 3.0))
    other = rows.of("price.labour", drumwright.Estimate(1.0, 2.0, 3.0))
    assert one[0] == 2.0 and np.array_equal(one, rows.of("price.product", drumwright.Estimate(1.0, 2.0, 3.0)))
    assert abs(np.corrcoef(one[1:], other[1:])[0, 1]) < 0.05
    assert one[1:].mean() == pytest.approx(2.0, abs=0.01)


def test_every_quantity_of_a_year_counts() -> None:
    """Nothing is carried along for nothing: each quantity moves some item."""
    base = year(changeovers=50.0, agent=2.0, agent_price=3.0, disposal=0.1)
    for name in quantities(base):
        if name == "filling":  # only the break-even residue is a share of it
            continue
        moved = base.at(**{name: 1.37 * float(getattr(base, name)[0]) + 0.1})
        before, after = savings(base.at()), savings(moved)
        assert any(before[key][0] != after[key][0] for key in before), name


def test_the_band_of_the_present_value_by_plain_random_numbers(tmp_path: Path) -> None:
    """The demo drawn anew with a plain generator and library triangles; the machine's own samples reshuffled.

    Only what moves the value is drawn: 12 x 230 containers, residue, price of the product, disposal, purchase
    of class 4, eight years at 10 %. The rest (seals, wear, energy, water, changes) is taken at its P50.
    """
    from drumwright.study.assess import judgements
    from drumwright.study.machine_uses import scenes_of, uses_of

    case = drumwright.load(DEMO)
    found = money(case, samples=4096)
    uses = uses_of(scenes_of(judgements(case, 4096)[0])[1], Rows(4096, 7))
    assert uses is not None
    random, count = np.random.default_rng(5), 200_000
    pick = random.integers(1, 4097, count)
    left, filling = uses.left[pick], uses.filling[pick]
    residue = random.triangular(0.03, 0.045, 0.07, count)
    kilogram = random.triangular(1.7, 1.9, 2.2, count) + 0.24
    spent = 107_000.0 * random.triangular(0.7, 1.0, 1.5, count)
    other = sum(
        row.middle for row in found.items if row.key not in ("residue", "disposal", "labour", "eases")
    )
    yearly = 2760.0 * (residue * filling - left) * kilogram + other
    value = yearly * math.fsum(1.1**-n for n in range(1, 9)) - spent
    row = found.row("present_value")
    theirs = np.quantile(value, [0.05, 0.5, 0.95])
    assert [row.low, row.middle, row.high] == pytest.approx(list(theirs), abs=0.02 * (row.high - row.low))
    loss = found.row("chance_of_loss").likely
    assert loss == pytest.approx(float((value < 0.0).mean()), abs=0.005)
