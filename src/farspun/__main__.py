"""`python -m farspun`."""

from farspun.cli import run

run()
