"""`drumwright questions`: read, rank what is open, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _read


def run(case: Path, settings: tuple[str, ...], stock: Path | None, as_json: bool) -> None:
    """Print what is worth asking, most decisive first.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override.
    stock : Path or None
    as_json : bool
    """
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.asking import questions

        found = questions(read)
    from drumwright.report import asking_form
    from drumwright.report.words import words_of

    words = words_of(found.result)
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(asking_form.as_dictionary(found, words)), nl=False)
        return
    for line in asking_form.lines(found, words):
        click.echo(line)
