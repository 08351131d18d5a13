"""`drumwright stock check`: read a parts file and print it; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

import click

from drumwright.cli.work import BAD_INPUT, _input_errors


def check(file: Path | None, skip_bad: bool, as_json: bool) -> int:
    """Print a stock; return the exit code: 2 where rows are bad and not left out.

    Parameters
    ----------
    file : Path or None
        The generic stock where None.
    skip_bad : bool
        Whether bad rows are left out.
    as_json : bool
    """
    from drumwright.report import stock_form
    from drumwright.report.json_form import dump
    from drumwright.report.words import Words
    from drumwright.station.stock import generic_reading, read_stock

    with _input_errors():
        reading = read_stock(file) if file is not None else generic_reading()
    if as_json:
        click.echo(dump(stock_form.as_dictionary(reading, skip_bad)), nl=False)
    else:
        for line in stock_form.lines(reading, Words(), skip_bad):
            click.echo(line)
    return BAD_INPUT if reading.problems and not skip_bad else 0
