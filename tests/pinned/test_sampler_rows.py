"""Our own state, no verification: inputs keep their row of the sampler, so no band moves by a new one."""

from __future__ import annotations

import hashlib

from drumwright.station.inputs import dimensions

FIRST = 177  # rows before the fields of what happens in time
DIGEST = "5a07c8c061be06253a6ba382907abdee240e33199cabedb231c7e58f5b273b81"


def test_the_rows_that_were_there_stand_where_they_stood() -> None:
    text = "\n".join(dimensions()[:FIRST]) + "\n"
    assert hashlib.sha256(text.encode()).hexdigest() == DIGEST, "a new input must stand last: see `_LAST`"
