"""What a station is worth: savings, payback, present value and return with their bands, or why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.price_file import PriceFile, prices_of
from drumwright.station.records import Case
from drumwright.study import cash_flow
from drumwright.study.alternatives import Terms, Way, ways_of
from drumwright.study.answer import Judgement
from drumwright.study.assess import DEFAULT_SEED, SAMPLES_WHAT_IF, judgements
from drumwright.study.machine_uses import Uses, scenes_of, uses_of
from drumwright.study.money_inputs import Gaps, Priced, spent_of, year_of
from drumwright.study.money_measures import Row, amounts_of, measures_of, row_of
from drumwright.study.money_rows import Rows
from drumwright.study.money_sheet import Answered, sheet_of
from drumwright.study.result import Verdict
from drumwright.study.savings import (
    ITEMS,
    Swing,
    Year,
    quantities,
    savings,
    total,
)
from drumwright.study.shift_inputs import Taken

Array = NDArray[np.float64]
Measure = Literal["present_value", "saving"]
MOST_SWINGS = 10


@dataclass(frozen=True, slots=True)
class PriceRow:
    """A price that counts, as it was written: likely, low, high for one `unit`."""

    name: str
    likely: float
    low: float
    high: float
    unit: str
    date: str
    valid_until: str
    said_by: str
    state: str


@dataclass(frozen=True, slots=True)
class MoneyStudy:
    """What the money of a case comes to.

    Parameters
    ----------
    verdict : str
        Of the case: what is refused saves nothing, what must be asked first is provisional.
    about : tuple of Phrase
        What the numbers are, before any number.
    currency : str
    prices : tuple of PriceRow
    prices_name : str
        File of the prices, "" where there is none.
    example : bool
        Whether that file says of itself that it is an example.
    amounts : tuple of Row
        What is kept and used in a year, in kilograms, hours and joules.
    items, rows : tuple of Row
        Savings of a year by item, "eases" last; measures. Empty where nothing is counted.
    missing, silent, flags : tuple of Phrase
        Costs not counted, gains not counted, doubtful prices.
    taken : tuple of Taken
        Numbers nobody said.
    ways : tuple of Way
        Honest alternatives.
    sheet : tuple of Answered
        Questions of a plant manager, in their order.
    swings : tuple of Swing
        Widest first, of `swings_of`.
    swings_of : str
        present_value or saving.
    samples, seed : int
    """

    verdict: Verdict
    about: tuple[Phrase, ...]
    currency: str
    prices: tuple[PriceRow, ...]
    prices_name: str
    example: bool
    amounts: tuple[Row, ...]
    items: tuple[Row, ...]
    rows: tuple[Row, ...]
    missing: tuple[Phrase, ...]
    silent: tuple[Phrase, ...]
    flags: tuple[Phrase, ...]
    taken: tuple[Taken, ...]
    ways: tuple[Way, ...]
    sheet: tuple[Answered, ...]
    swings: tuple[Swing, ...]
    swings_of: Measure
    samples: int
    seed: int

    def row(self, key: str) -> Row:
        """Return a measure by its key; raises StopIteration if there is none."""
        return next(row for row in self.rows if row.key == key)


def money(case: Case, *, prices: Path | None = None, samples: int = SAMPLES_WHAT_IF) -> MoneyStudy:
    """Count the money of a case.

    Parameters
    ----------
    case : Case
        As read.
    prices : Path, optional
        File of prices in place of the one the case names.
    samples : int
        A power of two; the same samples as those of the verdict.

    Returns
    -------
    MoneyStudy

    Raises
    ------
    InputError
        If the prices cannot be used.
    QuantityError
        If nothing says how many containers a year are emptied.
    """
    return study_of(case, judgements(case, samples), prices_of(case, prices), samples)


def counted(case: Case, answers: list[Judgement], samples: int) -> MoneyStudy | None:
    """Count the money of what was judged, for the note; None where containers a year were not said.

    Parameters
    ----------
    case : Case
    answers : list of Judgement
        The binding one first.
    samples : int
        As in the judgements.

    Raises
    ------
    InputError
        If the prices cannot be used.
    """
    try:
        return study_of(case, answers, prices_of(case), samples)
    except QuantityError:
        return None


def study_of(case: Case, answers: list[Judgement], prices: PriceFile | None, samples: int) -> MoneyStudy:
    """Count the money of what was judged; nothing is judged again.

    Parameters
    ----------
    case : Case
    answers : list of Judgement
        The binding one first.
    prices : PriceFile or None
    samples : int
        As in the judgements.
    """
    answer = answers[0]
    seed = case.case.seed if case.case.seed is not None else DEFAULT_SEED
    rows, gaps = Rows(samples, seed), Gaps()
    priced = Priced(case, answer.problem.inputs.product, prices, rows, gaps)
    found, scenes = scenes_of(answer)
    verdict = answer.decision.verdict
    uses = uses_of(scenes, rows) if verdict != "refuse" else None
    spent = spent_of(case, rows, gaps, uses is not None and uses.warms)
    year = year_of(case, answer.problem.inputs, uses, priced, rows, gaps) if uses is not None else None
    terms = _terms(case, year, spent, gaps)
    if prices is not None and case.money.currency is None and (spent is not None or case.money.alternative):
        gaps.flags.append(phrase("MNY-no_currency"))
    amounts = tuple(amounts_of(year)) if year is not None else ()
    counted = year if priced.any else None
    items: tuple[Row, ...] = ()
    measures: tuple[Row, ...] = ()
    swings: tuple[Swing, ...] = ()
    if counted is not None:
        saved = savings(counted)
        items = tuple(row_of(name, "money", saved[name]) for name in (*ITEMS, "eases"))
        measures = tuple(measures_of(case, counted, terms))
        swings = _swings(counted, terms)
    about = _about(answers, uses, gaps, found is not answer.asked, priced.any)
    return MoneyStudy(
        verdict, about, _currency(case, prices), _price_rows(priced), prices.name if prices else "",
        prices.example if prices else False, amounts, items, measures, tuple(gaps.missing),
        tuple(gaps.silent), tuple(gaps.flags), tuple(rows.taken),
        ways_of(case, counted, terms, rows, verdict), sheet_of(case, answers, counted, uses, terms), swings,
        "present_value" if terms.whole else "saving", samples, seed,
    )  # fmt: skip


def _currency(case: Case, prices: PriceFile | None) -> str:
    return prices.currency if prices is not None else (case.money.currency or "")


def _terms(case: Case, year: Year | None, spent: Array | None, gaps: Gaps) -> Terms:
    """What years and money are counted with; what nobody said is named."""
    rate, years = case.money.rate, case.money.years
    if year is not None:
        for said, key in ((spent, "MNY-no_spent"), (rate, "MNY-no_rate"), (years, "MNY-no_years")):
            if said is None:
                gaps.silent.append(phrase(key))
    return Terms(
        spent, rate.likely if rate is not None else None, years.likely if years is not None else None
    )


def _about(
    answers: list[Judgement], uses: Uses | None, gaps: Gaps, changed: bool, priced: bool
) -> tuple[Phrase, ...]:
    """What the numbers are: refused, provisional, incomplete, of one duty."""
    verdict = answers[0].decision.verdict
    if verdict == "refuse":
        return (phrase("MNY-refused"),)
    found = [phrase("MNY-provisional")] if verdict == "ask_first" else []
    if uses is None:
        return (*found, phrase("MNY-nothing"))
    if verdict == "go_if":
        found.append(phrase("MNY-conditions", count=len(answers[0].conditions)))
    if changed:
        found.append(phrase("MNY-changed_provisional" if verdict == "ask_first" else "MNY-changed"))
    if len(answers) > 1:
        found.append(phrase("MNY-one_duty", name=answers[0].name))
    if not priced:
        found.append(phrase("MNY-no_prices"))
    elif gaps.missing:
        found.append(phrase("MNY-at_most", count=len(gaps.missing)))
    return tuple(found)


def _price_rows(priced: Priced) -> tuple[PriceRow, ...]:
    found = []
    for price in priced.used:
        low, likely, high = (
            getattr(price.estimate, name) / price.factor for name in ("low", "likely", "high")
        )
        dates = price.date.isoformat(), price.valid_until.isoformat()
        state = price.state(priced.day)
        found.append(PriceRow(price.name, likely, low, high, price.unit, *dates, price.said_by, state))
    return tuple(found)


def _swings(year: Year, terms: Terms) -> tuple[Swing, ...]:
    """What each quantity at its P5 and P95 makes of the present value, else of the saving of a year."""
    arrays: Mapping[str, Array] = quantities(year)
    if terms.whole:
        assert terms.spent is not None
        arrays = {**arrays, "spent": terms.spent}
    found = []
    for name, values in arrays.items():
        low, high = quantiles(values[1:], 0.05, 0.95)
        if high > low:
            found.append(Swing(name, low, high, *(_at(year, terms, name, end) for end in (low, high))))
    wide = [swing for swing in found if swing.width > 0.0]
    return tuple(sorted(wide, key=lambda swing: -swing.width)[:MOST_SWINGS])


def _at(year: Year, terms: Terms, name: str, value: float) -> float:
    """The measure at the likely point with one quantity at another value."""
    point = year.at() if name == "spent" else year.at(**{name: value})
    saved = total(savings(point))
    if not terms.whole or terms.spent is None or terms.rate is None or terms.years is None:
        return float(saved[0])
    spent = value if name == "spent" else float(terms.spent[0])
    return float(cash_flow.present_value(spent, saved, terms.rate, terms.years)[0])
