"""`drumwright sweep`: read, judge every case, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

from drumwright.cli.telling import show, teller
from drumwright.cli.work import _input_errors, _look_at, _settings


def run(
    places: tuple[Path, ...],
    settings: tuple[str, ...],
    stock: Path | None,
    workers: int | None,
    cluster: str | None,
    samples: int | None,
    as_json: bool,
) -> None:
    """Judge many cases and print the verdict of each.

    Parameters
    ----------
    places : tuple of Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE, in every case.
    stock : Path or None
        Compared with the stock each case names.
    workers : int or None
    cluster : str or None
    samples : int or None
    as_json : bool
    """
    _look_at(samples)
    given = tuple(_settings(settings).items())
    with _input_errors():
        from drumwright.study.spread_out import processors
        from drumwright.study.sweep import SAMPLES, sweep

        rows = sweep(
            places, settings=given, stock=stock, samples=samples or SAMPLES,
            workers=workers or processors(), cluster=cluster, tell=teller("sweep_progress"),
        )  # fmt: skip
    from drumwright.report import sweep_form
    from drumwright.report.words import Words

    words = Words("metric")
    show(sweep_form, rows, words, as_json)
