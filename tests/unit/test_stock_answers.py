"""A case judged with a firm's own stock: articles in the answer, tested pumps, the copy of an offer."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from stock_kit import CASE, EXAMPLE, GOOD, firm, run

FAST = ("--samples", "256")


def answer(case: Path, *more: str) -> dict[str, Any]:
    """The answer to a case as data."""
    done = run("assess", str(case), "--json", *FAST, *more)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def pump_in(data: dict[str, Any]) -> dict[str, Any]:
    """The pump of the recommended arrangement."""
    return next(part for part in data["arrangement"]["recommended"]["parts"] if part["role"] == "pump")


def test_the_answer_names_an_article_of_the_firms_stock(tmp_path: Path) -> None:
    case = firm(tmp_path)
    data = answer(case)
    chosen = pump_in(data)
    assert chosen["stock"] in ("T-025-2", "T-040-4", "T-064-4", "T-A50") and chosen["placeholder"] is False
    assert "example stock (invented)" in json.dumps(data["findings"])
    screen = run("assess", str(case), *FAST).stdout
    assert f"article {chosen['stock']}" in " ".join(screen.split())


def test_an_old_pump_is_used_only_where_it_is_named(tmp_path: Path) -> None:
    case = firm(tmp_path)
    assert "T-090-2" not in json.dumps(answer(case))
    assert pump_in(answer(case, "--set", "machine.pump=T-090-2"))["stock"] == "T-090-2"
    done = run("assess", str(case), *FAST, "--set", "machine.pump=cavity-M-4")
    assert done.exit_code == 2 and "T-025-2" in done.stderr and "cavity-XS" not in done.stderr


def test_stock_on_the_command_line_stands_for_the_field(tmp_path: Path) -> None:
    case = firm(tmp_path)
    plain = tmp_path / "plain.toml"
    plain.write_text(CASE, encoding="utf-8")
    given = ("--stock", str(tmp_path / "stock.toml"))
    assert pump_in(answer(plain, *given)) == pump_in(answer(case))
    assert run("get", str(plain), "line.total", *FAST, *given).exit_code == 0
    assert run("questions", str(plain), *given).exit_code == 0
    assert run("check", str(plain), "--stock", "nosuch.toml").exit_code == 2


def test_a_tested_pump_outside_its_test_is_a_condition(tmp_path: Path) -> None:
    """The points reach 150 1/min and 9 bar; half the flow is inside, as asked it is not."""
    case = firm(tmp_path)
    told = answer(case, "--set", "machine.pump=T-040-4")
    keys = {item["key"] for item in told["conditions"]}
    assert "stock.outside_test" in keys
    drawn = answer(case, "--set", "machine.pump=T-064-4")
    assert "stock.outside_test" not in {item["key"] for item in drawn["conditions"]}


def test_test_points_move_the_figures_of_their_pump(tmp_path: Path) -> None:
    """A pump with the same drawing but without its points leaks by the generic clearance."""
    case, named = firm(tmp_path), ("--set", "machine.pump=T-040-4")
    points = EXAMPLE.index("# Test points of T-040-4")
    figures = []
    for text in (EXAMPLE, EXAMPLE[:points]):
        firm(tmp_path, text)
        found = answer(case, *named)["figures"]
        figures.append(next(v for k, v in found.items() if k.endswith("pump.slip")))
    assert figures[0] != figures[1]


@pytest.mark.parametrize("kept", ["T-A50", "T-025-2"])
def test_a_stock_of_one_pump_is_judged(tmp_path: Path, kept: str) -> None:
    """Families the stock lacks are left out, and its own plainest family is taken as asked."""
    pieces = EXAMPLE.split("[[pump]]")
    own = next(piece for piece in pieces if f'"{kept}"' in piece).split("[[plate]]")[0]
    data = answer(firm(tmp_path, f"[[pump]]{own}"))
    assert data["verdict"]
    text = json.dumps(data)
    assert kept in text and "cavity-" not in text


def test_a_wished_family_that_the_stock_lacks_is_said(tmp_path: Path) -> None:
    data = answer(firm(tmp_path, GOOD), "--set", "enquiry.pump_wanted=lobe")
    assert "has none that is active" in json.dumps(data)


def test_documents_from_the_pinned_copy_are_the_same_bytes(tmp_path: Path) -> None:
    case = firm(tmp_path)
    first, second = tmp_path / "first", tmp_path / "second"
    assert run("report", str(case), *FAST, "-o", str(first)).exit_code == 0
    changed = EXAMPLE.replace('rotor_diameter = "64 mm"', 'rotor_diameter = "50 mm"')
    firm(
        tmp_path,
        changed.replace('article = "T-040-4"', 'article = "T-040-9"').replace('"T-040-4"', '"T-040-9"'),
    )
    done = run("report", str(case), *FAST, "-o", str(second), "--stock", str(first / "stock-pinned.toml"))
    assert done.exit_code == 0 and "not the one of this offer" in done.stderr
    for name in ("result.json", "proposal.pdf", "note.pdf", "stock-pinned.toml"):
        assert (first / name).read_bytes() == (second / name).read_bytes(), name
    assert answer(case) != answer(case, "--stock", str(first / "stock-pinned.toml"))
