"""`drumwright run`: read, run, print; nothing is computed here."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from drumwright.cli.telling import teller
from drumwright.cli.work import _input_errors, _look_at, _read, _refuse, _say, _writing


def run(
    case: Path,
    settings: Sequence[str],
    stock: Path | None,
    fault: str | None,
    faults: bool,
    worst: bool,
    again: str | None,
    drums: int | None,
    season: str | None,
    duration: str | None,
    runs: int,
    seed: int,
    workers: int | None,
    samples: int | None,
    output: Path | None,
    as_json: bool,
) -> int:
    """Run a case in time; return the exit code.

    Parameters
    ----------
    case : Path
    settings : sequence of str
    stock : Path or None
    fault : str or None
    faults, worst : bool
    again : str or None
    drums : int or None
    season, duration : str or None
    runs, seed : int
    workers, samples : int or None
    output : Path or None
        Folder of the files of the runs.
    as_json : bool
    """
    _look_at(samples)
    if sum((fault is not None, faults, worst, again is not None, drums is not None)) > 1:
        _refuse(_say("run_one_way"))
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study import run_study

        if worst:
            from drumwright.station.transient.compiled import available

            if not available():
                click.echo(_say("run_plain"), err=True)
            from drumwright.study.spread_out import processors

            with _progress(runs) as tell:
                study = run_study.run_worst(
                    read, runs=runs, seed=seed, workers=processors() if workers is None else workers,
                    duration=duration, season=season, samples=samples, tell=tell,
                )  # fmt: skip
        else:
            study = run_study.run(
                read, fault=fault, every_fault=faults, again=again, drums=drums, season=season,
                duration=duration, samples=samples,
            )  # fmt: skip
    from drumwright.report import run_form
    from drumwright.report.json_form import dump
    from drumwright.report.words import Words

    words = Words("US" if study.units == "US" else "metric")
    if as_json:
        click.echo(dump(run_form.as_dictionary(study, words)), nl=False)
    else:
        options = "".join(f" --set '{pair}'" for pair in settings)
        options += f" --duration '{duration}'" if duration else ""
        options += f" --samples {samples}" if samples else ""
        for line in run_form.lines(study, words, f"drumwright run {case}{options}"):
            click.echo(line)
    if output is not None:
        _write(study, words, output, as_json)
    return 0


def _write(study: Any, words: Any, folder: Path, quiet: bool) -> None:
    """Write rows, pictures and document of the runs."""
    from drumwright.report.files import write_files
    from drumwright.report.run_files import files

    with _writing(folder):
        for path in write_files(files(study, words), folder):
            click.echo(_say("written", path=str(path)), err=quiet)


@contextmanager
def _progress(runs: int) -> Iterator[Callable[[int], None]]:
    """A bar with an estimate on the error stream; a line every ten seconds where nobody looks."""
    if sys.stderr.isatty():
        with click.progressbar(length=runs, label=_say("run_bar"), file=sys.stderr) as bar:
            yield lambda done: bar.update(done - bar.pos)
        return
    tell = teller("run_progress")
    yield lambda done: tell(done, runs)
