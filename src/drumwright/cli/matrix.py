"""`drumwright matrix`: read, judge every pair, print; nothing is computed here."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _look_at, _say, _settings


def run(
    machines: Path,
    products: tuple[Path, ...],
    settings: tuple[str, ...],
    stock: Path | None,
    workers: int | None,
    samples: int | None,
    as_json: bool,
) -> None:
    """Judge machines for products and print the table.

    Parameters
    ----------
    machines : Path
    products : tuple of Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE, in every pair.
    stock : Path or None
    workers, samples : int or None
    as_json : bool
    """
    _look_at(samples)
    given = tuple(_settings(settings).items())
    with _input_errors():
        from drumwright.study.matrix import SAMPLES, matrix
        from drumwright.study.worst import processors

        found = matrix(
            [machines], products, settings=given, stock=stock, samples=samples or SAMPLES,
            workers=workers or processors(), tell=teller(),
        )  # fmt: skip
    from drumwright.report import matrix_form
    from drumwright.report.words import Words

    words = Words("metric")
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(matrix_form.as_dictionary(found, words)), nl=False)
        return
    for line in matrix_form.lines(found, words):
        click.echo(line)


def teller() -> Callable[[int, int], None]:
    """A line on the error stream every ten seconds."""
    began = last = time.monotonic()

    def tell(done: int, asked: int) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last > 10.0:
            last = now
            left = (now - began) / done * (asked - done)
            click.echo(_say("matrix_progress", done=done, asked=asked, left=left), err=True)

    return tell
