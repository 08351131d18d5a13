"""Every sentence a user reads: a key with typed slots, filled from the catalogue in a unit system."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from string import Formatter

from drumwright.basis import quantities
from drumwright.basis.catalogue import catalogue, sentence
from drumwright.basis.errors import PhraseError

_AND = {"en": " and "}  # between the last two of a list
FORMATS = ("text", "integer", "percent", "list", "phrase")


@dataclass(frozen=True, slots=True)
class Phrase:
    """A sentence of the catalogue with the values of its slots.

    Parameters
    ----------
    key : str
        Entry of the catalogue, such as "PRS-010".
    slots : tuple of (str, object)
        Slot names with values (SI for quantities), sorted by name.
    """

    key: str
    slots: tuple[tuple[str, object], ...] = ()


@dataclass(frozen=True, slots=True)
class Slot:
    """One piece of a sentence: the text before a slot, the slot's name, format and digits."""

    before: str
    name: str
    form: str
    digits: int


def phrase(key: str, /, **slots: object) -> Phrase:
    """Return a phrase; lists become tuples so that the phrase can be hashed.

    Parameters
    ----------
    key : str
        Entry of the catalogue.
    **slots : object
        Values of the slots; quantities as SI floats.
    """
    fixed = ((name, tuple(value) if isinstance(value, list) else value) for name, value in slots.items())
    return Phrase(key, tuple(sorted(fixed, key=lambda slot: slot[0])))


@lru_cache(maxsize=4096)
def slots_of(key: str, language: str = "en") -> tuple[Slot, ...]:
    """Return the pieces of a sentence.

    Raises
    ------
    PhraseError
        If the key is unknown, the braces do not match, or a slot has no known format.
    """
    text = sentence(key, language)
    try:
        return tuple(_pieces(key, text))
    except ValueError as error:
        raise PhraseError(f"phrase {key!r}: {error}") from None


def _pieces(key: str, text: str) -> Iterator[Slot]:
    for before, name, spec, conversion in Formatter().parse(text):
        if name is None:
            yield Slot(before, "", "", 0)
            continue
        form, _, digits = (spec or "").partition("/")
        if conversion or not name.isidentifier():
            raise PhraseError(f"phrase {key!r}: slot {name!r} must be a plain name without conversion")
        if form not in FORMATS and form not in quantities.KINDS:
            raise PhraseError(f"phrase {key!r}: slot {name!r} has the unknown format {form!r}")
        yield Slot(before, name, form, int(digits) if digits else 3)


def render(item: Phrase, system: quantities.System = "metric", language: str = "en") -> str:
    """Return the sentence of a phrase.

    Parameters
    ----------
    item : Phrase
        What to say.
    system : str
        "metric" or "US".
    language : str
        Language of the catalogue.

    Raises
    ------
    PhraseError
        If the key is unknown or a slot is missing, too many, or of the wrong type.
    """
    pieces = slots_of(item.key, language)
    values = dict(item.slots)
    wanted = {piece.name for piece in pieces if piece.name}
    if wanted != set(values):
        difference = ", ".join(sorted(wanted ^ set(values)))
        raise PhraseError(f"phrase {item.key!r}: slots do not match: {difference}")
    words = []
    for piece in pieces:
        words.append(piece.before)
        if piece.name:
            words.append(_filled(item.key, piece, values[piece.name], system, language))
    return "".join(words)


def _filled(key: str, slot: Slot, value: object, system: quantities.System, language: str) -> str:
    if slot.form == "list" and isinstance(value, tuple):
        parts = [render(each, system, language) if isinstance(each, Phrase) else str(each) for each in value]
        return _AND[language].join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
    if slot.form == "phrase" and isinstance(value, Phrase):
        return render(value, system, language)
    if slot.form == "text" and isinstance(value, str):
        return value
    if slot.form in quantities.KINDS or slot.form in ("integer", "percent"):
        try:
            figure = float(value)  # type: ignore[arg-type]  # numpy scalars count as floats too
        except (TypeError, ValueError):
            raise PhraseError(f"phrase {key!r}: slot {slot.name!r} needs a number") from None
        if slot.form == "integer":
            return str(round(figure))
        if slot.form == "percent":
            return f"{quantities.plain(100.0 * figure, slot.digits, trim=True)} %"
        return quantities.show(figure, slot.form, system, slot.digits)
    raise PhraseError(f"phrase {key!r}: slot {slot.name!r} does not fit the format {slot.form!r}")


def keys(language: str = "en") -> tuple[str, ...]:
    """Return every key of a language, sorted."""
    return tuple(sorted(catalogue(language)))
