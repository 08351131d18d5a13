"""Sentences and numbers of a document in one unit system: the only place where report text is made."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from drumwright.basis import quantities
from drumwright.basis.catalogue import catalogue
from drumwright.basis.phrases import Phrase, phrase, render
from drumwright.basis.tables import read_toml
from drumwright.study.result import Figure, Finding, Result

_DECIMALS = {"pressure_gauge": (3, 2), "pressure_absolute": (3, 2), "pressure_difference": (3, 2)}


@dataclass(frozen=True, slots=True)
class Words:
    """Texts in one unit system.

    Parameters
    ----------
    system : str
        "metric" or "US".
    """

    system: quantities.System = "metric"

    def say(self, key: str, /, **slots: object) -> str:
        """Return a sentence of ``report.toml`` by its key without the leading "RPT."."""
        return render(phrase(f"RPT.{key}", **slots), self.system)

    def tell(self, item: Phrase) -> str:
        """Return the sentence of a phrase of the result."""
        return render(item, self.system)

    def name(self, group: str, word: str) -> str:
        """Return the label of a word of a group, or the word itself where the group does not hold it."""
        key = f"RPT.{group}.{word}"
        return self.say(f"{group}.{word}") if key in catalogue() else word.replace("_", " ")

    def value(self, value: float | None, kind: str, digits: int = 3) -> str:
        """Return a value with its unit; pressures carry at most three decimals (two in psi)."""
        if value is None or not math.isfinite(value):
            return self.say("not_computed")
        if not kind:
            return quantities.plain(value, digits, trim=True)
        unit = quantities.unit(kind, self.system)
        text = self.number(value, kind, digits)
        return f"{text} {unit}" if unit else text

    def number(self, value: float, kind: str, digits: int = 3) -> str:
        """Return a value without its unit; pressures carry at most three decimals (two in psi)."""
        if kind not in _DECIMALS:
            return quantities.number(value, kind, self.system, digits)
        decimals = _DECIMALS[kind][self.system == "US"]
        shown = quantities.to_display(value, kind, self.system)
        if abs(shown) < 0.5 * 10.0**-decimals:
            return "0"
        carried = decimals + math.floor(math.log10(abs(shown))) + 1
        return quantities.plain(shown, max(1, min(digits, carried)))

    def unit(self, kind: str) -> str:
        """Return the display unit of a kind."""
        return quantities.unit(kind, self.system)

    def shown(self, value: float, kind: str) -> float:
        """Return a value in the display unit of its kind."""
        return quantities.to_display(value, kind, self.system)

    def band(self, low: float, likely: float, high: float, kind: str) -> str:
        """Return "likely (low to high) unit" with no more digits than the band carries."""
        if not all(math.isfinite(each) for each in (low, likely, high)):
            return self.value(likely, kind)
        if low == likely == high:
            return self.value(likely, kind)
        digits = digits_of(low, likely, high) if kind != "temperature" else 2
        low_text, text, high_text = (self.number(each, kind, digits) for each in (low, likely, high))
        unit = self.unit(kind)
        shown = text if low_text == high_text == text else f"{text} ({low_text} to {high_text})"
        return f"{shown} {unit}" if unit else shown

    def figure(self, figure: Figure) -> str:
        """Return a figure with its band."""
        return self.band(figure.low, figure.likely, figure.high, figure.kind)

    def against(self, finding: Finding) -> str:
        """Return the number of a finding with its limit, "" where it has none."""
        if finding.value is None or finding.limit is None or not finding.kind:
            return ""
        value, limit = (self.value(each, finding.kind) for each in (finding.value, finding.limit))
        return self.say("screen.value_limit", value=value, limit=limit)


def words_of(result: Result) -> Words:
    """Return the words in the unit system of a result."""
    return Words("US" if result.head.units == "US" else "metric")


def digits_of(low: float, likely: float, high: float) -> int:
    """Return the significant digits that a band carries: two where it is wider than a fifth, else three."""
    scale = max(abs(low), abs(high), abs(likely))
    return 2 if scale and (high - low) > 0.2 * scale else 3


@cache
def meaning(key: str) -> str:
    """Return what a figure is, by its key, "" where the table of figures does not hold it."""
    row = read_toml("figures.toml").get(key.removeprefix("recommended."))
    return str(row["meaning"]) if row else ""


def border_name(result: Result, key: str, words: Words) -> str:
    """Return the name of a border of the product's path: what stands "under the plate" where none is used."""
    parts = (result.recommended or result.asked_arrangement).parts
    roles = {part.role for part in parts}
    if key == "under_plate" and "plate" not in roles:
        key = "outlet" if "outlet" in roles else "lance"
    return words.name("border", key)


def find_figure(result: Result, key: str, condition: str = "") -> Figure | None:
    """Return a figure of the recommended arrangement, else of the one as asked, else None."""
    for name in (f"recommended.{key}", key):
        try:
            return result.figure(name, condition)
        except KeyError:
            continue
    return None
