"""The command line: parse, call one service, print."""


def main() -> None:
    """Run `farspun ARGS`; ends with SystemExit."""
    import gc
    import sys

    gc.disable()  # a command is over before looking for garbage would pay: a tenth of its time
    from farspun.cli.app import app
    from farspun.cli.narrowing import narrowed

    narrowed(app, sys.argv[1:])()


def run() -> None:
    """`main` as a process of its own: once all is said, it does not tidy up its memory.

    What was registered to be done at the end is done, and everything is written out first; where
    that fails, Python ends it as it ends any program. Taking modules apart one by one would be a
    sixth of the time of a command.
    """
    import atexit
    import os
    import sys

    try:
        main()
    except SystemExit as ended:
        if ended.code is not None and not isinstance(ended.code, int):
            raise
        try:
            sys.stdout.flush()
            sys.stderr.flush()
        except OSError:
            raise ended from None
        atexit._run_exitfuncs()
        os._exit(ended.code or 0)
