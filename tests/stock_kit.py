"""For the tests of the stock: the example as text, a case beside it, the commands."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from drumwright.cli.main import group

ROOT = Path(__file__).parents[1]
EXAMPLE = (ROOT / "cases" / "stock-example.toml").read_text(encoding="utf-8")
GOOD = f"[[pump]]{EXAMPLE.split('[[pump]]')[1]}"  # one cavity pump, T-025-2
CASE = (ROOT / "cases" / "demo.toml").read_text(encoding="utf-8")


PRICES = Path(__file__).resolve().parent.parent / "cases" / "prices-invented.toml"


def firm(folder: Path, text: str = EXAMPLE) -> Path:
    """A case beside a stock of its own."""
    (folder / "stock.toml").write_text(text, encoding="utf-8")
    (folder / PRICES.name).write_bytes(PRICES.read_bytes())
    case = folder / "case.toml"
    case.write_text(CASE.replace("[case]", '[case]\nstock = "stock.toml"', 1), encoding="utf-8")
    return case


def run(*arguments: str) -> Result:
    """Run a command; an exception that is not an exit is a failure of the program."""
    done = CliRunner().invoke(group, list(arguments))
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done
