"""What the commands do: read, assess, print, write. Nothing is computed here."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from drumwright.basis.errors import (
    FitError,
    InputError,
    NotJudgedYet,
    QuantityError,
    StockError,
)
from drumwright.basis.phrases import phrase, render
from drumwright.study.result import Figure, Result

if TYPE_CHECKING:
    from drumwright.station.records import Case

BAD_INPUT = 2
STOPPED = 1
_COLOURS = {"go": "green", "go_if": "blue", "ask_first": "yellow", "refuse": "red"}
_TONES = {"strong": "bold", "quiet": "dim", "": ""}


def _say(key: str, /, **slots: object) -> str:
    return render(phrase(f"CLI.{key}", **slots))


def _refuse(*lines: str) -> NoReturn:
    for line in lines:
        click.echo(line, err=True)
    sys.exit(BAD_INPUT)


@contextmanager
def _input_errors() -> Iterator[None]:
    """Turn what is wrong with the input into lines and exit 2; errors of the program pass through."""
    try:
        yield
    except InputError as error:
        _refuse(*(str(problem) for problem in error.problems))
    except (QuantityError, FitError, StockError, NotJudgedYet) as error:
        _refuse(str(error))


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        where = str(error.filename or path)
        _refuse(_say("not_writable", path=where, reason=error.strerror or type(error).__name__))


def _settings(pairs: Sequence[str]) -> Mapping[str, str]:
    found = {}
    for pair in pairs:
        field, sign, value = pair.partition("=")
        if not sign or not field.strip() or not value.strip():
            _refuse(_say("bad_setting", text=pair))
        found[field.strip()] = value.strip()
    return found


def _read(case: Path, settings: Sequence[str], stock: Path | None = None) -> Case:
    """The case with its overrides; what is unusual is said on the error stream."""
    given = _settings(settings)
    with _input_errors():
        from drumwright.station.casefile import load, warnings

        read = load(case, given, stock)
        for problem in warnings(read):
            click.echo(_say("unusual", problem=str(problem)), err=True)
        return read


def _judged(case: Case, at: str | None = None, samples: int | None = None, in_time: bool = False) -> Result:
    with _input_errors():
        from drumwright.study.assess import SAMPLES_DOCUMENT
        from drumwright.study.assess import assess as judge

        return judge(case, samples=samples or SAMPLES_DOCUMENT, at=at, in_time=in_time)


def _assessed(
    case: Path,
    settings: Sequence[str],
    at: str | None = None,
    samples: int | None = None,
    stock: Path | None = None,
) -> Result:
    _look_at(samples)
    return _judged(_read(case, settings, stock), at, samples)


def _look_at(samples: int | None) -> None:
    if samples is not None and (not 256 <= samples <= 65536 or samples & (samples - 1)):
        _refuse(_say("bad_samples", count=samples))


def new(path: Path) -> None:
    """Write an annotated case file."""
    with _input_errors(), _writing(path):
        from drumwright.station.casefile import write_template

        write_template(path)
    click.echo(_say("new_written", path=str(path)))


def check(case: Path, settings: Sequence[str], stock: Path | None, as_json: bool) -> None:
    """Read a case and list what was assumed."""
    result = _assessed(case, settings, stock=stock)
    from drumwright.report import json_form
    from drumwright.report.proposal import taken
    from drumwright.report.words import words_of

    data = json_form.as_dictionary(result)
    if as_json:
        click.echo(json_form.dump({"head": data["head"], "assumptions": data["assumptions"]}), nl=False)
        return
    words = words_of(result)
    open_ones = [item for item in result.assumptions if not item.closed]
    click.echo(_say("check_ok", path=str(case), fields=len(result.understood), assumed=len(open_ones)))
    click.echo(_say("check_assumptions"))
    for item in open_ones:
        click.echo(
            f"  {item.number} [{item.flag}] {item.field}: {taken(item, words)}. {words.tell(item.meaning)}"
        )


def assess(
    case: Path,
    settings: Sequence[str],
    at: str | None,
    why: str | None,
    as_json: bool,
    gate: bool,
    samples: int | None,
    stock: Path | None,
) -> int:
    """Print the answer; return the exit code."""
    result = _assessed(case, settings, at, samples, stock)
    if why is not None:
        _explain(result, why, as_json)
    elif as_json:
        from drumwright.report import json_form

        click.echo(json_form.text(result), nl=False)
    else:
        _show(result)
    return _code(result, gate)


def _code(result: Result, gate: bool) -> int:
    return STOPPED if gate and result.verdict in ("ask_first", "refuse") else 0


def _show(result: Result) -> None:
    from drumwright.report.terminal import WIDTH, screen

    lines = screen(result)
    if not sys.stdout.isatty():
        for line in lines:
            click.echo(line.text)
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(width=WIDTH, highlight=False)
    for line in lines:
        colour = _COLOURS.get(line.tone)
        console.print(Text(line.text, style=f"bold {colour}" if colour else _TONES[line.tone]))


def _explain(result: Result, key: str, as_json: bool) -> None:
    from drumwright.report import json_form
    from drumwright.report.explain import explain
    from drumwright.report.words import words_of

    found = _figures(result, key)
    if not as_json:
        for line in explain(result, key):
            click.echo(line)
        return
    words = words_of(result)
    explained = next((item for item in result.explanations if item.key == found[0].why), None)
    data = {
        "figure": key,
        "values": [json_form.figure(item, words) for item in found],
        "equation": explained.equation if explained else None,
        "source": explained.source if explained else None,
        "inputs": [{"name": name, "kind": kind, "value": value} for name, kind, value in explained.inputs]
        if explained
        else [],
        "validity": explained.validity if explained else None,
        "inside": explained.inside if explained else None,
    }
    click.echo(json_form.dump(data), nl=False)


def _figures(result: Result, key: str) -> list[Figure]:
    found = [item for item in result.figures if item.key == key]
    if found:
        return found
    keys = sorted({item.key for item in result.figures})
    close = (
        difflib.get_close_matches(key, keys, 3, 0.5)
        or [each for each in keys if key.lower() in each.lower()][:3]
    )
    remedy = _say("did_you_mean", names=", ".join(close)) if close else _say("list_figures")
    some = ", ".join(keys[:3]) or "-"
    _refuse(_say("unknown_figure", key=key, some=some, remedy=remedy))


def get(
    case: Path,
    figure: str,
    settings: Sequence[str],
    at: str | None,
    as_json: bool,
    samples: int | None,
    stock: Path | None,
) -> None:
    """Print one figure in every condition it is given for."""
    result = _assessed(case, settings, at, samples, stock)
    from drumwright.report import json_form
    from drumwright.report.words import words_of

    words = words_of(result)
    found = {figure: _figures(result, figure)}
    other = f"recommended.{figure}"
    if changed := [item for item in result.figures if item.key == other]:
        found[other] = changed
    if as_json:
        data = {key: [json_form.figure(item, words) for item in items] for key, items in found.items()}
        click.echo(json_form.dump(data), nl=False)
        return
    for key, items in found.items():
        if len(found) > 1:
            click.echo(words.say("screen.recommended" if key == other else "screen.as_asked"))
        for item in items:
            click.echo(f"{words.name('season', item.condition):<12}{words.figure(item)}")


def report(
    case: Path, output: Path | None, settings: Sequence[str], samples: int | None, stock: Path | None
) -> None:
    """Write the documents and print their paths."""
    _look_at(samples)
    read = _read(case, settings, stock)
    _write(_judged(read, None, samples, in_time=True), read, _folder(case, output, bool(settings)))


def run_case(
    case: Path,
    output: Path | None,
    settings: Sequence[str],
    gate: bool,
    samples: int | None,
    stock: Path | None,
) -> int:
    """Print the answer, write the documents; return the exit code."""
    _look_at(samples)
    read = _read(case, settings, stock)
    result = _judged(read, None, samples, in_time=True)
    _show(result)
    click.echo("")
    _write(result, read, _folder(case, output, bool(settings)))
    return _code(result, gate)


def _folder(case: Path, output: Path | None, what_if: bool) -> Path:
    """Folder of the documents; with settings one of its own, never that of the case."""
    from drumwright.report.files import folder_name

    return output if output is not None else Path("out") / (folder_name(case) + "-what-if" * what_if)


def _write(result: Result, case: Case, folder: Path) -> None:
    """Write the documents, and beside them the parts they were made of."""
    from drumwright.report.files import write
    from drumwright.station.stock_pins import NAME
    from drumwright.station.stock_reference import pinned_copy

    with _writing(folder):
        for path in write(result, folder, {NAME: pinned_copy(case)}):
            click.echo(_say("written", path=str(path)))
