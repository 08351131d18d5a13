"""Koocheki et al., Int. J. Food Sci. Technol. 44 (2009) 596-602 (abstract): bands of ketchup, 25-55 C."""

import tomllib

from drumwright.basis.tables import data_path

ENERGY_LOW, ENERGY_HIGH = 5492.6, 21475.8  # J/mol


def test_assumed_activation_energy_lies_in_the_measured_band_of_ketchup() -> None:
    """RHE-26: 5.4926 to 21.4758 kJ/mol; the likely value assumed for an unknown product lies inside.

    A band, not a number to reproduce: it is not counted in the validation page.
    """
    with data_path("defaults.toml") as path:
        likely = tomllib.loads(path.read_text(encoding="utf-8"))["product.activation_energy"]["likely"]
    amount, unit = likely.split()
    assert unit == "kJ/mol"
    assert ENERGY_LOW < 1e3 * float(amount) < ENERGY_HIGH
