"""The command line: parse, call one service, print."""


def main() -> None:
    """Run `farspun ARGS`."""
    import gc
    import sys

    gc.disable()  # a command is over before looking for garbage would pay: a tenth of its time
    from farspun.cli.app import app
    from farspun.cli.narrowing import narrowed

    narrowed(app, sys.argv[1:])()
