"""A new skein against the yarn it was spun for: does it fit the cloth, and if not, what changes."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.fibres import blend
from farspun.craft.plan import OPEN, Part, Plan
from farspun.errors import FarspunError, ImpossibleValue
from farspun.services.answers import Check
from farspun.services.case_for import yarn_groups
from farspun.services.checking import checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.names import cloth_named
from farspun.services.planning import planned
from farspun.services.stages import SAID
from farspun.services.writing import Deed
from farspun.store import cloths
from farspun.store.skeins import skein_named
from farspun.store.supplies import Supply, supplies

FITS = 0.10  # of ln grist; judgement: a hand-spinner's own unevenness


@dataclass(frozen=True, slots=True)
class SpunFor:
    """What the new skein means for its cloth.

    `grist_ratio`: its tex over that of the yarn it was spun for, None where either is not known;
    `joined`: it was put to that yarn and is kept for the cloth. `before`: the answer without it,
    `now`: with it and the set-up as it is, `anew`: with the set-up chosen anew, None where that
    cannot be or is the same. `differs`: in what else it is another yarn. `command`: what puts it
    into the cloth by hand, None where only she can say its place.
    """

    cloth: str
    sides: list[str]
    yarn: str
    tex: float | None
    yarn_tex: float | None
    joined: bool
    differs: list[str]
    before: Check
    now: Check | None
    anew: Check | None
    command: str | None

    @property
    def grist_ratio(self) -> float | None:
        """Above 1: thicker than meant."""
        return self.tex / self.yarn_tex if self.tex and self.yarn_tex else None


@dataclass(frozen=True, slots=True)
class _Place:
    """A yarn of a side: its skeins, and whether its cloth is short of it."""

    side: str
    skeins: tuple[Supply, ...]
    bare: bool
    short: bool
    tex: float | None


def open_cloth(connection: Connection, name: str) -> Plan:
    """The cloth a skein may be spun for. Raises NotFound, ImpossibleValue."""
    plan = cloth_named(connection, name)
    if plan.status not in OPEN:
        raise ImpossibleValue(
            "the cloth",
            f"“{plan.name}”",
            f"it is {SAID[plan.status]}, and needs no yarn any more",
            "Add the skein without --for.",
        )
    return plan


def spun_for(deed: Deed, skein: str, plan: Plan, side: str | None = None) -> SpunFor:
    """Compare the skein just added with the yarn of the cloth that it is nearest to; of `side`
    where that is said.

    Where it fits, it is put to that yarn and kept for the cloth; else nothing of the cloth changes.
    Raises ImpossibleValue for a side that asks for no yarn any more.
    """
    row = skein_named(deed.connection, skein)
    new = supplies(deed.connection, [row["id"]])[row["id"]]
    before = checked(deed.connection, plan)
    places = _places(deed.connection, plan, before, side)
    place = _nearest(places, new)
    sides = _sides(places, place)
    differs = list(_differs(deed.connection, new, place.skeins[0]))
    tex = new.tex if new.tex_known else None
    near = tex is not None and place.tex is not None and _apart(tex, place.tex) <= FITS
    told = SpunFor(
        cloth=plan.name or "",
        sides=sides,
        yarn=" + ".join(one.name for one in place.skeins),
        tex=tex,
        yarn_tex=place.tex,
        joined=False,
        differs=differs,
        before=before,
        now=None,
        anew=None,
        command=_command(deed.connection, plan, sides, new.name) if place.bare else None,
    )
    if not place.bare or not new.known:
        return told
    with_it = _with(plan, new.skein_id, sides)
    if near and not differs:
        return replace(told, joined=True, now=_join(deed, with_it, new.skein_id))
    anew = (
        None
        if plan.status != "planned" or tex is None
        else _anew(deed.connection, plan, sides, new.name)
    )
    return replace(told, now=checked(deed.connection, with_it), anew=anew)


def _places(connection: Connection, plan: Plan, check: Check, only: str | None) -> list[_Place]:
    """Every yarn that the cloth still asks for; of one side only where it is said."""
    known = supplies(connection, plan.skein_ids)
    needs = {(side, tuple(need.skeins)): need
             for side, asked in (("warp", check.warp), ("weft", check.weft))
             for need in asked}  # fmt: skip
    found = []
    for side, parts in (("warp", plan.warp), ("weft", plan.weft)):
        for group in yarn_groups(parts):
            skeins = tuple(known[part.skein_id] for part in group)
            need = needs.get((side, tuple(one.name for one in skeins)))
            if need is None:
                continue  # its yarn is in the warp already
            bare = group[0].ends is None and group[0].share is None
            short = need.short_m is None or need.short_m > 0
            found.append(_Place(side, skeins, bare, short, _mean_tex(skeins)))
    wanted = [one for one in found if only in (None, one.side)]
    if only and not wanted:
        raise ImpossibleValue(
            "the side",
            only,
            f"“{plan.name}” needs no more yarn for its {only}",
            "Choose the other side, or add the skein for no cloth.",
        )
    return wanted


def _mean_tex(skeins: Sequence[Supply]) -> float | None:
    """Mass over length; None where the grist of one is not known."""
    if not all(one.tex_known for one in skeins):
        return None
    lengths = [math.exp(one.ln_length) for one in skeins]
    if not sum(lengths) > 0:
        return skeins[0].tex
    masses = (metres * one.tex for metres, one in zip(lengths, skeins, strict=True))
    return sum(masses) / sum(lengths)


def _apart(tex: float, other: float) -> float:
    return abs(math.log(tex / other))


def _nearest(places: Sequence[_Place], new: Supply) -> _Place:
    """What is short comes first, then the same fibre, then the nearest grist."""

    def distance(place: _Place) -> tuple[bool, bool, float]:
        other = blend(place.skeins[0].blend).main != blend(new.blend).main
        known = place.tex is not None and new.tex_known
        apart = _apart(new.tex, place.tex) if known and place.tex else math.inf
        return not place.short, other, apart

    return min(places, key=distance)


def _sides(places: Sequence[_Place], chosen: _Place) -> list[str]:
    """The side of the yarn; both where the same skeins are short on both."""
    ids = [one.skein_id for one in chosen.skeins]
    same = [one for one in places if [s.skein_id for s in one.skeins] == ids and one.bare]
    return [one.side for one in same if one.short or one is chosen] or [chosen.side]


def _differs(connection: Connection, new: Supply, yarn: Supply) -> Iterator[str]:
    """What is another yarn at the first look."""
    if blend(new.blend).main != blend(yarn.blend).main:
        yield f"it is {new.blend}, and {yarn.name} is {yarn.blend}"
    if new.plies and yarn.plies and new.plies != yarn.plies:
        yield f"it has {new.plies} plies, and {yarn.name} has {yarn.plies}"
    ours, theirs = (skein_named(connection, one.name)["twist"] for one in (new, yarn))
    if ours and theirs and ours != theirs:
        yield f"it is twisted {ours}, and {yarn.name} {theirs}"


def _with(plan: Plan, skein_id: int, sides: Sequence[str]) -> Plan:
    part = (Part(skein_id),)
    return replace(
        plan,
        warp=plan.warp + part if "warp" in sides else plan.warp,
        weft=plan.weft + part if "weft" in sides else plan.weft,
    )


def _join(deed: Deed, plan: Plan, skein_id: int) -> Check:
    """Store it in the cloth, keep what the cloth needs of it, and tell."""
    assert plan.id is not None
    cloths.replace_plan(deed.connection, deed.action_id, plan)
    claims = cloths.claims_of(deed.connection, plan.id)
    wanted = checked(deed.connection, plan).claims_mg
    own = {place: mg for place, mg in wanted.items() if place[0] == skein_id}
    cloths.replace_claims(deed.connection, deed.action_id, plan.id, claims | own)
    return checked(deed.connection, plan)


def _names(connection: Connection, plan: Plan, side: str) -> tuple[str, ...]:
    parts = plan.warp if side == "warp" else plan.weft
    known = supplies(connection, plan.skein_ids)
    return tuple(known[part.skein_id].name for part in parts)


def _anew(connection: Connection, plan: Plan, sides: Sequence[str], new: str) -> Check | None:
    """The answer with all that farspun chose chosen anew; None where that cannot be."""
    warp, weft = (
        (*_names(connection, plan, side), new) if side in sides else None
        for side in ("warp", "weft")
    )
    try:
        return checked(connection, planned(connection, ClothAsked(warp=warp, weft=weft), plan))
    except FarspunError:
        return None


def _command(connection: Connection, plan: Plan, sides: Sequence[str], new: str) -> str:
    words = [
        f"--{side} {quote(name)}"
        for side in sides
        for name in (*_names(connection, plan, side), new)
    ]
    return f"farspun cloth change {quote(plan.name or '')} {' '.join(words)}"
