"""Whatever stands in a case file, the answer is a case or problems in our own words, never another error."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.basis.errors import InputError
from drumwright.station.casefile import case_from_dict, load, template
from drumwright.station.record_base import declared_in, record_in
from drumwright.station.records import Case

FULL = template()
for table in ("case", "line", "site", "buffer", "control", "shift", "destination"):
    FULL = FULL.replace(f"# {table}.", f"{table}.")


def accepted_or_explained(text: bytes, folder: Path) -> None:
    """Read a text as a case file and look at what comes back."""
    path = folder / "case.toml"
    path.write_bytes(text)
    try:
        case = load(path)
    except InputError as error:
        assert error.problems
        for problem in error.problems:
            assert problem.what and problem.remedy
            assert "\n" not in str(problem) and len(str(problem)) < 3000
    else:
        assert case.product


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_a_mangled_template_is_read_or_explained(data: st.DataObject, tmp_path_factory: Any) -> None:
    text = FULL.encode()
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.integers(0, 12))
        piece = data.draw(
            st.binary(max_size=6) | st.sampled_from([b'"', b"[", b"{", b"nan", b"\n", b"=", b"."])
        )
        text = text[:start] + piece + text[start + length :]
    accepted_or_explained(text, tmp_path_factory.mktemp("mangled"))


scalars = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["2 bar", "DN65", "1 %", "22 C", 10**400, "straight_drum", "1,250 m"])
)
values = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["low", "likely", "value", "high", "plus_minus", "name", "x"]), inner
        )
    ),
    max_leaves=5,
)


def tables_of(name: str) -> st.SearchStrategy[Any]:
    """Return strategies for one table of the case, with known and unknown fields."""
    record = record_in(Case, name)
    fields = [*declared_in(record), "file", "no_such"] if record else ["x"]
    table = st.dictionaries(st.sampled_from(fields), values, max_size=5)
    return table | st.lists(table, max_size=3) | values


@settings(max_examples=300, deadline=None)
@given(st.fixed_dictionaries({}, optional={name: tables_of(name) for name in [*declared_in(Case), "cards"]}))
def test_any_dictionary_is_a_case_or_explained(data: dict[str, Any]) -> None:
    try:
        case = case_from_dict(data)
    except InputError as error:
        assert all(problem.what and problem.remedy for problem in error.problems)
    else:
        assert case.product
