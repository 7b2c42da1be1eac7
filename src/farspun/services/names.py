"""What is named, looked up in the stash: a cloth, its looms and reeds, the yarns of each side."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from farspun.craft.plan import Loom, Part, Plan, Reed
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.cloth_asked import ClothAsked
from farspun.services.orders import named_in
from farspun.store import cloths
from farspun.store.equipment import looms, reeds
from farspun.store.skeins import named
from farspun.units import name_key, share, whole

SHARES_OFF = 0.01  # of the whole; judgement: three thirds said as 33 % each


class Names:
    """Looks up what is named in the stash, with the nearest names where there is no such thing."""

    def __init__(self, connection: Connection) -> None:
        self.looms = looms(connection)
        self.reeds = reeds(connection)
        self._connection = connection

    def loom(self, name: str | None) -> Loom | None:
        """The loom of that name; None for None."""
        return None if name is None else _named("loom", name, self.looms)

    def looms_for(self, loom: Loom | None, asked: bool) -> list[Loom | None]:
        """The loom asked for alone, else all she owns, `loom` first; with none, one of no width."""
        if loom is not None and asked:
            return [loom]
        others = [one for one in self.looms if one != loom]
        return [loom, *others] if loom else list(self.looms) or [None]

    def reed(self, name: str | None) -> Reed | None:
        """The reed of that name; None for None."""
        return None if name is None else _named("reed", name, self.reeds)

    def side(self, before: Plan, asked: ClothAsked, side: str) -> tuple[Part, ...]:
        """The yarns of a side: as named, else as they were, else those that its order names."""
        texts: Sequence[str] | None = getattr(asked, side)
        parts: tuple[Part, ...] = getattr(before, side)
        order: str | None = getattr(asked, f"{side}_order")
        if texts is not None:
            return self.parts(side, texts)
        if parts or order is None:
            return parts
        named = [self._part(side, yarn) for yarn in named_in(order, side)]
        return tuple(Part(one) for one in dict.fromkeys(part.skein_id for part in named))

    def parts(self, side: str, texts: Sequence[str]) -> tuple[Part, ...]:
        """SKEIN, SKEIN:ENDS (warp) or SKEIN:SHARE (weft), each in the order given."""
        parts = tuple(self._part(side, text) for text in texts)
        bare = [part.ends is None and part.share is None for part in parts]
        if any(bare) and not all(bare):
            word = "ENDS" if side == "warp" else "SHARE"
            raise WrongUse(
                f"Some {side} yarns have {word} and some have none.",
                f"Give {word} to each {side} yarn, or to none.",
            )
        if side == "weft" or any(bare):
            _check_once(side, parts, texts)
        if side == "weft" and parts and not any(bare):
            total = sum(part.share or 0.0 for part in parts)
            if not abs(total - 1) <= SHARES_OFF + 1e-9:
                raise ImpossibleValue("the shares of the weft", f"{total:.0%} together", "100 %")
            parts = tuple(replace(part, share=(part.share or 0.0) / total) for part in parts)
        return parts

    def _part(self, side: str, text: str) -> Part:
        """The whole text is first tried as a name, else split at the last colon."""
        whole_text = named(self._connection, text)
        if whole_text is not None:
            return Part(whole_text["id"])
        name, colon, number = text.rpartition(":")
        found = named(self._connection, name) if colon else None
        if found is None:
            known = cloths.skein_names(self._connection)
            raise NotFound("skein", (name if colon else text).strip(), known)
        skein_id = found["id"]
        if side == "warp":
            return Part(skein_id, ends=whole(number.strip(), f"ends of {name.strip()}"))
        return Part(skein_id, share=share(number, f"share of {name.strip()}").value)


def _check_once(side: str, parts: Sequence[Part], texts: Sequence[str]) -> None:
    """A skein gives its length once; only in the order of a warp may it come again."""
    ids = [part.skein_id for part in parts]
    for at, skein_id in enumerate(ids):
        if skein_id in ids[:at]:
            raise WrongUse(
                f"“{texts[at].strip()}” is named twice in the {side}.",
                "Name each skein once; add its shares together.",
            )


def _named(kind: str, name: str, owned: Sequence[Any]) -> Any:
    found = [one for one in owned if name_key(one.name) == name_key(name)]
    if not found:
        raise NotFound(kind, name.strip(), [one.name for one in owned])
    return found[0]


def cloth_named(connection: Connection, name: str) -> Plan:
    """The cloth of that name. Raises NotFound with the nearest names."""
    known = cloths.cloth_names(connection)
    found = [cloth_id for one, cloth_id in known.items() if name_key(one) == name_key(name)]
    if not found:
        raise NotFound("cloth", name.strip(), known)
    return cloths.plans(connection, found)[0]
