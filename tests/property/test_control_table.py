"""Control objects to the flat table and back: nothing is lost, of the default control and of random ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.basis.phrases import render
from drumwright.station.control.layout import (
    ACTIONS,
    COLUMNS,
    COMPARISONS,
    PURPOSES,
    RESETS,
    SIGNALS,
    STATES,
)
from drumwright.station.control.objects import (
    Condition,
    Control,
    ControlError,
    ControlObject,
    StateOutputs,
    Transition,
    default_control,
    resolved,
)
from drumwright.station.control.set_points import SetPoints, names
from drumwright.station.control.table import compiled, read
from drumwright.station.control.words import object_phrase, reason_phrase, transition_phrase

POINTS = SetPoints(**{name: 1.0 + 0.37 * index for index, name in enumerate(names())})
NUMBERS = st.floats(-1e9, 1e9, allow_nan=False)
LEVELS = st.one_of(NUMBERS, st.sampled_from(names()))
TIMES = st.floats(0.0, 1e5)
SOME_STATES = st.sets(st.sampled_from(STATES), min_size=1).map(
    lambda chosen: tuple(state for state in STATES if state in chosen)
)
CONDITIONS = st.builds(
    Condition, st.sampled_from(SIGNALS), st.sampled_from(COMPARISONS), LEVELS, LEVELS, TIMES, TIMES,
    SOME_STATES, st.booleans(),
)  # fmt: skip
TRANSITIONS = st.builds(
    Transition, st.sampled_from(STATES), st.sampled_from(SIGNALS), st.sampled_from(COMPARISONS), LEVELS,
    TIMES, st.sampled_from(STATES),
)  # fmt: skip
OUTPUTS = st.builds(StateOutputs, st.booleans(), st.sampled_from((-1, 0, 1)), st.booleans(), st.booleans())


@st.composite
def objects(draw: st.DrawFn, identifier: str) -> ControlObject:
    conditions = tuple(draw(st.lists(CONDITIONS, min_size=1, max_size=4)))
    pairs = st.tuples(st.sampled_from(ACTIONS), LEVELS)
    return ControlObject(
        identifier, conditions, tuple(draw(st.lists(pairs, min_size=1, max_size=4))),
        draw(st.sampled_from(RESETS)), draw(st.integers(1, 9)), draw(st.sampled_from(PURPOSES)),
        draw(st.text(max_size=5)), draw(st.integers(1, len(conditions))), draw(st.sampled_from(("", "row"))),
    )  # fmt: skip


@st.composite
def controls(draw: st.DrawFn) -> Control:
    count = draw(st.integers(0, 5))
    named = tuple(draw(st.lists(st.sampled_from(STATES), unique=True)))
    return Control(
        tuple(draw(objects(f"object-{index}")) for index in range(count)),
        tuple(draw(st.lists(TRANSITIONS, max_size=4))),
        tuple((state, draw(OUTPUTS)) for state in named),
    )


@settings(max_examples=300, deadline=None)
@given(controls())
def test_a_control_comes_back_from_its_table(control: Control) -> None:
    assert read(compiled(control, POINTS.level)) == resolved(control, POINTS.level)


@pytest.mark.parametrize("turning", [True, False])
def test_the_default_control_comes_back_object_by_object(turning: bool) -> None:
    control = default_control(turning)
    table = compiled(control, POINTS.level)
    again, wanted = read(table), resolved(control, POINTS.level)
    for one, other in zip(again.objects, wanted.objects, strict=True):
        assert one == other, other.identifier
    assert again == wanted
    assert table.rules.shape[1] == len(COLUMNS) and table.rules.dtype == np.float64
    assert np.isfinite(table.rules).all()


@settings(max_examples=100, deadline=None)
@given(controls())
def test_every_control_says_what_it_does(control: Control) -> None:
    """Objects without a reason of the catalogue too: the sentence is made of what the table holds."""
    numbered = resolved(control, POINTS.level)
    for each in numbered.objects:
        assert render(object_phrase(each)).startswith("When ")
    for way in numbered.transitions:
        assert render(transition_phrase(way))


def test_every_default_object_has_a_reason() -> None:
    said = [render(reason_phrase(each)) for each in default_control().objects]
    assert all(text.endswith(".") for text in said)


def test_a_lost_number_is_seen() -> None:
    """The comparison can fail: one changed cell makes another control."""
    table = compiled(default_control(), POINTS.level)
    for column in range(len(COLUMNS)):
        rules = table.rules.copy()
        row = 0 if COLUMNS[column] not in ("group", "votes") else int(np.argmax(rules[:, -1] > 1))
        if COLUMNS[column] == "group":
            continue  # only tells rows apart
        rules[row, column] = 1.0 - rules[row, column] if rules[row, column] in (0.0, 1.0) else 1.0
        assert read(table._replace(rules=rules)) != read(table), COLUMNS[column]


def test_what_cannot_be_is_refused() -> None:
    fine = Condition("outlet_pressure", "above", 1.0, 1.0)
    with pytest.raises(ControlError):
        Condition("no_such_signal", "above", 1.0, 1.0)
    with pytest.raises(ControlError):
        Condition("outlet_pressure", "over", 1.0, 1.0)
    with pytest.raises(ControlError):
        Condition("outlet_pressure", "above", 1.0, 1.0, states=())
    with pytest.raises(ControlError):
        ControlObject("x", (fine,), (("explode", 0.0),))
    with pytest.raises(ControlError):
        ControlObject("x", (fine,), ())
    with pytest.raises(ControlError):
        ControlObject("x", (fine,), (("stop", 0.0),), votes=2)
    one = ControlObject("x", (fine,), (("stop", 0.0),))
    with pytest.raises(ControlError):
        compiled(Control((one, one), (), ()), POINTS.level)
    with pytest.raises(KeyError):
        POINTS.level("no_such_point")
