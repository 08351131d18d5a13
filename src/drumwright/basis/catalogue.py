"""Where the data folder is, and the sentences in it by key; `phrases` fills the slots."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from drumwright.basis.errors import PhraseError

DATA = Path(__file__).parent.parent / "data"


@lru_cache(maxsize=8)
def catalogue(language: str = "en") -> Mapping[str, str]:
    """Return every sentence of a language by key.

    Parameters
    ----------
    language : str
        Name of a folder under ``data/phrases``.

    Returns
    -------
    Mapping
        Key to sentence with slots. A table ``[QTY-001]`` with ``what = "..."`` gives "QTY-001.what".

    Raises
    ------
    PhraseError
        If there is no such language, or a key stands in two files.
    """
    folder = DATA / "phrases" / language
    files = sorted(folder.glob("*.toml"))
    if not files:
        raise PhraseError(f"no phrases in language {language!r}")
    sentences: dict[str, str] = {}
    for file in files:
        for key, text in _flat(tomllib.loads(file.read_text(encoding="utf-8"))):
            if key in sentences:
                raise PhraseError(f"phrase {key!r} stands twice, the second time in {file.name}")
            sentences[key] = text
    return MappingProxyType(sentences)


def _flat(entries: Mapping[str, object]) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for key, value in entries.items():
        if isinstance(value, dict):
            found += [(f"{key}.{inner}", text) for inner, text in _flat(value)]
        else:
            found.append((key, str(value)))
    return found


def sentence(key: str, language: str = "en") -> str:
    """Return one sentence with its slots still open.

    Raises
    ------
    PhraseError
        If the key is unknown.
    """
    try:
        return catalogue(language)[key]
    except KeyError:
        raise PhraseError(f"no phrase {key!r} in language {language!r}") from None


def trouble(key: str, **slots: str) -> tuple[str, str, str]:
    """Return what is wrong, what is allowed and the remedy of an entry of ``errors.toml``.

    Parameters
    ----------
    key : str
        Entry such as "QTY-001".
    **slots : str
        Texts for the slots; all three sentences see all of them.
    """
    parts = (sentence(f"{key}.{part}") for part in ("what", "allowed", "remedy"))
    what, allowed, remedy = (part.replace(":text}", "}").format(**slots) for part in parts)
    return what, allowed, remedy
