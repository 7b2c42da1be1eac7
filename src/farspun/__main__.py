"""`python -m farspun`."""

from farspun.cli import main

main()
