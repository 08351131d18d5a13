"""Files and folders of files, as a user names them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError


def files_in(places: Sequence[Path]) -> list[Path]:
    """Files as given; folders by the TOML files in them, in order.

    Parameters
    ----------
    places : sequence of Path

    Raises
    ------
    QuantityError
        If a folder holds none.
    """
    found: list[Path] = []
    for place in places:
        inside = sorted(place.glob("*.toml")) if place.is_dir() else [place]
        if not inside:
            raise QuantityError(*trouble("MTX-002", path=str(place)))
        found += inside
    return found
