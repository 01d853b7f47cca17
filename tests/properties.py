"""How properties are tried, set before the tests are read, which name a number of examples or none.

They are tried with the same examples at every run, so that a red run is the work of the last
change; ``CONSULT_LONG=1`` draws new ones, and three times as many. None has a time
limit: a machine that does something else besides would break it.
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

from tests.long import LONG, PARTS, examples

UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


def set_examples(*, quick: bool) -> None:
    """Fewer of them for the quick tests."""
    if quick and not LONG:
        PARTS.append(12)
    settings.register_profile("new examples", UNTIMED, print_blob=True)
    same = settings(UNTIMED, derandomize=True, max_examples=examples(50))
    settings.register_profile("same every time", same)
    settings.load_profile("new examples" if LONG else "same every time")
