"""What a database says when a stash cannot be used, in the words of farspun.errors."""

from pathlib import Path

from farspun.errors import DamagedStash, LockedStash, NotAStash, ReadOnlyStash, StashError

MAGIC = b"SQLite format 3\0"  # the first bytes of every SQLite 3 file
DAMAGE = (
    *("malformed", "not a database", "corrupt", "no such table", "no such column", "decode"),
    *("unsupported file format", "text encoding", "sql logic error"),
)


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
        "Put back the latest copy you have (farspun restore FILE); farspun doctor tells more.",
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
        f"The file {where} is not a stash: {why}.",
        "Name the stash file with --stash, or a new one.",
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
    if "disk i/o error" in said:
        return StashError(
            f"The stash {where} could not be read or written ({text.splitlines()[0]}).",
            "Look whether the disk is full or failing; what was stored before is kept.",
        )
    if "unable to open" in said or "connection" in said:
        return StashError(
            f"The stash {where} cannot be opened ({text.splitlines()[0]}).",
            "Look whether its folder is there and you may read and write in it.",
        )
    if "not a database" in said and begins_otherwise(Path(where)):
        return not_a_stash(where, "it is some other kind of file")
    if any(sign in said for sign in DAMAGE):
        return damaged(where, text.splitlines()[0])
    return None


def begins_otherwise(file: Path) -> bool:
    """Whether it is no SQLite file; only to be asked of one that SQLite could not open."""
    try:
        with file.open("rb") as opened:
            return opened.read(len(MAGIC)) != MAGIC
    except OSError:
        return False
