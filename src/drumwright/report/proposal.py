"""The outgoing proposal: no probabilities, no internal notes, no costs."""

from __future__ import annotations

from collections.abc import Iterator

from drumwright.basis.estimate import WEAK_BASES
from drumwright.report.charts import Charts
from drumwright.report.document import (
    Block,
    Bullets,
    Callout,
    Cell,
    Column,
    Document,
    Heading,
    Paragraph,
    Table,
    row,
)
from drumwright.report.parts import (
    caution,
    finding_line,
    frame,
    open_assumptions,
    options_table,
    parts_table,
    path_picture,
)
from drumwright.report.stand_drawing import stand_picture
from drumwright.report.words import Words, find_figure, words_of
from drumwright.study.result import Assumption, Finding, Result

# Figures that may go out, in the order of the table; none of them is a probability or money.
PROMISED = (
    ("flow", "station.flow"),
    ("emptying_time", "container.emptying_time"),
    ("drums", "station.drums_possible"),
    ("utilisation", "station.utilisation"),
    ("pressure", "line.total"),
    ("restart", "line.restart"),
    ("plate_speed", "plate.speed"),
    ("shaft_power", "pump.shaft_power"),
    ("residue_volume", "residue.volume"),
    ("residue_share", "residue.share"),
    ("line_volume", "line.volume"),
)
PROMISED_IN = ("norm", "winter")
EXCLUSIONS = ("money", "transient", "noise", "law", "firm")
TESTS = ("flow", "residue", "rate", "product")
OPTIONS_SHOWN = 4


def proposal(result: Result, charts: Charts | None = None) -> Document:
    """Return the proposal for the customer.

    Parameters
    ----------
    result : Result
        A finished answer.
    charts : Charts, optional
        Renderer of charts; one is made where none is given.
    """
    words = words_of(result)
    charts = charts or Charts(words)
    return frame(result, words, "proposal", list(_blocks(result, words, charts)))


def _blocks(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield from _answer(result, words)
    yield from _asked(result, words)
    yield from _understood(result, words)
    yield from _path(result, words, charts)
    yield from _arrangement(result, words)
    yield from _performance(result, words)
    yield from _conditions(result, words)
    yield from _assumptions(result, words)
    yield from _questions(result, words)
    yield from _exclusions(result, words)
    yield from _hazards(result, words)
    if _promised(result, words):
        yield Heading(words.say("heading.test"))
        yield Bullets(tuple(words.say(f"text.test_{name}") for name in TESTS))
    yield Heading(words.say("heading.caution"))
    yield caution(result, words)


def _answer(result: Result, words: Words) -> Iterator[Block]:
    changed = result.recommended is not None and bool(result.recommended.changes)
    word = "go_if_changed" if changed else result.verdict
    yield Callout(words.say(f"verdict_words.{word}"), words.tell(result.reason), result.verdict)
    yield Callout(
        f"{words.say('heading.today')}: {words.say(f'status.{result.offer}')}",
        words.tell(result.offer_reason),
    )
    ways = [item for item in result.findings if item.key.startswith("way_out.")]
    if ways:
        yield Heading(words.say("heading.ways_out"))
        yield Bullets(tuple(words.tell(item.text) for item in ways))
    yield Paragraph(words.tell(result.caution), "small")


def _asked(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.asked"))
    if result.head.words.strip():
        yield Paragraph(words.say("text.asked_intro"))
        yield Paragraph(result.head.words.strip(), "quote")
    else:
        yield Paragraph(words.say("text.asked_nothing"))
    if result.asked:
        columns = (Column(words.say("column.label"), 2.2), Column(words.say("column.value"), 1.4))
        yield Table(columns, tuple(row(label.rstrip("."), text) for label, text in result.asked))


def _understood(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.understood"))
    yield Paragraph(words.say("text.understood_intro"))
    numbers = {item.field: item.number for item in open_assumptions(result)}
    rows = []
    for label, field, kind, likely, basis in result.understood:
        number = numbers.get(field, "")
        mark = "assumed" if number or basis in WEAK_BASES else ""
        rows.append(
            row(
                Cell(label.rstrip("."), mark),  # type: ignore[arg-type]
                Cell(words.value(likely, kind), mark),  # type: ignore[arg-type]
                Cell(words.name("basis", basis), mark),  # type: ignore[arg-type]
                Cell(number, mark),  # type: ignore[arg-type]
            )
        )
    columns = (
        Column(words.say("column.label"), 3.2),
        Column(words.say("column.value"), 1.2, "right"),
        Column(words.say("column.basis"), 1.3),
        Column(words.say("column.number"), 0.7),
    )
    yield Table(columns, tuple(rows))


def _path(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield Heading(words.say("heading.path"))
    picture = path_picture(result, words)
    if picture is not None:
        yield picture
    if not result.path:
        yield Paragraph(words.say("text.path_missing"))
    yield from charts.profile(result)
    yield from charts.curves(result)


def _arrangement(result: Result, words: Words) -> Iterator[Block]:
    if result.recommended is not None:
        yield Heading(words.say("heading.arrangement"))
        yield parts_table(result.recommended, words)
        yield Paragraph(words.say("text.placeholder"), "small")
        yield from stand_picture(result, words)
        if result.recommended.changes:
            yield Paragraph(words.say("text.changes_intro"))
            yield Bullets(tuple(words.tell(change) for change in result.recommended.changes))
    else:
        yield Heading(words.say("heading.asked_arrangement"))
        yield Paragraph(words.say("text.arrangement_none"))
        if result.asked_arrangement.parts:
            yield parts_table(result.asked_arrangement, words)
    if result.options:
        yield Heading(words.say("heading.rejected"), 2)
        yield options_table(result, words, OPTIONS_SHOWN)


def _promised(result: Result, words: Words) -> list[tuple[Cell, ...]]:
    """Return the rows of the performance table: norm and winter; empty where nothing was computed."""
    rows = []
    for name, key in PROMISED:
        found = [
            find_figure(result, key, season) or find_figure(result, key, "all") for season in PROMISED_IN
        ]
        if any(found):
            texts = [words.figure(each) if each else words.say("blank") for each in found]
            rows.append(row(words.say(f"measure.{name}"), *texts))
    return rows


def _performance(result: Result, words: Words) -> Iterator[Block]:
    rows = _promised(result, words)
    if not rows:
        return
    yield Heading(words.say("heading.performance"))
    yield Paragraph(words.say("text.performance_band"))
    heads = [Column(words.name("season", season), 2.1, "right") for season in PROMISED_IN]
    yield Table((Column(words.say("column.label"), 2.2), *heads), tuple(rows))
    yield Paragraph(words.say("text.performance_conditions"))


def _conditions(result: Result, words: Words) -> Iterator[Block]:
    if result.verdict == "refuse":
        return
    yield Heading(words.say("heading.conditions"))
    conditions = [item for item in result.conditions if item.role != "not_judged"]
    if not conditions:
        yield Paragraph(words.say("text.conditions_none"))
        return
    yield Paragraph(words.say("text.conditions_intro"))
    yield Bullets(tuple(finding_line(item, words) for item in conditions), numbered=True)


def _assumptions(result: Result, words: Words) -> Iterator[Block]:
    found = open_assumptions(result)
    if not found:
        return
    yield Heading(words.say("heading.assumptions"))
    yield Paragraph(words.say("text.assumptions_intro"))
    weighty = [item for item in found if item.flag != "G"]
    rows = [
        row(Cell(item.number, "assumed"), words.tell(item.meaning), _taken(item, words), item.owner)
        for item in weighty
    ]
    columns = (
        Column(words.say("column.number"), 0.7),
        Column(words.say("column.label"), 3.2),
        Column(words.say("column.range"), 2.2),
        Column(words.say("column.owner"), 1.2),
    )
    if rows:
        yield Table(columns, tuple(rows), small=True)
    light = [
        words.say(
            "text.assumption",
            number=item.number,
            meaning=words.tell(item.meaning).rstrip("."),
            taken=_taken(item, words),
        )
        for item in found
        if item.flag == "G"
    ]
    if light:
        yield Paragraph(words.say("text.assumptions_small"))
        yield Paragraph("; ".join(light) + ".", "small")


def _taken(item: Assumption, words: Words) -> str:
    """Return what was taken; money stays out of an outgoing document."""
    if item.kind == "price":
        return words.say("text.not_used")
    return taken(item, words)


def taken(item: Assumption, words: Words) -> str:
    """Return the value or choice taken for an assumption, with its range."""
    if item.likely is None or item.low is None or item.high is None:
        return choice_text(item.choice, words)
    return words.band(item.low, item.likely, item.high, item.kind)


def choice_text(choice: str, words: Words) -> str:
    """Return what was taken for an answer without a number: a catalogue sentence, or the word itself."""
    from drumwright.basis.catalogue import catalogue
    from drumwright.basis.phrases import phrase

    if not choice:
        return words.say("blank")
    return words.tell(phrase(choice)) if choice in catalogue() else choice.replace("_", " ")


def _questions(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.questions"))
    if not result.questions:
        yield Paragraph(words.say("text.questions_none"))
        return
    rows = [
        row(
            str(item.rank),
            Cell(words.tell(item.ask), "strong" if item.rank <= 3 else ""),
            words.tell(item.because),
            ", ".join(item.assumptions),
        )
        for item in result.questions
        if item.flag != "G" or item.rank <= 3
    ]
    columns = (
        Column("", 0.25),
        Column(words.say("column.ask"), 3.0),
        Column(words.say("column.because"), 2.4),
        Column(words.say("column.number"), 0.8),
    )
    yield Table(columns, tuple(rows), small=True)


def _exclusions(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.exclusions"))
    yield Paragraph(words.say("text.exclusions_intro"))
    found: dict[str, Finding] = {}
    for item in (*result.conditions, *result.findings):
        if item.role == "not_judged":
            found.setdefault(item.key, item)
    named = [finding_line(item, words) for item in found.values()]
    yield Bullets((*named, *(words.say(f"text.exclusion_{name}") for name in EXCLUSIONS)))


def _hazards(result: Result, words: Words) -> Iterator[Block]:
    if not result.hazards:
        return
    yield Heading(words.say("heading.hazards"))
    yield Paragraph(words.say("text.hazards_intro"))
    yield hazards_table(result, words)


def hazards_table(result: Result, words: Words) -> Table:
    """Return the hazards of this configuration; core cautions in strong print."""
    rows = [
        row(
            Cell(words.tell(item.hazard), "strong" if item.core else ""),
            words.tell(item.consequence),
            words.tell(item.safeguard),
        )
        for item in result.hazards
    ]
    columns = (
        Column(words.say("column.hazard"), 1.6),
        Column(words.say("column.consequence"), 1.5),
        Column(words.say("column.safeguard"), 3.0),
    )
    return Table(columns, tuple(rows), small=True)
