"""A form goes out and comes back: nothing is lost, nothing is put where it does not belong (all invented)."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import office_kit as office
from drumwright.basis import quantities
from drumwright.basis.errors import InputError
from drumwright.basis.estimate import Estimate
from drumwright.cli.main import group
from drumwright.report.answer_form import form_file
from drumwright.report.words import Words
from drumwright.station.answer_rows import HEADER, Reply, row_key
from drumwright.station.casefile import load
from drumwright.station.office_cells import OfficeCell, read_office
from drumwright.station.record_base import get_field
from drumwright.study import answering
from drumwright.study.answering import Answered, answered, form_rows

CASE = """# the customer's own words stay
[case]
title = "Paste (invented)"
seed = 4

[enquiry]
flow = "1.5 m3/h"

[[product]]
name = "paste"
food = false

[product.temperature]
norm = "20 C"

[[product.model]]
temperature = "20 C"
yield_stress = "100 Pa"
consistency = "80 Pa.s^n"
exponent = 0.35

[destination]
kind = "open_tank"

[line]
bore = "DN80"
length = "5 m"
rise = "1.5 m" # to the lid
"""
ANSWERS: dict[str, object] = {
    "container.kind": "straight drum",
    "container.liner": "none",
    "product.temperature.low": "8 C",
    "line.own_hose": "2,5 m",
    "product.safety_sheet_seen": "yes",
    "product.density": "1,2 g/cm3",
    "product.flammable": "No",
    "topic.single_curve": "the laboratory has it on its list",
}


@pytest.fixture(autouse=True)
def few_samples(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing here is about numbers that need many samples."""
    monkeypatch.setattr("drumwright.study.answering.SAMPLES_DOCUMENT", 256)
    monkeypatch.setattr("drumwright.study.answering.SAMPLES", 256)


@cache
def blank(ending: str = ".xlsx") -> bytes:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "paste.toml"
        path.write_text(CASE, encoding="utf-8")
        case = load(path)
        return form_file(case, form_rows(case), ending, Words())


def back(folder: Path, content: bytes, name: str = "back.xlsx", text: str = CASE) -> Answered:
    case = folder / "paste.toml"
    if not case.exists():
        case.write_text(text, encoding="utf-8")
    (folder / name).write_bytes(content)
    return answered(load(case), folder / name)


def filled(answers: dict[str, object], **more: Any) -> office.Grid:
    return office.fill(office.grid(blank()), answers, **more)


def troubles(folder: Path, content: bytes) -> str:
    with pytest.raises(InputError) as caught:
        back(folder, content)
    assert not list(folder.glob("*answered*")), "nothing is written where something is wrong"
    return str(caught.value)


def test_what_is_answered_stands_in_its_field_and_says_where_it_came_from(tmp_path: Path) -> None:
    found = back(tmp_path, office.saved(filled(ANSWERS)))
    case = load(found.path)
    assert case.container[0].kind == "straight_drum" and case.container[0].liner == "none"
    low = get_field(case, "product.temperature.low")
    assert low.likely == pytest.approx(281.15) and low.basis == "customer"
    assert "M. Example" in low.note and "2026-11-20" in low.note and "mail of that day" in low.note
    assert get_field(case, "line.own_hose").likely == pytest.approx(2.5)
    assert get_field(case, "product.density").likely == pytest.approx(1200.0)
    assert case.product[0].safety_sheet_seen is True and case.product[0].flammable is False
    assert {each.field for each in case.answer} == set(ANSWERS)
    assert all(each.who == "M. Example" and each.when == "2026-11-20" and each.mail for each in case.answer)


def test_the_old_text_stays_and_its_comments_too(tmp_path: Path) -> None:
    found = back(tmp_path, office.saved(filled(ANSWERS)))
    text = found.path.read_text(encoding="utf-8")
    for line in CASE.splitlines():
        assert line in text, line
    assert (tmp_path / "paste.toml").read_text(encoding="utf-8") == CASE


def test_numbers_are_closed_and_what_is_in_words_stays_open(tmp_path: Path) -> None:
    found = back(tmp_path, office.saved(filled(ANSWERS)))
    asked = {row.field: row.number for row in form_rows(load(tmp_path / "paste.toml"))}
    assert {asked["line.own_hose"], asked["container.liner"], asked["product.density"]} <= set(found.closed)
    assert (
        [reply.row.field for reply in found.kept] == ["topic.materials"]
        if "topic.materials" in asked
        else True
    )
    still = {row.field for row in form_rows(load(found.path))}
    assert not still & {"line.own_hose", "container.kind", "container.liner", "product.density"}


def test_what_moved_is_said(tmp_path: Path) -> None:
    found = back(tmp_path, office.saved(filled(ANSWERS)))
    assert {"line.own_hose", "product.temperature.low"} <= {each.path for each in found.moved.changes} | {
        "product.temperature.low"
    }
    assert any(move.figure.key == "line.total" for move in found.moved.moves)


@pytest.mark.parametrize(
    ("field", "typed", "likely"),
    [
        ("product.temperature.low", "10 C", 283.15),
        ("product.temperature.low", 10, 283.15),
        ("product.temperature.low", 10.5, 283.65),
        ("product.temperature.low", "10,5", 283.65),
        ("product.temperature.low", "  50 °F ", 283.15),
        ("product.temperature.low", "\u00a010\u202f°C", 283.15),
        ("product.temperature.low", -3, 270.15),
        ("line.own_hose", 1.234, 1.234),
        ("line.own_hose", "250 cm", 2.5),
        ("container.outside_height", 880, 0.88),
        ("product.density", "1 150", 1150.0),
        ("site.air_pressure", 6.5, 6.5e5),
        ("site.air_pressure", "94 psi(g)", 648107.2),
    ],
)
def test_a_number_is_read_in_the_unit_asked_unless_it_says_its_own(
    tmp_path: Path, field: str, typed: object, likely: float
) -> None:
    found = back(tmp_path, office.saved(filled({field: typed})))
    assert found.replies[0][1].likely == pytest.approx(likely, rel=1e-6)


@pytest.mark.parametrize("style", [office.PERCENT, office.PERCENT_OWN])
def test_a_per_cent_cell_is_what_it_shows(tmp_path: Path, style: int) -> None:
    field = "enquiry.operator_share"
    if field not in {str(row[8]) for row in filled({}) if len(row) > 8}:
        field = next(str(r[8]) for r in filled({}) if len(r) > 8 and r[2] == "%")
    one = back(tmp_path, office.saved(filled({field: office.Shown(0.3, style)})))
    assert one.replies[0][1].likely == pytest.approx(0.3)
    one.path.unlink()
    typed = back(tmp_path, office.saved(filled({field: 30})), "two.xlsx")
    assert typed.replies[0][1].likely == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("when", "from_1904", "day"),
    [
        (office.Shown(46346, office.DATE), False, "2026-11-20"),
        (46346, False, "2026-11-20"),
        (office.Shown(46346 - 1462, office.DATE_BUILT_IN), True, "2026-11-20"),
        ("20.11.2026", False, "20.11.2026"),
    ],
)
def test_a_day_that_became_a_number_is_a_day_again(
    tmp_path: Path, when: object, from_1904: bool, day: str
) -> None:
    rows = filled({"line.own_hose": "2 m"}, when=when)
    found = back(tmp_path, office.saved(rows, from_1904=from_1904))
    assert found.replies[0][0].when == day


def test_who_and_when_may_stand_once_above_the_table(tmp_path: Path) -> None:
    rows = filled({"line.own_hose": "2 m"}, who="", when="")
    for row in rows:
        for name, text in (("Answered by:", "M. Example"), ("On:", "2026-11-20")):
            if row[0] == name:
                row[1] = text
    reply = back(tmp_path, office.saved(rows)).replies[0][0]
    assert (reply.who, reply.when) == ("M. Example", "2026-11-20")


@pytest.mark.parametrize(("who", "when"), [("", "2026-11-20"), ("M. Example", "")])
def test_an_answer_without_its_source_is_refused(tmp_path: Path, who: str, when: str) -> None:
    said = troubles(tmp_path, office.saved(filled({"line.own_hose": "2 m"}, who=who, when=when)))
    assert "nothing is said under" in said and "!E" in said


def added(rows: office.Grid) -> office.Grid:
    """A column before and rows between, as people add them."""
    changed = [["note", *row] for row in rows]
    return [[None], *changed[:8], ["a remark of the plant"], *changed[8:]]


def shuffled(rows: office.Grid) -> office.Grid:
    """Rows sorted the other way round, columns swapped as wholes."""
    head = next(index for index, row in enumerate(rows) if "Field" in row)
    below = rows[head + 1 :][::-1]
    return [[*row[::-1]] for row in (*rows[:head], rows[head], *below)]


@pytest.mark.parametrize("change", [added, shuffled])
def test_rows_and_columns_may_be_added_and_moved(
    tmp_path: Path, change: Callable[[office.Grid], office.Grid]
) -> None:
    plain = back(tmp_path, office.saved(filled(ANSWERS))).path.read_text(encoding="utf-8")
    other = tmp_path / "other"
    other.mkdir()
    found = back(other, office.saved(change(filled(ANSWERS)))).path
    assert load(found).container == load(tmp_path / "paste-answered.toml").container
    assert sorted(found.read_text(encoding="utf-8").split()) == sorted(plain.split())


def test_a_formula_is_refused_with_its_cell(tmp_path: Path) -> None:
    rows = filled(
        {"line.own_hose": office.Shown(2.5, 0, "1+1.5"), "product.density": office.Shown(None, 0, "A1")}
    )
    said = troubles(tmp_path, office.saved(rows))
    assert said.count("a formula stands here") == 2
    row = 1 + next(index for index, each in enumerate(rows) if "line.own_hose" in each)
    assert f"!E{row}:" in said


def test_a_cell_merged_over_two_questions_is_refused(tmp_path: Path) -> None:
    rows = filled({"line.own_hose": "2 m"})
    row = 1 + next(index for index, each in enumerate(rows) if "line.own_hose" in each)
    said = troubles(tmp_path, office.saved(rows, merges=[f"E{row}:E{row + 1}"]))
    assert "merged over several rows" in said and f"!E{row}:" in said


def test_columns_merged_within_a_row_do_no_harm(tmp_path: Path) -> None:
    rows = filled({"line.own_hose": "2 m"})
    row = 1 + next(index for index, each in enumerate(rows) if "line.own_hose" in each)
    assert back(tmp_path, office.saved(rows, merges=[f"A{row}:B{row}"])).replies


def test_columns_sorted_apart_are_refused(tmp_path: Path) -> None:
    """The unsafe thing: answers beside fields they were not given for."""
    rows = filled(ANSWERS)
    head = next(index for index, row in enumerate(rows) if "Field" in row)
    column = HEADER.index("Field")
    fields = [row[column] for row in rows[head + 1 :]]
    for row, field in zip(rows[head + 1 :], reversed(fields), strict=True):
        row[column] = field
    assert "do not belong together" in troubles(tmp_path, office.saved(rows))


@pytest.mark.parametrize("column", ["No.", "Unit", "Field", "Key"])
def test_a_changed_mark_is_refused(tmp_path: Path, column: str) -> None:
    rows = filled({"line.own_hose": "2 m"})
    row = next(each for each in rows if "line.own_hose" in each)
    row[HEADER.index(column)] = {"No.": "A-099", "Unit": "mm", "Field": "line.length", "Key": "0"}[column]
    said = troubles(tmp_path, office.saved(rows))
    assert "do not belong together" in said or "no open question" in said


def test_a_field_that_was_said_since_is_not_overwritten(tmp_path: Path) -> None:
    stated = CASE.replace('rise = "1.5 m"', 'own_hose = "7 m"\nrise = "1.5 m"')
    (tmp_path / "paste.toml").write_text(stated, encoding="utf-8")
    assert "no open question" in troubles(tmp_path, office.saved(filled({"line.own_hose": "2 m"})))


def test_a_form_of_another_product_fits_no_field(tmp_path: Path) -> None:
    """Two products: the rows name theirs, and a case with other names refuses them."""
    second = CASE[CASE.index("[[product]]") : CASE.index("[destination]")].replace("paste", "grout")
    path = tmp_path / "paste.toml"
    path.write_text(CASE + second, encoding="utf-8")
    case = load(path)
    rows = form_rows(case)
    named = [row for row in rows if row.field.startswith("product[")]
    assert named and all(row.record for row in named)
    grid = office.fill(office.grid(form_file(case, rows, ".xlsx", Words())), {named[0].field: "yes"})
    path.write_text(
        (CASE + second).replace('"grout"', '"mortar"').replace('"paste"', '"putty"'), encoding="utf-8"
    )
    assert "do not belong together" in troubles(tmp_path, office.saved(grid))


def test_two_answers_to_one_question_are_refused(tmp_path: Path) -> None:
    rows = filled({"line.own_hose": "2 m"})
    rows.append(list(next(each for each in rows if "line.own_hose" in each)))
    assert "answered twice" in troubles(tmp_path, office.saved(rows))


@pytest.mark.parametrize(
    ("field", "typed", "what"),
    [
        ("line.own_hose", "900 m", "line.own_hose"),
        ("line.own_hose", "8 bar", "line.own_hose"),
        ("line.own_hose", "two metres", "line.own_hose"),
        ("line.own_hose", "2 to 3 m", "line.own_hose"),
        ("line.own_hose", "1.234", "line.own_hose"),
        ("line.own_hose", True, "true or false"),
        ("line.own_hose", office.Shown(46346, office.DATE), "a date stands here"),
        ("line.own_hose", office.Shown(0.05, office.PERCENT), "per cent"),
        ("line.own_hose", "#DIV/0!", "line.own_hose"),
        ("site.air_pressure", "6 bar", "site.air_pressure"),
        ("container.liner", "plastic", "container.liner"),
        ("product.safety_sheet_seen", "perhaps", "neither yes nor no"),
        ("product.safety_sheet_seen", 1, "neither yes nor no"),
        ("container.kind", True, "true or false"),
    ],
)
def test_what_a_field_does_not_take_is_named_by_its_cell(
    tmp_path: Path, field: str, typed: object, what: str
) -> None:
    said = troubles(tmp_path, office.saved(filled({field: typed})))
    assert what in said and "E" in said.split(" ")[0]


def test_every_wrong_cell_is_named_at_once(tmp_path: Path) -> None:
    answers = {"line.own_hose": "900 m", "container.liner": "plastic", "product.density": "heavy"}
    with pytest.raises(InputError) as caught:
        back(tmp_path, office.saved(filled(answers)))
    assert len(caught.value.problems) == 3


def test_an_empty_form_is_refused_and_a_file_is_never_overwritten(tmp_path: Path) -> None:
    assert "holds no answer" in troubles(tmp_path, office.saved(filled({})))
    good = office.saved(filled({"line.own_hose": "2 m"}))
    first = back(tmp_path, good).path.read_text(encoding="utf-8")
    with pytest.raises(InputError, match="exists already"):
        back(tmp_path, good)
    assert (tmp_path / "paste-answered.toml").read_text(encoding="utf-8") == first


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 no", b"a,b\n1,2\n", office.saved([["a"]])[:400]])
def test_what_is_no_form_is_refused(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(InputError):
        back(tmp_path, content)


def test_a_workbook_without_the_table_says_so(tmp_path: Path) -> None:
    assert "No., Answer, Field and Key" in troubles(tmp_path, office.saved([["a", "b"], [1, 2]]))


def test_a_document_comes_back_too(tmp_path: Path) -> None:
    columns = {name: HEADER.index(name) for name in HEADER}
    cells = {columns["Answer"]: "2,5 m", columns["Who"]: "M. Example", columns["When"]: "2026-11-20"}
    content = office.in_document(
        blank(".docx"), lambda body: office.document_row(body, "line.own_hose", cells)
    )
    found = back(tmp_path, content, "back.docx")
    assert get_field(load(found.path), "line.own_hose").likely == pytest.approx(2.5)
    assert "table 2, row" in found.replies[0][0].cell.address


def test_a_document_says_once_who_answered(tmp_path: Path) -> None:
    def change(body: str) -> str:
        said = {"Answered by:": "M. Example", "On:": "2026-11-20"}
        for name, text in said.items():
            body = office.document_row(body, name, {1: text})
        return office.document_row(body, "line.own_hose", {HEADER.index("Answer"): "3 m"})

    found = back(tmp_path, office.in_document(blank(".docx"), change), "back.docx")
    assert found.replies[0][0].who == "M. Example" and found.replies[0][0].when == "2026-11-20"


def test_a_document_with_a_computed_answer_is_refused(tmp_path: Path) -> None:
    def computed(body: str) -> str:
        cells = {HEADER.index("Answer"): "2 m", HEADER.index("Who"): "M. Example"}
        changed = office.document_row(body, "line.own_hose", cells)
        field = '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText>=1+1</w:instrText></w:r>'
        return changed.replace('<w:r><w:t xml:space="preserve">2</w:t></w:r>', field, 1).replace(
            '<w:r><w:t xml:space="preserve">2 </w:t></w:r>', field, 1
        )

    content = office.in_document(blank(".docx"), computed)
    assert "instrText" in str(content) or read_office(content, "x")
    (tmp_path / "paste.toml").write_text(CASE, encoding="utf-8")
    (tmp_path / "c.docx").write_bytes(content)
    with pytest.raises(InputError, match="formula"):
        answered(load(tmp_path / "paste.toml"), tmp_path / "c.docx")


def test_the_form_asks_only_for_what_is_missing_and_takes_no_user_text_as_formula() -> None:
    rows = office.grid(blank())
    fields = {str(row[8]) for row in rows if len(row) > 8 and row[8]}
    assert not fields & {"enquiry.flow", "line.bore", "line.rise", "product.temperature.norm"}
    assert not any(field.startswith(("model.", "evidence.")) for field in fields)
    assert all(
        not cell.formula for table in read_office(blank(), "x") for row in table.rows for cell in row.values()
    )
    assert blank() == form_file_again()


def form_file_again() -> bytes:
    blank.cache_clear()
    return blank()


def test_both_forms_hold_the_same_rows() -> None:
    of_book = [row for row in office.grid(blank()) if len(row) > 8 and row[8]]
    of_text = [[cell.value for cell in row.values()] for row in read_office(blank(".docx"), "x")[1].rows]
    assert [[each or "" for each in row] for row in of_book] == of_text


def test_the_key_holds_number_field_unit_and_record() -> None:
    base = ("A-001", "line.own_hose", "m", "")
    keys = {row_key(*base)}
    for place in range(4):
        changed = [*base]
        changed[place] += "x"
        keys.add(row_key(*changed))
    assert len(keys) == 5


def test_command_writes_and_reads(tmp_path: Path) -> None:
    case = tmp_path / "paste.toml"
    case.write_text(CASE, encoding="utf-8")
    run = CliRunner().invoke

    def done(*arguments: str) -> Any:
        return run(group, ["questions", str(case), *arguments])

    form = tmp_path / "form.xlsx"
    assert done("--form", str(form)).exit_code == 0 and form.read_bytes()[:2] == b"PK"
    assert done("--form", str(form)).exit_code == 2
    assert done("--form", str(tmp_path / "form.pdf")).exit_code == 2
    assert done("-o", str(tmp_path / "new.toml")).exit_code == 2
    assert done("--form", str(tmp_path / "b.xlsx"), "--set", "line.rise=2 m").exit_code == 2
    form.write_bytes(office.saved(office.fill(office.grid(form.read_bytes()), ANSWERS)))
    out = tmp_path / "new.toml"
    told = done("--answers", str(form), "-o", str(out), "--json")
    assert told.exit_code == 0, told.stderr
    data = json.loads(told.stdout)
    assert data["closed"] and {each["field"] for each in data["read"]} <= set(ANSWERS)
    again = done("--answers", str(form), "-o", str(out))
    assert again.exit_code == 2 and "exists already" in again.stderr
    out.unlink()
    shown = done("--answers", str(form), "-o", str(out))
    assert shown.exit_code == 0 and "Closed: A-" in shown.stdout
    assert max(len(line) for line in shown.stdout.splitlines()[1:]) <= 80
    assert isinstance(get_field(load(out), "line.own_hose"), Estimate)


def some_answer(field: str) -> str:
    """An answer that a field takes."""
    if not answering._is_field(field):
        return 'in "words" \\ = 1'
    declared = answering._declared(field)
    if declared.form == "quantity":
        low, high = declared.usual if declared.usual[1] < 1e9 else declared.hard
        middle = 0.5 * (max(low, declared.hard[0]) + min(high, declared.hard[1], 1e6))
        return quantities.show(middle, declared.kind, digits=2)
    return declared.choices[-1] if declared.choices else "yes" if declared.form == "flag" else "a text"


@pytest.mark.parametrize("name", ["S01", "S09", "S12"])
def test_every_row_of_a_form_reaches_its_field_and_no_other(name: str, tmp_path: Path) -> None:
    """One answer at a time into whole cases: pails and drums, nested tables, what is not there yet."""
    text = (Path(__file__).parent.parent / "whole" / f"{name}.toml").read_text(encoding="utf-8")
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    case = load(path)
    rows = form_rows(case)
    assert len(rows) > 20
    for row in rows:
        cell = OfficeCell("E1", some_answer(row.field))
        reply = Reply(row, cell, 'Who "so"', "2026-11-20", "")
        values, wrong = answering._values([reply], "form")
        assert not wrong, (row.field, cell.value)
        written = answering._written(text, case, [reply], values)
        after = answering._checked(tmp_path / "new.toml", written, case, values)  # raises where it does not
        assert after.answer[-1].said == reply.said
        (tmp_path / "new.toml").unlink()


def test_an_unusual_answer_is_said(tmp_path: Path) -> None:
    found = back(tmp_path, office.saved(filled({"line.own_hose": "60 m", "product.density": "1200 kg/m3"})))
    assert [each.field for each in found.unusual] == ["line.own_hose"]


def test_a_product_on_a_card_is_answered_in_the_case(tmp_path: Path) -> None:
    """The card may belong to other cases too: it stays as it is."""
    product = CASE[CASE.index("[[product]]") : CASE.index("[destination]")]
    card = product.replace("[[product]]\n", "").replace("[product.", "[").replace("[[product.", "[[")
    (tmp_path / "card.toml").write_text(card, encoding="utf-8")
    text = CASE.replace(product, '[[product]]\nfile = "card.toml"\n\n')
    found = back(tmp_path, office.saved(filled({"product.density": "1200 kg/m3"})), text=text)
    assert load(found.path).product[0].density.likely == pytest.approx(1200.0)
    assert (tmp_path / "card.toml").read_text(encoding="utf-8") == card
    assert 'file = "card.toml"' in found.path.read_text(encoding="utf-8")


def test_a_case_that_would_say_something_else_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "paste.toml"
    path.write_text(CASE, encoding="utf-8")
    case = load(path)
    for text, values in (
        (CASE.replace("5 m", "6 m"), {}),
        (CASE, {"line.own_hose": Estimate.exact(2.0)}),
        (CASE.replace("[line]", '[site]\nzone = "none"\n[line]'), {}),
    ):
        with pytest.raises(InputError, match="would not say"):
            answering._checked(tmp_path / "new.toml", text, case, values)
        assert not (tmp_path / "new.toml").exists()
