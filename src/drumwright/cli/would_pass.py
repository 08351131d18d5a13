"""`drumwright would-pass`: read, look for changes, print; nothing is computed here."""

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
    samples: int | None,
    pairs: bool,
    as_json: bool,
) -> None:
    """Look for the changes that make a case pass and print them.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE.
    stock : Path or None
    samples : int or None
    pairs : bool
        Whether pairs of changes are looked at too.
    as_json : bool
    """
    _look_at(samples)
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.would_pass import SAMPLES, would_pass

        found = would_pass(read, samples=samples or SAMPLES, pairs=pairs, tell=_teller())
    from drumwright.report import would_pass_form
    from drumwright.report.words import Words

    words = Words(read.case.units or "metric")
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(would_pass_form.as_dictionary(found, words)), nl=False)
        return
    for line in would_pass_form.lines(found, words):
        click.echo(line)


def _teller() -> Callable[[int, int], None]:
    """A line on the error stream where the search takes longer than a few seconds."""
    began = time.monotonic()

    def tell(done: int, asked: int) -> None:
        if time.monotonic() - began > 5.0 and done < asked:
            click.echo(_say("would_pass_progress", done=done, asked=asked), err=True)

    return tell
