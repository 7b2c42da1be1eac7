"""What sharing out comes to: cloth by cloth, what changes, and what has no part in it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from farspun.craft.reach import reach, verdict
from farspun.services.claiming import LOST, Claims
from farspun.services.demands import Asking, Demands, usable
from farspun.services.solving import Solved
from farspun.store.supplies import Supply

MG_PER_G = 1000
LEAST_TOLD_MG = 100  # of a claim: less is no change
AllClaims = dict[tuple[int, int, str], int]  # mg by cloth, skein and side


@dataclass(frozen=True, slots=True)
class Given:
    """Of a skein: metres (median) and grams for one need; `share` of all there is of it."""

    skein: str
    length_m: float
    mass_g: float
    share: float


@dataclass(frozen=True, slots=True)
class NeedShare:
    """One yarn of a side. `promise`: what it must keep so that the whole cloth keeps its own;
    `odds`: what it does keep with what it was given. `in_hand_m`: taken for the cloth already.
    """

    side: str
    yarn: str
    need_m: float
    promise: float
    odds: float
    given: list[Given]
    in_hand_m: float
    short_m: float
    short_g: float | None


@dataclass(frozen=True, slots=True)
class ClothShare:
    """One cloth by what it is given alone. `odds_now`: by what it claims today; `odds_free`: by
    that and what no cloth claims, as `cloth check` counts."""

    cloth: str
    priority: int
    promise: float
    verdict: str
    odds: float
    odds_now: float
    odds_free: float
    needs: list[NeedShare]
    too_small: bool


@dataclass(frozen=True, slots=True)
class Change:
    """What a cloth claims of a skein today for one side, and what it would."""

    cloth: str
    side: str
    skein: str
    now_g: float
    then_g: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A skein that a cloth names and that cannot be shared out, and why."""

    skein: str
    cloths: list[str]
    why: str


@dataclass(frozen=True, slots=True)
class Without:
    """A cloth that stays short, and the others that would reach if it were given up."""

    cloth: str
    would_reach: list[str]


@dataclass(frozen=True, slots=True)
class Shared:
    """The whole answer. `bound_m` of the skeins in `pieces` pieces; `gap`: so much of metres and
    joins might be saved at most, 0 where it is proven that nothing can, but for `held_m`, which was
    too little to move yarn for. `without`: of cloths that stay short, whom giving it up would help.
    """

    cloths: list[ClothShare]
    changes: list[Change] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    bound_m: float = 0.0
    pieces: int = 0
    gap: float = 0.0
    held_m: float = 0.0
    without: list[Without] = field(default_factory=list)
    newest: int = 0
    cloth_ids: tuple[int, ...] = ()
    claims_mg: AllClaims = field(default_factory=dict)

    @property
    def losing(self) -> dict[tuple[str, str], float]:
        """Grams less than today that a cloth would claim of a skein, both sides together."""
        less: dict[tuple[str, str], float] = {}
        for one in self.changes:
            key = one.cloth, one.skein
            less[key] = less.get(key, 0.0) + one.now_g - one.then_g
        return {key: grams for key, grams in less.items() if grams * MG_PER_G >= LEAST_TOLD_MG}

    def document(self, kept: bool) -> dict[str, Any]:
        """As one JSON object; `kept`: whether these are the claims now."""
        own = asdict(self)
        for hidden in ("newest", "cloth_ids", "claims_mg"):
            del own[hidden]
        return {"kept": kept, **own}


def shared_answer(
    asked: Demands,
    found: Solved,
    odds: Sequence[tuple[float, tuple[float, ...]]],
    odds_now: Sequence[tuple[float, float]],
    others: Mapping[int, str],
    newest: int,
    held_m: float = 0.0,
    without: Sequence[Without] = (),
) -> Shared:
    """The answer: `odds` of each cloth and each of its yarns with what it is given, `odds_now` with
    what it claims today, and with what no cloth claims as well; `others` names every cloth.
    """
    claims = asked.claims(found.shares)
    told = [
        _cloth(asked, at, found, claims[at], odds[at], odds_now[at])
        for at in range(len(asked.cloths))
    ]
    given = [one for cloth in told for need in cloth.needs for one in need.given]
    return Shared(
        cloths=told,
        changes=[
            change
            for one, own in zip(asked.cloths, claims, strict=True)
            for change in _changes(one, own)
        ],
        left_out=list(_left_out(asked, others)),
        bound_m=sum(one.length_m for one in given),
        pieces=len(given),
        gap=found.gap,
        held_m=held_m,
        without=list(without),
        newest=newest,
        cloth_ids=tuple(one.id for one in asked.cloths),
        claims_mg={
            (one.id, skein_id, side): mg
            for one, own in zip(asked.cloths, claims, strict=True)
            for (skein_id, side), mg in own.items()
        },
    )


def _cloth(
    asked: Demands,
    at: int,
    found: Solved,
    claims: Claims,
    odds: tuple[float, tuple[float, ...]],
    odds_now: tuple[float, float],
) -> ClothShare:
    (together, yarns), cloth = odds, asked.cloths[at]
    promise = cloth.case.promise
    reaches = together >= promise - LOST
    needs = [number for number, one in enumerate(asked.needs) if one.cloth == at]
    short_m, too_small = [0.0] * len(needs), False
    if not reaches:
        answer = reach(cloth.kept(claims))
        short_m = [one.short_m for one in (*answer.warp, *answer.weft)]
        too_small = answer.size_too_small
    return ClothShare(
        cloth=cloth.name,
        priority=cloth.plan.priority,
        promise=promise,
        verdict="reaches" if reaches else verdict(together, promise),
        odds=together,
        odds_now=odds_now[0],
        odds_free=odds_now[1],
        needs=[
            _need(asked, number, found, own_odds, lack_m)
            for number, own_odds, lack_m in zip(needs, yarns, short_m, strict=True)
        ],
        too_small=too_small,
    )


def _need(asked: Demands, number: int, found: Solved, odds: float, short_m: float) -> NeedShare:
    need = asked.needs[number]
    cloth = asked.cloths[need.cloth]
    side = cloth.case.warp if need.side == "warp" else cloth.case.weft
    yarn = side[need.position]
    tex = [one.tex for one in yarn.skeins if one.tex is not None]
    return NeedShare(
        side=need.side,
        yarn=" + ".join(cloth.supplies[one].name for one in need.skein_ids),
        need_m=need.required_m,
        promise=need.level,
        odds=odds,
        given=[
            _given(cloth.supplies[skein_id], mg)
            for way, (skein_id, mg) in enumerate(asked.given_mg(found.shares))
            if asked.sharing.need[way] == number and mg > 0
        ],
        in_hand_m=sum(one.median_m for one in yarn.skeins if one.in_hand),
        short_m=short_m,
        short_g=short_m * sum(tex) / len(tex) / MG_PER_G if len(tex) == len(yarn.skeins) else None,
    )


def _given(supply: Supply, mass_mg: int) -> Given:
    share = mass_mg / (supply.balance_mg or 1)
    return Given(supply.name, math.exp(supply.ln_length) * share, mass_mg / MG_PER_G, share)


def _changes(cloth: Asking, claims: Claims) -> Iterator[Change]:
    for skein_id, side in sorted({*cloth.claims, *claims}, key=lambda key: (key[1], key[0])):
        now, then = cloth.claims.get((skein_id, side), 0), claims.get((skein_id, side), 0)
        if abs(then - now) >= LEAST_TOLD_MG:
            name = cloth.supplies[skein_id].name
            yield Change(cloth.name, side, name, now / MG_PER_G, then / MG_PER_G)


def _left_out(asked: Demands, others: Mapping[int, str]) -> Iterator[LeftOut]:
    supplies = {number: one for cloth in asked.cloths for number, one in cloth.supplies.items()}
    own = {cloth.id for cloth in asked.cloths}
    for number, one in sorted(supplies.items()):
        if not usable(one, asked.free_mg[number]):
            naming = [cloth.name for cloth in asked.cloths if number in cloth.supplies]
            keep = [others[cloth_id] for cloth_id, _ in one.claims if cloth_id not in own]
            yield LeftOut(one.name, naming, _why(one, keep))


def _why(supply: Supply, keep: Sequence[str]) -> str:
    if supply.closed:
        return "it is closed"
    if not supply.known:
        return "nothing is known of its length (weigh it)"
    if supply.balance_mg is None:
        return "it was never weighed"
    if keep:
        return "all of it is kept for " + " and ".join(dict.fromkeys(keep))
    return "nothing is left of it"
