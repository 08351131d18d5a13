"""Pieces that proposal and note share: document frame, head table, pictures, arrangement tables."""

from __future__ import annotations

from collections.abc import Sequence

from drumwright.report.document import Block, Callout, Cell, Column, Document, Paragraph, Picture, Table, row
from drumwright.report.words import Words, border_name
from drumwright.study.result import Arrangement, Assumption, Finding, Part, Result


def frame(result: Result, words: Words, kind: str, blocks: Sequence[Block]) -> Document:
    """Return a document of a kind ("proposal" or "note") around its blocks."""
    head = result.head
    title = head.title or words.say("title.untitled")
    running = " · ".join(part for part in (head.number, head.revision) if part)
    return Document(
        kind="proposal" if kind == "proposal" else "note",
        title=words.say(f"title.{kind}", title=title),
        label=words.say("outgoing" if kind == "proposal" else "internal"),
        paper="us-letter" if head.place == "US" else "a4",
        date=head.date,
        author=head.author,
        language="en",
        footer=words.say("footer"),
        running=running or title,
        head=_head_rows(result, words),
        blocks=tuple(blocks),
    )


def _head_rows(result: Result, words: Words) -> tuple[tuple[str, str], ...]:
    head, blank = result.head, words.say("blank")
    numbers = [item.number for item in open_assumptions(result)]
    spread = f"{numbers[0]} ... {numbers[-1]}" if len(numbers) > 1 else "".join(numbers)
    rows = (
        ("project", head.title or blank),
        ("number", head.number or blank),
        ("customer", head.customer or blank),
        ("revision", head.revision or blank),
        ("date", head.date or blank),
        ("author", head.author or words.say("head.signature")),
        ("checker", head.checker or words.say("head.signature")),
        ("status", words.say(f"status.{result.offer}")),
        ("units", words.say(f"head.units_{words.system}")),
        ("conditions", _conditions(result, words)),
        ("tool", words.say("head.tool_value", version=head.version)),
        ("input", head.digest[:16] or blank),
        ("assumptions", spread or words.say("none")),
    )
    return tuple((words.say(f"head.{key}"), text) for key, text in rows)


def _conditions(result: Result, words: Words) -> str:
    found = []
    for season, borders in result.path:
        if borders:
            temperature = words.value(borders[0].temperature, "temperature", 2)
            found.append(f"{words.name('season', season)} {temperature}")
    return ", ".join(found) or words.say("blank")


def open_assumptions(result: Result) -> tuple[Assumption, ...]:
    """Return the assumptions nobody has closed yet."""
    return tuple(item for item in result.assumptions if not item.closed)


def caution(result: Result, words: Words) -> Callout:
    """Return the standing caution as a framed statement."""
    return Callout(words.say("heading.caution"), words.tell(result.caution), "caution")


def part_name(part: Part, words: Words) -> str:
    """Return the name of a part; one of a firm's own stock with its article number."""
    if not part.stock or part.placeholder:
        return part.name
    return words.say("part_article", name=part.name, article=part.stock)


def parts_table(arrangement: Arrangement, words: Words) -> Table:
    """Return the parts of an arrangement in words; generic parts carry a star."""
    rows = []
    for part in arrangement.parts:
        star = " *" if part.placeholder else ""
        size = words.value(part.size, part.kind) if part.size is not None else words.say("blank")
        note = words.say("placeholder") if part.placeholder else ""
        rows.append(
            row(words.name("role", part.role), part_name(part, words) + star, size, Cell(note, "quiet"))
        )
    columns = (
        Column(words.say("column.part"), 1.1),
        Column(words.say("column.name"), 3.2),
        Column(words.say("column.size"), 1.1, "right"),
        Column(words.say("column.note"), 1.8),
    )
    return Table(columns, tuple(rows))


def options_table(result: Result, words: Words, most: int = 0) -> Table | Paragraph:
    """Return the rejected arrangements with the number that rejected each.

    Parameters
    ----------
    result : Result
    words : Words
    most : int
        How many to show; 0 for all.
    """
    options = result.options[:most] if most else result.options
    if not options:
        return Paragraph(words.say("text.no_options"))
    rows = []
    for option in options:
        why = option.rejected_by
        number = words.against(why)
        rows.append(row(describe(option.arrangement, words), words.tell(why.text), Cell(number, "strong")))
    columns = (
        Column(words.say("column.change"), 2.3),
        Column(words.say("column.why_not"), 3.0),
        Column(words.say("column.figure"), 1.6),
    )
    return Table(columns, tuple(rows))


def families_table(result: Result, words: Words) -> Table:
    """Return every pump family, best first, with the number that carries or rejects it.

    Parameters
    ----------
    result : Result
    words : Words
    """
    rows = []
    for item in result.families:
        verdict = words.say(f"family.{'passes' if item.passes else 'not'}")
        said = [words.say("family.rule", rule=words.say(f"rule.{rule}"), rating=words.say(f"rating.{rating}"))
                for rule, rating in item.rules]  # fmt: skip
        number = words.against(item.decides)
        rows.append(
            row(
                Cell(item.name, "strong"),
                Cell(verdict, "" if item.passes else "fail"),
                f"{words.tell(item.decides.text)} {number}".strip(),
                "; ".join(said),
            )
        )
    columns = (
        Column(words.say("column.pump"), 1.7),
        Column(words.say("column.verdict"), 0.7),
        Column(words.say("column.decides"), 2.8),
        Column(words.say("column.rules"), 1.9),
    )
    return Table(columns, tuple(rows))


def describe(arrangement: Arrangement, words: Words) -> str:
    """Return an arrangement in one line: plate, stand, pump, line and what it changes."""
    wanted = ("plate", "outlet", "stand", "pump", "line")
    found = []
    for part in arrangement.parts:
        if part.role in wanted:
            size = f" {words.value(part.size, part.kind)}" if part.role == "line" and part.size else ""
            found.append(f"{part_name(part, words)}{size}")
    changes = [words.tell(change) for change in arrangement.changes]
    lines = [", ".join(found), *changes] if found else changes
    return "; ".join(lines) or words.say("heading.asked_arrangement")


def path_picture(result: Result, words: Words) -> Picture | None:
    """Return the drawing of the product's path; None where the case has no parts at all."""
    from drumwright.report.drawing import path_drawing

    arrangement = result.recommended or result.asked_arrangement
    if not arrangement.parts:
        return None
    names = {part.role: part.name for part in arrangement.parts}
    alt = words.say(
        "text.drawing_alt",
        container=names.get("container", ""),
        destination=names.get("destination", ""),
        borders=_borders(result, words),
    )
    caption = words.say("text.drawing" if result.path else "text.drawing_plain")
    return Picture(path_drawing(result, words), alt, caption)


def _borders(result: Result, words: Words) -> str:
    found = []
    for season, borders in result.path:
        values = (
            f"{border_name(result, each.key, words)} {words.value(each.pressure_gauge[1], 'pressure_gauge')}"
            for each in borders
        )
        found.append(f"{words.name('season', season)}: {', '.join(values)}")
    return "; ".join(found) or words.say("not_computed")


def finding_line(finding: Finding, words: Words) -> str:
    """Return a finding as one sentence with its season."""
    text = words.tell(finding.text)
    return text if text.endswith((".", "!", "?")) else f"{text}."
