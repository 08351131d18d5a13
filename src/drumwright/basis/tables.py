"""Read the tables of numbers in `data/`; each row carries its source and kind."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any


@contextmanager
def data_path(name: str) -> Iterator[Path]:
    """Give the path of a data file, also from inside a zipped package."""
    with resources.as_file(resources.files("drumwright") / "data" / name) as path:
        yield path


@cache
def read_toml(name: str) -> dict[str, Any]:
    """Return a TOML data file as a dictionary."""
    with data_path(name) as path:
        return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def read_csv(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a CSV data file; lines that start with '#' are its header notes."""
    with data_path(name) as path:
        lines = path.read_text(encoding="utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))
