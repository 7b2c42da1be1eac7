"""What cloths and samples teach: each factor that was measured, against that cloth's own habit."""

import math
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sqlalchemy import event, insert, select

from cli.running import Desk, furnished
from farspun.craft.fibres import blend
from farspun.craft.habits import (
    BEAT_FIRST,
    draw_in_habit,
    shrink_length_habit,
    take_up_habit,
    waste_habit,
)
from farspun.craft.learned import spreads_off
from farspun.craft.woven import Meant, Told, check_possible, shown_factors
from farspun.errors import ImpossibleValue
from farspun.services.taught import records_of, taught
from farspun.store import tables
from farspun.store.engine import Stash, reading, writing
from lives import FINISHED, LIFE, OFF_LOOM, ON_LOOM, PLAN, SAMPLE, WOUND, lines, seen, woven


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def test_a_whole_life_shows_every_factor(desk: Desk) -> None:
    desk.does(*LIFE)
    found = {factor: one.observed for (_, _, factor), one in seen(desk).items()}
    picks = 2.9 / (174 / 180)
    assert found == pytest.approx(
        {
            "take_up": 1 - 174 / 198,
            "draw_in": 1 - 46 / 50,
            "let_off": 1 - 174 / 180,
            "beat": picks / 3,
            "waste_cm": 62.0,
            "shrink_length": 0.1,
            "shrink_width": 0.1,
            "weft_take_up": 270 / (picks * 174 * 0.5) - 1,
        },
        rel=1e-6,
        abs=2e-4,  # the skein's grist is estimated
    )


def test_each_is_held_against_the_habit_of_its_own_cloth(desk: Desk) -> None:
    first, *others = LIFE
    desk.does(first)
    assumed = {one["name"]: one for one in desk.told("cloth check")[0]["assumptions"]}["take-up"]
    desk.does(*others)
    found = {factor: one for (_, _, factor), one in seen(desk).items()}
    assert found["draw_in"].habit == draw_in_habit(50 * 0.955 - 0.8)
    take_up = found["take_up"].habit  # by geometry, of the width it really had
    assert (take_up.mean, take_up.sd) == pytest.approx((assumed["mean"], assumed["sd"]), rel=0.05)
    assert take_up.mean != take_up_habit("plain").mean
    assert found["waste_cm"].habit == waste_habit("table", "knots")
    assert found["shrink_length"].habit == shrink_length_habit(blend("wool"), False, "gentle")
    assert (found["beat"].habit.mean, found["beat"].habit.sd) == BEAT_FIRST
    for one in found.values():
        assert one.y == float(spreads_off(one.observed, one.habit))
    assert found["shrink_length"].y == pytest.approx(0, abs=1e-9)
    assert found["waste_cm"].unit == "cm"
    assert found["beat"].unit == "ratio"
    assert found["take_up"].unit == "fraction"


def test_a_sample_shows_its_own_width_and_belongs_to_the_piece_of_its_cloth(desk: Desk) -> None:
    desk.does(PLAN, SAMPLE)
    found = {factor: one for (_, stage, factor), one in seen(desk).items() if stage == "sample"}
    assert found.keys() == {"draw_in", "shrink_length", "shrink_width", "beat"}
    assert found["draw_in"].habit == draw_in_habit(12 * 0.955 - 0.8)
    assert found["beat"].observed == pytest.approx(1.05)
    desk.does(WOUND, ON_LOOM, OFF_LOOM, FINISHED)
    with reading(Stash(path=desk.stash)) as connection:
        columns, sources = records_of(connection)
    assert set(columns.piece.tolist()) == {"Shawl"}
    assert {one.stage for one in sources} == {"sample", "cloth"}


def test_groups_are_fibre_and_wash_or_the_loom(desk: Desk) -> None:
    desk.does(
        'cloth plan Mat --size 20cmx40cm --sett 3/cm --picks 3/cm --warp Cone --weft "Gorse 1"'
        " --loom Floor",
        "cloth wound Mat",
        "cloth on-loom Mat --picks 3/cm --state rested",
        "cloth off-loom Mat --tape 50cm --off 22cmx49cm --thrums 70cm",
        "cloth finished Mat --washed 21cmx47cm --wash hot",
    )
    assert {factor: one.group for (_, _, factor), one in seen(desk).items()} == {
        "take_up": "Floor, plant",
        "draw_in": "Floor, wool",
        "let_off": "plant",
        "beat": "Floor, wool",
        "waste_cm": "Floor",
        "shrink_length": "linen, hot",
        "shrink_width": "wool, hot",
    }
    said = {factor: one.group_said for (_, _, factor), one in seen(desk).items()}
    assert said["shrink_width"] == "wool cloths, hot wash"
    assert said["waste_cm"] == "cloths on Floor"


def test_records_come_with_what_they_were_seen_on_in_the_same_order(desk: Desk) -> None:
    desk.does(*LIFE)
    woven(desk, "Runner", 91)
    with reading(Stash(path=desk.stash)) as connection:
        columns, sources = records_of(connection)
    assert len(columns) == len(sources) > 8
    for at, one in enumerate(sources):
        assert (columns.factor[at], columns.group[at]) == (one.factor, one.group)
        assert (columns.piece[at], columns.y[at]) == (one.cloth, one.y)
        assert one.unit in ("fraction", "ratio", "cm")
    assert not columns.confirmed.any()


def test_what_is_absurd_is_held_back_until_it_is_confirmed_or_corrected(desk: Desk) -> None:
    desk.does(*LIFE, "cloth finished Shawl --washed 41.4cmx15.66cm")

    def state() -> tuple[set[str], bool]:
        with reading(Stash(path=desk.stash)) as connection:
            found = taught(connection)
            columns, _ = records_of(connection)
        held = {one.factor for one in found.held_back}
        assert held.isdisjoint(columns.factor[~columns.confirmed].tolist())
        return held, bool(columns.confirmed.any())

    assert state() == ({"shrink_length"}, False)
    desk.does('lessons --confirm Shawl "shrinkage in length"')
    assert state() == (set(), True)
    desk.does("cloth finished Shawl --washed 41.4cmx15.7cm")  # said anew: asked anew
    assert state() == ({"shrink_length"}, False)
    desk.does("cloth finished Shawl --washed 41.4cmx157cm")
    assert state() == (set(), False)


@pytest.mark.parametrize("grew", ["47.5cmx157cm", "41.4cmx180cm"])
def test_what_grew_in_the_wash_is_held_back_however_little_it_is_off(desk: Desk, grew: str) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM, f"cloth finished Shawl --washed {grew}")
    with reading(Stash(path=desk.stash)) as connection:
        (held,) = taught(connection).held_back
    assert held.observed < -0.03
    assert abs(held.y) < 5


def test_what_her_other_cloths_make_likely_is_not_held_back(desk: Desk) -> None:
    """Five spreads off any habit, and just as her confirmed ones."""
    for number in range(4):
        woven(desk, f"Runner {number}", 90, thrums_cm=220)
    for number in range(3):
        desk.does(f'lessons --confirm "Runner {number}" "loom waste"')
    with reading(Stash(path=desk.stash)) as connection:
        found = taught(connection)
    waste = [one for one in found.seen if one.factor == "waste_cm"]
    assert len(waste) == 4
    assert all(one.absurd and one.y > 5 for one in waste)
    assert found.held_back == ()


def test_two_absurd_records_do_not_vouch_for_one_another(desk: Desk) -> None:
    for number in range(2):
        woven(desk, f"Runner {number}", 9)
    with reading(Stash(path=desk.stash)) as connection:
        held = taught(connection).held_back
    assert sorted(one.cloth for one in held) == ["Runner 0", "Runner 1"]


def test_cloth_of_unwashed_yarn_teaches_nothing_of_shrinkage(desk: Desk) -> None:
    desk.does(
        PLAN.replace("Driftwood", "Fresh --as-spun").replace("40cmx", "36cmx"),
        SAMPLE,
        WOUND,
        ON_LOOM,
        "cloth off-loom Shawl --off 46cmx174cm",
        "cloth finished Shawl --washed 41cmx150cm",
    )
    assert {factor for _, _, factor in seen(desk)} == {"draw_in", "beat"}


def test_weft_use_shows_only_where_every_weft_was_weighed_and_its_grist_is_known(
    desk: Desk,
) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM.replace(" --left Driftwood=60g", ""))
    assert ("Shawl", "cloth", "weft_take_up") not in seen(desk)
    desk.does("cloth off-loom Shawl --left Driftwood=60g")
    assert seen(desk)["Shawl", "cloth", "weft_take_up"].observed == pytest.approx(0.0345, abs=1e-3)
    desk.does("undo", "undo", "undo", "undo", "undo", "skein add Wool --mass 150g --wpi 12wpi")
    desk.does(
        PLAN.replace("Driftwood", "Wool"), WOUND, ON_LOOM, OFF_LOOM.replace("Driftwood", "Wool")
    )
    assert ("Shawl", "cloth", "weft_take_up") not in seen(desk)


def test_yarn_that_serves_warp_and_weft_shows_no_weft_use(desk: Desk) -> None:
    desk.does(
        PLAN.replace("Driftwood", '"Gorse 1"'), WOUND, ON_LOOM,
        OFF_LOOM.replace("Driftwood", '"Gorse 1"').replace("60g", "5g"),
    )  # fmt: skip
    assert ("Shawl", "cloth", "weft_take_up") not in seen(desk)


def test_a_correction_takes_the_place_of_what_was_said(desk: Desk) -> None:
    desk.does(
        *LIFE, "cloth finished Shawl --ends 144 --tape 182cm", "cloth finished Shawl --wash hot"
    )
    found = seen(desk)
    assert found["Shawl", "cloth", "draw_in"].observed == pytest.approx(1 - 46 / 48)
    assert found["Shawl", "cloth", "let_off"].observed == pytest.approx(1 - 174 / 182)
    assert found["Shawl", "cloth", "shrink_width"].group == "wool, hot"
    assert found["Shawl", "cloth", "take_up"].observed == pytest.approx(1 - 174 / 198)


def test_a_washing_not_said_stays_that_of_the_plan_of_its_day(desk: Desk) -> None:
    desk.does(PLAN, SAMPLE, "cloth change Shawl --wash hot")
    assert seen(desk)["Shawl", "sample", "shrink_length"].group == "wool, gentle"


def test_what_goes_without_saying_is_as_settled_at_the_winding(desk: Desk) -> None:
    desk.does(PLAN, "cloth wound Shawl", "cloth on-loom Shawl")
    shown = desk.told("cloth show Shawl")
    desk.does("cloth off-loom Shawl --off 46cmx174cm --thrums 62cm")
    found = seen(desk)
    reed_cm = shown["ends"] / 3
    assert found["Shawl", "cloth", "draw_in"].observed == pytest.approx(1 - 46 / reed_cm)
    assert found["Shawl", "cloth", "take_up"].observed == pytest.approx(
        1 - 174 / (shown["warp_cut_cm"] - 62)
    )


def test_nothing_teaches_where_nothing_was_woven(desk: Desk) -> None:
    desk.does(PLAN)
    with reading(Stash(path=desk.stash)) as connection:
        columns, sources = records_of(connection)
    assert (len(columns), sources) == (0, ())


def test_what_is_undone_teaches_no_more(desk: Desk) -> None:
    desk.does(*LIFE)
    before = seen(desk)
    desk.does("cloth finished Shawl --ends 100", "undo")
    assert {key: one.observed for key, one in seen(desk).items()} == {
        key: one.observed for key, one in before.items()
    }
    desk.does("undo", "undo", "undo", "undo")
    assert seen(desk) == {}


def test_fringes_gaps_and_spare_warp_are_no_cloth_and_no_waste() -> None:
    told = Told(warp_cm=400.0, thrums_cm=60.0, spare_cm=10.0, off_length_cm=100.0)
    meant = Meant(3.0, pieces=2, extra_cm=12.0, unwoven_cm=50.0)
    found = shown_factors(told, meant)
    assert found == pytest.approx({"waste_cm": 50.0, "take_up": 1 - 212 / 290})
    out_of_waste = Meant(3.0, pieces=2, extra_cm=12.0, unwoven_cm=50.0, fringe_in_waste_cm=20.0)
    assert shown_factors(told, out_of_waste)["waste_cm"] == pytest.approx(70.0)


def test_a_factor_shows_only_where_all_it_needs_was_measured() -> None:
    meant = Meant(3.0)
    assert shown_factors(Told(ends=100, mass_g=90.0, wash="hot"), meant) == {}
    assert shown_factors(Told(off_length_cm=100.0), meant) == {}
    assert shown_factors(Told(off_length_cm=100.0, tape_cm=104.0), meant).keys() == {"let_off"}
    assert shown_factors(Told(thrums_cm=0.0), meant) == {}


@pytest.mark.parametrize(
    ("told", "word"),
    [
        (Told(warp_cm=200.0, thrums_cm=200.0), "thrums"),
        (Told(warp_cm=200.0, thrums_cm=20.0, spare_cm=21.0), "spare"),
        (Told(spare_cm=21.0), "spare"),
        (Told(warp_cm=200.0, thrums_cm=math.nan), "thrums"),
    ],
)
def test_more_left_over_than_there_was_is_impossible(told: Told, word: str) -> None:
    with pytest.raises(ImpossibleValue, match=word):
        check_possible(told, Meant(3.0, unwoven_cm=0.0))


def test_fringes_and_gaps_leave_less_for_thrums() -> None:
    told = Told(warp_cm=200.0, thrums_cm=150.0)
    check_possible(told, Meant(3.0, unwoven_cm=49.0))
    with pytest.raises(ImpossibleValue, match="fringes and gaps"):
        check_possible(told, Meant(3.0, unwoven_cm=50.0))


def _many_woven(desk: Desk, times: int) -> Stash:
    """One life told, and its rows as often again under other names."""
    woven(desk, "Runner", 91)
    stash = Stash(path=desk.stash)
    with writing(stash) as connection:

        def rows(table: Any, **where: Any) -> list[dict[str, Any]]:
            query = select(table).where(*(table.c[name] == x for name, x in where.items()))
            return [dict(row) for row in connection.execute(query).mappings()]

        (cloth,) = rows(tables.cloth)
        number = cloth.pop("id")
        for copy in range(times):
            name = f"Runner {copy}"
            own = {**cloth, "name": name, "name_key": name.casefold()}
            made = connection.execute(insert(tables.cloth).values(**own))
            (cloth_id,) = made.inserted_primary_key
            for table in (tables.cloth_yarn, tables.record):
                for row in rows(table, cloth_id=number):
                    del row["id"]
                    connection.execute(insert(table).values(**{**row, "cloth_id": cloth_id}))
    return stash


def test_two_hundred_cloths_take_no_query_each_and_little_time(desk: Desk) -> None:
    stash = _many_woven(desk, 200)
    queries = []
    with reading(stash) as connection:
        event.listen(connection, "before_cursor_execute", lambda *a: queries.append(a[2]))
        began = time.process_time()
        columns, sources = records_of(connection)
        took_s = time.process_time() - began
    assert len({one.cloth for one in sources}) == 201
    assert np.isfinite(columns.y).all()
    assert len(queries) < 20
    assert took_s < 2.0  # a loose bound; it takes about a quarter of it


def test_the_life_told_in_the_tests_is_told_in_order(desk: Desk) -> None:
    assert [line.split()[1] for line in lines("Runner", 90)] == [
        "plan", "wound", "on-loom", "off-loom", "finished",
    ]  # fmt: skip
