"""The internal calculation note: everything that was computed, assumed and found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from drumwright.report.charts import Charts
from drumwright.report.container_drawing import container_picture
from drumwright.report.curve_chart import fits_picture
from drumwright.report.document import (
    Block,
    Bullets,
    Callout,
    Cell,
    Column,
    Document,
    Heading,
    Paragraph,
    Picture,
    Table,
    row,
)
from drumwright.report.drive_charts import air_picture, torque_picture
from drumwright.report.explain import paragraphs
from drumwright.report.line_chart import length_bore_picture
from drumwright.report.money_chapter import money_chapter
from drumwright.report.parts import (
    caution,
    families_table,
    finding_line,
    frame,
    options_table,
    parts_table,
    path_picture,
)
from drumwright.report.plate_charts import plate_force_picture, warm_picture
from drumwright.report.proposal import hazards_table, taken
from drumwright.report.pump_charts import suction_pictures
from drumwright.report.stand_drawing import stand_picture
from drumwright.report.time_chapter import time_chapter
from drumwright.report.words import Words, border_name, words_of
from drumwright.study.result import SEASONS, Assumption, Effect, Figure, Gate, Result


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
    yield from _container(result, words, charts)
    yield from _machine(result, words, charts)
    yield from time_chapter(result, words, charts)
    yield from money_chapter(result, words, charts)
    yield from _fits(result, words, charts)
    yield from _figures(result, words)
    yield from _explanations(result, words)
    yield from _closing(result, words)


def _container(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    """Section of the container, force against the last gap, warm-up."""
    if result.section is not None:
        yield Heading(words.say("heading.container"))
        yield from container_picture(result, words)
        yield from plate_force_picture(result, charts)
    if result.warm_curves is not None:
        yield Heading(words.say("heading.warm_up"))
        yield from warm_picture(result, charts)


def _machine(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    """Stand, suction, drive and line as pictures, those that exist."""
    rooms: tuple[tuple[str, list[Picture]], ...] = (
        ("stand", list(stand_picture(result, words))),
        ("suction", list(suction_pictures(result, charts))),
        ("drive", [*torque_picture(result, charts), *air_picture(result, charts)]),
        ("line", list(length_bore_picture(result, charts))),
    )
    for name, pictures in rooms:
        if pictures:
            yield Heading(words.say(f"heading.{name}"))
            yield from pictures


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


def _columns(
    words: Words, heads: tuple[str, ...], widths: tuple[float, ...], right: str = ""
) -> tuple[Column, ...]:
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
        chance = (
            words.value(gate.probability, "fraction") if gate.probability is not None else words.say("blank")
        )
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
    return Table(
        _columns(words, heads, (1.3, 0.9, 0.75, 0.75, 1.15, 1.15, 3.0), "chance value limit"),
        tuple(rows),
        True,
    )


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
                    border_name(result, border.key, words),
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
        text = f"{words.tell(item.text)}\n{item.key}"
        rows.append(row(role, text, season, words.against(item), chance))
    heads = ("status", "finding", "season", "figure", "chance")
    yield Table(_columns(words, heads, (0.85, 4.4, 0.7, 2.1, 0.65), "chance"), tuple(rows), True)
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
                f"{words.tell(item.meaning)}\n{item.field}",
                taken(item, words),
                Cell(item.flag, "strong" if item.flag == "R" else ""),
                owner,
                _effects(item, words),
            )
        )
    heads = ("number", "label", "range", "flag", "owner_source", "effect")
    yield Table(_columns(words, heads, (0.62, 2.3, 1.5, 0.45, 2.3, 2.7)), tuple(rows), True)


def _effects(item: Assumption, words: Words) -> str:
    """Return what changes at both ends, in one sentence each."""
    ends = (("low", item.effect_low), ("high", item.effect_high))
    texts = [(end, _effect(effect, item, words)) for end, effect in ends if effect is not None]
    if not texts:
        return words.say("blank")
    if all(_unmoved(effect) for _, effect in ends if effect is not None):
        return words.say("text.effect_none")
    return " ".join(words.say(f"text.effect_{end}", text=text) for end, text in texts)


def _unmoved(effect: Effect) -> bool:
    """Whether an effect is only a number that stays as it was."""
    slots = dict(effect.text.slots)
    return set(slots) == {"before", "after"} and slots["before"] == slots["after"]


def _effect(effect: Effect, item: Assumption, words: Words) -> str:
    at = f"{words.value(effect.value, item.kind)}: " if effect.value is not None else ""
    verdict = f"; {words.say(f'verdict.{effect.verdict}')}" if effect.verdict else ""
    return f"{at}{words.tell(effect.text).removesuffix('.')}{verdict}."


def _arrangement(result: Result, words: Words) -> Iterator[Block]:
    if result.recommended is not None:
        yield Heading(words.say("heading.arrangement"))
        yield parts_table(result.recommended, words)
    if result.asked_arrangement.parts:
        yield Heading(words.say("heading.asked_arrangement"))
        yield parts_table(result.asked_arrangement, words)
    yield Heading(words.say("heading.rejected"), 2)
    yield options_table(result, words)
    if result.families:
        yield Heading(words.say("heading.families"), 2)
        yield Paragraph(words.say("text.families"))
        yield families_table(result, words)


def _fits(result: Result, words: Words, charts: Charts) -> Iterator[Block]:
    yield Heading(words.say("heading.fits"))
    if not result.fits:
        yield Paragraph(words.say("text.fits_none"))
        return
    yield from fits_picture(result, charts)
    rows = []
    for fit in result.fits:
        first = (words.value(fit.temperature, "temperature"), words.name("model", fit.model))
        ends = words.number(fit.shear_rate_low, "shear_rate"), words.value(fit.shear_rate_high, "shear_rate")
        span = words.say("text.span", low=ends[0], high=ends[1])
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
    prefix = "recommended."
    asked = [item for item in result.figures if not item.key.startswith(prefix)]
    chosen = [item for item in result.figures if item.key.startswith(prefix)]
    for name, found in (("figures_asked", asked), ("figures_recommended", chosen)):
        if found:
            yield Heading(words.say(f"heading.{name}"), 2)
            yield _figure_table(found, words)


def _figure_table(figures: Sequence[Figure], words: Words) -> Table:
    by_key: dict[str, dict[str, Figure]] = {}
    for item in figures:
        by_key.setdefault(item.key, {})[item.condition] = item
    rows = []
    for key in sorted(by_key):
        seasons = by_key[key]
        first = next(iter(seasons.values()))
        numbers = sorted({number for item in seasons.values() for number in item.assumptions})
        shown = key.removeprefix("recommended.")
        label = f"{shown}\n{', '.join(numbers)}" if numbers else shown
        whole = seasons.get("all")
        cells = [_spread(seasons.get(season, whole), words) for season in SEASONS]
        rows.append(row(Cell(label, "key"), words.unit(first.kind), *cells))
    heads = tuple(words.name("season", season) for season in SEASONS)
    columns = (
        Column(words.say("column.figure"), 2.25),
        Column(words.say("column.unit"), 0.62),
        *(Column(head, 1.75, "right") for head in heads),
    )
    return Table(columns, tuple(rows), True)


def _spread(figure: Figure | None, words: Words) -> str:
    """Return "likely (P5; P50; P95)" without unit, or one number where there is no spread."""
    if figure is None:
        return ""
    values = (figure.likely, figure.low, figure.middle, figure.high)
    if not all(isfinite(each) for each in values):
        return words.say("not_computed")
    likely, *rest = (words.number(each, figure.kind) for each in values)
    return likely if set(rest) == {likely} else f"{likely} ({'; '.join(rest)})"


def _explanations(result: Result, words: Words) -> Iterator[Block]:
    if not result.explanations:
        return
    yield Heading(words.say("heading.explanations"))
    rows = []
    for item in result.explanations:
        equation, *rest = paragraphs(item, words)
        rows.append(row(Cell(item.key, "key"), equation, " ".join(rest)))
    heads = ("figure", "equation", "inputs")
    yield Table(_columns(words, heads, (2.35, 2.2, 3.2)), tuple(rows), True)


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
