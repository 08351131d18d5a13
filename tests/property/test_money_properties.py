"""Savings: nothing saved where nothing changes, in proportion, a cost never helps, hours never by chance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from drumwright.study.savings import COSTS, Year, quantities, savings, total

amounts = st.floats(0.0, 1e3)
lives = st.floats(1.0, 1e6)
FREE = {"seal_life": lives, "wear_life": lives, "leaks": st.floats(0.0, 0.9), "filling": st.floats(1.0, 1e3)}
NAMES = [name for name in Year.__dataclass_fields__ if name != "released"]
PRICES = ("product", "disposal", "wage", "water_price", "agent_price", "energy_price", "heat_price",
          "air_price", "seal_price", "wear_price")  # fmt: skip


@st.composite
def years(draw: st.DrawFn) -> Year:
    values = {name: np.array([draw(FREE.get(name, amounts))]) for name in NAMES}
    return Year(**values, released=draw(st.booleans()))


@given(years())
def test_a_station_that_changes_and_uses_nothing_saves_nothing(year: Year) -> None:
    zero = np.zeros(1)
    same = replace(
        year, left_new=year.left_old, hands_new=year.hands_old, lost_new=year.lost_old,
        clean_new=year.clean_old, water=zero, agent=zero, energy=zero, heat=zero, air=zero, seal_price=zero,
        wear_price=zero,
    )  # fmt: skip
    assert total(savings(same))[0] == 0.0


@given(years(), st.floats(0.01, 100.0))
def test_prices_scale_the_money(year: Year, factor: float) -> None:
    other = replace(year, **{name: factor * getattr(year, name) for name in PRICES})
    once, scaled = savings(year), savings(other)
    for name, value in once.items():
        assert np.isclose(scaled[name], factor * value, rtol=1e-9, atol=1e-9)


@given(years())
def test_costs_are_costs_and_hours_that_ease_are_no_money(year: Year) -> None:
    found = savings(year)
    assert all(found[name][0] <= 0.0 for name in COSTS if name != "changeover")
    assert found["eases"][0] >= 0.0
    if not year.released:
        assert found["labour"][0] <= 0.0
    else:
        assert found["eases"][0] == 0.0


@given(
    years(),
    st.sampled_from(["left_new", "hands_new", "lost_new", "clean_new", "water", "energy", "heat", "air"]),
)
def test_a_station_that_takes_more_never_saves_more(year: Year, name: str) -> None:
    more = replace(year, **{name: getattr(year, name) + 1.0})
    before, after = total(savings(year))[0], total(savings(more))[0]
    assert after <= before + 1e-9 * (abs(before) + abs(after))


@given(years())
def test_the_likely_point_is_the_first_of_the_samples(year: Year) -> None:
    wide = replace(year, **{name: np.repeat(value, 3) for name, value in quantities(year).items()})
    assert total(savings(wide.at()))[0] == total(savings(wide))[0]
