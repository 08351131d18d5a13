"""How a field of the case is declared, once: what it is, its ranges, its meaning; reading follows from it."""

from __future__ import annotations

import datetime
import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from pydantic import Field

from drumwright.basis import quantities
from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import BASES, Estimate, Shape

Form = Literal["quantity", "text", "choice", "flag", "whole", "numbers", "texts", "table", "tables"]
Range = tuple[float, float]
_ESTIMATE_KEYS = ("low", "likely", "value", "high", "plus_minus", "basis", "shape", "note")
_SHAPES: tuple[str, ...] = get_args(Shape)
LONGEST_TEXT = 20_000  # characters
LONGEST_LIST = 2_000  # elements


@dataclass(frozen=True, slots=True)
class Declaration:
    """What one field of the case is.

    Parameters
    ----------
    form : str
        How it is written: a quantity, text, one word of a choice, true/false, a whole number, a list of
        plain numbers or texts, a table or a list of tables.
    meaning : str
        One sentence for the user.
    kind : str
        Kind of quantity, "" for the other forms.
    hard, usual : tuple of float
        Least and greatest value [SI]: outside `hard` is refused, outside `usual` is warned of.
    choices : tuple of str
        Words of a choice.
    required : bool
        Whether the record is of no use without it.
    """

    form: Form
    meaning: str
    kind: str = ""
    hard: Range = (-math.inf, math.inf)
    usual: Range = (-math.inf, math.inf)
    choices: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with one field; `place` is the path below the field."""

    place: tuple[str | int, ...]
    what: str
    allowed: str
    remedy: str


class FieldTroubles(Exception):  # noqa: N818 - never leaves this room; carries what becomes problems
    """Everything wrong with one field."""

    def __init__(self, troubles: Iterable[Trouble]) -> None:
        super().__init__("troubles")
        self.troubles = tuple(troubles)


def _declared(declaration: Declaration, **arguments: Any) -> Any:
    info = Field(description=declaration.meaning, **arguments)
    info.metadata.append(declaration)
    return info


def quantity(kind: str, meaning: str, hard: Range, usual: Range | None = None) -> Any:
    """Declare a quantity: ranges in SI."""
    return _declared(Declaration("quantity", meaning, kind, hard, usual or hard), default=None)


def text(meaning: str, required: bool = False, default: str | None = None) -> Any:
    """Declare a text."""
    declaration = Declaration("text", meaning, required=required)
    return _declared(declaration) if required else _declared(declaration, default=default)


def choice(meaning: str, words: Any, default: str | None = None) -> Any:
    """Declare a choice among the words of a Literal type."""
    return _declared(Declaration("choice", meaning, choices=get_args(words)), default=default)


def flag(meaning: str) -> Any:
    """Declare a yes/no answer."""
    return _declared(Declaration("flag", meaning), default=None)


def whole(meaning: str, hard: Range, default: int) -> Any:
    """Declare a whole number."""
    return _declared(Declaration("whole", meaning, hard=hard), default=default)


def numbers(meaning: str, hard: Range) -> Any:
    """Declare a list of plain numbers."""
    return _declared(Declaration("numbers", meaning, hard=hard), default=())


def texts(meaning: str, words: Any = None) -> Any:
    """Declare a list of texts, or of words of a Literal type."""
    return _declared(Declaration("texts", meaning, choices=get_args(words) if words else ()), default=())


def table(meaning: str, factory: Any = None) -> Any:
    """Declare a table, empty by default, or None where `factory` is None."""
    declaration = Declaration("table", meaning)
    return (
        _declared(declaration, default_factory=factory) if factory else _declared(declaration, default=None)
    )


def tables(meaning: str) -> Any:
    """Declare a list of tables."""
    return _declared(Declaration("tables", meaning), default=())


def near(word: str, words: Iterable[str]) -> str:
    """Return the likeliest intended word, or ""."""
    cleaned = word.strip().lower().replace(" ", "_").replace("-", "_")
    options = {each.lower(): each for each in words}
    found = difflib.get_close_matches(cleaned, options, n=1, cutoff=0.6)
    if found:
        return options[found[0]]
    parts = [each for each in options if len(cleaned) > 3 and (cleaned in each or each in cleaned)]
    return options[parts[0]] if parts else ""


def refuse(key: str, place: tuple[str | int, ...] = (), **slots: str) -> FieldTroubles:
    """Return one trouble of the catalogue, ready to raise."""
    return FieldTroubles([Trouble(place, *trouble(key, **slots))])


def read_field(declaration: Declaration, raw: object) -> object:
    """Read what was written into a field.

    Parameters
    ----------
    declaration : Declaration
        What the field is; not a table.
    raw : object
        As it comes out of TOML, or a finished value.

    Raises
    ------
    FieldTroubles
        With everything that is wrong.
    """
    readers = {
        "quantity": _quantity,
        "text": _text,
        "choice": _choice,
        "flag": _flag,
        "whole": _whole,
        "numbers": _numbers,
        "texts": _texts,
    }
    return readers[declaration.form](declaration, raw)


def _quantity(declaration: Declaration, raw: object) -> Estimate | None:
    if raw is None:
        return None
    if isinstance(raw, Estimate):
        estimate = raw
    elif isinstance(raw, Mapping):
        estimate = _spread(declaration, raw)
    else:
        value = _read(declaration.kind, raw, ())
        note = raw.strip() if isinstance(raw, str) and raw.strip()[:2].upper() == "DN" else ""
        estimate = Estimate.exact(value, note=note)
    _within(declaration, estimate)
    return estimate


def _read(kind: str, raw: object, place: tuple[str | int, ...]) -> float:
    try:
        return quantities.read(raw, kind)
    except QuantityError as error:
        raise FieldTroubles([Trouble(place, error.what, error.allowed, error.remedy)]) from None


def _spread(declaration: Declaration, raw: Mapping[str, object]) -> Estimate:
    troubles = [_unknown_key(key) for key in raw if key not in _ESTIMATE_KEYS]
    figures: dict[str, float] = {}
    for key in ("low", "likely", "value", "high"):
        if key in raw:
            try:
                figures[key] = _read(declaration.kind, raw[key], (key,))
            except FieldTroubles as found:
                troubles += found.troubles
    basis, shape = raw.get("basis", "customer"), raw.get("shape", "triangular")
    for key, word, words in (("basis", basis, BASES), ("shape", shape, _SHAPES)):
        if word not in words:
            troubles += _no_choice(str(word), words, (key,)).troubles
    if not isinstance(raw.get("note", ""), str):
        troubles += refuse("FLD-004", ("note",), text=said(raw["note"])).troubles
    if "likely" in raw and "value" in raw:
        troubles += refuse("FLD-020").troubles
    if "plus_minus" in raw and ("low" in raw or "high" in raw):
        troubles += refuse("FLD-021").troubles
    if not troubles and not figures:
        troubles += refuse("FLD-022").troubles
    if troubles:
        raise FieldTroubles(troubles)
    note = str(raw.get("note", ""))
    if "plus_minus" in raw:
        return _plus_minus(declaration.kind, figures, raw["plus_minus"], str(basis), note)
    return _ordered(declaration.kind, figures, str(basis), str(shape) if "shape" in raw else "", note)


def _ordered(kind: str, figures: dict[str, float], basis: str, shape: str, note: str) -> Estimate:
    likely = figures.get("likely", figures.get("value"))
    low, high = figures.get("low"), figures.get("high")
    if likely is None:
        if low is None or high is None:
            raise refuse("FLD-022")
        likely, shape = 0.5 * (low + high), shape or "uniform"
    low = likely if low is None else low
    high = likely if high is None else high
    if not low <= likely <= high:
        shown = {name: quantities.show(value, kind, digits=4) for name, value in figures.items()}
        written = ", ".join(f"{name} {value}" for name, value in shown.items())
        raise refuse("FLD-023", text=written)
    if shape == "log_uniform" and low <= 0.0:
        raise refuse("FLD-024")
    return Estimate(low, likely, high, basis, shape or "triangular", note)  # type: ignore[arg-type]


def _plus_minus(kind: str, figures: dict[str, float], raw: object, basis: str, note: str) -> Estimate:
    likely = figures.get("likely", figures.get("value"))
    if likely is None:
        raise refuse("FLD-022")
    differences = {"temperature": "temperature_difference"}
    differences |= dict.fromkeys(("pressure_gauge", "pressure_absolute"), "pressure_difference")
    if isinstance(raw, str) and raw.strip().endswith("%") and kind not in ("fraction", "temperature"):
        spread = abs(likely) * _read("fraction", raw, ("plus_minus",))
    else:
        spread = _read(differences.get(kind, kind), raw, ("plus_minus",))
    if spread < 0.0:
        raise refuse("FLD-025", ("plus_minus",))
    return Estimate(likely - spread, likely, likely + spread, basis, "normal", note)  # type: ignore[arg-type]


def _unknown_key(key: str) -> Trouble:
    meant = near(key, _ESTIMATE_KEYS)
    name, slots = ("FLD-002", {"meant": meant}) if meant else ("FLD-001", {})
    return refuse(name, (key,), text=key, words=", ".join(_ESTIMATE_KEYS), **slots).troubles[0]


def _within(declaration: Declaration, estimate: Estimate) -> None:
    least, greatest = declaration.hard
    kind = declaration.kind
    if least <= estimate.low and estimate.high <= greatest:
        return
    outside = estimate.low if estimate.low < least else estimate.high
    key = "FLD-030" if kind != "fraction" or not 1.0 < outside <= 100.0 else "FLD-031"
    raise refuse(
        key,
        value=quantities.show(outside, kind, digits=4),
        low=quantities.show(least, kind),
        high=quantities.show(greatest, kind),
        percent=f"{quantities.plain(outside, 4, trim=True)} %",
    )


def unusual(declaration: Declaration, estimate: Estimate) -> tuple[str, str, str] | None:
    """Return what to warn of where a value is outside its usual range, else None."""
    least, greatest = declaration.usual
    if least <= estimate.low and estimate.high <= greatest:
        return None
    outside = estimate.low if estimate.low < least else estimate.high
    shown = (quantities.show(value, declaration.kind) for value in (outside, least, greatest))
    value, low, high = shown
    return trouble("WRN-001", value=value, low=low, high=high)


def _text(declaration: Declaration, raw: object) -> str | None:
    if raw is None and not declaration.required:
        return None
    if isinstance(raw, (datetime.date, datetime.time)):
        raw = raw.isoformat()
    if isinstance(raw, int) and not isinstance(raw, bool):
        raw = str(raw)
    if not isinstance(raw, str):
        raise refuse("FLD-004", text=said(raw))
    if any(ord(character) < 32 and character not in "\n\t\r" for character in raw):
        raise refuse("FLD-005")
    if len(raw) > LONGEST_TEXT:
        raise refuse("FLD-006", text=str(LONGEST_TEXT))
    if declaration.required and not raw.strip():
        raise refuse("FLD-007")
    return raw


def _choice(declaration: Declaration, raw: object) -> str | None:
    if raw is None:
        return None
    if raw in declaration.choices:
        return str(raw)
    raise _no_choice(said(raw), declaration.choices, ())


def _no_choice(word: str, words: Iterable[str], place: tuple[str | int, ...]) -> FieldTroubles:
    meant = near(word, words)
    listed = ", ".join(words)
    if meant:
        return refuse("FLD-011", place, text=word, words=listed, meant=meant)
    return refuse("FLD-010", place, text=word, words=listed)


def _flag(_: Declaration, raw: object) -> bool | None:
    if raw is None or isinstance(raw, bool):
        return raw
    word = said(raw).strip().lower()
    meant = {"yes": "true", "y": "true", "on": "true", "1": "true", "true": "true"}.get(word)
    meant = meant or {"no": "false", "n": "false", "off": "false", "0": "false", "false": "false"}.get(word)
    if meant:
        raise refuse("FLD-013", text=said(raw), meant=meant)
    raise refuse("FLD-012", text=said(raw))


def _whole(declaration: Declaration, raw: object) -> int:
    least, greatest = declaration.hard
    if isinstance(raw, str) and raw.strip().isdecimal():
        raw = int(raw) if len(raw) < 20 else -1
    if isinstance(raw, bool) or not isinstance(raw, int) or not least <= raw <= greatest:
        raise refuse("FLD-014", text=said(raw), low=f"{least:.0f}", high=f"{greatest:.0f}")
    return raw


def _numbers(declaration: Declaration, raw: object) -> tuple[float, ...]:
    if not isinstance(raw, (list, tuple)):
        raise refuse("FLD-015", text=said(raw))
    if len(raw) > LONGEST_LIST:
        raise refuse("FLD-016", text=str(LONGEST_LIST))
    troubles: list[Trouble] = []
    for index, item in enumerate(raw):
        plain = isinstance(item, (int, float)) and not isinstance(item, bool)
        if not plain or not -1e300 < item < 1e300:
            troubles += refuse("FLD-017", (index,), text=said(item)).troubles
        elif not declaration.hard[0] <= item <= declaration.hard[1]:
            low = quantities.plain(declaration.hard[0], trim=True)
            troubles += refuse("FLD-018", (index,), text=said(item), low=low).troubles
    if troubles:
        raise FieldTroubles(troubles)
    return tuple(float(item) for item in raw)


def _texts(declaration: Declaration, raw: object) -> tuple[str, ...]:
    if not isinstance(raw, (list, tuple)) or not all(isinstance(item, str) for item in raw):
        raise refuse("FLD-019", text=said(raw))
    if len(raw) > LONGEST_LIST:
        raise refuse("FLD-016", text=str(LONGEST_LIST))
    for index, item in enumerate(raw):
        if declaration.choices and item not in declaration.choices:
            raise _no_choice(said(item), declaration.choices, (index,))
    return tuple(raw)


def said(raw: object) -> str:
    """Return a short name for what was written."""
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, Mapping):
        return "a table"
    if isinstance(raw, (list, tuple)):
        return "a list"
    written = str(raw)
    return written if len(written) <= 40 else f"{written[:40]}..."
