"""`drumwright shift`: read, simulate, print, write; nothing is computed here."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from drumwright.cli.work import _input_errors, _read, _say, _writing

LONG = 400  # shifts from which a bar is shown


def run(
    case: Path,
    settings: Sequence[str],
    stock: Path | None,
    shifts: int,
    seed: int | None,
    buffer: str | None,
    svg: Path | None,
    as_json: bool,
) -> int:
    """Simulate shifts of a case; return the exit code.

    Parameters
    ----------
    case : Path
    settings : sequence of str
    stock : Path or None
    shifts : int
    seed : int or None
    buffer : str or None
        Volume of a hopper in place of that of the case.
    svg : Path or None
        Where the chart goes.
    as_json : bool
    """
    from drumwright.report import shift_form
    from drumwright.report.json_form import dump
    from drumwright.report.words import Words

    read = _read(case, settings, stock)
    words = Words(read.case.units or "metric")
    with _input_errors(), _progress(shifts) as tell:
        from drumwright.study.shift import shift

        study = shift(read, shifts=shifts, seed=seed, buffer=buffer, tell=tell)
    if as_json:
        click.echo(dump(shift_form.as_dictionary(study, words)), nl=False)
    else:
        for line in shift_form.lines(study, words):
            click.echo(line)
    if svg is not None:
        _draw(study, words, svg, as_json)
    return 0


@contextmanager
def _progress(shifts: int) -> Iterator[Callable[[int], None]]:
    """A bar with an estimate on the error stream for long runs; nothing where nobody looks."""
    if shifts < LONG or not sys.stderr.isatty():
        yield lambda done: None
        return
    with click.progressbar(length=shifts, label=_say("shift_bar"), file=sys.stderr) as bar:
        yield lambda done: bar.update(1)


def _draw(study: Any, words: Any, path: Path, quiet: bool) -> None:
    """Write the chart of the first shift."""
    from drumwright.report.charts import Charts
    from drumwright.report.shift_chart import course_picture

    picture = course_picture(study, Charts(words))
    with _writing(path):
        path.write_bytes(picture.svg)
    click.echo(_say("written", path=str(path)), err=quiet)
