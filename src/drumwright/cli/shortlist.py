"""`drumwright shortlist`: read, search, print; nothing is computed here."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _look_at, _read, _say


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
        from drumwright.study.worst import processors

        found = shortlist(
            read, samples=samples or SAMPLES, workers=workers or processors(), tell=_teller()
        )  # fmt: skip
    from drumwright.report import shortlist_form
    from drumwright.report.words import Words

    words = Words(read.case.units or "metric")
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(shortlist_form.as_dictionary(found, words)), nl=False)
        return
    for line in shortlist_form.lines(found, words):
        click.echo(line)


def _teller() -> Callable[[int, int], None]:
    """A line on the error stream where the search takes longer than a few seconds."""
    began = time.monotonic()

    def tell(done: int, asked: int) -> None:
        if time.monotonic() - began > 5.0 and done < asked:
            click.echo(_say("shortlist_progress", done=done, asked=asked), err=True)

    return tell
