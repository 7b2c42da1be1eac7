"""Estimates kept with the skeins, and what a cloth gets to see of them."""

import math
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import event, select

from farspun.services import balance, skeins
from farspun.services.balance import amount
from farspun.store import tables
from farspun.store.engine import Stash, reading, writing
from farspun.store.estimates import estimate_rows, recompute, stash_estimates
from farspun.store.shared import shared_block
from farspun.store.supplies import supplies
from farspun.units import mass
from stashes import add_skein, claim, measured, skein_id

COUNTED = {"mass": "112 g", "length": "271 m", "state": "unwashed", "tool": "ash"}


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    return Stash(path=tmp_path / "stash.db")


def lengths(stash: Stash) -> dict[str, float]:
    """ln of the median length now, by name."""
    with reading(stash) as connection:
        rows = connection.execute(
            select(tables.skein.c.name, tables.estimate.c.now_ln_length).join(tables.estimate)
        )
        return {row.name: row.now_ln_length for row in rows}


def test_what_is_kept_is_what_the_readings_say(stash):
    add_skein(stash, "A", **COUNTED, wpi="15 wpi")
    add_skein(stash, "B", **COUNTED | {"mass": "90 g"}, test_length="10m=4.3g")
    add_skein(stash, "C", fibre="linen", wpi="20 wpi")
    balance.take(stash, "A", amount("30 m"))
    balance.take(stash, "A", amount("10 g"))
    balance.weigh(stash, "A", mass("90 g"))
    skeins.measure(stash, "B", measured(length="260 m", state="relaxed"))
    with reading(stash) as connection:
        kept = connection.execute(select(tables.estimate)).mappings().all()
        fresh = {row["skein_id"]: row for row in estimate_rows(connection)}
    assert len(kept) == len(fresh) == 3
    for row in kept:
        expected = fresh[row["skein_id"]]
        for name in ("ln_length", "var_length", "now_own_sd_ln", "chi2", "ln_wraps_per_cm"):
            assert row[name] == pytest.approx(expected[name], abs=1e-9)
        assert row["pulls"].keys() == expected["pulls"].keys()


def test_working_it_out_again_writes_no_estimate(stash):
    add_skein(stash, "A", **COUNTED)
    written = []
    with writing(stash) as connection:

        @event.listens_for(connection, "before_cursor_execute")
        def note(_connection, _cursor, statement, _values, _context, _many):
            written.append(statement)

        recompute(connection)
    assert not [one for one in written if "INTO estimate" in one]
    assert [one for one in written if "INTO shared_covariance" in one]


def test_a_reading_on_a_shared_tool_moves_the_other_skeins_of_that_tool_alone(stash):
    add_skein(stash, "A", **COUNTED)
    add_skein(stash, "other tool", **COUNTED | {"tool": "oak", "state": "relaxed"})
    before = lengths(stash)
    long_by_8_percent = {"mass": "112 g", "length": "293 m", "state": "relaxed"}
    add_skein(stash, "B", **long_by_8_percent, tool="Ash", test_length="100m=41.33g")
    after = lengths(stash)
    assert after["A"] < before["A"]
    assert after["other tool"] == before["other tool"]


def test_the_order_of_skeins_does_not_matter(tmp_path):
    given = {
        "A": COUNTED | {"wpi": "15 wpi"},
        "B": COUNTED | {"mass": "80 g"},
        "C": {"mass": "50 g", "test_length": "10m=4.3g"},
    }
    found = []
    for order in ("ABC", "CBA"):
        stash = Stash(path=tmp_path / f"{order}.db")
        for name in order:
            add_skein(stash, name, **given[name])
        found.append(lengths(stash))
    assert found[0] == pytest.approx(found[1], abs=1e-9)


def test_a_skein_woven_as_spun_is_as_long_as_it_was_counted(stash):
    add_skein(stash, "A", length="100 m", state="unwashed")
    with reading(stash) as connection:
        (number,) = connection.execute(select(tables.skein.c.id)).scalars()
        _, washed = stash_estimates(connection)
        _, as_spun = stash_estimates(connection, as_spun=[number])
    assert math.exp(washed.mean[0, 0]) == pytest.approx(85.0, rel=0.01)
    assert math.exp(as_spun.mean[0, 0]) == pytest.approx(100.0, rel=0.01)


def test_shared_causes_come_in_the_order_asked(stash):
    add_skein(stash, "A", **COUNTED, wpi="15 wpi")
    with reading(stash) as connection:
        keys = list(connection.execute(select(tables.shared_cause.c.key)).scalars())
        whole = shared_block(connection, keys)
        turned = shared_block(connection, keys[::-1])
        with pytest.raises(KeyError):
            shared_block(connection, ["tool:unheard of"])
    assert len(keys) == 3
    assert np.array_equal(turned, whole[::-1, ::-1])
    assert np.all(np.linalg.eigvalsh(whole) > 0)


def test_a_supply_adds_up_to_the_whole_doubt(stash):
    add_skein(stash, "A", **COUNTED, wpi="15 wpi")
    with reading(stash) as connection:
        number = skein_id(connection, "A")
        supply = supplies(connection, [number])[number]
        shared = shared_block(connection, list(supply.load))
    load = np.array(list(supply.load.values()))
    assert supply.own_sd_ln**2 + load @ shared @ load == pytest.approx(supply.cov3[0, 0])
    assert supply.ln_length == pytest.approx(supply.mean3[0])
    assert [triple[0] for triple in supply.load3.values()] == pytest.approx(load.tolist())
    assert (supply.name, supply.balance_mg, supply.known) == ("A", 112_000, True)
    assert (supply.blend, supply.draw, supply.taken, supply.claims) == ("wool", "semi", False, [])


def test_a_supply_tells_of_claims_takes_and_what_is_not_known(stash):
    add_skein(stash, "A", **COUNTED)
    add_skein(stash, "unknown", wpi="15 wpi")
    add_skein(stash, "used up", mass="20 g", length="50 m", state="relaxed")
    claim(stash, "Shawl", "A", 30_000)
    balance.take(stash, "A", amount("10 g"))
    balance.take(stash, "used up", amount("20 g"))
    with reading(stash) as connection:
        ids = [skein_id(connection, name) for name in ("A", "unknown", "used up")]
        first, unknown, used_up = supplies(connection, ids).values()
    assert first.claims == [(1, 30_000)]
    assert first.taken
    assert first.ln_length < first.mean3[0]
    assert (unknown.known, unknown.balance_mg, unknown.taken) == (False, None, False)
    assert (used_up.ln_length, used_up.balance_mg) == (-math.inf, 0)


def test_a_supply_is_only_given_for_skeins_there_are(stash):
    add_skein(stash, "A", **COUNTED)
    with reading(stash) as connection:
        assert supplies(connection, []) == {}
        with pytest.raises(KeyError):
            supplies(connection, [1, 2])
