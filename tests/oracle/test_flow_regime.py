"""Any-regime friction: laminar below the limit without the library, turbulent above, never less."""

import subprocess
import sys

import numpy as np
import pytest
from fluids.friction import friction_factor

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow import fittings, pipe
from drumwright.flow.regime import metzner_reed
from drumwright.flow.turbulent import dodge_metzner, newtonian_friction_factor, pressure_drop_any_regime


def test_laminar_samples_equal_the_laminar_law() -> None:
    flow = np.logspace(-7, -3, 50)
    ours = pressure_drop_any_regime(flow, 0.05, 5.0, 1100.0, 150.0, 60.0, 0.35)
    np.testing.assert_array_equal(ours, pipe.pressure_drop(flow, 0.05, 5.0, 150.0, 60.0, 0.35))


def test_laminar_flow_never_imports_the_library() -> None:
    code = (
        "import sys; from drumwright.flow.turbulent import pressure_drop_any_regime as drop;"
        "drop([0.0, 1e-3], 0.05, 5.0, 1100.0, 150.0, 60.0, 0.35);"
        "drop(1e-5, 0.05, 5.0, 1000.0, 0.0, 0.001, 1.0);"
        "sys.exit('fluids' in sys.modules or 'scipy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_water_is_the_library() -> None:
    flow, bore, rough = 2e-3, 0.05, 5e-5
    velocity = flow / (0.25 * np.pi * bore**2)
    reynolds = 1000.0 * velocity * bore / 0.001
    exact = friction_factor(Re=reynolds, eD=rough / bore) * 5.0 / bore * 0.5 * 1000.0 * velocity**2
    ours = pressure_drop_any_regime(flow, bore, 5.0, 1000.0, 0.0, 0.001, 1.0, rough)
    assert ours == pytest.approx(exact, rel=1e-12)


def test_dodge_metzner_joins_the_smooth_newtonian_pipe() -> None:
    """At n = 1 the equation is Nikuradse's; the library's smooth factor lies within 2 %."""
    for reynolds in (5e3, 3e4, 1e6):
        assert dodge_metzner(reynolds, 1.0) == pytest.approx(newtonian_friction_factor(reynolds), rel=0.02)


def test_mixed_samples_take_their_own_branch_and_never_less_than_laminar() -> None:
    flow = np.array([1e-3, 1e-5, 1e-2, 2e-2, 0.0])
    tau_y, k, n = (
        np.array([0, 0, 0.1, 2.0, 5.0]),
        np.array([1e-3, 1.0, 0.01, 0.01, 0.01]),
        np.array([1, 0.5, 0.7, 1, 0.9]),
    )
    ours = np.asarray(pressure_drop_any_regime(flow, 0.05, 1.0, 1000.0, tau_y, k, n))
    laminar = np.asarray(pipe.pressure_drop(flow, 0.05, 1.0, tau_y, k, n))
    assert np.all(ours >= laminar)
    assert list(ours > laminar) == [True, False, True, True, False]
    single = [
        float(pressure_drop_any_regime(flow[i], 0.05, 1.0, 1000.0, tau_y[i], k[i], n[i])) for i in range(5)
    ]
    np.testing.assert_allclose(ours, single, rtol=1e-13)


def test_metzner_reed_is_sixteen_over_fanning() -> None:
    stress = float(pipe.wall_stress(1e-3, 0.05, 0.0, 0.5, 1.0))
    assert metzner_reed(1e-3, 0.05, 1000.0, stress) == pytest.approx(4 * 1000.0 * 1e-3 / (np.pi * 0.05 * 0.5))


def test_equivalent_diameters_of_the_physics_book() -> None:
    """Section 5.3: K1/64 pipe diameters."""
    printed = {
        "bend_90": 12.5,
        "bend_45": 7.8,
        "tee_run": 2.3,
        "full_bore_valve": 4.7,
        "butterfly_valve": 12.5,
        "diaphragm_valve": 15.6,
        "globe_valve": 23.4,
        "swing_check": 23.4,
        "lift_check": 31.3,
    }
    for name, diameters in printed.items():
        assert fittings.equivalent_diameters(name) == pytest.approx(diameters, abs=0.051)
    assert set(printed) < set(fittings.COMMON)
    for name in fittings.COMMON:
        assert fittings.two_k_constants(name)[0] == pytest.approx(64.0 * fittings.equivalent_diameters(name))


@pytest.mark.parametrize(
    "arguments",
    [
        (-1e-4, 0.05, 150.0, 60.0, 0.35),
        (1e-4, 0.0, 150.0, 60.0, 0.35),
        (1e-4, 0.05, -1.0, 60.0, 0.35),
        (1e-4, 0.05, 150.0, 0.0, 0.35),
        (1e-4, 0.05, 150.0, 60.0, 0.01),
        (1e-4, 0.05, 150.0, 60.0, 3.0),
        (float("nan"), 0.05, 150.0, 60.0, 0.35),
        (1e-4, 0.05, float("nan"), 60.0, 0.35),
        (1e-4, 0.05, 150.0, 60.0, float("nan")),
    ],
)
def test_values_out_of_range_are_refused(arguments: tuple[float, ...]) -> None:
    with pytest.raises(FlowOutOfRange):
        pipe.wall_stress(*arguments)
