"""The command line: parse, call one service, print."""


def main() -> None:
    """Run `farspun ARGS`."""
    from farspun.cli.app import app

    app()
