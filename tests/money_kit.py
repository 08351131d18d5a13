"""A case with money for tests: the demo with its own price file, and one written for the test."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import drumwright
from drumwright.study.economics import MoneyStudy, money

DEMO = Path(__file__).parent.parent / "cases" / "demo.toml"
WHOLE = Path(__file__).parent / "whole"
SAMPLES = 512
SAID = {"money.drums_per_year": "2000", "money.present_residue": "4 %", "money.changeovers_per_year": "0"}
ALL_PRICES = {
    "product": (2.0, "per kg"), "disposal": (200.0, "per t"), "labour": (30.0, "per h"),
    "electricity": (0.2, "per kWh"), "water": (3.0, "per m3"), "effluent": (4.0, "per m3"),
    "chemicals": (5.0, "per kg"), "seal_set": (400.0, "per set"), "pump_wear_set": (1200.0, "per set"),
}  # fmt: skip


def price_text(prices: dict[str, tuple[float, str]] | None = None, **top: str) -> str:
    """A price file; `top` replaces or adds lines of the head, "" leaves one out."""
    head = {"format": "1", "currency": '"marks"', "example": "true"} | top
    lines = [f"{key} = {value}" for key, value in head.items() if value]
    for name, (value, unit) in (ALL_PRICES if prices is None else prices).items():
        lines += ["", "[[price]]", f'name = "{name}"', f"value = {value}", f'unit = "{unit}"']
        lines += ["date = 2026-01-01", "valid_until = 2027-12-31", 'said_by = "the test"']
    return "\n".join(lines) + "\n"


def counted(
    tmp_path: Path, prices: dict[str, tuple[float, str]] | None = None, samples: int = SAMPLES, **said: Any
) -> MoneyStudy:
    """The demo with a price file of the test; fields of money by name, with double underscores for dots."""
    file = tmp_path / "prices.toml"
    file.write_text(price_text(prices), encoding="utf-8")
    given = {"money.currency": "marks"}
    given |= {f"money.{key.replace('__', '.')}": str(value) for key, value in said.items()}
    return money(drumwright.load(DEMO, given), prices=file, samples=samples)
