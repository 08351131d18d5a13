"""A form that went out and came back says what was typed: any field, number, unit, text and place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

import office_kit as office
from drumwright.basis import quantities
from drumwright.basis.kinds import KINDS
from drumwright.report.office_write import Form, document, workbook
from drumwright.station.answer_rows import HEADER, FormRow, checked, replies
from drumwright.station.fields import Declaration, FieldTroubles
from drumwright.station.office_cells import read_office

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=40)
PAIRS = st.lists(st.tuples(TEXT, TEXT), min_size=1, max_size=6)
KIND = st.sampled_from(sorted(set(KINDS) - {"price"}))


def form_of(rows: list[FormRow]) -> Form:
    texts = tuple(row.texts() for row in rows)
    return Form("t", (("t",),), HEADER, texts, (9,) * len(HEADER), frozenset((4, 5, 6, 7)))


def row_of(kind: str, field: str = "line.own_hose") -> FormRow:
    return FormRow("A-001", "How?", field, quantities.unit(kind), "", "")


@given(KIND, st.floats(1e-3, 1e5), st.sampled_from(("number", "text", "comma")))
def test_a_number_comes_back_in_the_unit_asked(kind: str, figure: float, typed: str) -> None:
    """Whatever the program made of it: a number cell, a text, a decimal comma."""
    row = row_of(kind)
    shown = float(f"{figure:.6g}")
    text = f"{shown:.6f}" if typed != "number" else ""
    cell: object = shown if typed == "number" else text.replace(".", ",") if typed == "comma" else text
    wanted = float(text) if text else shown
    grid = office.fill(office.grid(workbook(form_of([row]))), {row.field: cell})
    found, problems = replies(read_office(office.saved(grid), "f"), {row.field: ""}, "f")
    assert not problems
    declared = Declaration("quantity", "m", kind, (-1e12, 1e12))
    value = checked(found[0], declared)
    assert quantities.to_display(value.likely, kind) == pytest.approx(wanted, rel=1e-9)  # type: ignore[attr-defined]


@given(
    st.lists(st.tuples(TEXT, TEXT), min_size=1, max_size=6), st.randoms(use_true_random=False), st.booleans()
)
def test_texts_come_back_to_their_own_rows_in_any_order(
    pairs: list[tuple[str, str]], random: object, book: bool
) -> None:
    """Each answer lands at the field it was typed beside, however rows are ordered; blanks fold."""
    rows = [FormRow(f"A-{index:03d}", ask, f"topic.t{index}", "", "") for index, (ask, _) in enumerate(pairs)]
    answers = {row.field: said for row, (_, said) in zip(rows, pairs, strict=True)}
    shuffled = list(rows)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    grid = office.fill(office.grid(workbook(form_of(shuffled))), answers)
    found, problems = replies(
        read_office(office.saved(grid, shared=book), "f"), {row.field: "" for row in rows}, "f"
    )
    assert not problems
    kept = {field: folded(said) for field, said in answers.items() if folded(said)}
    assert {reply.row.field: reply.said for reply in found} == kept


def folded(text: str) -> str:
    for hidden in "\u200b\u200e\u200f\ufeff\u00ad":
        text = text.replace(hidden, "")
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


@given(PAIRS)
def test_workbook_and_document_hold_the_same_texts(pairs: list[tuple[str, str]]) -> None:
    rows = [FormRow(f"A-{k:03d}", ask, said, "mm", "") for k, (ask, said) in enumerate(pairs)]
    wanted = [list(row.texts()) for row in rows]
    for content in (workbook(form_of(rows)), document(form_of(rows))):
        table = read_office(content, "f")[-1]
        whole = [[str(each[c].value) if c in each else "" for c in range(len(HEADER))] for each in table.rows]
        got = whole[1 + next(k for k, row in enumerate(whole) if row[-1] == "Key") :]
        assert [[x.strip() for x in row] for row in got] == [[x.strip() for x in row] for row in wanted]


@given(st.integers(0, 9), st.integers(0, 9), st.integers(0, 1), st.integers(2, 9))
def test_two_rows_never_trade_their_answers(one: int, other: int, part: int, count: int) -> None:
    """Swapping field or key cells of two rows is refused for both."""
    rows = [FormRow(f"A-{k:03d}", "q", f"line.f{k}", "m", "") for k in range(count)]
    one, other = one % count, other % count
    grid = office.fill(
        office.grid(workbook(form_of(rows))), {row.field: f"{k} m" for k, row in enumerate(rows)}
    )
    head = next(k for k, row in enumerate(grid) if "Field" in row)
    column = HEADER.index(("Field", "Key")[part])
    first, second = grid[head + 1 + one], grid[head + 1 + other]
    first[column], second[column] = second[column], first[column]
    found, problems = replies(read_office(office.saved(grid), "f"), {row.field: "" for row in rows}, "f")
    swapped = set() if one == other else {one, other}
    assert len(problems) == len(swapped)
    assert {reply.row.field for reply in found} == {f"line.f{k}" for k in range(count) if k not in swapped}
    assert all(reply.said == f"{reply.row.field[6:]} m" for reply in found)


@given(st.binary(max_size=400))
def test_any_bytes_are_refused_in_words(content: bytes) -> None:
    from drumwright.basis.errors import InputError

    with pytest.raises(InputError):
        read_office(content, "f")


@given(st.floats(allow_nan=False, allow_infinity=False), KIND)
def test_a_number_of_any_size_is_taken_or_refused_in_words(figure: float, kind: str) -> None:
    row = row_of(kind)
    grid = office.fill(office.grid(workbook(form_of([row]))), {row.field: figure})
    found, _ = replies(read_office(office.saved(grid), "f"), {row.field: ""}, "f")
    try:
        value = checked(found[0], Declaration("quantity", "m", kind, (-1e9, 1e9)))
    except FieldTroubles:
        return
    assert math.isfinite(value.likely)  # type: ignore[attr-defined]
