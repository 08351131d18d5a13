"""What is shown can be read back, for every kind, in both systems."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drumwright.basis.errors import QuantityError
from drumwright.basis.kinds import KINDS
from drumwright.basis.quantities import System, read, show, to_display

kinds = st.sampled_from(sorted(KINDS))
systems = st.sampled_from(["metric", "US"])
values = st.floats(min_value=1e-6, max_value=1e8) | st.floats(min_value=-1e8, max_value=-1e-6)


def spaced(text: str) -> str:
    """Return a shown quantity as one would write it without a x1000 trap: one more decimal."""
    figure, _, label = text.partition(" ")
    decimals = figure.partition(".")[2]
    return f"{figure}0 {label}".strip() if len(decimals) == 3 else text


@given(kinds, systems, values)
def test_shown_with_17_digits_reads_back(kind: str, system: System, value: float) -> None:
    text = spaced(show(value, kind, system, 17))
    assert read(text, kind) == pytest.approx(value, rel=1e-14, abs=1e-12)


@given(kinds, systems, st.integers(min_value=1, max_value=99999))
def test_whole_display_numbers_come_back_exactly(kind: str, system: System, figure: int) -> None:
    label = KINDS[kind].metric if system == "metric" else KINDS[kind].us
    value = read(f"{figure} {label}".strip(), kind)
    assert to_display(value, kind, system) == pytest.approx(
        figure, rel=4e-16 if kind != "temperature" else 1e-12
    )
    if kind == "diameter" and system == "metric":
        assert to_display(value, kind, system) == figure


@given(
    st.integers(min_value=1, max_value=999), st.integers(min_value=0, max_value=999), st.sampled_from(",.")
)
def test_every_number_that_could_be_thousands_is_refused(whole: int, rest: int, mark: str) -> None:
    with pytest.raises(QuantityError):
        read(f"{whole}{mark}{rest:03d} Pa", "stress")


@given(st.text(max_size=60), kinds)
def test_any_text_is_read_or_refused_in_our_own_words(text: str, kind: str) -> None:
    try:
        value = read(text, kind)
    except QuantityError as error:
        assert error.what and error.remedy
    else:
        assert isinstance(value, float)
        assert any(character.isdigit() for character in text)


@given(st.text(alphabet="0123456789 .,-+eE_/()^*%\"'mPaskgbrhCFin³²·", max_size=24), kinds)
def test_any_quantity_like_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        read(text, kind)
    except QuantityError as error:
        assert error.what and error.remedy
