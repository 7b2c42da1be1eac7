"""Whatever is done to a stash, the ledger adds up to the balance and nothing goes below zero."""

import contextlib
import tempfile
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import func, select

from farspun.errors import ImpossibleValue
from farspun.services import balance, skein_closing, skeins
from farspun.services.balance import amount
from farspun.services.history import history
from farspun.services.showing import show_all
from farspun.store import tables
from farspun.store.engine import Stash, reading
from farspun.units import mass
from properties.tried import tried
from stashes import add_skein, claim, measured

NAMES = ("A", "B", "C")
GRAMS = st.integers(1, 120).map(lambda grams: f"{grams} g")
METRES = st.integers(1, 300).map(lambda metres: f"{metres} m")
DEEDS = st.tuples(
    st.sampled_from(["take", "take for Shawl", "weigh", "count", "test length", "close"]),
    st.sampled_from(NAMES),
    GRAMS,
    METRES,
)


def do(stash: Stash, deed: str, name: str, grams: str, metres: str) -> None:
    """One deed; what is refused is refused."""
    with contextlib.suppress(ImpossibleValue):
        if deed == "take":
            balance.take(stash, name, amount(grams))
        elif deed == "take for Shawl":
            balance.take(stash, name, amount(metres), "Shawl")
        elif deed == "weigh":
            balance.weigh(stash, name, mass(grams))
        elif deed == "count":
            skeins.measure(stash, name, measured(length=metres, state="relaxed"))
        elif deed == "test length":
            skeins.measure(stash, name, measured(test_length=f"100m={grams}"))
        else:
            skein_closing.close(stash, name, "used")


@tried(4)
@given(deeds=st.lists(DEEDS, max_size=8), claimed_g=st.integers(1, 100))
def test_the_sum_of_the_ledger_is_the_balance_and_never_below_nothing(deeds, claimed_g):
    with tempfile.TemporaryDirectory() as folder:
        stash = Stash(path=Path(folder) / "stash.db")
        add_skein(stash, "A", mass="100 g", length="280 m", state="relaxed")
        add_skein(stash, "B", length="100 m", state="unwashed", test_length="10m=4.3g")
        add_skein(stash, "C", wpi="12 wpi")
        claim(stash, "Shawl", "A", claimed_g * 1000)
        for deed in deeds:
            do(stash, *deed)
        with reading(stash) as connection:
            rows = connection.execute(
                select(
                    tables.skein.c.name,
                    tables.skein.c.balance_mg,
                    func.sum(tables.entry.c.delta_mg).label("total"),
                )
                .join(tables.entry, isouter=True)
                .group_by(tables.skein.c.id)
            ).all()
        for row in rows:
            assert row.balance_mg == row.total
            assert row.balance_mg is None or row.balance_mg >= 0
            lines = history(stash, row.name)
            after = lines[-1].balance_g
            assert after == (None if row.balance_mg is None else row.balance_mg / 1000)
        for shown in show_all(stash):
            if shown.length_m is not None:
                assert 0 <= shown.length_m["p05"] <= shown.length_m["p50"] <= shown.length_m["p95"]


@tried(3)
@given(order=st.permutations(range(4)))
def test_the_order_of_readings_does_not_matter(order):
    given_one_by_one = [
        {"length": "270 m", "state": "unwashed"},
        {"wpi": "14 wpi"},
        {"test_length": "10m=3.9g"},
        {"label": "250 m/100g"},
    ]
    with tempfile.TemporaryDirectory() as folder:
        stash = Stash(path=Path(folder) / "stash.db")
        add_skein(stash, "at once", mass="100 g", length="270 m", state="unwashed",
                  wpi="14 wpi", test_length="10m=3.9g", label="250 m/100g")  # fmt: skip
        add_skein(stash, "one by one", fibre="alpaca", mass="100 g")
        skeins.add(stash, skeins.Description("other", fibre="mohair"), measured(mass="100 g"))
        for place in order:
            skeins.measure(stash, "one by one", measured(**given_one_by_one[place]))
        for place in sorted(order):
            skeins.measure(stash, "other", measured(**given_one_by_one[place]))
        found = {one.name: one.length_m for one in show_all(stash)}
    for name in ("mean", "sd", "p05"):
        assert abs(found["one by one"][name] - found["other"][name]) < 1e-6 * found["other"][name]
