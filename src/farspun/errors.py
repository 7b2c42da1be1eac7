"""Every error a person can meet.

::

    FarspunError
    ├── WrongUse            2  the command does not fit together
    │   └── ChangedMeanwhile 2  a page of the stash that is not as it was drawn any more
    ├── ImpossibleValue     3  a value that cannot be
    │   ├── UnreadableValue 3  a value that cannot be read
    │   ├── ToConfirm       3  a value that can hardly be, and is asked about first
    │   └── BadFile         3  a file with bad cells or places, each of them told
    ├── NotFound            4  no such skein, cloth, loom or reed
    └── StashError          5  the stash cannot be used
        ├── NotAStash
        ├── NewerStash
        ├── DamagedStash
        ├── LockedStash
        └── ReadOnlyStash

Each says in one line what happened, with names and numbers, and in a second what to do; a bad file
tells everything bad in it between the two.
Exit code 1 is kept for a fault of farspun itself and 2 also for the command line's own errors.
"Not enough yarn" is an answer, not an error.
"""

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from types import MappingProxyType
from unicodedata import category

EXIT_FAULT = 1
EXIT_UNCERTAIN = 10
EXIT_FALLS_SHORT = 11
MOST_SHOWN = 200  # characters of a name in a message


class FarspunError(Exception):
    """What happened (one line) and what to do about it (one line)."""

    slug = "error"
    exit_code = EXIT_FAULT
    faults: tuple[str, ...] = ()
    boxes: Mapping[str, str] = MappingProxyType({})  # what is wrong with each of several values

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = one_line(message)
        self.hint = one_line(hint)


class WrongUse(FarspunError):
    """Options that do not go together, or a part left out."""

    slug = "wrong-use"
    exit_code = 2


class ChangedMeanwhile(WrongUse):
    """What a page shows changed after it was drawn, or the page was sent before."""

    slug = "changed-meanwhile"


class ImpossibleValue(FarspunError):
    """A value outside what can be; `allowed` says in words what can."""

    slug = "impossible-value"
    exit_code = 3

    def __init__(self, what: str, said: str, allowed: str, hint: str = "") -> None:
        super().__init__(
            f"{what} cannot be {said}: {ended(allowed)}",
            hint or f"Give {what} again: {ended(allowed)}",
        )
        self.what, self.said, self.allowed = what, said, allowed


class UnreadableValue(ImpossibleValue):
    """Text that is not a quantity, size, percentage or name of the wanted kind."""

    slug = "unreadable-value"

    def __init__(self, what: str, said: str, why: str, hint: str) -> None:
        FarspunError.__init__(self, f"{what} “{said}” cannot be read: {ended(why)}", hint)
        self.what, self.said, self.allowed = what, said, why


class ToConfirm(ImpossibleValue):
    """A value that can hardly be: nothing is stored until it is said to be right (`--sure`).

    `asked`: what it comes to, what is usual, and the likely slip, as sentences.
    """

    slug = "to-confirm"

    def __init__(self, what: str, said: str, asked: str) -> None:
        FarspunError.__init__(self, f"Is that right? {asked}", "If it is right, add --sure.")
        self.what, self.said, self.allowed = what, said, asked


class BadFile(ImpossibleValue):
    """A file that does not come in; `faults` tells every bad place, one line each."""

    slug = "bad-file"

    def __init__(self, file: str, faults: Iterable[str], what: str, hint: str) -> None:
        self.faults = tuple(one_line(fault) for fault in faults)
        many = f"{len(self.faults)} {what}s are" if len(self.faults) > 1 else f"1 {what} is"
        super().__init__(f"the file {file}", "imported", f"{many} bad, so nothing was stored", hint)


class NotFound(FarspunError):
    """No such skein, cloth, loom, reed, fibre, weave; the nearest names are offered."""

    slug = "not-found"
    exit_code = 4

    def __init__(self, kind: str, name: str, known: Iterable[str], hint: str = "") -> None:
        name = shortened(name)
        self.kind, self.name = kind, name
        self.nearest = nearest_names(name, known)
        offer = " or ".join(f"“{near}”" for near in self.nearest)
        super().__init__(
            f"There is no {kind} called “{name}”.",
            f"Did you mean {offer}?" if offer else hint or f"See the list: farspun {kind} list",
        )


class StashError(FarspunError):
    """The stash file cannot be used as it is."""

    slug = "stash"
    exit_code = 5


class NotAStash(StashError):
    """A folder, or a file that is something else."""

    slug = "not-a-stash"


class NewerStash(StashError):
    """Written by a later farspun."""

    slug = "newer-stash"


class DamagedStash(StashError):
    """The file cannot be read as a whole."""

    slug = "damaged-stash"


class LockedStash(StashError):
    """Another program holds it."""

    slug = "locked-stash"


class ReadOnlyStash(StashError):
    """It can be read but not written."""

    slug = "read-only-stash"


def one_line(text: str) -> str:
    """Text as it can be shown: line breaks, control characters and half characters replaced.

    >>> one_line("Gorse\\n1")
    'Gorse·1'
    """
    unfit = ("Cc", "Cs", "Zl", "Zp")
    return "".join("·" if category(sign) in unfit else sign for sign in text)


def ended(text: str) -> str:
    """A sentence with one sign at its end.

    >>> ended("more than 0 g"), ended("were 45 g used since?"), ended("measure it again.")
    ('more than 0 g.', 'were 45 g used since?', 'measure it again.')
    """
    return text if text.endswith((".", "?", "…")) else f"{text}."


def shortened(name: str) -> str:
    """A name as a message can hold it."""
    return name if len(name) <= MOST_SHOWN else f"{name[: MOST_SHOWN - 1]}…"


def nearest_names(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known names that look most like `name`, best first.

    >>> nearest_names("drift wood", ["Driftwood", "Gorse 1"])
    ['Driftwood']
    """
    by_key = {candidate.casefold(): candidate for candidate in known}
    found = get_close_matches(name.casefold(), by_key, n=most, cutoff=0.5)
    starts = [key for key in by_key if key.startswith(name.casefold()) and key not in found]
    return [by_key[key] for key in (found + starts)[:most]]
