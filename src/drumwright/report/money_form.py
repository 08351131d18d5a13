"""The money of a case on the screen and as plain data: the sum first, then what it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.quantities import plain
from drumwright.report.folding import wrapped
from drumwright.report.words import Words, digits_of
from drumwright.study.economics import MoneyStudy, PriceRow
from drumwright.study.money_measures import Row
from drumwright.study.shift_inputs import Taken

FORM = "drumwright.money/1"
ENDLESS = ("payback", "discounted_payback", "break_even_year", "break_even_day")
NONE = -0.9999  # a return of that is none
Json = dict[str, Any]


def lines(study: MoneyStudy, words: Words) -> Iterator[str]:
    """Yield the screen of `drumwright money`.

    Parameters
    ----------
    study : MoneyStudy
    words : Words
        Labels and units.
    """
    head = words.say("money.head", verdict=words.say(f"verdict.{study.verdict}"), samples=study.samples)
    yield head
    yield from _prices_head(study, words)
    yield from _listed(study.about, words, "! ")
    for key, rows in (("measures", study.rows), ("items", study.items), ("amounts", study.amounts)):
        if rows:
            yield ""
            yield words.say(f"money.{key}")
            yield from (line(row, words) for row in rows)
    for key, found in (("missing", study.missing), ("silent", study.silent), ("flags", study.flags)):
        if found:
            yield ""
            yield words.say(f"money.{key}")
            yield from _listed(found, words, "- ")
    yield from _ways(study, words)
    yield from _sheet(study, words)
    yield from _rests(study, words)


def _prices_head(study: MoneyStudy, words: Words) -> Iterator[str]:
    """Currency and file of the prices, and that they are invented where the file says so."""
    if study.prices_name:
        key = "money.prices_example" if study.example else "money.prices_file"
        yield from wrapped(words.say(key, name=study.prices_name, currency=study.currency), "")


def line(row: Row, words: Words) -> str:
    """Return a row of a table: name, likely, P5, P50, P95.

    Parameters
    ----------
    row : Row
    words : Words
    """
    label = name_of(row, words)
    values = cells(row, words)
    if len(values) == 1:
        return f"{label:<42}{values[0]:>9}"
    return f"{label:<42}" + "".join(f"{each:>9}" for each in values)


def name_of(row: Row, words: Words) -> str:
    """Return the name of a row with its unit.

    Parameters
    ----------
    row : Row
    words : Words
    """
    name = words.name("money_row", row.key)
    unit = words.unit(row.kind)
    return f"{name}, {unit}" if unit and row.kind != "fraction" else name


def cells(row: Row, words: Words) -> tuple[str, ...]:
    """Return likely, P5, P50 and P95 of a row as texts; one text where there is no spread.

    Parameters
    ----------
    row : Row
    words : Words
    """
    values = (row.likely, row.low, row.middle, row.high)
    texts = tuple(shown(value, row, words) for value in values)
    return texts[:1] if len(set(values)) == 1 else texts


def shown(value: float, row: Row, words: Words) -> str:
    """Return one number of a row with as many digits as its band carries.

    Parameters
    ----------
    value : float
    row : Row
    words : Words
    """
    if row.key in ENDLESS and not math.isfinite(value):
        return words.say("money.never")
    if row.key == "return" and value <= NONE:
        return words.say("money.none")
    if not math.isfinite(value):
        return words.say("not_computed")
    if row.kind == "fraction":
        return words.value(value, "fraction", 2)
    digits = digits_of(row.low, row.middle, row.high) if math.isfinite(row.high) else 2
    if value == 0.0 or (row.kind == "money" and abs(value) < 0.005 * max(abs(row.low), abs(row.high))):
        return "0"
    return words.number(value, row.kind, digits)


def _listed(found: Sequence[Phrase], words: Words, mark: str) -> Iterator[str]:
    for each in found:
        yield from wrapped(words.tell(each), mark)


def _ways(study: MoneyStudy, words: Words) -> Iterator[str]:
    """Honest alternatives, each with what would have to be true."""
    yield ""
    yield words.say("money.ways")
    for way in study.ways:
        yield from wrapped(words.name("money_way", way.kind), "- ")
        yield from (text for each in way.conditions for text in wrapped(words.tell(each), "    "))
        if way.value is not None:
            row = Row("present_value", "money", *way.value)
            yield from wrapped(words.say("money.way_value", value=", ".join(cells(row, words))), "    ")


def _sheet(study: MoneyStudy, words: Words) -> Iterator[str]:
    """The answer sheet."""
    if not study.sheet:
        return
    yield ""
    yield words.say("money.sheet")
    for number, item in enumerate(study.sheet, 1):
        yield from wrapped(words.say("money.question", number=number, text=question(item.key, words)), "")
        yield from (text for each in item.answers for text in wrapped(words.tell(each), "    "))


def question(key: str, words: Words) -> str:
    """Return a question of the answer sheet.

    Parameters
    ----------
    key : str
    words : Words
    """
    return words.tell(phrase(f"MNY-q.{key}"))


def _rests(study: MoneyStudy, words: Words) -> Iterator[str]:
    """Prices and numbers of ours that the money rests on."""
    if study.prices:
        yield ""
        yield words.say("money.prices")
        yield from (text for price in study.prices for text in wrapped(price_row(price, words), "  "))
    if study.taken:
        yield ""
        yield words.say("money.taken")
        yield from (text for item in study.taken for text in wrapped(taken_row(item, words), "  "))


def price_row(price: PriceRow, words: Words) -> str:
    """Return a price with its unit, dates and who said it.

    Parameters
    ----------
    price : PriceRow
    words : Words
    """
    likely, low, high = (plain(each, 6, trim=True) for each in (price.likely, price.low, price.high))
    value = likely if low == high else words.say("money.price_band", value=likely, low=low, high=high)
    return words.say(
        "money.price_row", name=words.name("money_price", price.name), value=value, unit=price.unit,
        date=price.date, until=price.valid_until, who=price.said_by,
        state=words.say(f"money.state_{price.state}"),
    )  # fmt: skip


def taken_row(item: Taken, words: Words) -> str:
    """Return a number of ours with its band and source.

    Parameters
    ----------
    item : Taken
    words : Words
    """
    found = item.estimate
    band = words.band(found.low, found.likely, found.high, item.kind)
    name = words.name("money_taken", item.name.removeprefix("money."))
    return words.say("money.taken_row", name=name, value=band, source=item.source)


def as_dictionary(study: MoneyStudy, words: Words) -> Json:
    """Return everything as plain data, SI units; what is not finite becomes null.

    Parameters
    ----------
    study : MoneyStudy
    words : Words
        For the sentences.
    """
    return {
        "form": FORM,
        "verdict": study.verdict,
        "about": [words.tell(each) for each in study.about],
        "currency": study.currency,
        "example": study.example,
        "amounts": [_row(row) for row in study.amounts],
        "items": [_row(row) for row in study.items],
        "measures": [_row(row) for row in study.rows],
        "missing": [words.tell(each) for each in study.missing],
        "silent": [words.tell(each) for each in study.silent],
        "flags": [words.tell(each) for each in study.flags],
        "alternatives": _ways_data(study, words),
        "sheet": _sheet_data(study, words),
        "swings_of": study.swings_of,
        "swings": [
            {"name": s.name, "low": s.low, "high": s.high, "at_low": s.at_low, "at_high": s.at_high}
            for s in study.swings
        ],
        "prices": _prices_data(study),
        "taken": _taken_data(study),
        "samples": study.samples,
        "seed": study.seed,
    }


def _ways_data(study: MoneyStudy, words: Words) -> list[Json]:
    return [
        {
            "kind": way.kind,
            "conditions": [words.tell(each) for each in way.conditions],
            "value": None if way.value is None else list(way.value),
            "beats": way.beats,
        }
        for way in study.ways
    ]


def _sheet_data(study: MoneyStudy, words: Words) -> list[Json]:
    return [
        {
            "question": question(item.key, words),
            "answers": [words.tell(each) for each in item.answers],
            "known": item.known,
        }
        for item in study.sheet
    ]


def _prices_data(study: MoneyStudy) -> list[Json]:
    return [
        {
            "name": price.name, "value": price.likely, "low": price.low, "high": price.high,
            "unit": price.unit, "date": price.date, "valid_until": price.valid_until,
            "said_by": price.said_by, "state": price.state,
        }
        for price in study.prices
    ]  # fmt: skip


def _taken_data(study: MoneyStudy) -> list[Json]:
    return [
        {
            "name": item.name, "kind": item.kind, "low": item.estimate.low,
            "likely": item.estimate.likely, "high": item.estimate.high, "basis": item.estimate.basis,
            "source": item.source,
        }
        for item in study.taken
    ]  # fmt: skip


def _row(row: Row) -> Json:
    values = {"likely": row.likely, "p5": row.low, "p50": row.middle, "p95": row.high}
    return {"key": row.key, "kind": row.kind} | {
        name: value if math.isfinite(value) else None for name, value in values.items()
    }
