"""Write the documents of an answer into a folder."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from drumwright.report import json_form
from drumwright.report.charts import Charts
from drumwright.report.note import note
from drumwright.report.pdf import pdf
from drumwright.report.proposal import proposal
from drumwright.report.words import words_of
from drumwright.study.result import Result

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.I)


def documents(result: Result) -> Mapping[str, bytes]:
    """Return proposal, note and result by file name; the same result gives the same bytes."""
    charts = Charts(words_of(result))
    return {
        "proposal.pdf": pdf(proposal(result, charts)),
        "note.pdf": pdf(note(result, charts)),
        "result.json": json_form.text(result).encode("utf-8"),
    }


def write(
    result: Result, folder: Path, beside: Mapping[str, bytes] = MappingProxyType({})
) -> tuple[Path, ...]:
    """Write proposal.pdf, note.pdf and result.json; each appears whole or not at all.

    Parameters
    ----------
    result : Result
        A finished answer.
    folder : Path
        Made where it does not exist.
    beside : mapping of str to bytes
        Further files by name.

    Raises
    ------
    OSError
        If the folder or a file cannot be written, for instance because a viewer holds it open.
    """
    return write_files({**documents(result), **beside}, folder)


def write_files(contents: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files into a folder; each appears whole or not at all.

    Parameters
    ----------
    contents : mapping of str to bytes
        By name.
    folder : Path
        Made where it does not exist.

    Raises
    ------
    OSError
        As in `write`.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, content in contents.items():
        target = folder / name
        draft = folder / f".{name}.part"
        try:
            draft.write_bytes(content)
            draft.replace(target)
        finally:
            draft.unlink(missing_ok=True)
        written.append(target)
    return tuple(written)


def folder_name(case: Path) -> str:
    """Return a folder name for a case file that every system accepts.

    Parameters
    ----------
    case : Path
        Path of the case file.
    """
    name = re.sub(r'[<>:"/\\|?*\x00-\x1f]', "-", case.stem).strip(" .") or "case"
    return f"case-{name}" if _RESERVED.fullmatch(name) else name
