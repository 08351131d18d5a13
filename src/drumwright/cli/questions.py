"""`drumwright questions`: read, rank what is open, print; write a form, read it back. Nothing is computed."""

from __future__ import annotations

from pathlib import Path

import click

from drumwright.cli.work import _input_errors, _read, _say, _writing


def run(
    case: Path,
    settings: tuple[str, ...],
    stock: Path | None,
    as_json: bool,
    form: Path | None,
    answers: Path | None,
    output: Path | None,
) -> None:
    """Print what is worth asking, most decisive first; or write a form, or read one back.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override; not with a form.
    stock : Path or None
    as_json : bool
    form : Path or None
        Form to write.
    answers : Path or None
        Form that came back.
    output : Path or None
        New case.
    """
    if output is not None and answers is None:
        with _input_errors():
            from drumwright.station.source_text import refused

            raise refused(str(output), "ANS-019")
    if (form or answers) and (settings or stock or (form and answers)):
        with _input_errors():
            from drumwright.station.source_text import refused

            raise refused(str(form or answers), "ANS-014")
    if answers is not None:
        _answers(case, answers, output, as_json)
    elif form is not None:
        _form(case, form)
    else:
        _list(case, settings, stock, as_json)


def _list(case: Path, settings: tuple[str, ...], stock: Path | None, as_json: bool) -> None:
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.asking import questions
        from drumwright.study.spread_out import processors

        found = questions(read, workers=processors())
    from drumwright.report import asking_form
    from drumwright.report.words import words_of

    words = words_of(found.result)
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(asking_form.as_dictionary(found, words)), nl=False)
        return
    for line in asking_form.lines(found, words):
        click.echo(line)


def _form(case: Path, form: Path) -> None:
    read = _read(case, ())
    with _input_errors(), _writing(form):
        from drumwright.report import answer_form
        from drumwright.report.words import words_of
        from drumwright.station.source_text import refused
        from drumwright.study.answering import form_rows
        from drumwright.study.asking import questions
        from drumwright.study.spread_out import processors

        ending = form.suffix.lower()
        if ending not in answer_form.ENDINGS:
            raise refused(str(form), "ANS-016", text=form.name)
        if form.exists():
            raise refused(str(form), "ANS-015", text=str(form))
        found = questions(read, workers=processors())
        rows = form_rows(read, [each.question for each in found.asked])
        content = answer_form.form_file(read, rows, ending, words_of(found.result))
        with form.open("xb") as file:
            file.write(content)
    click.echo(_say("form_written", count=len(rows), path=str(form)))


def _answers(case: Path, form: Path, output: Path | None, as_json: bool) -> None:
    read = _read(case, ())
    with _input_errors():
        from drumwright.study.answering import answered

        found = answered(read, form, output)
    for problem in found.unusual:
        click.echo(_say("unusual", problem=str(problem)), err=True)
    from drumwright.report import answer_form
    from drumwright.report.words import words_of

    words, names = words_of(found.moved.after), (str(case), str(found.path))
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(answer_form.as_dictionary(found, words, names)), nl=False)
        return
    click.echo(_say("written", path=str(found.path)))
    for line in answer_form.lines(found, words, names):
        click.echo(line)
