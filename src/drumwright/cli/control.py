"""`drumwright control`: read, derive, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _look_at, _read, _refuse, _say, _writing


def run(
    case: Path,
    settings: tuple[str, ...],
    at: str | None,
    as_json: bool,
    samples: int | None,
    stock: Path | None,
    svg: Path | None,
) -> None:
    """Print set-point ladder, control objects, states and cause-and-effect matrix of a case.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE.
    at : str or None
        Season or temperature.
    as_json : bool
    samples : int or None
    stock : Path or None
    svg : Path or None
        Where the ladder goes.
    """
    _look_at(samples)
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.assess import SAMPLES_WHAT_IF
        from drumwright.study.control_sheet import control_sheet

        sheet = control_sheet(read, samples or SAMPLES_WHAT_IF, at)
    if sheet is None:
        _refuse(_say("control_none"))
    from drumwright.report import control_form
    from drumwright.report.words import Words

    words = Words("US" if sheet.units == "US" else "metric")
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(control_form.as_dictionary(sheet, words)), nl=False)
    else:
        for line in control_form.lines(sheet, words):
            click.echo(line)
    if svg is not None:
        from drumwright.report.ladder_chart import ladder_picture

        with _writing(svg):
            svg.write_bytes(ladder_picture(sheet, words).svg)
        click.echo(_say("written", path=str(svg)), err=as_json)
