"""Honest alternatives to the machine: what would have to be true, and the value of those that were said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.money_card import Alternative
from drumwright.station.records import Case
from drumwright.study.cash_flow import annuity
from drumwright.study.money_rows import MOST_ALTERNATIVES, Rows
from drumwright.study.result import Verdict
from drumwright.study.savings import Year, savings, total

Array = NDArray[np.float64]
Band = tuple[float, float, float, float]
WAYS = ("do_nothing", "scraper_and_scale", "bulk_delivery", "other_container", "second_hand_follower")
BEATS = 0.5  # chance from which another way is said to be worth more


@dataclass(frozen=True, slots=True)
class Terms:
    """What was spent, and what it is counted with; None where nobody said it."""

    spent: Array | None
    rate: float | None
    years: float | None

    @property
    def whole(self) -> bool:
        """Whether a present value can be counted."""
        return self.spent is not None and self.rate is not None and self.years is not None


@dataclass(frozen=True, slots=True)
class Way:
    """One alternative.

    Parameters
    ----------
    kind : str
        One of `WAYS`, or "other".
    conditions : tuple of Phrase
        What would have to be true, or what it comes to.
    value : tuple of float or None
        Present value against going on as today: likely, P5, P50, P95; None where its numbers were not said.
    beats : float or None
        Chance that it is worth more than the machine.
    """

    kind: str
    conditions: tuple[Phrase, ...]
    value: Band | None = None
    beats: float | None = None


def ways_of(case: Case, year: Year | None, terms: Terms, rows: Rows, verdict: Verdict) -> tuple[Way, ...]:
    """Every alternative, those whose numbers were said with their value.

    Parameters
    ----------
    case : Case
    year : Year or None
        None where the machine counts for nothing: refused, or does not run, or without any price.
    terms : Terms
    rows : Rows
    verdict : str
        Of the case.

    Raises
    ------
    QuantityError
        If more than `MOST_ALTERNATIVES` were said.
    """
    if len(case.money.alternative) > MOST_ALTERNATIVES:
        raise QuantityError(*trouble("MNY-002", text=str(MOST_ALTERNATIVES)))
    said = [(each.kind or "other", index, each) for index, each in enumerate(case.money.alternative)]
    found = []
    for kind in (*WAYS, "other"):
        own = [(index, each) for name, index, each in said if name == kind]
        if kind == "other" and not own:
            continue
        if year is None:
            alone = phrase(f"MNY-way_alone.{kind}") if verdict == "refuse" else phrase("MNY-way_no_price")
            found.append(Way(kind, (alone,)))
            continue
        way = Way(kind, tuple(_conditions(kind, case, year, terms)))
        found += [_valued(way, *each, year, terms, rows) for each in own] or [way]
    return tuple(found)


def _worth(year: Year, terms: Terms) -> Array:
    """What the machine is worth a year, its capital paid back with interest where that was said."""
    saved = total(savings(year))
    if terms.spent is None or terms.rate is None or terms.years is None:
        return saved
    return np.asarray(saved - terms.spent / annuity(terms.rate, terms.years))


def _conditions(kind: str, case: Case, year: Year, terms: Terms) -> Iterator[Phrase]:
    """What would have to be true for a way to be worth as much as the machine, at P50."""
    kilogram = year.containers * (year.product + year.disposal)
    worth, filled = _worth(year, terms), year.containers * year.filling
    middle, weighed = _middle(worth), case.money.present_residue is not None
    if kind == "do_nothing":
        yield from _nothing(case, year)
        if middle <= 0.0:
            yield phrase("MNY-way_nothing_wins", value=-middle)
        return
    if middle <= 0.0:
        yield phrase("MNY-way_no_need")
        return
    if kind == "bulk_delivery":
        yield phrase("MNY-way.bulk_delivery", value=_middle(worth / filled), money=middle)
        return
    if kind == "other":
        yield phrase("MNY-way.other")
        return
    if kind == "second_hand_follower":
        one = _middle(0.01 * filled * (year.product + year.disposal))
        yield phrase("MNY-way.second_hand_follower", value=one)
        return
    if not bool((kilogram > 0.0).all()) or not weighed:
        yield phrase("MNY-way_no_price" if weighed else "MNY-way_not_weighed")
        return
    share = _middle((year.left_old - worth / kilogram) / year.filling)
    if kind == "scraper_and_scale":
        key = "MNY-way.scraper_and_scale" if share > 0.0 else "MNY-way_scraper_never"
        yield phrase(key, value=share) if share > 0.0 else phrase(key)
    elif kind == "other_container":
        if share > 0.0:
            yield phrase("MNY-way.other_container", value=share)
        dearer = _middle((kilogram * year.left_old - worth) / filled)
        yield phrase("MNY-way_container_price", value=max(dearer, 0.0))


def _nothing(case: Case, year: Year) -> Iterator[Phrase]:
    """What goes on as today, as far as today was said."""
    yield phrase("MNY-way.do_nothing")
    if case.money.present_residue is not None:
        lost = year.containers * year.left_old * (year.product + year.disposal)
        yield phrase("MNY-way_today_residue", value=_middle(lost))
    if case.money.present_hands is not None:
        hours = _middle(year.containers * year.hands_old) / 3600.0
        yield phrase("MNY-way_today_hours", hours=round(hours))


def _middle(values: Array) -> float:
    return quantiles(np.asarray(values)[1:], 0.5)[0]


def _valued(way: Way, index: int, said: Alternative, year: Year, terms: Terms, rows: Rows) -> Way:
    """A way with the numbers that were said for it; what was not said stays as it is today."""
    if terms.rate is None or terms.years is None or said.capex is None:
        return replace(way, conditions=(*way.conditions, phrase("MNY-way_needs")))

    def of(name: str, otherwise: Array) -> Array:
        estimate = getattr(said, name)
        return otherwise if estimate is None else rows.of(f"alternative.{index}.{name}", estimate)

    zero = rows.flat(0.0)
    today = year.left_old / year.filling
    kept = year.containers * (today - of("residue", today)) * year.filling * (year.product + year.disposal)
    worth = year.containers * (year.hands_old - of("hands", year.hands_old)) * year.wage
    counted = worth if year.released else np.minimum(worth, 0.0)
    dearer = year.containers * year.filling * of("price_change", zero) + of("yearly_cost", zero)
    factor = float(annuity(terms.rate, terms.years))
    value = factor * (kept + counted - dearer) - of("capex", zero)
    low, middle, high = quantiles(value[1:], 0.05, 0.5, 0.95)
    band = (float(value[0]), low, middle, high)
    if terms.spent is None:
        return replace(way, value=band)
    machine = factor * total(savings(year)) - terms.spent
    chance = float((value[1:] > machine[1:]).mean())
    key = "MNY-way_beats" if chance >= BEATS else "MNY-way_loses"
    return replace(way, conditions=(*way.conditions, phrase(key, value=chance)), value=band, beats=chance)
