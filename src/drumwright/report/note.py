"""The internal calculation note: everything that was computed, assumed and found."""

from __future__ import annotations

from collections.abc import Iterator

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
from drumwright.report.explain import paragraphs
from drumwright.report.parts import caution, finding_line, frame, options_table, parts_table, path_picture
from drumwright.report.proposal import choice_text, hazards_table
from drumwright.report.words import Words, words_of
from drumwright.study.result import Assumption, Effect, Gate, Result


def note(result: Result, charts: Charts | None = None) -> Document:
    """Return the internal calculation note.

    Parameters
    ----------
    result : Result
        A finished answer.
    charts : Charts, optional
        Renderer of charts; one is made where none is given.
    """
    words = words_of(result)
    charts = charts or Charts(words)
    return frame(result, words, "note", list(_blocks(result, words, charts)))


def _blocks(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield Callout(words.say(f"verdict.{result.verdict}"), words.tell(result.reason), result.verdict)
    yield Callout(words.say(f"offer.{result.offer}"), words.tell(result.offer_reason))
    yield from _duties(result, words)
    yield from _gates(result, words)
    yield from _path(result, words, charts)
    yield from _findings(result, words)
    yield from _register(result, words)
    yield from _arrangement(result, words)
    yield Heading(words.say("heading.residue"))
    yield from charts.residue(result) or (Paragraph(words.say("text.residue_none")),)
    yield from _fits(result, words, charts)
    yield from _figures(result, words)
    yield from _explanations(result, words)
    yield from _closing(result, words)


def _duties(result: Result, words: Words) -> Iterator[Block]:
    if len(result.duties) < 2:
        return
    yield Heading(words.say("heading.duties"))
    yield Paragraph(words.say("text.duties_intro", name=result.duties[0].name))
    rows = [
        row(
            item.name,
            words.say(f"verdict.{item.verdict}"),
            words.name("gate", item.gate) if item.gate else words.say("gate.none"),
            words.tell(item.deciding.text) if item.deciding else "",
        )
        for item in result.duties
    ]
    heads = ("item", "verdict", "gate", "finding")
    yield Table(_columns(words, heads, (2.0, 0.8, 1.2, 3.0)), tuple(rows))


def _columns(words: Words, heads: tuple[str, ...], widths: tuple[float, ...], right: str = "") -> tuple[Column, ...]:
    aligned = right.split()
    return tuple(
        Column(words.say(f"column.{head}"), width, "right" if head in aligned else "left")
        for head, width in zip(heads, widths, strict=True)
    )


def _gates(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.gates"))
    yield Paragraph(words.say("text.gates_note"))
    for name, gates in (("gates_asked", result.as_asked), ("gates_recommended", result.recommended_gates)):
        if gates:
            yield Heading(words.say(f"heading.{name}"), 2)
            yield _gate_table(gates, words)


def _gate_table(gates: tuple[Gate, ...], words: Words) -> Table:
    rows = []
    for gate in gates:
        finding = gate.deciding
        bad = gate.status in ("fail", "undecided")
        chance = words.value(gate.probability, "fraction") if gate.probability is not None else words.say("blank")
        why = words.tell(finding.text) if finding else ""
        if gate.would_pass is not None:
            why = f"{why} {words.tell(gate.would_pass)}"
        rows.append(
            row(
                words.name("gate", gate.key),
                Cell(words.say(f"gate_status.{gate.status}"), "fail" if bad else ""),
                chance,
                words.name("season", finding.condition) if finding and finding.condition else "",
                words.value(finding.value, finding.kind) if finding and finding.kind else "",
                words.value(finding.limit, finding.kind) if finding and finding.kind else "",
                why,
            )
        )
    heads = ("gate", "status", "chance", "season", "value", "limit", "finding")
    return Table(_columns(words, heads, (1.2, 0.9, 0.8, 0.8, 1.1, 1.1, 3.0), "chance value limit"), tuple(rows), True)


def _path(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield Heading(words.say("heading.path"))
    picture = path_picture(result, words)
    if picture is not None:
        yield picture
    if not result.path:
        yield Paragraph(words.say("text.path_missing"))
        return
    rows = []
    for season, borders in result.path:
        for border in borders:
            margin = words.band(*border.margin, "pressure_difference") if border.margin else ""
            kind = "pressure_absolute" if border.limit_is == "minimum_absolute" else "pressure_gauge"
            rows.append(
                row(
                    words.name("season", season),
                    words.name("border", border.key),
                    words.band(*border.pressure_gauge, "pressure_gauge"),
                    words.value(border.pressure_absolute[1], "pressure_absolute"),
                    words.value(border.limit, kind) if border.limit is not None else "",
                    Cell(margin, "fail" if border.margin and border.margin[1] < 0 else ""),
                )
            )
    heads = ("season", "border", "gauge", "absolute", "limit", "margin")
    widths = (0.7, 1.2, 2.1, 1.1, 1.1, 2.1)
    yield Table(_columns(words, heads, widths, "gauge absolute limit margin"), tuple(rows), True)
    yield from charts.profile(result)
    yield from charts.curves(result)


def _findings(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.findings"))
    rows = []
    for item in (*result.findings, *result.conditions):
        if item.role == "overruled":
            continue
        season = words.name("season", item.condition) if item.condition else ""
        chance = words.value(item.probability, "fraction") if item.probability is not None else ""
        role = Cell(words.say(f"finding_role.{item.role}"), "fail" if item.role == "fail" else "")
        rows.append(row(role, item.key, words.tell(item.text), season, words.against(item), chance))
    heads = ("status", "item", "finding", "season", "figure", "chance")
    yield Table(_columns(words, heads, (0.9, 1.5, 2.8, 0.7, 1.5, 0.7), "chance"), tuple(rows), True)
    yield Heading(words.say("heading.overruled"), 2)
    overruled = tuple(finding_line(item, words) for item in result.findings if item.role == "overruled")
    yield Bullets(overruled) if overruled else Paragraph(words.say("text.overruled_none"))


def _register(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.register"))
    yield Paragraph(words.say("text.register_note"))
    rows = []
    for item in result.assumptions:
        owner = f"{item.owner}; {words.name('basis', item.basis)}; {item.source}".strip("; ")
        rows.append(
            row(
                Cell(item.number, "" if item.closed else "assumed"),
                f"{words.tell(item.meaning)} ({item.field})",
                _taken(item, words),
                Cell(item.flag, "strong" if item.flag == "R" else ""),
                owner,
                _effect(item.effect_low, item, words),
                _effect(item.effect_high, item, words),
            )
        )
    heads = ("number", "label", "range", "flag", "basis", "effect_low", "effect_high")
    yield Table(_columns(words, heads, (0.7, 2.2, 1.4, 0.5, 1.6, 1.5, 1.5)), tuple(rows), True)


def _taken(item: Assumption, words: Words) -> str:
    if item.likely is None or item.low is None or item.high is None:
        return choice_text(item.choice, words)
    return words.band(item.low, item.likely, item.high, item.kind)


def _effect(effect: Effect | None, item: Assumption, words: Words) -> str:
    if effect is None:
        return words.say("blank")
    at = f"{words.value(effect.value, item.kind)}: " if effect.value is not None else ""
    verdict = f" {words.say(f'verdict.{effect.verdict}')}." if effect.verdict else ""
    return f"{at}{words.tell(effect.text)}{verdict}"


def _arrangement(result: Result, words: Words) -> Iterator[Block]:
    if result.recommended is not None:
        yield Heading(words.say("heading.arrangement"))
        yield parts_table(result.recommended, words)
    if result.asked_arrangement.parts:
        yield Heading(words.say("heading.asked_arrangement"))
        yield parts_table(result.asked_arrangement, words)
    yield Heading(words.say("heading.rejected"), 2)
    yield options_table(result, words)


def _fits(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield Heading(words.say("heading.fits"))
    if not result.fits:
        yield Paragraph(words.say("text.fits_none"))
        return
    yield from charts.fits(result)
    rows = []
    for fit in result.fits:
        first = (words.value(fit.temperature, "temperature"), words.name("model", fit.model))
        span = f"{words.number(fit.shear_rate_low, 'shear_rate')} to {words.value(fit.shear_rate_high, 'shear_rate')}"
        for index, (name, kind, low, value, high) in enumerate(fit.parameters):
            rows.append(
                row(
                    *(first if index == 0 else ("", "")),
                    words.name("parameter", name),
                    words.band(low, value, high, kind),
                    words.value(fit.residual, "fraction") if index == 0 else "",
                    span if index == 0 else "",
                )
            )
    heads = ("temperature", "model", "parameter", "range", "residual", "validity")
    yield Table(_columns(words, heads, (1.0, 1.4, 1.2, 2.2, 0.8, 1.4), "residual"), tuple(rows), True)


def _figures(result: Result, words: Words) -> Iterator[Block]:
    yield Heading(words.say("heading.figures"))
    yield Paragraph(words.say("text.figures_note"))
    rows = []
    for item in sorted(result.figures, key=lambda figure: (figure.key, figure.condition)):
        values = (words.value(each, item.kind) for each in (item.likely, item.low, item.middle, item.high))
        rows.append(
            row(item.key, words.name("season", item.condition), *values, ", ".join(item.assumptions))
        )
    heads = ("figure", "season", "likely", "low", "middle", "high", "number")
    widths = (2.4, 0.7, 1.2, 1.2, 1.2, 1.2, 1.6)
    yield Table(_columns(words, heads, widths, "likely low middle high"), tuple(rows), True)


def _explanations(result: Result, words: Words) -> Iterator[Block]:
    if not result.explanations:
        return
    yield Heading(words.say("heading.explanations"))
    rows = []
    for item in result.explanations:
        equation, *rest = paragraphs(item, words)
        rows.append(row(Cell(item.key, "strong"), equation, " ".join(rest)))
    heads = ("figure", "equation", "inputs")
    yield Table(_columns(words, heads, (1.5, 2.4, 3.4)), tuple(rows), True)


def _closing(result: Result, words: Words) -> Iterator[Block]:
    head = result.head
    if result.hazards:
        yield Heading(words.say("heading.hazards"))
        yield Paragraph(words.say("text.hazards_intro"))
        yield hazards_table(result, words)
    yield Heading(words.say("heading.sources"))
    yield Bullets(result.sources)
    yield Heading(words.say("heading.identity"))
    rows = (
        row(words.say("head.tool"), words.say("head.tool_value", version=head.version)),
        row(words.say("head.input"), head.digest),
        row(words.say("head.seed"), words.say("head.seed_value", seed=head.seed, samples=head.samples)),
    )
    yield Table(_columns(words, ("item", "value"), (1.0, 4.0)), rows, True)
    yield caution(result, words)
