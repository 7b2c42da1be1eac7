"""A fault of farspun itself, written down where it can be found."""

from collections.abc import Sequence


def write_down(fault: Exception, asked: Sequence[str]) -> str:
    """Write the traceback to the log; where it is, in words."""
    import traceback
    from datetime import UTC, datetime

    from platformdirs import user_log_path

    try:
        log = user_log_path("farspun", appauthor=False, ensure_exists=True) / "faults.log"
        with log.open("a", encoding="utf-8") as lines:
            lines.write(f"{datetime.now(UTC).isoformat()} {list(asked)!r}\n")
            lines.write("".join(traceback.format_exception(fault)))
        return f"what happened is written in {log}"
    except OSError as trouble:
        return f"and the log could not be written ({trouble.strerror})"
