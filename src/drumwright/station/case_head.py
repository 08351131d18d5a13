"""The head of a case: what goes onto every document, and what the whole answer is computed with."""

from __future__ import annotations

from typing import Literal

from drumwright.station.fields import choice, flag, text, whole
from drumwright.station.record_base import Record

Place = Literal["EU", "UK", "US", "other"]


class CaseHead(Record):
    """Who is asking what of whom; goes onto the documents."""

    title: str | None = text("Title of the case on every document.")
    number: str | None = text("Number of the enquiry in your own files.")
    revision: str | None = text("Revision of the case, as printed.")
    date: str | None = text("Date printed on documents; the clock is never read.")
    author: str | None = text("Name of who wrote the case.")
    checker: str | None = text("Name of who checked it.")
    place: Place | None = choice("Rule book for paper, tubes and motors.", Place)
    units: Literal["metric", "US"] = choice(
        "Units of the printed answer.", Literal["metric", "US"], default="metric"
    )
    seed: int = whole("Start of the random sequence; the same seed gives the same bytes.", (0, 2**31), 1)
    stock: str | None = text(
        "File of your own parts stock, relative to the case; the generic one without it."
    )
    stock_skip_bad: bool | None = flag("Whether rows of the stock that cannot be used are left out.")
