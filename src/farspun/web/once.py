"""A form is stored once: its token, and what was answered when it came."""

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import count
from threading import Lock

from farspun.errors import ChangedMeanwhile

KEPT = 2000  # answers; older pages are refused in words
LOOK = "Look whether it was stored; if it was not, send it again from here."


@dataclass
class Sent:
    """A token that came in: what was in the form, and the answer once there is one."""

    number: int
    newest: int
    digest: bytes
    answer: str | None = None
    told: list[str] = field(default_factory=list)
    lock: Lock = field(default_factory=Lock)


class Once:
    """The forms of this process. Nothing of it outlives it, and nothing is written down."""

    def __init__(self, secret: bytes | None = None) -> None:
        self._secret = secret or secrets.token_bytes(32)
        self._numbers = count(1)
        self._sent: OrderedDict[int, Sent] = OrderedDict()
        self._forgotten = 0  # tokens up to here are not known any more
        self._lock = Lock()

    def token(self, form: str, newest: int) -> str:
        """A token for one form, drawn when `newest` was the newest action."""
        number = next(self._numbers)
        return f"{number}.{newest}.{self._signed(form, number, newest)}"

    def sent(self, form: str, token: str, typed: Mapping[str, str]) -> Sent:
        """The token that came with `form`.

        Raises ChangedMeanwhile for one that is not of this process, is forgotten, or came with
        something else before.
        """
        number, newest = self._read(form, token)
        digest = sha256(repr(sorted(typed.items())).encode("utf-8", "replace")).digest()
        with self._lock:
            if number in self._sent:
                found = self._sent[number]
            elif number <= self._forgotten:
                raise ChangedMeanwhile(
                    "This page is too old to tell whether it was sent before.", LOOK
                )
            else:
                found = self._sent[number] = Sent(number, newest, digest)
                self._forget()
        if found.answer is not None and found.digest != digest:
            raise ChangedMeanwhile(
                "This page was sent once already, with something else in it.", LOOK
            )
        return found

    def told(self, number: str | None) -> Sequence[str]:
        """What was said in answer to a form."""
        found = self._sent.get(int(number)) if number and number.isascii() and (
            number.isdecimal() and len(number) < 12) else None  # fmt: skip
        return found.told if found is not None else ()

    def _forget(self) -> None:
        """Only what was answered long ago."""
        while len(self._sent) > KEPT:
            number, _ = self._sent.popitem(last=False)
            self._forgotten = max(self._forgotten, number)

    def _read(self, form: str, token: str) -> tuple[int, int]:
        parts = token.split(".")
        if len(parts) == 3 and all(one.isascii() and one.isdecimal() for one in parts[:2]) and (
            len(token) < 200
        ):  # fmt: skip
            number, newest = int(parts[0]), int(parts[1])
            signed = self._signed(form, number, newest)
            if hmac.compare_digest(signed.encode(), parts[2].encode("utf-8", "replace")):
                return number, newest
        raise ChangedMeanwhile("This page is from before farspun was started last.", LOOK)

    def _signed(self, form: str, number: int, newest: int) -> str:
        said = f"{form}\n{number}\n{newest}".encode("utf-8", "replace")
        return hmac.new(self._secret, said, sha256).hexdigest()
