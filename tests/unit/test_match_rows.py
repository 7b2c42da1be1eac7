"""The columns of a whole stash say of each yarn what planning and drawing say of it alone."""

from datetime import UTC, datetime

import numpy as np
import pytest

from farspun import units
from farspun.craft.closed_form import closed_form_all, closed_form_odds
from farspun.craft.reach import odds_alone
from farspun.services.cloth_asked import ClothAsked
from farspun.services.equipment import add_loom, add_reed
from farspun.services.match_question import other_of, question
from farspun.services.match_rows import Table, refine, table, usable
from farspun.store.engine import Stash, reading, writing
from farspun.store.estimates import recompute
from farspun.store.ledger import add_entry, new_action
from farspun.store.shelf import shelf
from farspun.store.skeins import add_evidence, add_skein

FIBRES = ("wool", "wool 80, silk 20", "linen", "cotton", "alpaca", "wool 55, nylon 45")
STATES = ("relaxed", "unwashed", "under-tension", "not said")
SKEINS, LOT = 54, 6
LIKE = {"fibre": "wool", "draw": "semi", "superwash": False, "mill": False, "plies": 2,
        "colour": "Madder"}  # fmt: skip
BANDS = {"warp": ("Known 1:2", "Known 2:2")}, {"weft": ("Known 1:50%", "Known 2:50%")}
CASES = {
    "weft": {"warp": ("Known 1", "Known 2")},
    "warp": {"weft": ("Known 1", "Known 2")},
}


@pytest.fixture(scope="module")
def stash(tmp_path_factory: pytest.TempPathFactory) -> Stash:
    """Skeins of every kind, some of them like one another, counted on shared tools."""
    stash = Stash(path=tmp_path_factory.mktemp("rows") / "stash.db")
    rng = np.random.default_rng(7)
    with writing(stash) as connection:
        action = new_action(connection, datetime.now(UTC), "test", "")
        for at in range(SKEINS):
            known = at < 2
            metres = 700.0 if known else float(rng.uniform(120, 620))
            grist = 4.0 if known else float(np.exp(rng.normal(1.2, 0.35)))
            described = {
                "fibre": "wool" if known else FIBRES[rng.integers(len(FIBRES))],
                "draw": ("woollen", "semi", "worsted")[rng.integers(3)],
                "superwash": bool(rng.random() < 0.2),
                "mill": bool(rng.random() < 0.2),
                "plies": [None, 1, 2, 3][rng.integers(4)],
                "wrap": [None, "snug", "loose"][rng.integers(3)],
                "colour": [None, "navy", "cream", "heather"][rng.integers(4)],
            }
            name = f"Known {at + 1}" if known else f"Skein {at}"
            if at >= SKEINS - LOT:
                described |= LIKE
                name, metres, grist = f"Lot {at}", float(rng.uniform(60, 160)), 4.3
            skein = add_skein(connection, action, name, **described)
            mass_mg = max(1000, round(1000 * metres / grist))
            state = STATES[rng.integers(4)]
            readings = [
                ("weighed", {"mass_mg": mass_mg, "step_ug": 1_000_000}),
                (
                    "counted",
                    {
                        "length_mm": round(1000 * metres),
                        "state": state,
                        "tool": f"tool {rng.integers(2)}",
                    },
                ),
            ]
            if rng.random() < 0.5:
                wraps = round(10_000 * 6.0 * float(np.exp(rng.normal(0, 0.2))))
                readings.append(("wrapped", {"wraps_per_100m": wraps}))
            for kind, values in readings:
                add_evidence(connection, action, skein, kind, kind, **values)
            add_entry(connection, action, skein, "made", mass_mg, "as weighed")
        recompute(connection)
    return stash


@pytest.fixture(scope="module", params=["no reed", "two reeds"])
def furnished(request, stash: Stash, tmp_path_factory: pytest.TempPathFactory) -> Stash:
    """With and without a loom and its reeds."""
    path = tmp_path_factory.mktemp("furnished") / "stash.db"
    assert stash.path is not None
    path.write_bytes(stash.path.read_bytes())
    own = Stash(path=path)
    if request.param == "two reeds":
        add_loom(own, "Table", "table", units.length("1m"))
        add_reed(own, "R40", units.dents("40/10cm"))
        add_reed(own, "R50", units.dents("50/10cm"))
    return own


def tabled(connection, side: str, **more) -> tuple[Table, object]:
    size = {"width_cm": 36.0, "length_cm": 150.0, "size_said": ""}
    asked = ClothAsked(**(size | CASES[side] | more))
    q = question(connection, None, None, asked)
    stock, _ = q.supplies([])
    whole = shelf(connection, None)
    rows = usable(whole, {part.skein_id for part in q.known})
    found = table(q, whole, rows, other_of(q, stock))
    assert found is not None
    return found, q


@pytest.mark.parametrize("side", ["warp", "weft"])
@pytest.mark.parametrize(
    "more",
    [
        {},
        {"purpose": "firm", "weave": "2/2 twill", "wash": "fulled", "repeat": 4},
        {"purpose": "weft-faced", "floating_selvedges": 2},
        {"purpose": "warp-faced", "picks_per_cm": 3.0},
        {"sett_per_cm": 4.2, "direct": True, "fringe_cm": 8.0},
    ],
    ids=["plain", "twill", "weft-faced", "warp-faced", "asked"],
)
def test_set_up_need_and_odds_are_those_of_planning_each_yarn_alone(furnished, side, more):
    with reading(furnished) as connection:
        found, q = tabled(connection, side, **more)
        rows = range(0, len(found.odds), 3)
        ids = sorted({one for row in rows for one in found.skeins(row)})
        stock, block = q.supplies(ids)
        for row in rows:
            plan = q.settled(found.skeins(row), stock)
            case = q.case(plan, stock, block)
            assert found.found.sett_per_cm[row] == pytest.approx(plan.sett_per_cm, rel=1e-9)
            assert found.found.picks_per_cm[row] == pytest.approx(plan.picks_per_cm, rel=1e-9)
            assert found.found.ends[row] == case.ends
            if row >= len(found.ids):
                continue  # of several together the doubt is not yet what they share
            yarns = (*case.warp, *case.weft)
            alone = [closed_form_odds(case, yarn) for yarn in yarns]
            # yarns a hundredth apart in thickness are taken to bend alike
            assert found.odds[row] == pytest.approx(np.prod(alone), abs=0.002)


@pytest.mark.parametrize("side", ["warp", "weft"])
def test_refined_odds_are_the_closed_form_of_all_yarns_together(stash, side):
    with reading(stash) as connection:
        found, q = tabled(connection, side)
        rows = np.arange(len(found.odds))
        ids = sorted({one for row in rows for one in found.skeins(int(row))})
        stock, block = q.supplies(ids)
        refine(found, rows, q, dict(stock.supplies), block)
        assert len(rows) > len(found.ids)  # some are combinations
        for row in rows[::2]:
            case = q.case(q.settled(found.skeins(int(row)), stock), stock, block)
            assert found.odds[row] == pytest.approx(closed_form_all(case), abs=0.004)


@pytest.mark.parametrize("side", ["warp", "weft"])
def test_the_closed_form_of_all_yarns_is_within_five_points_of_the_joint_draw(stash, side):
    """1.5 points for one yarn, 5 for all of them, and 1.5 again where they come to 85 or more."""
    apart, sure, one_yarn = [], [], []
    with reading(stash) as connection:
        for more in ({"width_cm": 24.0}, {}, {"width_cm": 48.0}, BANDS[side == "warp"]):
            found, q = tabled(connection, side, **more)
            ids = sorted({one for row in range(len(found.odds)) for one in found.skeins(row)})
            stock, block = q.supplies(ids)
            for row in range(0, len(found.odds), 2):
                case = q.case(q.settled(found.skeins(row), stock), stock, block)
                drawn, each = odds_alone(case, {})
                closed = closed_form_all(case)
                apart.append(abs(closed - drawn))
                sure += [apart[-1]] if drawn >= 0.85 else []
                yarns = (*case.warp, *case.weft)
                one_yarn += [
                    abs(closed_form_odds(case, yarn) - odds)
                    for yarn, odds in zip(yarns, each, strict=True)
                ]
    assert max(one_yarn) <= 0.015
    assert max(apart) <= 0.05
    assert len(sure) > 15
    assert max(sure) <= 0.015
