"""`drumwright matrix`: read, judge every pair, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

from drumwright.cli.telling import show, teller
from drumwright.cli.work import _input_errors, _look_at, _settings


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
        from drumwright.study.spread_out import processors

        found = matrix(
            [machines], products, settings=given, stock=stock, samples=samples or SAMPLES,
            workers=workers or processors(), tell=teller("matrix_progress"),
        )  # fmt: skip
    from drumwright.report import matrix_form
    from drumwright.report.words import Words

    words = Words("metric")
    show(matrix_form, found, words, as_json)
