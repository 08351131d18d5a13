"""Lines of a screen: 80 columns, further lines under the first."""

from __future__ import annotations

import textwrap

WIDTH = 80


def wrapped(text: str, indent: str = "", further: str | None = None) -> list[str]:
    """Return a text as lines of at most `WIDTH` columns.

    Parameters
    ----------
    text : str
    indent : str
        Before the first line; a dash or a number may stand in it.
    further : str, optional
        Before the other lines; as many spaces where left out.
    """
    rest = " " * len(indent) if further is None else further
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=rest)
