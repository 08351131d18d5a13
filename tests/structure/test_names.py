"""The program decides by what was measured and said, never by a product, a customer or a scenario."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import house
import pytest

CASES = sorted([*house.ROOT.glob("tests/whole/S*.toml"), *house.ROOT.glob("cases/*.toml")])
# Words of the cases that are words of the trade: containers, parts, properties and field names of ours.
TRADE = frozenset(
    {
        "base",
        "bases",
        "drum",
        "filled",
        "fruit",
        "joint",
        "pail",
        "thick",
        "spread",
        "with",
        "from",
        "and",
        "upper",
    }
    | {"brix", "nlgi"}  # words of open scales
    | {"seed", "nut", "works", "foods", "table", "paste", "line", "drums", "pails", "bag", "bin"}
)
WORD = re.compile(r"[a-z]{3,}")


def special_words() -> frozenset[str]:
    """Words of the titles, customers and products of the cases that are not words of the trade."""
    found: set[str] = set()
    for path in CASES:
        case = tomllib.loads(path.read_text(encoding="utf-8"))
        products = case.get("product", [])
        names = [case.get("enquiry", {}).get("customer", "")]
        names += [each.get("name", "") for each in (products if isinstance(products, list) else [products])]
        found |= {word for name in names for word in WORD.findall(name.lower())}
    return frozenset(found - TRADE)


WORDS = special_words()
SCENARIO = re.compile(r"\bS(?:0[1-9]|1[0-2])\b")


def named_in(text: str) -> list[str]:
    """Words of a text that name a product, a customer or a scenario."""
    return sorted(WORDS & set(WORD.findall(text.lower()))) + SCENARIO.findall(text)


def troubles(top: ast.Module, where: str) -> list[str]:
    """Strings and names of the code, docstrings apart, that name a product, a customer or a scenario."""
    found = [
        f"{where}:{node.lineno} {named}" for node in house.texts(top) if (named := named_in(str(node.value)))
    ]
    for node in ast.walk(top):
        name = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
        if named := named_in(name.replace("_", " ")):
            found.append(f"{where}:{node.lineno} {named}")  # type: ignore[attr-defined]
    return found


def test_the_words_come_from_the_cases() -> None:
    assert len(CASES) >= 7
    assert {"tomato", "grease", "sealant", "harrowfen", "krostvale"} <= WORDS
    assert not WORDS & {"drum", "pail", "liner", "pump"}


@pytest.mark.parametrize("path", house.modules(), ids=lambda path: house.place(path))
def test_no_case_is_named_in_the_code(path: Path) -> None:
    found = troubles(house.tree(path), house.place(path))
    assert not found, "\n".join(["", *found])


@pytest.mark.parametrize("path", sorted(house.DATA.rglob("*.toml")), ids=lambda path: house.place(path))
def test_no_case_is_named_in_a_key_of_the_data(path: Path) -> None:
    def keys(table: object) -> list[str]:
        if isinstance(table, dict):
            return [*table, *(key for value in table.values() for key in keys(value))]
        return [key for value in table for key in keys(value)] if isinstance(table, list) else []

    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert [key for key in keys(data) if named_in(key.replace("_", " ").replace("-", " "))] == []


@pytest.mark.parametrize(
    "code",
    [
        'if product.name == "tomato concentrate":\n    pass',
        'x = {"Krostvale Axle Works": 1}[customer]',
        'x = "grease" in name.lower()',
        'x = title.startswith("S03")',
        "x = is_sealant",
    ],
)
def test_a_condition_on_a_case_is_seen(code: str) -> None:
    assert troubles(ast.parse(code), "x")


def test_a_condition_on_a_container_is_none() -> None:
    assert troubles(ast.parse('x = kind == "pail" or kind == "straight_drum"'), "x") == []
