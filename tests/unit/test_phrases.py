"""The phrase catalogue: every sentence parses, slots are typed and must match."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from drumwright.basis import phrases
from drumwright.basis.catalogue import catalogue, trouble
from drumwright.basis.errors import PhraseError
from drumwright.basis.phrases import Phrase, phrase, render, slots_of


@pytest.mark.parametrize("key", phrases.keys())
def test_every_sentence_parses(key: str) -> None:
    for slot in slots_of(key):
        assert not slot.name or slot.form
    assert catalogue()[key].strip() or key.endswith(".allowed")


@pytest.mark.parametrize("key", sorted(key[:-5] for key in catalogue() if key.endswith(".what")))
def test_every_trouble_has_three_parts_and_a_remedy(key: str) -> None:
    slots = {
        slot.name: "xyz"
        for part in ("what", "allowed", "remedy")
        for slot in slots_of(f"{key}.{part}")
        if slot.name
    }
    what, allowed, remedy = trouble(key, **slots)
    assert what and remedy
    assert allowed or key.startswith("QTY")
    assert "{text" not in what + allowed + remedy


@pytest.fixture
def sentences(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Sentences of this test instead of the catalogue."""
    found = {
        "T-1": "Pressure {pressure:pressure_gauge} is above {limit:pressure_gauge/2} for {name:text}.",
        "T-2": "{count:integer} drums, {share:percent}: {names:list}; {inner:phrase}",
        "T-3": "no slots",
        "T-4": "{open",
        "T-5": "{value:furlongs}",
        "T-6": "{value!r:text}",
    }
    monkeypatch.setattr(phrases, "sentence", lambda key, language="en": found[key])
    slots_of.cache_clear()
    yield
    slots_of.cache_clear()


@pytest.mark.usefixtures("sentences")
def test_slots_are_filled_in_the_unit_system() -> None:
    item = phrase("T-1", pressure=5.6e5, limit=5.1e5, name="the hose")
    assert render(item) == "Pressure 5.60 bar(g) is above 5.1 bar(g) for the hose."
    assert render(item, "US") == "Pressure 81.2 psi(g) is above 74 psi(g) for the hose."
    nested = phrase("T-2", count=3.0, share=0.95, names=["a", phrase("T-3")], inner=phrase("T-3"))
    assert render(nested) == "3 drums, 95 %: a and no slots; no slots"


@pytest.mark.usefixtures("sentences")
@pytest.mark.parametrize(
    "item",
    [
        phrase("T-1", pressure=1.0, limit=1.0),
        phrase("T-3", name="x"),
        phrase("T-1", pressure="high", limit=1.0, name="x"),
        phrase("T-1", pressure=1.0, limit=1.0, name=3),
        phrase("T-2", count=1, share=1, names="a", inner=phrase("T-3")),
        phrase("T-4"),
        phrase("T-5", value=1.0),
        phrase("T-6", value="x"),
    ],
)
def test_slots_that_do_not_match_are_refused(item: Phrase) -> None:
    with pytest.raises(PhraseError):
        render(item)


def test_an_unknown_key_or_language_is_refused() -> None:
    with pytest.raises(PhraseError, match="NOPE-1"):
        render(phrase("NOPE-1"))
    with pytest.raises(PhraseError, match="tlh"):
        catalogue("tlh")


def test_a_phrase_is_hashable_and_equal_whatever_the_order_of_its_slots() -> None:
    assert phrase("A", x=1, y=[2]) == phrase("A", y=[2], x=1)
    assert len({phrase("A", x=1, y=[2]), phrase("A", y=[2], x=1)}) == 1
