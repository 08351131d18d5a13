"""The one document model: what a proposal and a note consist of, before any face renders it.

Texts are ready sentences in the unit system of the case; pictures are SVG with the text that replaces them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Tone = Literal["plain", "go", "go_if", "ask_first", "refuse", "caution"]
Mark = Literal["", "assumed", "fail", "strong", "quiet", "key"]
Align = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is a section."""

    text: str
    level: int = 1


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; "quote" is the customer's own words, line ends kept."""

    text: str
    style: Literal["plain", "quote", "small"] = "plain"


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of sentences."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table; "assumed" is shaded in print."""

    text: str
    mark: Mark = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: head, relative width (0 = as wide as its text), alignment."""

    head: str
    width: float = 0.0
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a head row; small print for the long ones of the note."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    small: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """An SVG with the sentence that says the same, and a caption."""

    svg: bytes
    alt: str
    caption: str
    width: float = 1.0  # share of the text width


@dataclass(frozen=True, slots=True)
class Callout:
    """A framed statement."""

    title: str
    text: str
    tone: Tone = "plain"


Block = Heading | Paragraph | Bullets | Table | Picture | Callout


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document, ready for a renderer."""

    kind: Literal["proposal", "note"]
    title: str
    label: str  # for whom it is
    paper: Literal["a4", "us-letter"]
    date: str
    author: str
    language: str
    footer: str
    running: str  # head of every page: number and revision
    head: tuple[tuple[str, str], ...]
    blocks: tuple[Block, ...]


def row(*cells: str | Cell) -> tuple[Cell, ...]:
    """Return a table row from texts and cells."""
    return tuple(cell if isinstance(cell, Cell) else Cell(cell) for cell in cells)
