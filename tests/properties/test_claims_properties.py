"""Whatever is planned, changed, claimed, taken and weighed, no gram is promised twice unnoticed."""

import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from cli.running import furnished
from farspun.errors import FarspunError
from farspun.services import balance, cloths, giving_up, skein_closing
from farspun.services.balance import amount
from farspun.services.cloth_asked import ClothAsked
from farspun.services.quick_reach import quick_reach
from farspun.services.sharing_out import keep_shares, share_out
from farspun.services.shortfalls import shortfalls
from farspun.store.engine import Stash
from farspun.units import mass
from properties.tried import tried

CLOTHS = ("First", "Second", "Third")
SKEINS = ("Gorse 1", "Driftwood", "Fresh", "Cone", "Wraps")
LOWERING = ("weigh", "close")


@dataclass(frozen=True)
class Deed:
    """One thing she does; the parts it does not need are passed over."""

    what: str
    cloth: str
    warp: str
    weft: str
    grams: int
    width_cm: int
    wanted: Mapping[str, Any]


def asked(deed: Deed) -> ClothAsked:
    return ClothAsked(
        width_cm=float(deed.width_cm),
        length_cm=100.0,
        size_said=f"{deed.width_cm} cm wide, 100 cm long",
        warp=(deed.warp,),
        weft=(deed.weft,),
        sett_per_cm=3.0,
        picks_per_cm=3.0,
        **deed.wanted,
    )


def carry_out(stash: Stash, deed: Deed) -> None:
    """Do it; what is refused is refused."""
    with suppress(FarspunError):
        match deed.what:
            case "plan":
                cloths.plan_cloth(stash, deed.cloth, asked(deed))
            case "change":
                cloths.change_cloth(stash, deed.cloth, asked(deed))
            case "claim":
                cloths.claim_cloth(stash, deed.cloth)
            case "share out":
                keep_shares(stash, share_out(stash))
            case "give up":
                giving_up.give_up_cloth(stash, deed.cloth)
            case "take":
                balance.take(stash, deed.warp, amount(f"{deed.grams} g"))
            case "take for":
                balance.take(stash, deed.warp, amount(f"{deed.grams} g"), deed.cloth)
            case "weigh":
                balance.weigh(stash, deed.warp, mass(f"{deed.grams} g"))
            case "close":
                skein_closing.close(stash, deed.warp, "lost", sure=True)


DEEDS = st.builds(
    Deed,
    what=st.sampled_from(
        [
            *("plan", "plan", "plan", "change", "claim", "share out"),
            *("give up", "take", "take for", *LOWERING),
        ]
    ),
    cloth=st.sampled_from(CLOTHS),
    warp=st.sampled_from(SKEINS),
    weft=st.sampled_from(SKEINS),
    grams=st.integers(1, 160),
    width_cm=st.integers(5, 60),
    wanted=st.fixed_dictionaries(
        {},
        optional={
            "priority": st.integers(1, 9),
            "cut": st.booleans(),
            "as_spun": st.booleans(),
            "direct": st.booleans(),
            "promise": st.sampled_from([0.6, 0.95, 0.999]),
        },
    ),
)


@contextmanager
def stash_of_her_own() -> Iterator[Stash]:
    with tempfile.TemporaryDirectory() as folder:
        yield Stash(path=furnished(Path(folder)).stash)


def kept_and_held(stash: Stash) -> dict[str, tuple[int, int]]:
    """mg claimed of each skein, and its balance; the ledger must add up to that."""
    with closing(sqlite3.connect(str(stash.path))) as connection:
        for name, held, added in connection.execute(
            "SELECT name, balance_mg, (SELECT sum(delta_mg) FROM entry WHERE skein_id = skein.id)"
            " FROM skein"
        ):
            assert held == added, name
        rows = connection.execute(
            "SELECT name, coalesce(balance_mg, 0),"
            " (SELECT coalesce(sum(mass_mg), 0) FROM claim WHERE skein_id = skein.id) FROM skein"
        ).fetchall()
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        (least,) = connection.execute("SELECT coalesce(min(mass_mg), 0) FROM claim").fetchone()
        assert least >= 0
    return {name: (kept, held) for name, held, kept in rows}


@tried(5)
@given(deeds=st.lists(DEEDS, min_size=3, max_size=9))
def test_no_gram_is_promised_twice_and_none_goes_missing(deeds: list[Deed]) -> None:
    lowered: set[str] = set()
    with stash_of_her_own() as stash:
        for deed in deeds:
            carry_out(stash, deed)
            if deed.what in LOWERING:
                lowered.add(deed.warp)
            for name, (kept, held) in kept_and_held(stash).items():
                assert kept <= held or name in lowered, (name, kept, held)
        overclaimed = {name for name, (kept, held) in kept_and_held(stash).items() if kept > held}
        for check in cloths.check_cloths(stash):
            warned = {one.text for one in check.warnings if one.code == "overclaimed"}
            for name in {name for need in check.needs for name in need.skeins} & overclaimed:
                assert any(text.startswith(f"{name} is promised") for text in warned)
        for row in shortfalls(stash):
            assert row.short_m is None or row.short_m > 0


@tried(3)
@given(deed=DEEDS, other=st.sampled_from(SKEINS), grams=st.integers(1, 40))
def test_what_others_keep_never_raises_the_odds(deed: Deed, other: str, grams: int) -> None:
    question = asked(deed)
    with stash_of_her_own() as stash:
        before = quick_reach(stash, question)
        small = Deed("plan", "First", other, deed.weft, grams, 5 + grams % 20, {})
        carry_out(stash, small)
        after = quick_reach(stash, question)
    for side in ("warp", "weft"):
        known = getattr(before.odds, side)
        assert known is None or getattr(after.odds, side) <= known
    assert after.setup == before.setup


@tried(3)
@given(deed=DEEDS)
def test_planning_and_giving_up_leaves_every_skein_as_free_as_before(deed: Deed) -> None:
    with stash_of_her_own() as stash:
        before = kept_and_held(stash)
        with suppress(FarspunError):
            cloths.plan_cloth(stash, deed.cloth, asked(deed))
            assert cloths.check_cloth(stash, deed.cloth).odds.size > 0
            cloths.claim_cloth(stash, deed.cloth)
            giving_up.give_up_cloth(stash, deed.cloth)
        assert kept_and_held(stash) == before
