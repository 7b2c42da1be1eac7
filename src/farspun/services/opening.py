"""Finding the stash that is meant: a path, an address, or the file in her data folder."""

from pathlib import Path

from farspun.errors import StashError
from farspun.store.engine import Stash

__all__ = ["Stash", "stash_at"]


def stash_at(place: str | None) -> Stash:
    """The stash at a path or a postgresql:// address; with None, the one in her data folder.

    Looks at nothing on disk. Raises StashError for an address of another kind.
    """
    if not place:
        return Stash(path=_own_folder() / "stash.db", make_folder=True)
    scheme, mark, rest = place.partition("://")
    if not mark:
        return Stash(path=_path(place))
    if scheme == "sqlite":
        return Stash(path=_path(rest.removeprefix("/")))
    if scheme.partition("+")[0] in ("postgresql", "postgres"):
        return Stash(url="postgresql" + mark + rest)
    raise StashError(
        f"A stash cannot be kept at “{scheme}://”.",
        "Give the path of a file, or a postgresql:// address.",
    )


def _path(text: str) -> Path:
    """With ~ spelled out; where no such person has a home it is only part of a name."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        return Path(text)


def _own_folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("farspun", appauthor=False)
