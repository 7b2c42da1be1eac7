"""Sharing the stash's skeins out among all planned cloths, by priority.

Cloths that are on the loom keep what they claim. Source: docs/sharing.md.
"""

import time
from collections.abc import Iterator, Mapping, Sequence

from sqlalchemy import Connection

from farspun.craft.reach import odds_alone
from farspun.errors import ImpossibleValue
from farspun.services.claiming import LOST
from farspun.services.demands import Asking, asking, demands
from farspun.services.share_answers import Shared, Without, shared_answer
from farspun.services.share_held import held
from farspun.services.share_rounds import Verified, settled
from farspun.services.solving import TIME_S
from farspun.services.taught import taught
from farspun.services.writing import doing
from farspun.store import cloths
from farspun.store.claims import claims_on, cloth_names, replace_all_claims
from farspun.store.engine import Stash, reading
from farspun.store.ledger import newest_action

LEFT_OUT_TRIED = 3  # cloths that stay short; judgement: each is a whole sharing anew


def share_out(stash: Stash, promise: float | None = None) -> Shared:
    """Who would get which skein, and how sure each cloth then is. Nothing is changed.

    `promise` stands in place of what each cloth was promised; its set-up stays as it is.
    """
    with reading(stash) as connection:
        planned, kept_mg = _planned(connection, promise)
        newest = newest_action(connection)
        names = cloth_names(connection)
    if not planned:
        return Shared(cloths=[], newest=newest)
    until = time.monotonic() + TIME_S
    asked, verified = demands(planned, kept_mg), Verified(planned)
    found, claims = settled(asked, verified, until)
    found, claims, saved_m = held(asked, found, claims, verified)
    odds = [verified.odds(at, one) for at, one in enumerate(claims)]
    return shared_answer(
        asked,
        found,
        odds,
        [_today(one, verified.odds(at, one.claims)[0]) for at, one in enumerate(planned)],
        names,
        newest,
        saved_m,
        list(_without(planned, [one for one, _ in odds], kept_mg, verified, until)),
    )


def _without(
    planned: Sequence[Asking],
    odds: Sequence[float],
    kept_mg: Mapping[int, int],
    verified: Verified,
    until: float,
) -> Iterator[Without]:
    """Of the first cloths that stay short: which others would reach if that one were given up.

    None is tried any more once it is `until`.
    """
    reached = {one.id for one, own in zip(planned, odds, strict=True) if _reaches(one, own)}
    short = [one for one in planned if one.id not in reached]
    if len(short) < 2:
        return  # nobody else goes without
    for left_out in short[:LEFT_OUT_TRIED]:
        if time.monotonic() > until:
            return
        others = [one for one in planned if one.id != left_out.id]
        own = Verified(others, verified.known)
        _, claims = settled(demands(others, kept_mg), own, until)
        then = {
            one.id for at, one in enumerate(others) if _reaches(one, own.odds(at, claims[at])[0])
        }
        if then > reached:
            served = [one.name for one in others if one.id in then - reached]
            yield Without(left_out.name, served)


def _today(cloth: Asking, by_claims: float) -> tuple[float, float]:
    """The odds today by its claims alone, and with what nobody claims as well. Where a skein is
    claimed for more than it holds, its claim is worth no more than what others leave."""
    free = odds_alone(cloth.case, {})[0]
    return min(by_claims, free), free


def _reaches(cloth: Asking, odds: float) -> bool:
    return odds >= cloth.case.promise - LOST


def keep_shares(stash: Stash, shown: Shared) -> None:
    """Make what was shown the claims of the cloths, all of it in one command.

    Raises ImpossibleValue where the stash was changed since.
    """
    said = ", ".join(one.cloth for one in shown.cloths)
    with doing(stash, "share-out", said) as deed:
        if newest_action(deed.connection, before=deed.action_id) != shown.newest:
            raise ImpossibleValue(
                "what was shared out",
                "kept",
                "the stash was changed meanwhile",
                "See what is right now: farspun share-out",
            )
        replace_all_claims(deed.connection, deed.action_id, shown.cloth_ids, shown.claims_mg)


def _planned(connection: Connection, promise: float | None) -> tuple[list[Asking], dict[int, int]]:
    """Cloths that are only planned, by priority; and what others keep of each skein, mg."""
    known = taught(connection)
    planned = [
        asking(connection, plan, known, cloths.claims_of(connection, plan.id or 0), promise)
        for plan in cloths.plans(connection)
        if plan.status == "planned"
    ]
    own = {one.id for one in planned}
    kept_mg = {
        skein_id: sum(mg for cloth_id, mg in claims if cloth_id not in own)
        for skein_id, claims in claims_on(connection).items()
    }
    return planned, kept_mg
