"""The file of an import or export: what kind it is, reading it whole, writing it whole."""

import os
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Literal

from farspun.errors import BadFile, UnreadableValue, WrongUse

MOST_BYTES = 200_000_000  # a hundred thousand skeins with all that happened; judgement


def kind_of(path: Path) -> Literal["csv", "json"]:
    """By the end of its name. Raises WrongUse for another."""
    kind = path.suffix.lower()
    if kind == ".csv":
        return "csv"
    if kind == ".json":
        return "json"
    raise WrongUse(
        f"The name “{path.name}” does not say what kind of file it is.",
        "Let it end in .csv (a table of skeins) or in .json (everything).",
    )


def text_of(path: Path) -> str:
    """The whole file as text, its lines ended alike. Raises UnreadableValue."""
    hint = "Name a file that farspun export wrote, or a table saved as CSV."
    try:
        if path.exists() and not path.is_file():
            why = "it is a folder" if path.is_dir() else "it is not a file"
            raise UnreadableValue("the file", str(path), why, hint)
        size = path.stat().st_size
        if size > MOST_BYTES:
            why = f"it is larger than {MOST_BYTES // 1_000_000} MB"
            raise UnreadableValue("the file", str(path), why, "Split it into smaller ones.")
        data = path.read_bytes()
    except (OSError, ValueError) as trouble:
        why = (getattr(trouble, "strerror", None) or "it has no such name").lower()
        raise UnreadableValue("the file", ascii_safe(path), why, hint) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = data.count(b"\n", 0, trouble.start) + 1
        raise UnreadableValue(
            "the file", str(path), f"line {line} is not UTF-8", "Save it as UTF-8, and try again."
        ) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise UnreadableValue(
            "the file",
            str(path),
            f"line {line} holds a NUL byte, which no text has",
            "Save it again as UTF-8 text.",
        )
    if not text.strip():
        raise UnreadableValue("the file", str(path), "it is empty", hint)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def ascii_safe(path: Path) -> str:
    """A name that can be printed, whatever bytes it holds."""
    return str(path).encode("utf-8", "replace").decode()


def write_whole(path: Path, content: str | bytes) -> None:
    """Write the file at once: the whole of it, or what was there before stays. Raises WrongUse."""
    refuse_no_place(path)
    try:
        _replace(path, content.encode() if isinstance(content, str) else content)
    except OSError as trouble:
        raise _unwritable(path, trouble) from None


def refuse_no_place(path: Path) -> None:
    """Raises WrongUse where the file's folder is missing, it is a folder, or no name of a file."""
    folder = path.parent
    try:
        is_folder, has_folder = path.is_dir(), folder.is_dir()
    except OSError as trouble:  # as a name that is too long
        raise _unwritable(path, trouble) from None
    if not has_folder:
        raise WrongUse(
            f"The file {ascii_safe(path)} cannot be written: there is no folder"
            f" {ascii_safe(folder)}.",
            "Make the folder first, or name another place.",
        )
    if is_folder:
        raise WrongUse(f"{ascii_safe(path)} is a folder.", "Name a file.")


def check_new_pdf(path: Path, force: bool) -> None:
    """Raises WrongUse where no PDF can be put there, or a file would be written over unasked."""
    if path.suffix.lower() != ".pdf":
        raise WrongUse(
            f"The name “{ascii_safe(Path(path.name))}” does not end in .pdf, and a card is a PDF.",
            "Let it end in .pdf.",
        )
    refuse_no_place(path)
    if is_there(path) and not force:
        raise WrongUse(
            f"{ascii_safe(path)} is there already.", "To write over it: --force. Or name another."
        )


def is_there(path: Path) -> bool:
    """Whether there is something of that name; a name no file can have is not there."""
    try:
        return path.exists()
    except OSError as trouble:
        return isinstance(trouble, PermissionError)


def _unwritable(path: Path, trouble: OSError) -> WrongUse:
    return WrongUse(
        f"The file {ascii_safe(path)} cannot be written ({trouble.strerror}).",
        "Look whether there is room, and you may write there; or name another place.",
    )


def _replace(path: Path, data: bytes) -> None:
    mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
    if path.exists() and not path.is_file():
        path.write_bytes(data)  # a pipe or a device takes what it is given
        return
    with NamedTemporaryFile(dir=path.parent, prefix=".farspun-", delete=False) as unfinished:
        place = Path(unfinished.name)
        try:
            unfinished.write(data)
            unfinished.flush()
            os.fsync(unfinished.fileno())
            place.chmod(mode)
            place.replace(path)
        except BaseException:
            place.unlink(missing_ok=True)
            raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def refusal(path: Path, faults: list[str], what: str, advice: str) -> BadFile:
    """The error that lists everything bad in a file."""
    return BadFile(ascii_safe(path), faults, what, advice)
