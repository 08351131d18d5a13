"""`drumwright would-pass`: read, look for changes, print; nothing is computed here."""

from __future__ import annotations

from pathlib import Path

from drumwright.cli.telling import show, teller
from drumwright.cli.work import _input_errors, _look_at, _read


def run(
    case: Path,
    settings: tuple[str, ...],
    stock: Path | None,
    samples: int | None,
    pairs: bool,
    as_json: bool,
) -> None:
    """Look for the changes that make a case pass and print them.

    Parameters
    ----------
    case : Path
    settings : tuple of str
        Fields to override, as FIELD=VALUE.
    stock : Path or None
    samples : int or None
    pairs : bool
        Whether pairs of changes are looked at too.
    as_json : bool
    """
    _look_at(samples)
    read = _read(case, settings, stock)
    with _input_errors():
        from drumwright.study.would_pass import SAMPLES, would_pass

        found = would_pass(read, samples=samples or SAMPLES, pairs=pairs, tell=teller("would_pass_progress"))
    from drumwright.report import would_pass_form
    from drumwright.report.words import Words

    words = Words(read.case.units or "metric")
    show(would_pass_form, found, words, as_json)
