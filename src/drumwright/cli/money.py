"""`drumwright money`: read, count, print, write; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _look_at, _read, _refuse, _say, _writing


def run(
    case: Path,
    settings: Sequence[str],
    stock: Path | None,
    prices: Path | None,
    samples: int | None,
    svg: Path | None,
    as_json: bool,
) -> int:
    """Count the money of a case; return the exit code.

    Parameters
    ----------
    case : Path
    settings : sequence of str
    stock : Path or None
    prices : Path or None
        File of prices in place of that of the case.
    samples : int or None
    svg : Path or None
        Where the tornado goes.
    as_json : bool
    """
    _look_at(samples)
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.assess import SAMPLES_WHAT_IF
        from drumwright.study.economics import money

        study = money(read, prices=prices, samples=samples or SAMPLES_WHAT_IF)
    from drumwright.report import money_form
    from drumwright.report.words import Words

    words = Words(read.case.units or "metric")
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(money_form.as_dictionary(study, words)), nl=False)
    else:
        for line in money_form.lines(study, words):
            click.echo(line)
    if svg is None:
        return 0
    if not study.swings:
        _refuse(_say("money_no_picture"))
    from drumwright.report.charts import Charts
    from drumwright.report.money_chart import tornado_picture

    picture = tornado_picture(study, Charts(words))
    with _writing(svg):
        svg.write_bytes(picture.svg)
    click.echo(_say("written", path=str(svg)), err=as_json)
    return 0
