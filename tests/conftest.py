"""Makes the helpers that lie beside this file importable from every test folder; settles hypothesis.

Ordinary runs draw the same examples every time; `make check-long` draws afresh (tools/run_tests.py).
"""

from hypothesis import settings

settings.register_profile("short", derandomize=True, deadline=None)
settings.load_profile("short")
