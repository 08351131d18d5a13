"""Whatever stands in a stock file, the answer is a stock or problems in our words, never another error."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.basis.errors import InputError
from drumwright.station.stock import read_stock, reading_of
from drumwright.station.stock_fields import KINDS, fields_of
from drumwright.station.stock_file import stock_text_of
from workbook import workbook

EXAMPLE = (Path(__file__).parents[2] / "cases" / "stock-example.toml").read_bytes()
NAMES = sorted({name for kind in KINDS for name in fields_of(kind)})


def accepted_or_explained(content: bytes, path: Path) -> None:
    """Read bytes as a stock file and look at what comes back."""
    path.write_bytes(content)
    try:
        found = read_stock(path, path.name)
    except InputError as error:
        assert error.problems
        problems = error.problems
    else:
        assert bool(found.bad) <= bool(found.problems)
        articles = {row.article for row in found.stock.of_kind("pump")}
        assert {pump.identifier for pump in found.stock.pumps} == articles
        assert set(found.stock.fits) <= articles
        problems = found.problems
    for problem in problems:
        assert problem.what and problem.remedy
        assert "\n" not in str(problem) and len(str(problem)) < 3000


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_a_mangled_stock_is_read_or_explained(data: st.DataObject, tmp_path_factory: Any) -> None:
    text = EXAMPLE
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.integers(0, 12))
        piece = data.draw(
            st.binary(max_size=6) | st.sampled_from([b'"', b"[", b"{", b"nan", b"\n", b"=", b".", b"-", b"0"])
        )
        text = text[:start] + piece + text[start + length :]
    accepted_or_explained(text, tmp_path_factory.mktemp("mangled") / "stock.toml")


scalars = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["3 mm", "1,250 kg", "5 bar", "progressing_cavity", "old", "1e400 m", "NaN"])
)
rows = st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=8), scalars | st.lists(scalars, max_size=3))


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(st.sampled_from([*KINDS, "stock", "pinned", "x"]), st.lists(rows, max_size=3) | rows))
def test_any_tables_are_read_or_explained(tables: dict[str, Any]) -> None:
    try:
        found = reading_of(stock_text_of(tables, "any"))
    except InputError as error:
        assert error.problems
    else:
        assert all(each.what for each in found.problems)


cells = st.none() | st.booleans() | st.integers(-5, 10**6) | st.floats(-1e6, 1e6) | st.sampled_from(NAMES)
cells = cells | st.sampled_from(["16 bar(g)", "25,0", "rotor_diameter [mm]", "mass (kg)", "#N/A", " "])


@settings(max_examples=60, deadline=None)
@given(
    sheets=st.dictionaries(
        st.sampled_from(["pump", "Hoses", "stock", "Notes", "sheet"]),
        st.lists(st.lists(cells, max_size=6), max_size=5),
        min_size=1,
    )
)
def test_any_workbook_is_read_or_explained(sheets: dict[str, Any], tmp_path_factory: Any) -> None:
    accepted_or_explained(workbook(sheets), tmp_path_factory.mktemp("book") / "stock.xlsx")


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_a_damaged_workbook_is_refused_in_words(data: st.DataObject, tmp_path_factory: Any) -> None:
    content = workbook({"pump": [["article", "name"], ["1", "x"]]})
    cut = data.draw(st.integers(4, len(content) - 1))
    accepted_or_explained(content[:cut], tmp_path_factory.mktemp("book") / "stock.xlsx")
