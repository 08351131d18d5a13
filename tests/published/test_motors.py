"""Motor efficiencies: coefficients of UK SI 2021/745 (opened), the IEC 60034-30-1 table from memory."""

import pytest

from drumwright.machine.pump import motor
from validation_registry import record

SOURCE = "IEC 60034-30-1 / (EU) 2019/1781, IE3 at 50 Hz"
KILOWATTS = (0.75, 1.1, 1.5, 2.2, 3.0, 4.0, 5.5, 7.5, 11.0, 15.0, 18.5, 22.0, 30.0)
FOUR_POLES = (82.5, 84.1, 85.3, 86.7, 87.7, 88.6, 89.6, 90.4, 91.4, 92.1, 92.6, 93.0, 93.6)
SIX_POLES = (78.9, 81.0, 82.5, 84.3, 85.6, 86.8, 88.0, 89.1, 90.3, 91.2, 91.7, 92.2, 92.9)


@pytest.mark.parametrize(("check", "poles", "table"), [("PMP-08", 4, FOUR_POLES), ("PMP-10", 6, SIX_POLES)])
def test_efficiency_of_every_size(check: str, poles: int, table: tuple[float, ...]) -> None:
    """PMP-08, PMP-10: the remembered table within its rounding of 0.05 %."""
    for power, theirs in zip(KILOWATTS, table, strict=True):
        ours = 100.0 * motor.motor_efficiency(1000.0 * power, "IE3", poles)
        name = f"{poles} poles, {power:g} kW"
        assert record(check, SOURCE, name, theirs, ours, "%", 0.06, "from memory", absolute=True).agrees


def test_a_motor_without_coefficients_is_refused() -> None:
    for power, kind, poles in ((100.0, "IE3", 4), (250e3, "IE3", 4), (1500.0, "IE5", 4), (1500.0, "IE3", 10)):
        with pytest.raises(ValueError, match="no efficiency coefficients"):
            motor.motor_efficiency(power, kind, poles)


def test_every_size_of_the_series_has_an_efficiency_and_larger_is_better() -> None:
    found = [motor.motor_efficiency(power) for power in motor.sizes()]
    assert found == sorted(found)
    assert min(found) > 0.6 and max(found) < 0.97
