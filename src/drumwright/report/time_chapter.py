"""The chapter of the note on what happens in time: ladder, runs, faults, control, one shift, people."""

from __future__ import annotations

from collections.abc import Iterator

from drumwright.basis.phrases import phrase
from drumwright.report import run_form, shift_form
from drumwright.report.charts import Charts
from drumwright.report.document import Block, Bullets, Callout, Cell, Column, Heading, Paragraph, Table, row
from drumwright.report.ladder_chart import ladder_picture
from drumwright.report.run_charts import run_picture
from drumwright.report.shift_chart import course_picture
from drumwright.report.words import Words
from drumwright.station.control.matrix import EFFECTS
from drumwright.study.control_sheet import ControlSheet
from drumwright.study.in_time import InTime
from drumwright.study.result import Result
from drumwright.study.run_study import RunStudy
from drumwright.study.scenario import Outcome
from drumwright.study.shift import ShiftStudy

# Hazards of the register that belong before a run, in its order.
BEFORE = (
    "crush",
    "trapped_pressure",
    "dry_run",
    "drawing_in",
    "restart",
    "dead_head",
    "jet",
    "closed_filler",
)

# Safety functions of the trade book 4.2, each with the hazard that asks for it, "" for all.
FUNCTIONS = (
    ("plate_motion", "crush"), ("plate_falls", "plate_falls"), ("guard", "drawing_in"),
    ("assist", "drum_bursts"), ("overpressure", "dead_head"), ("emergency_stop", ""), ("zone", "zone"),
)  # fmt: skip


def time_chapter(result: Result, words: Words, drawn: Charts) -> Iterator[Block]:
    """Yield the chapter.

    Parameters
    ----------
    result : Result
    words : Words
    drawn : Charts
        Renderer of charts.
    """
    yield Heading(words.say("heading.in_time"))
    found = result.in_time
    if found is None:
        yield Paragraph(words.say("in_time.not_asked"))
        return
    if found.control is None:
        yield Paragraph(words.say("in_time.no_control"))
    else:
        yield Paragraph(words.tell(found.about))
        yield from _before(result, words)
        yield from _ladder(found.control, words)
        yield from _runs(found, words, drawn)
        yield from _control(found.control, words)
    yield from _shift(found, words, drawn)
    yield from _people(found, words)


def _before(result: Result, words: Words) -> Iterator[Block]:
    """Cautions of the register that a run brings, and what a computed run proves: nothing."""
    yield Heading(words.say("heading.time_cautions"), 2)
    there = {item.key.removeprefix("hazard."): item for item in result.hazards}
    kept = [there[name] for name in BEFORE if name in there]
    listed = [
        words.say("in_time.hazard", hazard=words.tell(item.hazard), consequence=words.tell(item.consequence),
                  safeguard=words.tell(item.safeguard))
        for item in kept
    ]  # fmt: skip
    yield Bullets((words.say("control.safety"), words.say("in_time.proof"), *listed))
    yield Heading(words.say("heading.safety_functions"), 2)
    yield Paragraph(words.say("in_time.safety_functions"))
    functions = [name for name, asks in FUNCTIONS if not asks or asks in there]
    rows = [
        row(*(words.tell(phrase(f"SAFE-{name}.{part}")) for part in ("function", "graph", "level")))
        for name in functions
    ]
    heads = (("function", 3.6, ""), ("graph", 1.2, ""), ("level", 1.6, ""))
    yield Table(_columns(words, heads), tuple(rows), small=True)


def _ladder(sheet: ControlSheet, words: Words) -> Iterator[Block]:
    """Verdict on the set points, the ladder, what makes it fit."""
    yield Heading(words.say("heading.ladder"), 2)
    fits = sheet.missing <= 0.0
    title = words.say("in_time.fit" if fits else "in_time.not_fit")
    yield Callout(title, words.tell(sheet.verdict), "plain" if fits else "refuse")
    yield ladder_picture(sheet, words)
    if not sheet.closed:
        yield Paragraph(words.say("control.open_end"))
    if sheet.remedies:
        yield Paragraph(words.say("control.remedies"))
        yield Bullets(tuple(words.tell(each.text) for each in sheet.remedies))


def _runs(found: InTime, words: Words, drawn: Charts) -> Iterator[Block]:
    """The normal run, the table of faults, the worst of them as a picture."""
    yield Heading(words.say("heading.normal_run"), 2)
    study = found.runs
    if study is None:
        yield Paragraph(words.say("in_time.no_runs"))
        return
    normal, *faults = study.outcomes
    yield Paragraph(told(normal, words))
    yield run_picture(study, normal, drawn)
    yield Heading(words.say("heading.faults"), 2)
    yield Paragraph(words.say("in_time.faults", season=words.name("season", study.season)))
    yield fault_table(study, words)
    more = tuple(words.tell(note) for each in study.outcomes for note in run_form.own_notes(each))
    if more:
        yield Bullets(more)
    worst = max((each for each in faults if each.trace.solved), key=lambda each: each.over, default=None)
    if worst is not None:
        yield Paragraph(f"{words.say('in_time.worst')} {told(worst, words)}")
        yield run_picture(study, worst, drawn)
    yield Paragraph(words.tell(phrase("RUN-caution")), "small")


def told(shown: Outcome, words: Words) -> str:
    """Return what is said of a run, with what there is to add.

    Parameters
    ----------
    shown : Outcome
    words : Words
    """
    return " ".join(words.tell(each) for each in (shown.text, *shown.notes))


def fault_table(study: RunStudy, words: Words) -> Table:
    """Return the table of faults: peak, share of the weakest part, time to stop, lost volume, what caught it.

    Parameters
    ----------
    study : RunStudy
    words : Words
    """
    rows = []
    for each in study.outcomes:
        name, peak, share, *rest = run_form.fault_cells(study, each, words)
        over = each.over > 1.0 or not each.trace.solved
        rows.append(row(name, peak, Cell(share, "fail" if over else ""), *rest))
    heads = (
        ("fault", 2.4, ""), ("peak", 1.1, "right"), ("of_limit", 0.8, "right"), ("stands", 0.9, "right"),
        ("lost", 0.9, "right"), ("caught", 2.6, ""),
    )  # fmt: skip
    return Table(_columns(words, heads, lost=words.unit("volume")), tuple(rows), small=True)


def _columns(words: Words, heads: tuple[tuple[str, float, str], ...], **units: str) -> tuple[Column, ...]:
    """Columns by name, width and alignment, some with a unit in their head."""
    return tuple(
        Column(
            words.say(f"column.{name}", **({"unit": units[name]} if name in units else {})),
            width, "right" if align else "left",
        )
        for name, width, align in heads
    )  # fmt: skip


def _control(sheet: ControlSheet, words: Words) -> Iterator[Block]:
    """Control as sentences, the states, the first matrix of cause and effect."""
    yield Heading(words.say("heading.control"), 2)
    if sheet.turning and sheet.missing > 0.0:
        yield Paragraph(words.say("control.squeezed"))
    rows = [
        row(words.say(f"control.{each.purpose}"), words.tell(each.text), words.tell(each.reason))
        for each in sheet.objects
    ]
    heads = (("kind_of_object", 0.8, ""), ("sentence", 4.2, ""), ("reason", 2.6, ""))
    yield Table(_columns(words, heads), tuple(rows), small=True)
    yield Heading(words.say("heading.states"), 2)
    states = [
        row(
            words.tell(each.title), words.tell(each.outputs), "; ".join(words.tell(way) for way in each.exits)
        )
        for each in sheet.states
    ]
    heads = (("state", 1.2, ""), ("outputs", 2.2, ""), ("exits", 4.2, ""))
    yield Table(_columns(words, heads), tuple(states), small=True)
    yield Heading(words.say("heading.cause_effect"), 2)
    yield _matrix(sheet, words)
    yield Paragraph(words.say("control.legend"), "small")


def _matrix(sheet: ControlSheet, words: Words) -> Table:
    rows = []
    for each in sheet.rows:
        delay = words.value(each.delay, "short_time") if each.delay > 0.0 else words.say("blank")
        cells = [Cell(effect, "quiet" if effect == "-" else "strong") for effect in each.effects]
        reset = words.say(f"control.reset_{each.reset}")
        rows.append(row(words.say(f"control.row.{each.cause}"), delay, *cells, reset))
    columns = (
        Column(words.say("column.cause"), 2.2),
        Column(words.say("column.delay"), 0.8, "right"),
        *(Column(effect, 0.7) for effect in EFFECTS),
        Column(words.say("column.reset"), 0.7),
    )
    return Table(columns, tuple(rows), small=True)


def _shift(found: InTime, words: Words, drawn: Charts) -> Iterator[Block]:
    """Formula beside simulation, the course of one shift, what decides."""
    yield Heading(words.say("heading.shift"), 2)
    study = found.shift
    if study is None:
        yield Paragraph(words.say("in_time.no_shift", reason=found.no_shift.rstrip(".")))
        return
    yield Paragraph(words.say("in_time.shift", shifts=study.shifts, seed=study.seed))
    yield shift_table(study, words)
    yield course_picture(study, drawn)
    yield Bullets(tuple(words.tell(each) for each in study.sentences))
    if study.taken:
        yield Paragraph(words.say("shift.taken"))
        yield Bullets(tuple(shift_form.taken_row(each, words) for each in study.taken))


def shift_table(study: ShiftStudy, words: Words) -> Table:
    """Return formula beside simulation.

    Parameters
    ----------
    study : ShiftStudy
    words : Words
    """
    rows = [row(*shift_form.cells(each, words)) for each in study.rows]
    heads = (("quantity", 2.4, ""), ("formula", 1.0, "right"), ("mean", 1.0, "right"), ("ends", 1.6, "right"))
    return Table(_columns(words, heads), tuple(rows), small=True)


def _people(found: InTime, words: Words) -> Iterator[Block]:
    """Manual lifts with their index, and changes of product."""
    yield Heading(words.say("heading.people"), 2)
    if found.lifts:
        yield Paragraph(words.say("in_time.lifts"))
        rows = [
            row(words.tell(phrase(f"LIFT-{each.name}")), words.value(each.mass, "mass"),
                words.value(each.limit, "mass"),
                Cell(words.value(each.index, "ratio", 2), "fail" if each.index > 1.0 else ""))
            for each in found.lifts
        ]  # fmt: skip
        heads = (("lifted", 2.4, ""), ("mass", 1.0, "r"), ("mass_limit", 1.0, "r"), ("index", 1.0, "r"))
        yield Table(_columns(words, heads), tuple(rows), small=True)
    else:
        yield Paragraph(words.say("in_time.no_lifts"))
    yield Heading(words.say("heading.cleaning"), 2)
    if found.cleaning:
        yield Bullets(tuple(words.tell(each) for each in found.cleaning))
    else:
        yield Paragraph(words.say("in_time.no_cleaning"))
