"""Makes the helpers that lie beside this file importable from every test folder; settles hypothesis.

Ordinary runs draw the same examples every time; `make check-long` sets DRUMWRIGHT_HYPOTHESIS=long for more
examples from a fresh seed.
"""

import os

from hypothesis import settings

settings.register_profile("short", derandomize=True, deadline=None)
settings.register_profile("long", max_examples=2000, deadline=None)
settings.load_profile(os.environ.get("DRUMWRIGHT_HYPOTHESIS", "short"))
