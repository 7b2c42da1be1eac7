"""Claims: how much of which skein a plan keeps, and that no gram is kept twice."""

import math
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import NormalDist

import pytest

from cli.running import Desk, furnished

SETT = "--sett 3/cm --picks 3/cm"
CUTTING_SD = 0.01  # of the warp's length: how exactly it is wound and cut


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


@contextmanager
def opened(desk: Desk) -> Iterator[sqlite3.Connection]:
    """The stash, past farspun."""
    connection = sqlite3.connect(desk.stash)
    try:
        yield connection
    finally:
        connection.close()


def plan(desk: Desk, name: str, more: str, size: str = "30cmx100cm") -> None:
    desk.does(f"cloth plan {name} --size {size} {SETT} {more}")


def held(desk: Desk, cloth: str) -> dict[str, float]:
    """Grams a cloth keeps of each skein, both sides together."""
    found: dict[str, float] = {}
    for yarn in desk.told(f"cloth show {cloth}")["yarns"]:
        found[yarn["skein"]] = found.get(yarn["skein"], 0.0) + yarn["claimed_g"]
    return found


def codes(desk: Desk, cloth: str) -> set[str]:
    return {one["code"] for one in desk.told(f"cloth check {cloth}")["warnings"]}


@pytest.mark.parametrize(("promise", "yarns"), [("95%", 2), ("80%", 2), ("99%", 2), ("95%", 3)])
def test_a_plan_claims_what_keeps_its_part_of_the_promise(
    desk: Desk, promise: str, yarns: int
) -> None:
    weft = "--weft Driftwood" if yarns == 2 else "--weft Driftwood:50% --weft Fresh:50%"
    plan(desk, "Shawl", f'--warp "Gorse 1" {weft} --promise {promise}')
    found = desk.told("cloth check Shawl")
    (warp,) = found["warp"]
    have = desk.told(["skein", "show", "Gorse 1"])["length_m"]
    have_sd = math.sqrt(math.log1p((have["sd"] / have["mean"]) ** 2))
    middle = math.log(warp["need_m"]["p50"] / have["p50"])
    level = 1 - (1 - float(promise.rstrip("%")) / 100) / yarns
    share = math.exp(middle + NormalDist().inv_cdf(level) * math.hypot(have_sd, CUTTING_SD))
    assert held(desk, "Shawl")["Gorse 1"] == pytest.approx(100 * share, rel=0.005)


def test_what_a_plan_claims_is_enough_for_its_own_promise(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    kept = held(desk, "Shawl")
    found = desk.told("cloth check Shawl")
    for need, skein in zip((*found["warp"], *found["weft"]), kept, strict=True):
        whole_g = desk.told(["skein", "show", skein])["mass_g"]
        share = kept[skein] / whole_g
        assert 0 < share < 1
        assert share * need["have_m"]["p50"] > need["need_m"]["p50"]


def test_skeins_are_claimed_one_after_another_in_the_order_given(desk: Desk) -> None:
    size = "45cmx160cm"
    plan(desk, "A", '--warp "Gorse 1" --warp "Gorse 2" --weft Driftwood', size)
    first = held(desk, "A")
    assert first["Gorse 1"] == 100 and 0 < first["Gorse 2"] < 110
    desk.does("cloth give-up A --yes")
    plan(desk, "B", '--warp "Gorse 2" --warp "Gorse 1" --weft Driftwood', size)
    second = held(desk, "B")
    assert second["Gorse 2"] == 110 and 0 < second["Gorse 1"] < 100
    assert sum(first.values()) == pytest.approx(sum(second.values()), rel=1e-3)


@pytest.mark.parametrize("names", [("Driftwood", "Gorse 1"), ("Gorse 1", "Driftwood")])
def test_of_a_yarn_of_unlike_skeins_the_metres_are_claimed_not_the_grams(
    desk: Desk, names: tuple[str, str]
) -> None:
    """The coarser skein alone serves: a share of the grams of both would be too few metres."""
    first, second = names
    plan(desk, "A", f'--warp "{first}" --warp "{second}" --weft Fresh', "12cmx40cm")
    whole = desk.told(["skein", "show", first])
    kept = held(desk, "A")
    need = desk.told("cloth check A")["warp"][0]["need_m"]["p50"]
    kept_m = kept[first] / whole["mass_g"] * whole["length_m"]["p50"]
    assert kept.get(second, 0.0) == 0
    assert need < kept_m < 1.1 * need


def test_a_plan_never_claims_more_than_is_free_and_the_rest_is_short(desk: Desk) -> None:
    plan(desk, "First", '--warp "Gorse 1" --weft Driftwood', "38cmx150cm")
    plan(desk, "Second", '--warp "Gorse 1" --weft Driftwood', "38cmx150cm")
    first, second = held(desk, "First"), held(desk, "Second")
    assert 0 < second["Gorse 1"] == pytest.approx(100 - first["Gorse 1"], abs=0.002)
    assert second["Driftwood"] <= 150 - first["Driftwood"] + 0.002
    shown = desk.told(["skein", "show", "Gorse 1"])
    assert shown["free_m"] == pytest.approx(0, abs=0.01)
    assert desk.told("cloth check Second")["warp"][0]["short_m"] > 0
    plan(desk, "Third", '--warp "Gorse 1" --weft Fresh', "38cmx150cm")
    assert held(desk, "Third")["Gorse 1"] < 0.002


def test_have_is_the_length_less_the_claims_of_others_whatever_their_priority(desk: Desk) -> None:
    plan(desk, "Low", '--warp "Gorse 1" --weft Fresh --priority 900')
    kept = held(desk, "Low")["Gorse 1"]
    whole_m = desk.told(["skein", "show", "Gorse 1"])["length_m"]["p50"]
    plan(desk, "High", '--warp "Gorse 1" --weft Driftwood --priority 1')
    (need,) = desk.told("cloth check High")["warp"]
    assert need["have_m"]["p50"] == pytest.approx(whole_m * (1 - kept / 100), rel=2e-3)


def test_its_own_claim_does_not_limit_what_a_cloth_has(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    assert held(desk, "Shawl")["Gorse 1"] < 100
    (need,) = desk.told("cloth check Shawl")["warp"]
    whole_m = desk.told(["skein", "show", "Gorse 1"])["length_m"]["p50"]
    assert need["have_m"]["p50"] == pytest.approx(whole_m, rel=1e-3)


def test_the_same_skein_on_both_sides_is_claimed_once(desk: Desk) -> None:
    plan(desk, "Scarf", "--warp Driftwood --weft Driftwood", "40cmx150cm")
    assert held(desk, "Scarf")["Driftwood"] <= 150
    with opened(desk) as connection:
        rows = connection.execute("SELECT side, mass_mg FROM claim ORDER BY side").fetchall()
    assert [side for side, _ in rows] == ["warp", "weft"]
    assert all(mass > 0 for _, mass in rows)


def test_giving_up_frees_all_of_it(desk: Desk) -> None:
    free_m = desk.told(["skein", "show", "Gorse 1"])["free_m"]
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    assert desk.told(["skein", "show", "Gorse 1"])["free_m"] < free_m
    desk.does("cloth give-up Shawl --yes")
    assert desk.told(["skein", "show", "Gorse 1"])["free_m"] == free_m
    assert held(desk, "Shawl") == {"Gorse 1": 0, "Driftwood": 0}


def test_claims_move_only_by_claiming_again(desk: Desk) -> None:
    plan(desk, "First", '--warp "Gorse 1" --weft Driftwood', "38cmx150cm")
    plan(desk, "Second", '--warp "Gorse 1" --weft Fresh', "38cmx150cm")
    before = held(desk, "Second")
    desk.does("cloth give-up First --yes")
    assert held(desk, "Second") == before
    desk.does("cloth change Second --size 20cmx50cm")
    assert held(desk, "Second") == before
    desk.does("cloth claim Second")
    smaller = held(desk, "Second")
    desk.does("cloth change Second --size 38cmx150cm")
    assert held(desk, "Second") == smaller
    desk.does("cloth claim Second")
    assert held(desk, "Second")["Gorse 1"] > before["Gorse 1"]


def test_a_skein_that_leaves_the_cloth_is_no_longer_kept(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    kept = held(desk, "Shawl")["Gorse 1"]
    desk.does("cloth change Shawl --weft Fresh")
    assert held(desk, "Shawl") == {"Gorse 1": kept, "Fresh": 0}
    shown = desk.told("skein show Driftwood")
    assert shown["free_m"] == shown["length_m"]["mean"]


def test_no_claim_can_be_made_or_raised_beyond_the_balance(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    kept = round(1000 * held(desk, "Shawl")["Gorse 1"])
    with opened(desk) as connection:
        for statement in (
            f"UPDATE claim SET mass_mg = {100_001} WHERE side = 'warp'",
            "INSERT INTO claim (action_id, cloth_id, skein_id, side, mass_mg)"
            f" SELECT action_id, cloth_id, skein_id, 'weft', {100_001 - kept} FROM claim"
            " WHERE side = 'warp'",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="claimed beyond the balance"):
                connection.execute(statement)
        connection.execute("UPDATE claim SET mass_mg = 100000 WHERE side = 'warp'")


def test_taking_for_a_cloth_takes_from_its_claim_and_counts_as_had(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    kept = held(desk, "Shawl")["Gorse 1"]
    before = desk.told("cloth check Shawl")
    desk.does('skein take "Gorse 1" 20g --for shawl')
    assert held(desk, "Shawl")["Gorse 1"] == pytest.approx(kept - 20)
    assert desk.told(["skein", "show", "Gorse 1"])["mass_g"] == 80
    after = desk.told("cloth check Shawl")
    have = [found["warp"][0]["have_m"]["p50"] for found in (before, after)]
    assert have[1] == pytest.approx(have[0], rel=0.01)
    desk.does('skein take "Gorse 1" 80g --for Shawl')
    assert held(desk, "Shawl")["Gorse 1"] == 0


def test_taking_beyond_what_is_free_names_the_cloth_that_keeps_it(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    free_g = 100 - held(desk, "Shawl")["Gorse 1"]
    said = desk.refuses(f'skein take "Gorse 1" {free_g + 0.01:.3f}g', 3)
    assert "“Shawl”" in said and "--for" in said
    desk.refuses('skein take "Gorse 1" 100.01g --for Shawl', 3)
    desk.refuses('skein take "Gorse 1" 10g --for Shwal', 4)
    desk.does(f'skein take "Gorse 1" {free_g - 0.01:.3f}g')


def test_a_later_lower_reading_leaves_claims_alone_and_every_cloth_is_warned(desk: Desk) -> None:
    plan(desk, "First", '--warp "Gorse 1" --weft Driftwood', "20cmx80cm")
    plan(desk, "Second", '--warp "Gorse 1" --weft Fresh', "20cmx80cm")
    plan(desk, "Other", '--warp "Gorse 2" --weft Driftwood', "20cmx80cm")
    kept = held(desk, "First"), held(desk, "Second")
    desk.does('skein take "Gorse 1" 1g', 'skein weigh "Gorse 1" 30g')
    assert (held(desk, "First"), held(desk, "Second")) == kept
    assert "overclaimed" in codes(desk, "First") & codes(desk, "Second")
    assert "overclaimed" not in codes(desk, "Other")
    assert desk.told(["skein", "show", "Gorse 1"])["free_m"] == 0
    desk.does("cloth claim Second", "cloth claim First")
    assert held(desk, "First")["Gorse 1"] + held(desk, "Second")["Gorse 1"] <= 30
    assert "overclaimed" not in codes(desk, "First") | codes(desk, "Second")


def test_an_overclaimed_cloth_can_still_be_changed(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    kept = held(desk, "Shawl")["Gorse 1"]
    desk.does('skein take "Gorse 1" 1g', 'skein weigh "Gorse 1" 30g')
    desk.does("cloth change Shawl --weft Fresh", "cloth change Shawl --promise 90%")
    assert held(desk, "Shawl") == {"Gorse 1": kept, "Fresh": 0}
    assert "overclaimed" in codes(desk, "Shawl")
    desk.does("cloth give-up Shawl --yes")
    assert desk.told(["skein", "show", "Gorse 1"])["free_m"] > 100


def test_a_skein_of_which_only_the_length_is_known_is_not_promised_twice(desk: Desk) -> None:
    desk.does("skein add Counted --length 400m --state relaxed")
    plan(desk, "First", "--warp Counted --weft Driftwood", "38cmx150cm")
    assert desk.told("cloth check First")["odds"]["warp"] > 0.95
    plan(desk, "Second", "--warp Counted --weft Fresh", "38cmx150cm")
    (need,) = desk.told("cloth check Second")["warp"]
    assert need["have_m"]["p50"] < 100
