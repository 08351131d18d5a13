"""Find names, units and temperatures among the rows above a block of numbers."""

from __future__ import annotations

from collections.abc import Sequence

from drumwright.product.export_columns import role_of, split_unit, temperature_in, unit_row
from drumwright.product.export_text import Cells


def header_rows(header: Sequence[Cells], width: int) -> tuple[Cells, Cells]:
    """Return names and units among the rows above a block of numbers; empty where there are none.

    Parameters
    ----------
    header : sequence of sequence of str
        Rows above the block.
    width : int
        Columns of the block.
    """
    rows = [_fitted(cells, width) for cells in header]
    for index in range(len(rows) - 1, -1, -1):
        roles = [role_of(split_unit(cell)[0]) for cell in rows[index]]
        known = [role for role in roles if role]
        if len(known) >= 2 or (len(rows[index]) == width and known and len(rows[index]) >= 2):
            below = rows[index + 1] if index + 1 < len(rows) else []
            return rows[index], below if below and unit_row(below) else []
    return [], []


def _fitted(cells: Cells, width: int) -> Cells:
    """Cells of a header line that was cut by spaces, joined so that each holds one name with its unit."""
    if len(cells) <= width:
        return cells
    joined: list[str] = []
    for cell in cells:
        closed = not joined or joined[-1].count("[") == joined[-1].count("]")
        unit = cell.startswith(("[", "(")) or not closed
        whole = f"{joined[-1]} {cell}" if joined else cell
        if (
            joined and (unit or (role_of(whole) and not role_of(cell) and closed and "[" not in joined[-1]))
        ) or (joined and not role_of(joined[-1]) and "[" not in joined[-1]):
            joined[-1] = whole
        else:
            joined.append(cell)
    return joined if len(joined) == width else cells


def temperatures_above(header: Sequence[Cells], names: Cells) -> dict[int, float]:
    """Return the temperatures [K] in a row above the names, by column; each holds up to the next one.

    Parameters
    ----------
    header : sequence of sequence of str
        Rows above the block.
    names : sequence of str
        The row of names.
    """
    for cells in reversed(header):
        if cells is names or len(cells) < 2:
            continue
        found = {place: temperature_in(cell) for place, cell in enumerate(cells)}
        if sum(1 for value in found.values() if value is not None) >= 2:
            result: dict[int, float] = {}
            last = None
            for place in range(len(names)):
                last = last if found.get(place) is None else found[place]
                if last is not None:
                    result[place] = last
            return result
    return {}
