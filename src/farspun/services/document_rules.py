"""What a document must keep beyond the kind of each value: names, references, ledger, claims.

A document that was exported keeps all of it. One written by hand, or changed, must not bring in
what no command would have let happen: yarn from nowhere, a claim beyond what there was.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property, partial
from typing import Any

from farspun.craft.drawn import canonical_weave
from farspun.craft.fibres import blend
from farspun.errors import FarspunError
from farspun.services.document import (
    ActionDocument,
    AssumptionDocument,
    ClothDocument,
    LineDocument,
    PartDocument,
    SkeinDocument,
    StashDocument,
)
from farspun.services.document_orders import order_troubles
from farspun.services.document_readings import reading_troubles
from farspun.services.document_records import record_troubles
from farspun.services.skeins import tidy_date, tidy_text
from farspun.store.cloths import KINDS
from farspun.units import mass, name_key, skein_name

MG_PER_G = 1000
MICRO = 1_000_000
SHARES_OFF_PPM = 10_000  # as for shares as they are typed
NANO = 1_000_000_000
OF_A_CLOTH = ("taken", "undone", "weighed", "returned")
MOST_FRACTION = {"loss": NANO - 1, "addition": 10 * NANO, "ratio": 10 * NANO}


@dataclass(frozen=True, slots=True)
class Trouble:
    """What cannot be in a document, and where."""

    place: str
    why: str


@dataclass(slots=True)
class Book:
    """The document with what is looked up in it again and again."""

    document: StashDocument
    undoer: dict[int, int]  # place of the command taken back, to that of the one that did it
    named: dict[str, dict[str, Any]] = field(default_factory=dict)

    @classmethod
    def of(cls, document: StashDocument) -> "Book":
        """Look everything up once."""
        undoer = {
            one.undoes: at for at, one in enumerate(document.actions) if one.undoes is not None
        }
        lists = ("looms", "reeds", "skeins", "cloths")
        named = {
            name: {name_key(one.name): one for one in getattr(document, name)} for name in lists
        }
        return cls(document, undoer, named)

    @property
    def actions(self) -> list[ActionDocument]:
        """Every command."""
        return self.document.actions

    def stands(self, place: int) -> bool:
        """An action that was not taken back and takes none back."""
        return place not in self.undoer and self.actions[place].undoes is None

    def knows(self, kind: str, name: str | None) -> bool:
        """Whether it holds a thing of exactly that name; None names nothing."""
        if name is None:
            return True
        found = self.named[kind].get(name_key(name))
        return found is not None and found.name == name


def troubles(document: StashDocument) -> list[Trouble]:
    """Everything that cannot be, in the order of the document."""
    places = [*_action_troubles(document.actions), *_places_beyond(document)]
    if places:
        return places
    book = Book.of(document)
    found = [*_name_troubles(document)]
    for at, loom in enumerate(document.looms):
        found += _must(book.stands(loom.action), f"looms[{at}].action", STANDS)
        given = loom.waste_sd_mm is None or loom.waste_mm is not None
        found += _must(given, f"looms[{at}].waste_sd_mm", "it goes with a waste_mm")
    for at, reed in enumerate(document.reeds):
        found += _must(book.stands(reed.action), f"reeds[{at}].action", STANDS)
        found += _must(book.knows("looms", reed.loom), f"reeds[{at}].loom", _no("loom", reed.loom))
    for at, skein in enumerate(document.skeins):
        found += _skein_troubles(book, skein, f"skeins[{at}]")
    for at, cloth in enumerate(document.cloths):
        found += _cloth_troubles(book, cloth, f"cloths[{at}]")
    return found or list(_claim_troubles(document))


STANDS = "that command was taken back, or takes one back itself"


def _must(holds: bool, place: str, why: str) -> Iterator[Trouble]:
    if not holds:
        yield Trouble(place, why)


def _no(kind: str, name: str | None) -> str:
    return f"the document has no {kind} called “{name}”"


def _reads(read: Callable[[str], object], text: str | None, place: str) -> Iterator[Trouble]:
    """The text must be as the commands would store it."""
    if text is None:
        return
    try:
        tidy = read(text)
    except FarspunError as error:
        yield Trouble(place, error.message)
        return
    if tidy != text:
        yield Trouble(place, f"it is written “{tidy}” in a stash")


def _is_time(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True


def _action_troubles(actions: Sequence[ActionDocument]) -> Iterator[Trouble]:
    taken_back: set[int] = set()
    for at, one in enumerate(actions):
        place = f"actions[{at}]"
        yield from _must(_is_time(one.at), f"{place}.at", "there is no such time")
        if one.undoes is None:
            continue
        earlier = one.undoes < at and actions[one.undoes].undoes is None
        yield from _must(earlier, f"{place}.undoes", "only an earlier command can be taken back")
        once = one.undoes not in taken_back
        yield from _must(once, f"{place}.undoes", "that command was taken back already")
        taken_back.add(one.undoes)


def _places_beyond(document: StashDocument) -> Iterator[Trouble]:
    """Every `action` must be the place of one."""
    many = len(document.actions)

    def look(thing: Any, place: str) -> Iterator[Trouble]:
        for key in ("action", "struck") if place else ():
            if (getattr(thing, key, 0) or 0) >= many:
                yield Trouble(f"{place}.{key}", f"there are {many} actions, counted from 0")
        for name in type(thing).model_fields:
            below = getattr(thing, name)
            if isinstance(below, list) and name not in ("actions", "per_dent"):
                for at, one in enumerate(below):
                    yield from look(one, f"{place}.{name}[{at}]".lstrip("."))

    return look(document, "")


def _name_troubles(document: StashDocument) -> Iterator[Trouble]:
    for kind in ("looms", "reeds", "skeins", "cloths"):
        seen: set[str] = set()
        for at, one in enumerate(getattr(document, kind)):
            place = f"{kind}[{at}].name"
            yield from _reads(skein_name, one.name, place)
            key = name_key(one.name)
            yield from _must(key not in seen, place, f"“{one.name}” is there twice")
            seen.add(key)


def _skein_troubles(book: Book, one: SkeinDocument, place: str) -> Iterator[Trouble]:
    yield from _must(book.stands(one.action), f"{place}.action", STANDS)
    yield from _reads(lambda text: blend(text).said, one.fibre, f"{place}.fibre")
    for name in ("colour", "place", "note"):
        text = getattr(one, name)
        yield from _reads(partial(tidy_text, name), text, f"{place}.{name}")
    yield from _reads(tidy_date, one.spun, f"{place}.spun")
    closed = one.status == "closed"
    yield from _must(
        closed == (one.closed_because is not None),
        f"{place}.closed_because",
        "a closed skein says why, and no other does",
    )
    yield from _rebuy_troubles(one, place)
    for at, reading in enumerate(one.readings):
        where = f"{place}.readings[{at}]"
        doing = book.actions[reading.action]
        yield from _must(doing.undoes is None, f"{where}.action", "taking back makes no reading")
        if reading.struck is not None:
            later = book.stands(reading.struck) and reading.struck > reading.action
            yield from _must(later, f"{where}.struck", "a later command that stands strikes out")
        for name, why in reading_troubles(reading, one.fibre):
            yield Trouble(f"{where}{name}", why)
    yield from LedgerCheck(book, one, place).troubles()


def _rebuy_troubles(one: SkeinDocument, place: str) -> Iterator[Trouble]:
    if one.rebuy_mg is None and one.rebuy_said is None:
        return
    said = one.rebuy_said or ""
    try:
        same = one.mill and one.rebuy_mg == max(1, round(mass(said).value * MG_PER_G))
    except FarspunError:
        same = False
    yield from _must(same, f"{place}.rebuy_mg", "mill yarn has it, with rebuy_said the same mass")


@dataclass(slots=True)
class LedgerCheck:
    """Follows a skein's ledger line by line, as the commands would have written it."""

    book: Book
    skein: SkeinDocument
    place: str

    def troubles(self) -> Iterator[Trouble]:
        """Whatever does not fit."""
        balance_mg, before = 0, -1
        for at, line in enumerate(self.skein.ledger):
            place = f"{self.place}.ledger[{at}]"
            yield from _must(line.action >= before, f"{place}.action", "lines go by their command")
            after = balance_mg + line.delta_mg
            yield from _must(after >= 0, f"{place}.delta_mg", f"it would leave {after} mg")
            why = self._fault(line, balance_mg, after)
            yield from _must(why is None, place, why or "")
            balance_mg, before = after, line.action
        yield from self._reversals()
        closed = self.skein.status == "closed" and balance_mg != 0
        yield from _must(not closed, f"{self.place}.ledger", "a closed skein holds nothing")

    def _fault(self, line: LineDocument, before_mg: int, after_mg: int) -> str | None:
        undoing = self.book.actions[line.action].undoes is not None
        own = {
            "length_mm": line.length_mm is None or line.kind in ("taken", "returned"),
            "cloth": line.cloth is None or line.kind in OF_A_CLOTH,
            "off_claim_mg": line.off_claim_mg is None or line.kind == "taken",
            "weighed_mg": (line.weighed_mg is not None) == (line.kind == "weighed"),
            "step_ug": (line.step_ug is not None) == (line.kind == "weighed"),
        }
        odd = [name for name, fits in own.items() if not fits]
        rules = {
            f"{', '.join(odd)} does not go with “{line.kind}”": not odd,
            "“undone” lines, and no others, come from taking a command back": undoing
            == (line.kind == "undone"),
            "what is made comes to an empty skein, and is more than 0": line.kind != "made"
            or (before_mg == 0 and line.delta_mg > 0),
            "what is taken goes from the skein": line.kind != "taken" or line.delta_mg < 0,
            "what is put back comes to the skein": line.kind != "returned"
            or (line.delta_mg > 0 and line.cloth is not None),
            "a weighing sets the balance to what was weighed": line.kind != "weighed"
            or after_mg == line.weighed_mg,
            "closing takes all that is left": line.kind != "closed" or after_mg == 0,
            _no("cloth", line.cloth): self.book.knows("cloths", line.cloth),
        }
        return next((why for why, holds in rules.items() if not holds), None)

    def _reversals(self) -> Iterator[Trouble]:
        """A command taken back gave back exactly what it had done to the skein."""
        sums: dict[int, int] = {}
        for line in self.skein.ledger:
            sums[line.action] = sums.get(line.action, 0) + line.delta_mg
        pairs: set[tuple[int | None, int | None]]
        pairs = {(self.book.undoer.get(at), at) for at in sums}
        pairs |= {(at, self.book.actions[at].undoes) for at in sums}
        for by, at in sorted((by, at) for by, at in pairs if by is not None and at is not None):
            why = f"actions[{by}] does not give back what it takes back"
            left = sums.get(by, 0) + sums.get(at, 0)
            yield from _must(left == 0, f"{self.place}.ledger", why)


def _cloth_troubles(book: Book, one: ClothDocument, place: str) -> Iterator[Trouble]:
    yield from _must(book.stands(one.action), f"{place}.action", STANDS)
    yield from _must(_is_time(one.planned_at), f"{place}.planned_at", "there is no such time")
    yield from _reads(canonical_weave, one.weave, f"{place}.weave")
    yield from _must(book.knows("looms", one.loom), f"{place}.loom", _no("loom", one.loom))
    yield from _must(book.knows("reeds", one.reed), f"{place}.reed", _no("reed", one.reed))
    for side, parts in (("warp", one.warp), ("weft", one.weft)):
        yield from _part_troubles(book, side, parts, f"{place}.{side}")
        yield from (Trouble(f"{place}.{key}", why) for key, why in order_troubles(one, side))
    given: set[str] = set()
    for at, assumption in enumerate(one.assumptions):
        where = f"{place}.assumptions[{at}]"
        yield from _must(book.stands(assumption.action), f"{where}.action", STANDS)
        yield from _must(assumption.name not in given, where, "it is given twice")
        yield from _assumption_troubles(assumption, where)
        given.add(assumption.name)
    for name, why in record_troubles(one, book.stands):
        yield Trouble(f"{place}{name}", why)


def _assumption_troubles(one: AssumptionDocument, place: str) -> Iterator[Trouble]:
    kind = KINDS.get(one.name)
    if kind is None:
        yield Trouble(f"{place}.name", f"there is no assumption of that name: {', '.join(KINDS)}")
    elif kind != "length":
        most = MOST_FRACTION[kind]
        fits = one.mean_nano <= most and (kind != "ratio" or one.mean_nano > 0)
        yield from _must(fits, f"{place}.mean_nano", f"at most {most} billionths")
        yield from _must(one.sd_nano <= most, f"{place}.sd_nano", f"at most {most} billionths")


def _part_troubles(
    book: Book, side: str, parts: Sequence[PartDocument], place: str
) -> Iterator[Trouble]:
    bare = [part.ends is None and part.share_ppm is None for part in parts]
    yield from _must(all(bare) or not any(bare), place, "some yarns have a part and some have none")
    names = [part.skein for part in parts]
    once = side == "warp" and not any(bare)
    yield from _must(once or len(set(names)) == len(names), place, "a skein is named twice")
    total = sum(part.share_ppm or 0 for part in parts)
    whole = side == "warp" or any(bare) or abs(total - MICRO) <= SHARES_OFF_PPM
    yield from _must(whole, place, f"the shares make {total} millionths")
    for at, part in enumerate(parts):
        where = f"{place}[{at}]"
        yield from _must(book.stands(part.action), f"{where}.action", STANDS)
        yield from _must(
            book.knows("skeins", part.skein), f"{where}.skein", _no("skein", part.skein)
        )
        other = part.share_ppm if side == "warp" else part.ends
        yield from _must(other is None, where, "a warp has ends, a weft has share_ppm")


def _claim_troubles(document: StashDocument) -> Iterator[Trouble]:
    """Each claim was within the balance when it was made; a later weighing may have lowered it."""
    book = Book.of(document)
    stocks = {one.name: Stock(one) for one in document.skeins}
    claims = [
        (claim.action, f"cloths[{at}].claims[{number}]", cloth, claim)
        for at, cloth in enumerate(document.cloths)
        for number, claim in enumerate(cloth.claims)
    ]
    seen: set[tuple[str, str, str]] = set()
    for action, place, cloth, claim in sorted(claims, key=lambda found: found[0]):
        parts = cloth.warp if claim.side == "warp" else cloth.weft
        used = claim.skein in {part.skein for part in parts}
        yield from _must(used, place, f"the cloth has no such skein in its {claim.side}")
        once = (cloth.name, claim.skein, claim.side) not in seen
        yield from _must(once, place, "that skein is claimed twice")
        seen.add((cloth.name, claim.skein, claim.side))
        yield from _must(cloth.status != "given-up", place, "a cloth given up claims nothing")
        yield from _must(book.stands(action), f"{place}.action", STANDS)
        if used:
            stock = stocks[claim.skein]
            stock.claimed_mg += claim.mass_mg
            there = max(0, stock.balance_mg(action) - (stock.claimed_mg - claim.mass_mg))
            why = f"{there} mg of “{claim.skein}” were free then"
            yield from _must(claim.mass_mg <= there, f"{place}.mass_mg", why)


@dataclass
class Stock:
    """A skein's balance as it was after each command, and what was claimed of it so far."""

    skein: SkeinDocument
    claimed_mg: int = 0

    @cached_property
    def steps(self) -> list[tuple[int, int]]:
        """(place of the command, mg it changed)."""
        return [(line.action, line.delta_mg) for line in self.skein.ledger]

    def balance_mg(self, action: int) -> int:
        """What there was when that command was done."""
        return sum(delta_mg for at, delta_mg in self.steps if at <= action)
