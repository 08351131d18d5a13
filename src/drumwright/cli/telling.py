"""What several commands print alike: an answer as text or JSON, and how far a long one is."""

from __future__ import annotations

import time
from collections.abc import Callable
from types import ModuleType
from typing import Any

import click

from drumwright.cli.work import _say

EVERY = 10.0  # s between two lines


def show(form: ModuleType, found: Any, words: Any, as_json: bool) -> None:
    """Print an answer.

    Parameters
    ----------
    form : module
        With `lines` and `as_dictionary`.
    found : object
        The answer these know.
    words : Words
    as_json : bool
    """
    if as_json:
        from drumwright.report.json_form import dump

        click.echo(dump(form.as_dictionary(found, words)), nl=False)
        return
    for line in form.lines(found, words):
        click.echo(line)


def teller(key: str) -> Callable[[int, int], None]:
    """Return what is called with the numbers done and asked for: a line on the error stream now and then.

    Parameters
    ----------
    key : str
        Of the sentence, with slots done, asked and left.
    """
    began = last = time.monotonic()

    def tell(done: int, asked: int) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last > EVERY and done < asked:
            last = now
            left = (now - began) / max(done, 1) * (asked - done)
            click.echo(_say(key, done=done, asked=asked, left=left), err=True)

    return tell
