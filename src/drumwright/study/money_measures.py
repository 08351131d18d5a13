"""Measures of the money: payback, present value, return, break-even and costs of a container, with bands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.statistics import quantiles
from drumwright.station.records import Case
from drumwright.study import cash_flow
from drumwright.study.alternatives import Terms
from drumwright.study.running_costs import with_leaks
from drumwright.study.savings import (
    FEWER,
    Year,
    break_even_containers,
    break_even_residue,
    savings,
    total,
)

Array = NDArray[np.float64]
NEVER = 1e-12  # one over that is never


@dataclass(frozen=True, slots=True)
class Row:
    """One number: at likely inputs, P5, P50 and P95; endless where a payback never comes."""

    key: str
    kind: str
    likely: float
    low: float
    middle: float
    high: float


def row_of(key: str, kind: str, values: Array) -> Row:
    """A row from samples, the likely point first.

    Parameters
    ----------
    key, kind : str
    values : ndarray, shape (n + 1,)
    """
    low, middle, high = quantiles(values[1:], 0.05, 0.5, 0.95)
    return Row(key, kind, float(values[0]), low, middle, high)


def _endless_row(key: str, kind: str, values: Array) -> Row:
    """Something that may never come: there it counts as the longest, it is not left out."""
    with np.errstate(divide="ignore"):
        speed = np.where(np.isfinite(values), 1.0 / np.maximum(values, NEVER), 0.0)
    ends = quantiles(speed[1:], 0.95, 0.5, 0.05)
    low, middle, high = (1.0 / each if each > NEVER else float("inf") for each in ends)
    return Row(key, kind, float(values[0]), low, middle, high)


def amounts_of(year: Year) -> Iterator[Row]:
    """What is kept and used in a year, without any price.

    Parameters
    ----------
    year : Year
    """
    count, times = year.containers, year.changeovers
    hours = count * (year.hands_old - year.hands_new) + times * (year.clean_old - year.clean_new)
    yield row_of("containers", "count", count)
    yield row_of("kept", "mass", count * (year.left_old - year.left_new))
    yield row_of("lost_more", "mass", times * (year.lost_new - year.lost_old))
    yield row_of("hours", "long_time", hours)
    yield row_of("energy", "energy", count * year.energy)
    yield row_of("heat", "energy", count * year.heat)
    yield row_of("air", "volume", count * with_leaks(year.air, year.leaks))
    yield row_of("seal_sets", "count", count / year.seal_life)
    if np.isfinite(year.wear_life).all():
        yield row_of("wear_sets", "count", count / year.wear_life)
    yield row_of("water", "volume", times * year.water)


def measures_of(case: Case, year: Year, terms: Terms) -> list[Row]:
    """Every measure that can be counted with what was said.

    Parameters
    ----------
    case : Case
    year : Year
    terms : Terms
    """
    saved, fewer = total(savings(year)), total(savings(year.with_containers(FEWER)))
    found = [row_of("saving", "money", saved), row_of("saving_fewer", "money", fewer)]
    found.append(row_of("today_container", "money", _cost_today(year)))
    spent = terms.spent
    if spent is not None:
        found.append(row_of("spent", "money", spent))
        found.append(_endless_row("payback", "ratio", cash_flow.simple_payback(spent, saved)))
    if terms.rate is None or terms.years is None:
        return found
    yearly = float(cash_flow.annuity(terms.rate, terms.years))
    found.append(row_of("worth_spending", "money", saved * yearly))
    if spent is None:
        return found
    found.append(
        _endless_row("discounted_payback", "ratio", cash_flow.discounted_payback(spent, saved, terms.rate))
    )
    value = saved * yearly - spent
    found.append(row_of("present_value", "money", value))
    loss = float((value[1:] < 0.0).mean())
    found.append(Row("chance_of_loss", "fraction", loss, loss, loss, loss))
    found.append(row_of("present_value_fewer", "money", fewer * yearly - spent))
    returned = cash_flow.level_return(spent, saved, terms.years)
    found.append(row_of("return", "fraction", np.where(np.isnan(returned), -1.0, returned)))
    found.append(row_of("station_container", "money", _cost_station(year) + spent / yearly / year.containers))
    return found + _break_even(case, year, spent, terms.rate, terms.years)


def _cost_today(year: Year) -> Array:
    """What a container costs today: what stays in it, and all person-time at its wage."""
    changes = year.changeovers / np.maximum(year.containers, 1e-9)
    change = year.lost_old * (year.product + year.disposal) + year.clean_old * year.wage
    left = year.left_old * (year.product + year.disposal)
    return np.asarray(left + year.hands_old * year.wage + changes * change)


def _cost_station(year: Year) -> Array:
    """What a container costs with the station, without its capital; all person-time at its wage."""
    count = np.maximum(year.containers, 1e-9)
    items = savings(year)
    used = (
        -sum(items[name] for name in ("electricity", "heat", "air", "seals", "pump_wear", "cleaning")) / count
    )
    changes = year.changeovers / count
    change = year.lost_new * (year.product + year.disposal) + year.clean_new * year.wage
    left = year.left_new * (year.product + year.disposal)
    return np.asarray(used + left + year.hands_new * year.wage + changes * change)


def _break_even(case: Case, year: Year, spent: Array, rate: float, years: float) -> list[Row]:
    found = []
    share = break_even_residue(year, spent, rate, years)
    if np.isfinite(share).all():
        found.append(row_of("break_even_residue", "fraction", share))
    count = break_even_containers(year, spent, rate, years)
    found.append(_endless_row("break_even_year", "count", count))
    days = case.money.days_per_year
    if days is not None:
        found.append(_endless_row("break_even_day", "count", count / days.likely))
    return found
