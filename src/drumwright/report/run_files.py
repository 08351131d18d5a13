"""Files of runs: rows as CSV, pictures as SVG, one document as PDF, everything as JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from drumwright import __version__
from drumwright.basis.phrases import phrase
from drumwright.report import run_form
from drumwright.report.charts import Charts
from drumwright.report.document import Block, Bullets, Callout, Document, Heading, Paragraph, Picture
from drumwright.report.json_form import dump
from drumwright.report.pdf import pdf
from drumwright.report.run_charts import run_picture
from drumwright.report.run_events import run_name, told_events
from drumwright.report.time_chapter import fault_table, told
from drumwright.report.words import Words
from drumwright.station.control.layout import STATES
from drumwright.study.run_study import RunStudy
from drumwright.study.scenario import Outcome

DIGITS = 9  # of the numbers in a CSV file
UNITS = {
    "time": "s", "inlet_pressure": "Pa(a)", "buffer_pressure": "Pa(g)", "outlet_pressure": "Pa(g)",
    "end_pressure": "Pa(g)", "measured_outlet": "Pa(g)", "measured_end": "Pa(g)", "speed": "1/s",
    "buffered": "m3", "hopper": "m3", "drawn": "m3", "plate": "m", "air_in_line": "m3", "air_out": "m3",
}  # fmt: skip


def files(study: RunStudy, words: Words) -> dict[str, bytes]:
    """Return the files of runs by name; the same runs give the same bytes.

    Parameters
    ----------
    study : RunStudy
    words : Words
    """
    drawn = Charts(words)
    pictures = {each.scenario.name: run_picture(study, each, drawn) for each in study.outcomes}
    found = {"run.pdf": pdf(document(study, words, pictures))}
    found["run.json"] = dump(run_form.as_dictionary(study, words)).encode("utf-8")
    for each in study.outcomes:
        found[f"{each.scenario.name}.csv"] = rows(each).encode("utf-8")
        found[f"{each.scenario.name}.svg"] = pictures[each.scenario.name].svg
    return found


def rows(shown: Outcome) -> str:
    """Return the rows of a run as CSV: names with their SI unit, then numbers, the state as a word.

    Parameters
    ----------
    shown : Outcome
    """
    found = shown.trace.rows
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([_head(name) for name in found])
    columns = [
        [STATES[int(value)] for value in values] if name == "place"
        else [f"{value + 0.0:.{DIGITS}g}" for value in values.tolist()]
        for name, values in found.items()
    ]  # fmt: skip
    writer.writerows(zip(*columns, strict=True))
    return text.getvalue()


def _head(name: str) -> str:
    if name == "place":
        return "state"
    unit = UNITS.get(name, "m3/s" if name.endswith("_flow") else "-")
    return f"{name} [{unit}]"


def document(study: RunStudy, words: Words, pictures: dict[str, Picture]) -> Document:
    """Return the runs as a document.

    Parameters
    ----------
    study : RunStudy
    words : Words
    pictures : dict
        Picture of each run by its name.
    """
    title = words.say("run_file.title", title=study.title or words.say("title.untitled"))
    return Document(
        kind="note",
        title=title,
        label=words.say("internal"),
        paper="us-letter" if study.units == "US" else "a4",
        date="",
        author="",
        language="en",
        footer=words.say("footer"),
        running=words.name("season", study.season),
        head=_head_rows(study, words),
        blocks=tuple(_blocks(study, words, pictures)),
    )


def _head_rows(study: RunStudy, words: Words) -> tuple[tuple[str, str], ...]:
    season = words.name("season", study.season)
    tool = words.say("run_file.source", version=__version__, season=season)
    return (
        (words.say("head.tool"), tool),
        (words.say("head.units"), words.say(f"head.units_{words.system}")),
    )


def _blocks(study: RunStudy, words: Words, pictures: dict[str, Picture]) -> Iterator[Block]:
    if study.missing > 0.0:
        text = words.tell(phrase("RUN-not_fit", missing=study.missing))
        yield Callout(words.say("run_file.not_fit"), text, "refuse")
    yield Heading(words.say("run_file.levels"))
    yield Bullets(
        tuple(
            words.say("run_file.level", name=words.name("run_level", each.name),
                      value=words.value(each.pressure, "pressure_gauge"))
            for each in study.levels
        )
    )  # fmt: skip
    if len(study.outcomes) > 1:
        yield Heading(words.tell(phrase("RUN-table")))
        yield fault_table(study, words)
    for each in study.outcomes:
        yield Heading(words.tell(run_name(study, each)))
        yield Paragraph(told(each, words))
        yield pictures[each.scenario.name]
        if len(study.outcomes) == 1:
            yield Heading(words.tell(phrase("RUN-events")), 2)
            yield Bullets(
                tuple(
                    f"{words.value(time, 'short_time')}: {words.tell(said)}"
                    for time, said in told_events(study, each)
                )
            )
    yield Paragraph(words.tell(phrase("RUN-caution")))
    yield Callout(words.say("heading.caution"), words.tell(phrase("CAUTION")), "caution")
