"""What a database says when a stash cannot be used, in the words of farspun.errors."""

from farspun.errors import DamagedStash, LockedStash, NotAStash, ReadOnlyStash, StashError

DAMAGE = ("malformed", "not a database", "corrupt", "disk i/o error", "no such table")


def locked(where: str) -> LockedStash:
    """Another program holds the stash."""
    return LockedStash(
        f"The stash {where} is being written by another program.",
        "Close the other program, or wait a moment and try again.",
    )


def damaged(where: str, why: str) -> DamagedStash:
    """The file is a stash, or was one, and cannot be read as a whole."""
    return DamagedStash(
        f"The stash {where} is damaged ({why}).",
        "Put back the latest copy you have, or name another stash with --stash.",
    )


def read_only(where: str) -> ReadOnlyStash:
    """The file or its folder may only be read."""
    return ReadOnlyStash(
        f"The stash {where} can be read but not written.",
        "Give yourself the right to write the file and its folder, or use a copy of it.",
    )


def not_a_stash(where: str, why: str) -> NotAStash:
    """The path leads to something else."""
    return NotAStash(
        f"{where} is not a stash: {why}.", "Name the stash file with --stash, or a new one."
    )


def stash_error(where: str, error: BaseException) -> StashError | None:
    """The plain error for what the database driver raised; None where it is not about the stash.

    >>> stash_error("a.db", Exception("database is locked")).exit_code
    5
    """
    text = str(error)
    said = text.lower()
    if "locked" in said or "busy" in said:
        return locked(where)
    if "readonly" in said or "read-only" in said:
        return read_only(where)
    if "disk is full" in said:
        return StashError(
            f"The stash {where} cannot grow: the disk is full.",
            "Make room on the disk; nothing of this command was stored.",
        )
    if "unable to open" in said or "connection" in said:
        return StashError(
            f"The stash {where} cannot be opened ({text.splitlines()[0]}).",
            "Look whether its folder is there and you may read and write in it.",
        )
    if any(sign in said for sign in DAMAGE):
        return damaged(where, text.splitlines()[0])
    return None
