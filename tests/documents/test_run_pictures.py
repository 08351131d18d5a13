"""Runs, ladder, faults and shift as pictures, tables and data: one number wherever it is said."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_container_pictures import SETTINGS, WHOLE, boxes

from drumwright.report import control_form, run_form, shift_form
from drumwright.report.charts import Charts
from drumwright.report.document import Bullets, Callout, Heading, Paragraph, Picture, Table
from drumwright.report.json_form import as_dictionary, text
from drumwright.report.ladder_chart import FLOOR, HEIGHT, LEFT, TOP, WIDTH, ladder_drawing, ladder_picture
from drumwright.report.note import note
from drumwright.report.run_charts import MOST, columns, run_picture, run_spec, spread, top_of
from drumwright.report.run_events import told_events
from drumwright.report.run_files import files, rows
from drumwright.report.run_strip import BETWEEN, MOST_MARKS, event_marks
from drumwright.report.time_chapter import fault_table, shift_table, time_chapter
from drumwright.report.words import Words, words_of
from drumwright.station.casefile import case_from_dict
from drumwright.station.control.layout import STATES
from drumwright.study.assess import assess
from drumwright.study.faults import FAULTS
from drumwright.study.in_time import InTime
from drumwright.study.result import Result
from drumwright.study.run_study import RunStudy

CASES = ("S02", "S07", "S09-air")


@cache
def ran(name: str, units: str = "metric") -> Result:
    """The answer to a scenario, run in time."""
    data = tomllib.loads((WHOLE / f"{name[:3]}.toml").read_text(encoding="utf-8"))
    data["case"]["units"] = units
    return assess(case_from_dict(data, name, SETTINGS.get(name, {})), samples=256, in_time=True)


def in_time(name: str, units: str = "metric") -> InTime:
    found = ran(name, units).in_time
    assert found is not None and found.control is not None and found.runs is not None
    return found


def runs(name: str, units: str = "metric") -> RunStudy:
    found = in_time(name, units).runs
    assert found is not None
    return found


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("name", CASES)
def test_the_picture_of_a_run_shows_the_trace_and_every_level(name: str, units: str) -> None:
    study, words = runs(name, units), Words("US" if units == "US" else "metric")
    for shown in study.outcomes[:2]:
        spec = run_spec(study, shown, words)
        panel = next(part for part in spec["vconcat"] if part["height"] == 190)
        levels = [
            row
            for layer in panel["layer"]
            for row in layer.get("data", {}).get("values", [])
            if "level" in row
        ]
        drawn = {row["level"] for row in levels if not row["above"]}
        top = top_of(study, shown)
        expected = {
            words.shown(each.pressure, "pressure_gauge") for each in study.levels if each.pressure <= top
        }
        assert drawn == expected and expected
        values = [row["y"] for row in panel["data"]["values"]]
        peak = words.shown(float(shown.trace.rows["outlet_pressure"].max()), "pressure_gauge")
        assert max(values) == pytest.approx(peak, rel=1e-4)


@pytest.mark.parametrize("name", CASES)
def test_a_long_run_keeps_its_peaks_when_it_is_thinned(name: str) -> None:
    for shown in runs(name).outcomes:
        found, rows_of = columns(shown), shown.trace.rows
        assert found["time"].size <= MOST + 2
        assert found["outlet_pressure"].max() == rows_of["outlet_pressure"].max()
        assert found["outlet_pressure"].min() == rows_of["outlet_pressure"].min()
        assert found["time"][0] == rows_of["time"][0] and found["time"][-1] == rows_of["time"][-1]
        assert np.all(np.diff(found["time"]) >= 0.0)


@given(
    st.lists(st.floats(min_value=-50.0, max_value=250.0), min_size=1, max_size=9),
    st.floats(min_value=5.0, max_value=20.0),
)
def test_names_of_levels_stand_apart_in_their_order_and_inside(places: list[float], apart: float) -> None:
    found = spread(places, apart, (0.0, 190.0))
    order = sorted(range(len(places)), key=lambda k: places[k])
    ranked = [found[k] for k in order]
    assert all(b - a >= apart - 0.5 for a, b in pairwise(ranked))
    if apart * len(places) <= 190.0:
        assert ranked[0] >= -0.5 and ranked[-1] <= 190.5


def test_names_that_are_far_apart_stay_where_they_are() -> None:
    assert spread([10.0, 100.0, 60.0], 12.0, (0.0, 190.0)) == [10.0, 100.0, 60.0]


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("name", CASES)
def test_names_of_events_and_levels_do_not_lie_on_each_other(name: str, units: str) -> None:
    study, words = runs(name, units), Words("US" if units == "US" else "metric")
    for shown in study.outcomes:
        spec = run_spec(study, shown, words)
        strip = spec["vconcat"][0]["data"]["values"]
        for index, one in enumerate(strip):
            assert one["begin"] >= 0.0
            for other in strip[index + 1 :]:
                if one["y"] == other["y"]:
                    first, last = sorted((one, other), key=lambda row: row["begin"])
                    assert first["begin"] + first["wide"] <= last["begin"]
        marks, unnamed = event_marks(study, shown, words)
        said = [each for _, text in marks for each in text.split(BETWEEN)]
        told = [words.tell(each) for _, each in told_events(study, shown)]
        assert len(marks) <= MOST_MARKS and len(said) + unnamed == len(told)
        assert unnamed > 0 or said == told


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("name", CASES)
def test_the_ladder_is_to_scale_and_its_texts_stand_apart(name: str, units: str) -> None:
    sheet, words = in_time(name, units).control, Words("US" if units == "US" else "metric")
    assert sheet is not None
    svg = ladder_drawing(sheet, words)
    found = boxes(svg)
    for text_, left, upper, right, lower in found:
        assert left >= 0.0 and right <= WIDTH and upper >= 0.0 and lower <= HEIGHT, text_
    for index, (one, *a) in enumerate(found):
        for other, *b in found[index + 1 :]:
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (one, other)
    lines = [
        (float(x), float(y))
        for path in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}path")
        if path.attrib.get("stroke-width") == "2.2"
        for x, y in [path.attrib["d"].removeprefix("M").split(" L")[0].split(",")]
    ]
    above = sorted(y for x, y in lines if x == LEFT[0])
    levels = sorted((each.level for each in sheet.rungs if each.level > 0.0), reverse=True)
    highest = 1.04 * max(max(each.level, each.likely) for each in sheet.rungs)
    places = [FLOOR - (FLOOR - TOP) * level / highest for level in levels]
    assert above and all(min(abs(y - place) for place in places) < 0.05 for y in above)
    for rung in sheet.rungs:
        if rung.level > 0.0:
            assert words.value(rung.level, "pressure_gauge") in " ".join(row[0] for row in found)


def test_what_is_missing_is_said_in_the_ladder_the_run_and_the_note() -> None:
    found = in_time("S07")
    sheet, study, words = found.control, found.runs, Words()
    assert sheet is not None and study is not None and study.missing > 0.0
    assert sheet.missing == study.missing
    missing = words.value(study.missing, "pressure_difference")
    assert missing in ladder_drawing(sheet, words).decode()
    assert any(missing in line for line in run_form.lines(study, words))
    assert missing in run_picture(study, study.outcomes[0], Charts(words)).caption
    callouts = [block for block in note(ran("S07")).blocks if isinstance(block, Callout)]
    assert any(missing in block.text and block.tone == "refuse" for block in callouts)


@pytest.mark.parametrize("name", CASES)
def test_screen_note_and_result_say_the_same_of_every_fault(name: str) -> None:
    result, words = ran(name), words_of(ran(name))
    study = runs(name)
    assert [each.scenario.name for each in study.outcomes] == ["normal", *FAULTS]
    screen = "\n".join(run_form.lines(study, words))
    table = fault_table(study, words)
    data = json.loads(text(result))["in_time"]["run"]["runs"]
    for each, cells, row in zip(study.outcomes, table.rows, data, strict=True):
        assert row["peak"] == each.peak and row["time_to_stop"] == each.time_to_stop
        assert row["spilled"] == each.spilled and row["caught_by"] == each.caught_by
        assert cells[1].text == words.value(row["peak"], "pressure_gauge")
        assert cells[2].text == words.value(row["of_weakest"], "fraction", 2)
        line = next(line for line in screen.splitlines() if line[2:38].rstrip() == cells[0].text[:36])
        for cell in cells[1:5]:
            assert cell.text in line, (line, cell)
    assert table in note(result).blocks


@pytest.mark.parametrize("name", CASES)
def test_the_blocks_of_the_result_are_those_of_the_commands(name: str) -> None:
    result, words = ran(name), words_of(ran(name))
    found, block = in_time(name), as_dictionary(result)["in_time"]
    assert found.control is not None
    assert block["control"] == json.loads(json.dumps(control_form.as_dictionary(found.control, words)))
    assert block["run"] == run_form.as_dictionary(runs(name), words, traces=False)
    if found.shift is not None:
        assert block["shift"] == json.loads(json.dumps(shift_form.as_dictionary(found.shift, words)))
        shown = [[cell.text for cell in row] for row in shift_table(found.shift, words).rows]
        lines = "\n".join(shift_form.lines(found.shift, words))
        assert all(cell in lines for row in shown for cell in row)
    picture = as_dictionary(result)["pictures"]["run"]
    assert max(picture["outlet_pressure"]) == pytest.approx(block["run"]["runs"][0]["peak"], rel=0.02)


@pytest.mark.parametrize("name", CASES)
def test_the_chapter_holds_what_was_asked_of_it(name: str) -> None:
    result = ran(name)
    words = words_of(result)
    blocks = list(time_chapter(result, words, Charts(words)))
    heads = [block.text for block in blocks if isinstance(block, Heading)]
    wanted = ("in_time", "time_cautions", "safety_functions", "ladder", "normal_run", "faults", "control",
              "states", "cause_effect", "shift", "people", "cleaning")  # fmt: skip
    assert heads == [words.say(f"heading.{key}") for key in wanted]
    pictures = [block for block in blocks if isinstance(block, Picture)]
    assert len(pictures) == (4 if result.in_time and result.in_time.shift else 3)
    for picture in pictures:
        ElementTree.fromstring(picture.svg)
        assert picture.alt and picture.caption
    sheet = in_time(name).control
    assert sheet is not None
    tables = [block for block in blocks if isinstance(block, Table)]
    sentences = {cell.text for table in tables for row in table.rows for cell in row}
    assert {words.tell(each.text) for each in sheet.objects} <= sentences
    bullets = [item for block in blocks if isinstance(block, Bullets) for item in block.items]
    assert any("plugged gauge" in item for item in bullets), "trapped pressure is cautioned of"


def test_an_answer_that_was_not_run_says_so() -> None:
    result = assess(
        case_from_dict(tomllib.loads((WHOLE / "S07.toml").read_text(encoding="utf-8")), "S07", {}),
        samples=256,
    )
    words = words_of(result)
    blocks = list(time_chapter(result, words, Charts(words)))
    assert result.in_time is None and as_dictionary(result)["in_time"] is None
    assert [type(block) for block in blocks] == [Heading, Paragraph]


def test_what_cannot_be_pumped_is_not_run_and_the_note_still_stands() -> None:
    data = tomllib.loads((WHOLE / "S12.toml").read_text(encoding="utf-8"))
    result = assess(case_from_dict(data, "S12", {}), samples=256, in_time=True)
    assert result.in_time is not None and result.in_time.runs is None
    assert any(isinstance(block, Table) for block in note(result).blocks)
    assert as_dictionary(result)["pictures"]["run"] is None


def test_files_of_a_run_hold_its_numbers_and_are_the_same_again() -> None:
    study, words = runs("S07"), Words()
    one = RunStudy(**{
        **{name: getattr(study, name) for name in RunStudy.__slots__}, "outcomes": study.outcomes[1:2]
    })  # fmt: skip
    found = files(one, words)
    assert sorted(found) == ["blocked_outlet.csv", "blocked_outlet.svg", "run.json", "run.pdf"]
    assert files(one, words) == found
    shown = one.outcomes[0]
    read = list(csv.reader(io.StringIO(rows(shown))))
    assert len(read) == 1 + shown.trace.rows["time"].size
    heads = [head.split(" [")[0] for head in read[0]]
    assert heads == ["state" if name == "place" else name for name in shown.trace.rows]
    assert all("[" in head or head == "state" for head in read[0])
    column = [float(row[heads.index("outlet_pressure")]) for row in read[1:]]
    assert column == pytest.approx(shown.trace.rows["outlet_pressure"].tolist(), rel=1e-8, abs=1e-6)
    states = [row[heads.index("state")] for row in read[1:]]
    assert set(states) <= set(STATES) and "fault" in states
    data = json.loads(found["run.json"])
    assert data["runs"][0]["trace"]["outlet_pressure"] == shown.trace.rows["outlet_pressure"].tolist()
    assert found["run.pdf"].startswith(b"%PDF")


def test_the_alt_text_of_the_ladder_says_every_rung_and_the_verdict() -> None:
    sheet, words = in_time("S07").control, Words()
    assert sheet is not None
    alt = ladder_picture(sheet, words).alt
    for rung in sheet.rungs:
        assert (words.value(rung.level, "pressure_gauge") in alt) == (rung.level > 0.0)
    assert words.tell(sheet.verdict) in alt
