"""The command line: parse, call one service, print."""


def main() -> None:
    """Run `farspun ARGS`."""
    import sys

    from farspun.cli.app import app
    from farspun.cli.narrowing import narrowed

    narrowed(app, sys.argv[1:])()
