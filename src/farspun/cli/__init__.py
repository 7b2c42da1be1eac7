"""The command line: parse, call one service, print."""


def main() -> None:
    """Run `farspun ARGS`."""
    import sys

    from farspun.cli.app import app
    from farspun.cli.narrowing import leave_only

    leave_only(app, sys.argv[1:])
    app()
