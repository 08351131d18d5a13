"""`drumwright shortlist`: read, search, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

from drumwright.cli.telling import show, teller
from drumwright.cli.work import _input_errors, _look_at, _read


def run(
    case: Path,
    settings: tuple[str, ...],
    stock: Path | None,
    workers: int | None,
    samples: int | None,
    as_json: bool,
) -> None:
    """Search the stock for a case and print the list.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE.
    stock : Path or None
    workers, samples : int or None
    as_json : bool
    """
    _look_at(samples)
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.shortlist import SAMPLES, shortlist
        from drumwright.study.spread_out import processors

        found = shortlist(
            read, samples=samples or SAMPLES, workers=workers or processors(),
            tell=teller("shortlist_progress"),
        )  # fmt: skip
    from drumwright.report import shortlist_form
    from drumwright.report.words import Words

    words = Words(read.case.units or "metric")
    show(shortlist_form, found, words, as_json)
