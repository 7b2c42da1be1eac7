"""On how many examples a property is tried: a few in every run, more where a run has the time.

FARSPUN_EXAMPLES says how many times as many; `sh tests/run long` says 5.
"""

import os

from hypothesis import settings

TIMES = int(os.environ.get("FARSPUN_EXAMPLES", "1"))


def tried(number: int) -> settings:
    """So many examples, as long as each may take."""
    return settings(max_examples=number * TIMES, deadline=None)
