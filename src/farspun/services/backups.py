"""Copies of the stash for a bad day: making one, and putting one back."""

from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sqlalchemy import func, select

from farspun.errors import (
    DamagedStash,
    ImpossibleValue,
    NewerStash,
    NotAStash,
    StashError,
    WrongUse,
)
from farspun.store import copies, engine, files
from farspun.store.engine import Stash, reading
from farspun.store.rows import in_sight
from farspun.store.tables import action, cloth, skein
from farspun.store.trouble import begins_otherwise, not_a_stash

MOVE_AWAY = "If it was your stash, move the file away, and put the copy back again."
ANOTHER = "Name a copy that farspun backup made; its own lie in the folder backups."


@dataclass(frozen=True, slots=True)
class Backup:
    """A copy: where it is, what it holds, when the newest command in it was given (None: never)."""

    path: Path
    skeins: int
    cloths: int
    newest: str | None


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put back, and where what it replaced is kept (None: there was nothing)."""

    backup: Backup
    kept: Path | None


def backup(stash: Stash, file: Path | None = None, force: bool = False) -> Backup:
    """Copy the stash, while it may be in use: to `file`, or beside it in the folder `backups`.

    The copy is looked through before it gets its name. Raises ImpossibleValue where `file` is there
    (with `force` an earlier copy is written over), StashError.
    """
    path = own_file(stash)
    if not stash.exists:
        raise StashError(
            f"There is no stash at {stash.where} yet, so there is nothing to copy.",
            "Name the stash with --stash, or make it: farspun skein add",
        )
    if file is not None:
        file = file.absolute()
        _refuse_place(path, file, force)
    with reading(stash), copies.source(path, engine.BUSY_TIMEOUT_S) as connection:
        if file is None:
            file = copies.automatic(connection, path)
        else:
            try:
                copies.copy_to(connection, file, like=path, over=force)
            except FileExistsError:
                raise _there_already(file) from None
    return look(file)


def before(stash: Stash, why: str) -> Path | None:
    """A copy made by itself before something large, as an import; its path.

    `why` is one or two plain words that become part of its name. None where nothing is stored yet,
    or the stash is kept by a server. Raises StashError.
    """
    if stash.path is None or not stash.exists:
        return None
    with copies.source(stash.path, engine.BUSY_TIMEOUT_S) as connection:
        return copies.automatic(connection, stash.path, why)


def look(file: Path) -> Backup:
    """What a copy holds. Raises StashError where it is none, or damaged."""
    file = file.absolute()
    with _no_copy_said(), reading(Stash(path=file)) as connection:
        if not files.is_there(file):
            raise _nothing_there(file)
        skeins, cloths = (
            connection.execute(
                select(func.count()).select_from(table).where(in_sight(table))
            ).scalar_one()
            for table in (skein, cloth)
        )
        newest = connection.execute(
            select(action.c.at).order_by(action.c.id.desc()).limit(1)
        ).scalar()
        return Backup(file, skeins, cloths, newest)


def would_replace(stash: Stash, file: Path) -> Backup | None:
    """What would come in the stash's place; None where nothing is there. Raises StashError."""
    return look(file) if own_file(stash).exists() else None


def restore(stash: Stash, file: Path) -> Restored:
    """Make the stash what the copy `file` holds; what it was before is kept as a copy.

    The copy is looked through first. Programs that have the stash open go on with the new content.
    Raises StashError, and then nothing was changed.
    """
    path = own_file(stash)
    file = file.absolute()
    if path.exists() and file.exists() and file.samefile(path):
        raise WrongUse(f"{file} is the stash itself.", "Name a copy of it: see the folder backups.")
    with _no_copy_said():
        if not files.is_there(file):
            raise _nothing_there(file)
        source = copies.opened(file, engine.BUSY_TIMEOUT_S)
    with closing(source):
        if stash.make_folder:
            files.make_folder(path.parent)
        kept: list[Path] = []
        try:
            _holds_anything(path)  # another program's file is refused here
            keep = partial(_keep, path, file, kept)
            copies.put_back(source, path, engine.BUSY_TIMEOUT_S, keep)
        except (DamagedStash, NotAStash) as trouble:
            if isinstance(trouble, NotAStash) and not _was_a_stash(path):
                raise NotAStash(trouble.message, MOVE_AWAY) from trouble
            # whatever it is now, its bytes are kept
            kept = [copies.copy_of_bytes(path, "restore")]
            copies.put_in_place(source, path)
    return Restored(look(path), kept[0] if kept else None)


def _keep(path: Path, restoring: Path, kept: list[Path]) -> None:
    """Copy what is about to be replaced; the copy comes into `kept`. Raises DamagedStash."""
    if _holds_anything(path):
        with copies.source(path, engine.BUSY_TIMEOUT_S) as connection:
            kept.append(copies.automatic(connection, path, "restore", spare=[restoring]))


def _holds_anything(path: Path) -> bool:
    """False where no stash was ever written. Raises NotAStash, DamagedStash."""
    if not files.is_there(path):
        return False
    with suppress(NewerStash), copies.source(path, engine.BUSY_TIMEOUT_S) as connection:
        return files.step_in(connection, str(path)) > 0
    return True


@contextmanager
def _no_copy_said() -> Iterator[None]:
    """What is wrong with a copy is answered by naming another copy, not another stash."""
    try:
        yield
    except (NotAStash, DamagedStash) as trouble:
        raise type(trouble)(trouble.message, ANOTHER) from trouble


def _was_a_stash(path: Path) -> bool:
    """A file that is no database any more, and of which farspun made copies."""
    return path.is_file() and begins_otherwise(path) and bool(copies.made(path))


def _nothing_there(file: Path) -> NotAStash:
    why = "it is empty" if file.exists() else "there is no such file"
    return not_a_stash(str(file), why)


def own_file(stash: Stash) -> Path:
    """The file that a stash is. Raises StashError for one that a server keeps."""
    if stash.path is None:
        raise StashError(
            f"The stash {stash.where} is kept by a database server, which makes its own backups.",
            "Ask who looks after the server, or use its own tools (pg_dump and pg_restore).",
        )
    return stash.path


def _refuse_place(path: Path, file: Path, force: bool) -> None:
    """Raises where a copy may not be put at `file`."""
    if file.exists() and file.samefile(path):
        raise WrongUse(f"{file} is the stash itself.", "Name another file for the copy.")
    if copies.is_automatic(path, file):
        raise WrongUse(
            f"{file.name} is a name for farspun's own copies, which are cleared away in time.",
            "Choose another name.",
        )
    if file.is_dir():
        raise WrongUse(f"{file} is a folder.", "Name a file in it for the copy.")
    if not file.parent.is_dir():
        raise StashError(
            f"The copy {file} cannot be written: there is no folder {file.parent}.",
            "Make that folder first, or name a file in another. Nothing was changed.",
        )
    if file.exists() and not force:
        raise _there_already(file)
    if file.exists() and file.stat().st_size > 0:
        look(file)  # only a copy is written over
    beside = [file.with_name(file.name + name) for name in copies.BESIDE]
    if any(one.exists() for one in beside):
        raise not_a_stash(str(file), "another program has a database of that name open")


def _there_already(file: Path) -> ImpossibleValue:
    return ImpossibleValue(
        "the file",
        str(file),
        "it is there already",
        "Choose another name, or add --force to write over that copy.",
    )
