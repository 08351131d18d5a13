"""Control objects as a flat table of numbers, and back: nothing is lost, nothing is added.

One row for each condition of each action of an object. An action with several conditions is a group of rows;
it acts where at least as many of them act as the votes ask for. A group of 0 is a row by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.station.control.layout import (
    ACTIONS,
    COLUMNS,
    COMPARISONS,
    OUTPUTS,
    PURPOSES,
    RESETS,
    SIGNALS,
    STATES,
    TRANSITION_COLUMNS,
)
from drumwright.station.control.objects import (
    Condition,
    Control,
    ControlError,
    ControlObject,
    Resolver,
    StateOutputs,
    Transition,
    resolved,
)

Array = NDArray[np.float64]
_AT = {name: index for index, name in enumerate(COLUMNS)}


class RowName(NamedTuple):
    """Words of a row that no number carries."""

    identifier: str
    reason: str
    cause: str


class Table(NamedTuple):
    """The flat form: numbers for the simulation, words beside them by row."""

    rules: Array  # shape (rows, len(COLUMNS))
    transitions: Array  # shape (rows, len(TRANSITION_COLUMNS))
    outputs: Array  # shape (len(STATES), len(OUTPUTS))
    names: tuple[RowName, ...]  # of `rules`, by row
    stated: tuple[str, ...]  # states whose outputs were named, in their order


def compiled(control: Control, level: Resolver) -> Table:
    """Write a control as numbers.

    Parameters
    ----------
    control : Control
    level : callable
        Number [SI] of a set point by its name, such as `SetPoints.level`.

    Raises
    ------
    KeyError
        If a set point has no number.
    ControlError
        If two objects in a row have the same name.
    """
    numbered = resolved(control, level)
    identifiers = [each.identifier for each in numbered.objects]
    if len(set(identifiers)) < len(identifiers):
        raise ControlError("two control objects have one name")
    rows: list[list[float]] = []
    names: list[RowName] = []
    group = 0
    for each in numbered.objects:
        for action, value in each.actions:
            group += 1
            alone = len(each.conditions) == 1
            rows += [_rule(each, c, action, value, 0 if alone else group) for c in each.conditions]
            names += [RowName(each.identifier, each.reason, each.cause)] * len(each.conditions)
    return Table(
        np.array(rows, float).reshape(-1, len(COLUMNS)),
        np.array([_transition(t) for t in numbered.transitions], float).reshape(-1, len(TRANSITION_COLUMNS)),
        _outputs(numbered),
        tuple(names),
        tuple(state for state, _ in numbered.outputs),
    )


def _rule(each: ControlObject, seen: Condition, action: str, value: object, group: int) -> list[float]:
    return [
        SIGNALS.index(seen.signal), COMPARISONS.index(seen.comparison), float(seen.limit), float(seen.delay),
        float(seen.reset_limit), float(seen.reset_delay), ACTIONS.index(action), float(value),  # type: ignore[arg-type]
        RESETS.index(each.reset), each.priority, PURPOSES.index(each.purpose), float(seen.scanned),
        sum(2 ** STATES.index(state) for state in set(seen.states)), group, each.votes,
    ]  # fmt: skip


def _transition(each: Transition) -> list[float]:
    return [
        STATES.index(each.origin), SIGNALS.index(each.signal), COMPARISONS.index(each.comparison),
        float(each.limit), float(each.delay), STATES.index(each.to),
    ]  # fmt: skip


def _outputs(control: Control) -> Array:
    found = np.zeros((len(STATES), len(OUTPUTS)))
    for state, each in control.outputs:
        found[STATES.index(state)] = [float(each.pump), float(each.plate), each.vent, each.assist]
    return found


def read(table: Table) -> Control:
    """Read a control back from its numbers; the states of a condition come in the order of `STATES`.

    Parameters
    ----------
    table : Table
    """
    pairs = zip(table.names, table.rules, strict=True)
    objects = [
        _object(name, [row for _, row in rows]) for name, rows in groupby(pairs, key=lambda pair: pair[0])
    ]
    transitions = [
        Transition(
            STATES[int(row[0])], SIGNALS[int(row[1])], COMPARISONS[int(row[2])], float(row[3]),
            float(row[4]), STATES[int(row[5])],
        )
        for row in table.transitions
    ]  # fmt: skip
    outputs = []
    for state in table.stated:
        pump, plate, vent, assist = table.outputs[STATES.index(state)]
        outputs.append((state, StateOutputs(bool(pump), int(plate), bool(vent), bool(assist))))
    return Control(tuple(objects), tuple(transitions), tuple(outputs))


def _object(name: RowName, rows: Sequence[Array]) -> ControlObject:
    """One object from its rows: the conditions come again for every action."""
    group = rows[0][_AT["group"]]
    count = sum(1 for row in rows if row[_AT["group"]] == group) if group else 1
    first = rows[0]
    actions = tuple((ACTIONS[int(row[_AT["action"]])], float(row[_AT["value"]])) for row in rows[::count])
    return ControlObject(
        name.identifier,
        tuple(_condition(row) for row in rows[:count]),
        actions,
        RESETS[int(first[_AT["reset"]])],
        int(first[_AT["priority"]]),
        PURPOSES[int(first[_AT["purpose"]])],
        name.reason,
        int(first[_AT["votes"]]),
        name.cause,
    )


def _condition(row: Array) -> Condition:
    alive = int(row[_AT["states"]])
    return Condition(
        SIGNALS[int(row[_AT["signal"]])],
        COMPARISONS[int(row[_AT["comparison"]])],
        float(row[_AT["limit"]]),
        float(row[_AT["reset_limit"]]),
        float(row[_AT["delay"]]),
        float(row[_AT["reset_delay"]]),
        tuple(state for index, state in enumerate(STATES) if alive >> index & 1),
        bool(row[_AT["scanned"]]),
    )
