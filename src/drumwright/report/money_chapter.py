"""The chapter of the note on money; only where prices were given, and never in an outgoing document."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from drumwright.report import money_form
from drumwright.report.charts import Charts
from drumwright.report.document import Block, Bullets, Callout, Cell, Column, Heading, Paragraph, Table, row
from drumwright.report.money_chart import tornado_picture
from drumwright.report.words import Words
from drumwright.study.economics import MoneyStudy
from drumwright.study.money_measures import Row
from drumwright.study.result import Result

WIDTHS = (3.0, 1.0, 1.0, 1.0, 1.0)


def money_chapter(result: Result, words: Words, drawn: Charts) -> Iterator[Block]:
    """Yield the chapter, nothing where no prices were given.

    Parameters
    ----------
    result : Result
    words : Words
    drawn : Charts
        Renderer of charts.
    """
    found = result.money
    if found is None or not found.prices_name:
        return
    yield Heading(words.say("heading.money"))
    key = "money.prices_example" if found.example else "money.prices_file"
    yield Callout(
        words.say("money.internal"), words.say(key, name=found.prices_name, currency=found.currency)
    )
    yield Bullets(tuple(words.tell(each) for each in found.about))
    for name, rows in (("measures", found.rows), ("items", found.items), ("amounts", found.amounts)):
        if rows:
            yield Heading(words.say(f"heading.money_{name}"), 2)
            yield _table(rows, words)
    if found.swings:
        yield tornado_picture(found, drawn)
    yield from _doubts(found, words)
    yield from _ways(found, words)
    yield from _sheet(found, words)
    yield from _rests(found, words)


def _table(rows: Sequence[Row], words: Words) -> Table:
    """Likely, P5, P50 and P95 of each row."""
    heads = ("what", "likely", "low", "middle", "high")
    columns = tuple(
        Column(words.say(f"money.column_{head}"), width, "left" if head == "what" else "right")
        for head, width in zip(heads, WIDTHS, strict=True)
    )
    listed = []
    for item in rows:
        cells = money_form.cells(item, words)
        listed.append(row(money_form.name_of(item, words), *cells, *("",) * (4 - len(cells))))
    return Table(columns, tuple(listed), True)


def _doubts(found: MoneyStudy, words: Words) -> Iterator[Block]:
    """What is not in the sum, and what is doubtful in it."""
    for key, listed in (("missing", found.missing), ("silent", found.silent), ("flags", found.flags)):
        if listed:
            yield Paragraph(words.say(f"money.{key}"))
            yield Bullets(tuple(words.tell(each) for each in listed))


def _ways(found: MoneyStudy, words: Words) -> Iterator[Block]:
    """Honest alternatives."""
    yield Heading(words.say("heading.money_ways"), 2)
    listed = []
    for way in found.ways:
        texts = [words.tell(each) for each in way.conditions]
        if way.value is not None:
            cells = money_form.cells(Row("present_value", "money", *way.value), words)
            texts.append(words.say("money.way_value", value=", ".join(cells)))
        listed.append(row(Cell(words.name("money_way", way.kind), "strong"), " ".join(texts)))
    columns = (Column(words.say("column.item"), 1.6), Column(words.say("column.finding"), 5.4))
    yield Table(columns, tuple(listed), True)


def _sheet(found: MoneyStudy, words: Words) -> Iterator[Block]:
    """The answer sheet of the questions of a plant manager."""
    if not found.sheet:
        return
    yield Heading(words.say("heading.money_sheet"), 2)
    listed = [
        row(
            words.say("money.question", number=number, text=money_form.question(item.key, words)),
            Cell(" ".join(words.tell(each) for each in item.answers), "" if item.known else "assumed"),
        )
        for number, item in enumerate(found.sheet, 1)
    ]
    columns = (Column(words.say("column.item"), 2.4), Column(words.say("column.finding"), 4.6))
    yield Table(columns, tuple(listed), True)


def _rests(found: MoneyStudy, words: Words) -> Iterator[Block]:
    """Prices and numbers of ours."""
    yield Heading(words.say("heading.money_prices"), 2)
    yield Bullets(tuple(money_form.price_row(price, words) for price in found.prices))
    if found.taken:
        yield Paragraph(words.say("money.taken"))
        yield Bullets(tuple(money_form.taken_row(item, words) for item in found.taken))
