"""The same sweep on a local cluster gives the same answers; needs the extra `cluster`."""

from __future__ import annotations

from pathlib import Path

import pytest

from drumwright.basis.errors import QuantityError
from drumwright.study.sweep import sweep

WHOLE = Path(__file__).resolve().parents[1] / "whole"


def test_a_cluster_gives_the_same_answers() -> None:
    paths = [WHOLE / f"S{number}.toml" for number in ("01", "11", "12")]
    assert sweep(paths, samples=256, workers=2, cluster="local") == sweep(paths, samples=256)


def test_a_cluster_that_is_not_there_is_named() -> None:
    with pytest.raises(QuantityError, match="cannot be used"):
        sweep([WHOLE / "S01.toml"], samples=256, cluster="tcp://127.0.0.1:1")
