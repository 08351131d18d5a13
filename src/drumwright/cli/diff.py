"""`drumwright diff`: read both cases, compare, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _look_at, _read


def run(
    before: Path,
    after: Path,
    settings: tuple[str, ...],
    as_json: bool,
    samples: int | None,
    stock: Path | None,
) -> None:
    """Print what changed between two cases and what it moved.

    Parameters
    ----------
    before, after : Path
    settings : tuple of str
        Fields to override in both.
    as_json : bool
    samples : int or None
    stock : Path or None
        For both.
    """
    _look_at(samples)
    first, last = _read(before, settings, stock), _read(after, settings, stock)
    with _input_errors():
        from drumwright.study.difference import SAMPLES, difference

        found = difference(first, last, samples=samples or SAMPLES)
    from drumwright.report import diff_form
    from drumwright.report.words import words_of

    words, names = words_of(found.after), (str(before), str(after))
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(diff_form.as_dictionary(found, words, names)), nl=False)
        return
    for line in diff_form.lines(found, words, names):
        click.echo(line)
