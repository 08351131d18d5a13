"""The reference interpreter does what its docstring says, look by look, on objects small enough to see."""

from __future__ import annotations

from control_reference import Reference

from drumwright.station.control.objects import (
    Condition,
    Control,
    ControlObject,
    StateOutputs,
    Transition,
    default_control,
    resolved,
)
from drumwright.station.control.set_points import SetPoints, names

RUNS = (("emptying", StateOutputs(pump=True, plate=-1)), ("press_out", StateOutputs(pump=True, plate=-1)))
BAR = 1.0e5
POINTS = SetPoints(**(dict.fromkeys(names(), 1.0) | {"prime_longest": 100.0}))


def one(
    condition: Condition, *actions: tuple[str, float], reset: str = "auto", votes: int = 1, more: tuple = ()
) -> Reference:
    made = ControlObject("x", (condition, *more), actions, reset, votes=votes)
    return Reference(Control((made,), (), RUNS), "emptying")


def acts(reference: Reference, signals: dict[str, float], past: float = 0.1, **more: object) -> bool:
    return "x" in reference.look(past, signals, **more).acting  # type: ignore[arg-type]


def test_a_delay_counts_looks_at_which_it_holds() -> None:
    seen = Condition("outlet_pressure", "above", 5.0, 4.0, delay=0.3)
    watch = one(seen, ("stop", 0.0))
    assert [acts(watch, {"outlet_pressure": v}) for v in (6, 6, 4.9, 6, 6, 6.0)] == [False] * 5 + [True]


def test_the_limit_itself_is_not_beyond_it() -> None:
    assert not acts(
        one(Condition("outlet_pressure", "above", 5.0, 5.0), ("stop", 0.0)), {"outlet_pressure": 5.0}
    )
    assert acts(one(Condition("outlet_pressure", "below", 5.0, 5.0), ("stop", 0.0)), {"outlet_pressure": 4.9})


def test_hysteresis_and_reset_delay() -> None:
    watch = one(Condition("outlet_pressure", "above", 5.0, 4.0, reset_delay=0.2), ("stop", 0.0))
    values = (6.0, 4.5, 4.0, 4.5, 4.0, 3.0)
    assert [acts(watch, {"outlet_pressure": v}) for v in values] == [True, True, True, True, True, False]


def test_a_latch_is_reset_by_hand_and_only_once_it_is_over() -> None:
    watch = one(Condition("outlet_switch", "above", 5.0, 4.0), ("stop", 0.0), reset="manual")
    assert acts(watch, {"outlet_switch": 6.0})
    assert acts(watch, {"outlet_switch": 3.0})
    assert acts(watch, {"outlet_switch": 4.5}, resets=("x",))
    assert not acts(watch, {"outlet_switch": 3.0}, resets=("x",))


def test_one_old_sign_of_two_is_no_sign_now() -> None:
    """Manual reset latches the object, not each of its conditions before it acts."""
    second = (Condition("plate_height", "above", 0.1, 0.1, delay=0.5),)
    watch = one(Condition("inlet_pressure", "below", 1.0, 1.0), ("ramp_stop", 0.0), reset="manual", votes=2,
                more=second)  # fmt: skip
    for _ in range(20):
        assert not acts(watch, {"inlet_pressure": 2.0, "plate_height": 1.0})
    assert not acts(watch, {"inlet_pressure": 2.0, "plate_height": 0.0})
    assert not acts(watch, {"inlet_pressure": 0.5, "plate_height": 0.0})
    assert not acts(watch, {"inlet_pressure": 2.0, "plate_height": 0.0})
    for _ in range(6):
        both = acts(watch, {"inlet_pressure": 0.5, "plate_height": 1.0})
    assert both
    assert acts(watch, {"inlet_pressure": 2.0, "plate_height": 0.0})
    assert not acts(watch, {"inlet_pressure": 2.0, "plate_height": 1.0}, resets=("x",))


def test_two_of_three_and_each_for_its_own_time() -> None:
    rest = (Condition("torque_share", "below", 0.2, 0.2, delay=0.2),
            Condition("plate_height", "below", 0.01, 0.01))  # fmt: skip
    watch = one(Condition("inlet_pressure", "below", 1.0, 1.0), ("press_out", 0.0), votes=2, more=rest)
    fine = {"inlet_pressure": 2.0, "torque_share": 1.0, "plate_height": 1.0}
    assert not acts(watch, fine)
    assert not acts(watch, fine | {"plate_height": 0.0})
    assert not acts(watch, fine | {"plate_height": 0.0, "torque_share": 0.0})
    assert acts(watch, fine | {"plate_height": 0.0, "torque_share": 0.0})
    assert watch.state == "press_out"


def test_the_speed_falls_in_the_band_and_the_strongest_stop_wins() -> None:
    slow = ControlObject("slow", (Condition("outlet_pressure", "above", 4.0, 4.0),), (("slow", 6.0),))
    ramp = ControlObject("ramp", (Condition("filler_request", "below", 0.5, 0.5),), (("ramp_stop", 0.0),))
    cut = ControlObject("cut", (Condition("outlet_pressure", "above", 6.0, 3.0),), (("stop", 0.0),))
    watch = Reference(Control((slow, ramp, cut), (), RUNS), "emptying")
    asks = {"filler_request": 1.0}
    assert watch.look(0.1, asks | {"outlet_pressure": 4.5}).factor == 0.75
    assert watch.look(0.1, asks | {"outlet_pressure": 5.0}).pump == "run"
    assert watch.look(0.1, {"outlet_pressure": 5.0, "filler_request": 0.0}).pump == "ramp_stop"
    ended = watch.look(0.1, {"outlet_pressure": 6.5, "filler_request": 0.0})
    assert (ended.pump, ended.factor) == ("stop", 0.0)
    assert watch.look(0.1, asks | {"outlet_pressure": 3.5}).pump == "stop"
    assert watch.look(0.1, asks | {"outlet_pressure": 2.9}).pump == "run"


def test_wired_conditions_have_looks_of_their_own() -> None:
    watch = one(Condition("outlet_switch", "above", 5.0, 4.0, scanned=False), ("stop", 0.0))
    assert not acts(watch, {"outlet_switch": 9.0})
    assert acts(watch, {"outlet_switch": 9.0}, wired=True)


def test_a_lower_number_decides_a_valve() -> None:
    shut = ControlObject(
        "shut", (Condition("guard_open", "above", 0.5, 0.5),), (("close_vent", 0.0),), priority=1
    )
    wide = ControlObject(
        "wide", (Condition("guard_open", "above", 0.5, 0.5),), (("open_vent", 0.0),), priority=2
    )
    assert not Reference(Control((wide, shut), (), RUNS), "emptying").look(0.1, {"guard_open": 1.0}).vent


def test_a_transition_waits_and_the_first_is_followed() -> None:
    ways = (Transition("emptying", "speed_share", "below", 0.5, 0.2, "stopped"),
            Transition("emptying", "filler_request", "below", 0.5, 0.0, "waiting_for_line"))  # fmt: skip
    watch = Reference(Control((), ways, RUNS), "emptying")
    assert watch.look(0.1, {"speed_share": 0.0, "filler_request": 1.0}).state == "emptying"
    assert watch.look(0.1, {"speed_share": 0.0, "filler_request": 0.0}).state == "stopped"


def test_the_default_control_walks_through_a_container() -> None:
    """Ready to empty and back, then a trip to fault and its way out: the states of trade book 5.3."""
    control = resolved(default_control(), POINTS.level)
    watch = Reference(control, "ready")
    calm = {
        "outlet_pressure": 0.5, "outlet_switch": 0.5, "inlet_pressure": 2.0, "air_pressure": 2.0,
        "plate_height": 0.5, "torque_share": 1.0, "filler_request": 1.0, "container_present": 1.0,
        "speed_share": 1.0,
    }  # fmt: skip

    def after(looks: int = 1, wired: bool = False, resets: tuple[str, ...] = (), **changed: float) -> str:
        for _ in range(looks):
            last = watch.look(0.5, calm | changed, resets, wired)
        return last.state

    assert after() == "ready"
    assert after(start_request=1.0) == "approach"
    assert after() == "prime"
    assert after(3, plate_height=2.0) == "emptying"
    assert after(filler_request=0.0, plate_height=2.0) == "waiting_for_line"
    assert after(plate_height=2.0) == "emptying"
    assert after(2, plate_height=0.5, torque_share=0.2) == "press_out"
    assert after(state_time=2.0) == "vent_and_raise"
    assert after(plate_height=2.0) == "drum_empty"
    assert after(container_present=0.0) == "ready"
    assert after(wired=True, outlet_switch=3.0) == "ready"
    assert after() == "fault"
    assert after() == "fault"
    watch.look(0.05, calm, ("trip",), True)
    assert after() == "clearing"
    assert after(state_time=2.0) == "stopped"


def test_power_return_starts_nothing_by_itself() -> None:
    control = resolved(default_control(), POINTS.level)
    watch = Reference(control, "emptying")
    calm = {"air_pressure": 2.0, "inlet_pressure": 2.0, "plate_height": 2.0, "filler_request": 1.0,
            "container_present": 1.0, "torque_share": 2.0}  # fmt: skip
    watch.look(0.01, calm | {"power_return": 1.0}, wired=True)
    assert watch.look(0.1, calm, running=False).pump != "run"
    assert watch.look(0.1, calm, running=False).pump != "run"


def test_the_sum_of_all_pressures_is_ordered() -> None:
    """Numbers only: slow-down, stop and trip of one pressure trace come in this order."""
    control = resolved(default_control(), _levels().level)
    watch = Reference(control, "emptying")
    seen: list[str] = []
    for step in range(120):
        p = 0.1 * BAR * step
        signals = {"outlet_pressure": p, "outlet_switch": p, "air_pressure": 9 * BAR,
                   "inlet_pressure": 2 * BAR, "plate_height": 1.0, "filler_request": 1.0,
                   "container_present": 1.0}  # fmt: skip
        for wired in (True, False):
            seen += [n for n in watch.look(0.02, signals, wired=wired).acting if n not in seen]
    assert [n for n in seen if n in ("slow_down", "process_stop", "trip")] == [
        "slow_down",
        "process_stop",
        "trip",
    ]


def _levels() -> SetPoints:
    rungs = {"slow_down": 4.0, "stop": 6.0, "trip": 7.0, "relief": 8.0, "restart_below": 3.5}
    return SetPoints(**{name: rungs[name] * BAR if name in rungs else 1.0 for name in names()})
