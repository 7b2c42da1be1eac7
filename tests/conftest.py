"""What holds for all tests.

Properties are tried on the same examples in every run, so that a run says something of the change
and not of its luck; `sh tests/run long` draws new ones, and more of them (properties/tried.py).
The command tree is built once: that takes longer than most commands.
"""

import functools
import os

import typer.testing
from hypothesis import settings

typer.testing._get_command = functools.cache(typer.testing._get_command)

settings.register_profile("steady", derandomize=True)
if os.environ.get("FARSPUN_EXAMPLES", "1") == "1":
    settings.load_profile("steady")
