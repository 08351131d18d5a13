"""Tables, sentences and code name the same things: nothing is looked up that is not there."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import house
import pytest

from drumwright.basis.catalogue import catalogue
from drumwright.basis.kinds import KINDS
from drumwright.basis.phrases import slots_of
from drumwright.basis.tables import read_toml
from drumwright.station.by_kind import defaults
from drumwright.station.record_base import Record, declared_in, record_in
from drumwright.station.records import Case
from drumwright.study import (
    container_figures,
    figures,
    line_findings,
    pump_figures,
    set_points,
    shift_figures,
    transient_figures,
    warming,
)
from drumwright.study.topics import TOPICS

KEYS = frozenset(catalogue())
DEFAULTS, FIGURES = defaults(), read_toml("figures.toml")
# Figures that are read outside the table of readers, by the head of their key.
APART = ("lance.", "one_point.")


def field_paths(record: type[Record], prefix: str = "") -> Iterator[str]:
    """Dotted paths of every declared field."""
    for name in declared_in(record):
        below = record_in(record, name)
        if below is None:
            yield f"{prefix}{name}"
        else:
            yield from field_paths(below, f"{prefix}{name}.")


FIELDS = frozenset(field_paths(Case))


@pytest.mark.parametrize("key", sorted(DEFAULTS))
def test_every_default_says_what_it_means_and_how_to_ask(key: str) -> None:
    assert {f"MEANS-{key}", f"ASK-{key}"} <= KEYS


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.key)
def test_every_open_answer_has_its_sentences(topic: object) -> None:
    wanted = {f"MEANS-{topic.key}", f"ASK-{topic.key}"}  # type: ignore[attr-defined]
    taken = topic.taken  # type: ignore[attr-defined]
    assert (wanted | ({taken} if taken else set())) <= KEYS


def hazard_keys() -> set[str]:
    """The words of `study/hazards.py` that go into the keys of its sentences."""
    top = house.tree(house.SOURCE / "study" / "hazards.py")
    function = next(node for name, node in house.named(top) if name == "hazards")
    table = next(
        node.value
        for node in ast.walk(function)
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "keys"
    )
    assert isinstance(table, ast.Tuple)
    rows = [row.elts[0] for row in table.elts if isinstance(row, ast.Tuple)]
    return {str(word.value) for word in rows if isinstance(word, ast.Constant)}


def test_every_hazard_says_what_it_does_and_what_guards_against_it() -> None:
    words = hazard_keys()
    assert {"crush", "trapped_pressure", "jet", "zone", "cure"} <= words
    parts = ("hazard", "consequence", "safeguard")
    assert {f"HAZ-{word}.{part}" for word in words for part in parts} <= KEYS


# What fills a sentence, and what it puts before the key.
SAYERS = {"phrase": "", "say": "RPT.", "_say": "CLI."}


def sayer(call: ast.Call) -> str:
    """Name of what fills a sentence in a call, "" where it is something else."""
    name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
    return name if name in SAYERS and call.args else ""


def calls_of_phrase() -> Iterator[tuple[Path, ast.Call]]:
    """Every call in the package that fills a sentence."""
    for path in house.modules():
        for node in ast.walk(house.tree(path)):
            if isinstance(node, ast.Call) and sayer(node):
                yield path, node


def possible_keys(argument: ast.expr, head: str) -> set[str] | None:
    """Keys of the catalogue an argument can mean; None where it is a plain variable."""
    if isinstance(argument, ast.Constant):
        return {f"{head}{argument.value}"} & KEYS
    if isinstance(argument, ast.IfExp):
        ends = [possible_keys(each, head) for each in (argument.body, argument.orelse)]
        return set().union(*(end or set() for end in ends)) if all(ends) else set()
    if isinstance(argument, ast.JoinedStr):
        pieces = [
            re.escape(str(each.value)) if isinstance(each, ast.Constant) else r"[\w.-]+"
            for each in argument.values
        ]
        return {key for key in KEYS if re.fullmatch(re.escape(head) + "".join(pieces), key)}
    return None


def wrong_call(where: str, call: ast.Call) -> str | None:
    """What is wrong with one call of `phrase`: no such sentence, or other slots than the sentence has."""
    found = possible_keys(call.args[0], SAYERS[sayer(call)])
    if found is None:
        return None
    if not found:
        return f"{where}: no sentence {ast.unparse(call.args[0])}"
    given = {each.arg for each in call.keywords}
    if None in given or isinstance(call.args[0], ast.JoinedStr):
        return None
    for key in sorted(found):
        slots = {slot.name for slot in slots_of(key) if slot.name}
        if slots != given:
            return f"{where}: {key} has the slots {sorted(slots)}, given are {sorted(map(str, given))}"
    return None


def test_every_sentence_that_is_said_exists_with_these_slots() -> None:
    calls = list(calls_of_phrase())
    assert len(calls) > 200
    found = [wrong_call(house.place(path, call), call) for path, call in calls]
    wrong = [each for each in found if each]
    assert not wrong, "\n".join(["", *wrong])


def test_a_wrong_call_is_seen() -> None:
    def trouble(text: str) -> str | None:
        call = ast.parse(text, mode="eval").body
        assert isinstance(call, ast.Call)
        return wrong_call("x", call)

    assert trouble('phrase("CAUTION")') is None
    assert "no sentence" in (trouble('phrase("CAUTION-TWO")') or "")
    assert "slots" in (trouble('phrase("CAUTION", why=1)') or "")
    assert "no sentence" in (trouble('phrase(f"NOTHING-{x}")') or "")
    assert "no sentence" in (trouble('words.say("nothing at all")') or "")


def test_the_figure_table_and_the_readers_hold_the_same_keys() -> None:
    readers = set(figures._READERS) | set(figures._LEFT_READERS)
    readers |= {*container_figures.KEYS, *warming.KEYS}
    readers |= {*pump_figures.PUMP_KEYS, *line_findings.LINE_KEYS, *set_points.KEYS}
    readers |= {*transient_figures.TRANSIENT_KEYS, *shift_figures.KEYS}
    apart = {key for key in FIGURES if key.startswith(APART)}
    assert set(FIGURES) - apart == readers
    written = {node.value for node in house.texts(house.tree(house.SOURCE / "study" / "figures.py"))}
    assert apart <= written
    assert written & {key for key in written if str(key).startswith(APART)} <= apart | set(DEFAULTS) | FIELDS


@pytest.mark.parametrize("key", sorted(FIGURES))
def test_a_figure_is_explained_with_what_exists(key: str) -> None:
    row = FIGURES[key]
    assert row["kind"] in KINDS
    assert row["meaning"].endswith(".")
    assert row["equation"]
    assert row["source"]
    known = set(FIGURES) | set(DEFAULTS) | FIELDS
    assert set(row["inputs"]) - known == set()
    assert set(row["rests"]) - known == set()


@pytest.mark.parametrize("key", sorted(DEFAULTS))
def test_a_default_belongs_to_a_field_or_a_model(key: str) -> None:
    assert key in FIELDS or key.startswith(("model.", "one_point.", "evidence."))
    row = DEFAULTS[key]
    assert row.kind in KINDS and row.owner
    assert row.estimate.low <= row.estimate.likely <= row.estimate.high
    assert row.flag in ("R", "A", "G")
    assert row.source.strip()
