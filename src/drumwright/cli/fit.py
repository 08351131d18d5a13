"""`drumwright fit`: read, fit, print, write; nothing is computed here."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from drumwright.basis.errors import QuantityError
from drumwright.cli.work import BAD_INPUT, _input_errors, _refuse, _say, _writing


def run(source: str | None, **options: Any) -> int:
    """Fit a file or a pasted table; return the exit code: 2 where no curve in it can be used.

    Parameters
    ----------
    source : str or None
        Path, or "-" for the standard input.
    **options
        As given on the command line.
    """
    from drumwright.report import fit_form
    from drumwright.report.json_form import dump
    from drumwright.report.words import Words

    if options["library"]:
        return _library(options["as_json"])
    if source is None:
        _refuse(_say("fit_no_source"))
    words = Words()
    fitted = _fitted(source, options)
    if options["as_json"]:
        click.echo(dump(fit_form.as_dictionary(fitted, words)), nl=False)
    else:
        for line in fit_form.lines(fitted, words):
            click.echo(line)
    _write(fitted, words, options["svg"], options["card"], options["as_json"])
    usable = any(study.trust != "not_usable" for study in fitted.studies)
    return 0 if usable else BAD_INPUT


def _fitted(source: str, options: dict[str, Any]) -> Any:
    from drumwright.study import fitting

    raw: Path | bytes = sys.stdin.buffer.read() if source == "-" else Path(source)
    with _input_errors(), _reading(source):
        case = None
        if options["case"] is not None:
            from drumwright.station.casefile import load

            case = load(options["case"])
        return fitting.fit(
            raw,
            case,
            name=options["product"] or "",
            model=options["model"],
            robust=options["robust"],
            sweep=options["sweep"] or "",
            options=_file_options(options),
            seed=options["seed"],
        )


@contextmanager
def _reading(source: str) -> Iterator[None]:
    """Turn a file that cannot be opened into a line and exit 2."""
    try:
        yield
    except OSError as error:
        _refuse(_say("fit_unreadable", path=source, reason=error.strerror or type(error).__name__))


def _file_options(options: dict[str, Any]) -> Any:
    from drumwright.basis.quantities import read
    from drumwright.product.export_columns import KINDS, Options

    units = {}
    for role, kind in KINDS.items():
        unit = options.get(f"{role}_unit")
        if unit:
            try:
                read(f"1 {unit}", kind)
            except QuantityError as error:
                _refuse(
                    _say(
                        "fit_bad_option", name=f"{role}-unit".replace("_", "-"), text=unit, reason=str(error)
                    )
                )
            units[role] = unit
    temperature = None
    if options["temperature"]:
        try:
            temperature = read(options["temperature"], "temperature")
        except QuantityError as error:
            _refuse(
                _say("fit_bad_option", name="temperature", text=options["temperature"], reason=str(error))
            )
    columns = tuple(part.strip() for part in options["columns"].split(",")) if options["columns"] else ()
    return Options(units, columns, temperature, options["decimal"])


def _write(fitted: Any, words: Any, svg: Path | None, card: Path | None, quiet: bool) -> None:
    """Write picture and card where they were asked for."""
    drawable = any(study.fit is not None for study in fitted.studies)
    if svg is not None and drawable:
        from drumwright.report.curve_chart import curve_svg

        with _writing(svg):
            svg.write_bytes(curve_svg(fitted, words))
        click.echo(_say("written", path=str(svg)), err=quiet)
    if card is not None:
        from drumwright.report.fit_card import card as text_of

        text = text_of(fitted, words)
        if not text:
            _refuse(_say("fit_no_card"))
        # "x": a card may have been edited, so it is never overwritten
        with _writing(card), card.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
        click.echo(_say("written", path=str(card)), err=quiet)


def _library(as_json: bool) -> int:
    """List the products and reference liquids to start from."""
    from drumwright.report import library_form
    from drumwright.report.json_form import dump
    from drumwright.report.words import Words

    if as_json:
        click.echo(dump({"library": library_form.library_data()}), nl=False)
        return 0
    for line in library_form.library_lines(Words()):
        click.echo(line)
    return 0
