"""farspun share-out: who gets which skein, what changes, keeping it and taking that back."""

import sqlite3
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from cli.cloths import claims
from cli.running import Desk, furnished

SETT = "--sett 3/cm --picks 3/cm"
TWO = '--warp "Gorse 1" --warp "Gorse 2" --weft Driftwood'
KEYS = [
    *("kept", "cloths", "changes", "left_out", "bound_m", "pieces", "gap", "held_m", "without"),
]
CLOTH_KEYS = [
    *("cloth", "priority", "promise", "verdict", "odds", "odds_now", "odds_free"),
    *("needs", "too_small"),
]
NEED_KEYS = [
    *("side", "yarn", "need_m", "promise", "odds", "given", "in_hand_m", "short_m", "short_g"),
]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def plan(desk: Desk, name: str, more: str = TWO, size: str = "30cmx100cm") -> None:
    desk.does(f"cloth plan {name} --size {size} {SETT} {more}")


def cloth(shared: Any, name: str) -> Any:
    (found,) = (one for one in shared["cloths"] if one["cloth"] == name)
    return found


def given(shared: Any, name: str) -> dict[tuple[str, str], float]:
    """Grams by side and skein."""
    return {
        (need["side"], one["skein"]): one["mass_g"]
        for need in cloth(shared, name)["needs"]
        for one in need["given"]
    }


def grams(shared: Any) -> dict[str, float]:
    """All that is given of each skein."""
    found: dict[str, float] = {}
    for one in shared["cloths"]:
        for (_, skein), mass_g in given(shared, one["cloth"]).items():
            found[skein] = found.get(skein, 0.0) + mass_g
    return found


def everything(desk: Desk) -> list[str]:
    """The whole stash as it is on disk."""
    with closing(sqlite3.connect(desk.stash)) as connection:
        return list(connection.iterdump())


def all_claims(desk: Desk) -> list[Any]:
    with closing(sqlite3.connect(desk.stash)) as connection:
        rows = "SELECT id, action_id, cloth_id, skein_id, side, mass_mg FROM claim ORDER BY id"
        return connection.execute(rows).fetchall()


# what is told


def test_the_document_has_the_keys_that_scripts_rely_on(desk: Desk) -> None:
    plan(desk, "Shawl")
    found = desk.told("share-out")
    assert list(found) == KEYS
    (one,) = found["cloths"]
    assert list(one) == CLOTH_KEYS
    assert all(list(need) == NEED_KEYS for need in one["needs"])
    assert [need["side"] for need in one["needs"]] == ["warp", "weft"]
    assert list(one["needs"][0]["given"][0]) == ["skein", "length_m", "mass_g", "share"]


def test_nothing_is_changed_without_keep(desk: Desk) -> None:
    plan(desk, "Shawl")
    plan(desk, "Scarf", f"{TWO} --priority 1")
    before = everything(desk)
    said = desk.does("share-out", "share-out --promise 80%")
    assert everything(desk) == before
    assert "farspun share-out --keep" in said


def test_every_cloth_that_reaches_keeps_its_promise_with_what_it_is_given(desk: Desk) -> None:
    plan(desk, "Shawl")
    plan(desk, "Scarf", f"{TWO} --promise 90%", "20cmx80cm")
    for one in desk.told("share-out")["cloths"]:
        assert one["verdict"] == "reaches"
        assert one["odds"] >= one["promise"] - 0.005
        for need in one["needs"]:
            assert need["odds"] >= need["promise"] - 0.005
            assert need["short_m"] == 0


def test_a_promise_on_the_command_stands_for_that_of_every_cloth(desk: Desk) -> None:
    plan(desk, "Shawl")
    even, sure = (desk.told(f"share-out --promise {one}") for one in ("70%", "99%"))
    assert cloth(even, "Shawl")["promise"] == 0.7
    assert cloth(sure, "Shawl")["promise"] == 0.99
    assert even["bound_m"] < desk.told("share-out")["bound_m"] < sure["bound_m"]
    assert cloth(even, "Shawl")["odds"] < cloth(sure, "Shawl")["odds"]


def test_no_more_is_given_of_a_skein_than_there_is(desk: Desk) -> None:
    for number in range(1, 5):
        plan(desk, f"Rug{number}", f"{TWO} --priority {number}", "60cmx150cm")
    found = desk.told("share-out")
    holds = {one["name"]: one["mass_g"] for one in desk.told("skein list")}
    assert grams(found)
    for skein, mass_g in grams(found).items():
        assert mass_g <= holds[skein] + 1e-6
    assert any(one["verdict"] == "falls short" for one in found["cloths"])


def test_the_higher_priority_is_served_first_whatever_it_claims_today(desk: Desk) -> None:
    plan(desk, "Early", "--warp Driftwood --weft Driftwood --priority 2", "30cmx120cm")
    plan(desk, "Late", "--warp Driftwood --weft Driftwood --priority 1", "30cmx120cm")
    found = desk.told("share-out")
    assert [one["cloth"] for one in found["cloths"]] == ["Late", "Early"]
    assert cloth(found, "Late")["verdict"] == "reaches"
    early = cloth(found, "Early")
    assert early["verdict"] == "falls short"
    assert early["odds_now"] > 0.9
    assert any(need["short_m"] > 0 and need["short_g"] > 0 for need in early["needs"])
    (less,) = (one for one in found["changes"] if one["cloth"] == "Early" and one["side"] == "warp")
    assert less["then_g"] < less["now_g"]
    said = " ".join(desk.does("share-out").split())
    assert "Loses Early" in said and "of Driftwood" in said
    assert "short by" in said


def test_of_equal_priorities_the_one_planned_first_is_served_first(desk: Desk) -> None:
    for name in ("Zander", "Adder"):
        plan(desk, name, "--warp Driftwood --weft Driftwood", "30cmx120cm")
    found = desk.told("share-out")
    assert [one["cloth"] for one in found["cloths"]] == ["Zander", "Adder"]
    assert [one["verdict"] for one in found["cloths"]] == ["reaches", "falls short"]


def test_a_cloth_is_as_well_served_as_if_those_after_it_were_not_there(desk: Desk) -> None:
    for number in range(1, 4):
        plan(desk, f"Rug{number}", f"{TWO} --priority {number}", "45cmx130cm")
    odds = []
    for left in (3, 2, 1):
        odds.append([one["odds"] for one in desk.told("share-out")["cloths"]])
        desk.does(f"cloth give-up Rug{left} --yes")
    for more, fewer in pairwise(odds):
        for (
            one,
            alone,
        ) in zip(more, fewer, strict=False):
            assert one >= min(alone, 0.95) - 0.005


def test_the_same_question_has_the_same_answer(desk: Desk) -> None:
    plan(desk, "Shawl")
    plan(desk, "Scarf", size="40cmx150cm")
    assert desk.told("share-out") == desk.told("share-out")


# skeins of every kind


def test_a_yarn_on_both_sides_of_a_cloth_is_enough_for_both(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Driftwood", "30cmx120cm")
    found = desk.told("share-out")
    one = cloth(found, "Shawl")
    assert set(given(found, "Shawl")) == {("warp", "Driftwood"), ("weft", "Driftwood")}
    assert one["odds"] >= 0.945
    given_m = sum(got["length_m"] for need in one["needs"] for got in need["given"])
    assert given_m > sum(need["need_m"] for need in one["needs"])


def test_mill_yarn_is_shared_out_like_any_other(desk: Desk) -> None:
    plan(desk, "Towel", "--warp Cone --weft Cone", "15cmx40cm")
    plan(desk, "Cloth", "--warp Cone --weft Fresh --priority 1", "15cmx40cm")
    found = desk.told("share-out")
    assert [one["verdict"] for one in found["cloths"]] == ["reaches", "reaches"]
    assert 0 < grams(found)["Cone"] <= 60


def test_yarn_of_a_cloth_on_the_loom_stays_with_it(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood', "35cmx120cm")
    desk.does("cloth wound Shawl")
    kept = claims(desk, "Shawl")
    assert kept["weft", "Driftwood"] > 0
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood --priority 1', "45cmx180cm")
    found = desk.told("share-out")
    assert [one["cloth"] for one in found["cloths"]] == ["Scarf"]
    assert grams(found)["Driftwood"] <= 150 - kept["weft", "Driftwood"] + 1e-3
    desk.does("share-out --keep --yes")
    assert claims(desk, "Shawl") == kept


def test_what_was_taken_for_a_cloth_counts_for_it_and_for_no_other(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood', "30cmx120cm")
    before = given(desk.told("share-out"), "Shawl")
    desk.does("skein take Driftwood 60m --for Shawl")
    found = desk.told("share-out")
    weft = cloth(found, "Shawl")["needs"][1]
    assert weft["in_hand_m"] == pytest.approx(60, rel=0.02)
    assert given(found, "Shawl")["weft", "Driftwood"] == pytest.approx(
        before["weft", "Driftwood"] - 20, abs=1.5
    )
    assert cloth(found, "Shawl")["odds"] >= 0.945


def test_a_skein_that_is_claimed_and_closed_is_left_out_and_said(desk: Desk) -> None:
    plan(desk, "Shawl")
    desk.does("skein close Driftwood --because sold --sure")
    found = desk.told("share-out")
    (left,) = found["left_out"]
    assert left == {"skein": "Driftwood", "cloths": ["Shawl"], "why": "it is closed"}
    weft = cloth(found, "Shawl")["needs"][1]
    assert weft["given"] == [] and weft["odds"] == 0 and weft["short_m"] > 0
    desk.does("share-out --keep --yes")
    assert claims(desk, "Shawl")["weft", "Driftwood"] == 0


def test_a_skein_of_unknown_length_is_left_out_and_said(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Fresh --weft Wraps', "20cmx60cm")
    (left,) = desk.told("share-out")["left_out"]
    assert left["skein"] == "Wraps" and "weigh it" in left["why"]
    assert cloth(desk.told("share-out"), "Shawl")["verdict"] == "reaches"


def test_a_skein_claimed_beyond_what_it_holds_now_is_shared_out_as_it_is(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood', "45cmx160cm")
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood', "20cmx60cm")
    desk.does("skein weigh Driftwood 60g")
    before = all_claims(desk)
    desk.does("share-out --keep --yes")
    assert sum(row[5] for row in all_claims(desk) if row[3] == 3) <= 60_000
    desk.does("undo")
    assert all_claims(desk) == before


@pytest.mark.parametrize(
    "more",
    [
        "--warp Fresh --weft Fresh --as-spun",
        '--warp "Gorse 1:2" --warp "Gorse 2:1" --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood:60% --weft Fresh:40%',
        '--warp "Gorse 1" --weft-order "10cm Driftwood, 2 Fresh"',
        '--warp "Gorse 1:1" --warp Driftwood:1 --weft Driftwood',
        "--warp Driftwood --weft Driftwood --cut",
    ],
)
def test_every_way_of_naming_yarn_is_shared_out_and_comes_out_enough(desk: Desk, more: str) -> None:
    plan(desk, "Cloth", more, "20cmx50cm")
    plan(desk, "Other", f"{TWO} --priority 1", "20cmx50cm")
    desk.does("share-out --keep --yes")
    found = desk.told("share-out")
    assert found["changes"] == []
    assert [one["verdict"] for one in found["cloths"]] == ["reaches", "reaches"]
    for one in found["cloths"]:
        assert one["odds"] == one["odds_now"] >= 0.945
        for need in one["needs"]:
            assert sum(got["length_m"] for got in need["given"]) > 0.99 * need["need_m"]


def test_unwashed_yarn_is_counted_longer_by_the_cloth_that_weaves_it_as_spun(desk: Desk) -> None:
    """One skein for two cloths: its metres are not the same to both, its grams are."""
    plan(desk, "Washed", '--warp "Gorse 1" --weft Fresh', "20cmx50cm")
    plan(desk, "Raw", '--warp "Gorse 2" --weft Fresh --as-spun', "20cmx50cm")
    found = desk.told("share-out")
    washed, raw = (
        next(got for got in cloth(found, name)["needs"][1]["given"]) for name in ("Washed", "Raw")
    )
    assert raw["length_m"] / raw["mass_g"] > 1.02 * washed["length_m"] / washed["mass_g"]
    assert raw["mass_g"] + washed["mass_g"] <= 90


def test_the_odds_that_check_tells_stand_beside_those_by_claims_alone(desk: Desk) -> None:
    plan(desk, "Shawl")
    one = cloth(desk.told("share-out"), "Shawl")
    assert one["odds_free"] == desk.told("cloth check Shawl")["odds"]["yarn"] > one["odds_now"]
    said = " ".join(desk.does("share-out").split())
    assert "in 100; with yarn nobody claims as well: over 99 in 100." in said
    assert "its part" not in said


# what is not worth moving, and what is taken in vain


def test_yarn_is_not_moved_from_a_skein_to_another_just_like_it(desk: Desk) -> None:
    """Either skein would do as well, and nobody else wants the other."""
    for name in ("Fern 1", "Fern 2"):
        desk.does(f'skein add "{name}" --mass 150g --length 450m --state relaxed')
    for first, second in (("Fern 1", "Fern 2"), ("Fern 2", "Fern 1")):
        name = f"Shawl{first[-1]}"
        plan(desk, name, f'--warp "Gorse 1" --weft "{first}" --weft "{second}"', "30cmx80cm")
        kept = claims(desk, name)
        assert kept["weft", first] > 0 and not kept["weft", second]
        assert desk.told("share-out")["changes"] == []
        desk.does(f"cloth give-up {name} --yes")


def test_a_cloth_that_others_do_not_touch_keeps_its_claims_while_they_change(desk: Desk) -> None:
    for name in ("Fern 1", "Fern 2"):
        desk.does(f'skein add "{name}" --mass 150g --length 450m --state relaxed')
    plan(desk, "Cowl", '--warp "Fern 2" --weft "Fern 2" --weft "Fern 1" --priority 3', "20cmx60cm")
    plan(desk, "Early", "--warp Driftwood --weft Driftwood --priority 2", "30cmx120cm")
    plan(desk, "Late", "--warp Driftwood --weft Driftwood --priority 1", "30cmx120cm")
    found = desk.told("share-out")
    assert {one["cloth"] for one in found["changes"]} == {"Early", "Late"}
    assert found["held_m"] < 10


def test_yarn_is_moved_where_that_saves_a_join(desk: Desk) -> None:
    desk.does("skein add Short --mass 10g --length 30m --state relaxed")
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Short --weft Driftwood', "30cmx80cm")
    assert claims(desk, "Shawl")["weft", "Short"] > 0
    found = desk.told("share-out")
    assert {one["skein"] for one in found["changes"]} == {"Short", "Driftwood"}
    assert set(given(found, "Shawl")) == {("warp", "Gorse 1"), ("weft", "Driftwood")}


def test_a_cloth_that_takes_yarn_in_vain_is_named_with_those_it_would_serve(desk: Desk) -> None:
    """Rug takes all of Driftwood and falls short by it; Scarf and Towels need less of it."""
    plan(desk, "Rug", '--warp "Gorse 1" --weft Driftwood --priority 1', "60cmx200cm")
    for name in ("Scarf", "Towels"):
        plan(desk, name, '--warp "Gorse 2" --weft Driftwood --priority 2', "20cmx80cm")
    found = desk.told("share-out")
    assert [one["verdict"] for one in found["cloths"]] == ["falls short"] * 3
    assert found["without"] == [{"cloth": "Rug", "would_reach": ["Scarf", "Towels"]}]
    said = " ".join(desk.does("share-out").split())
    assert "Without Rug, Scarf and Towels would reach: farspun cloth give-up Rug," in said
    assert "farspun cloth change Rug --priority 3" in said
    desk.does("cloth change Rug --priority 3")
    found = desk.told("share-out")
    assert [one["verdict"] for one in found["cloths"]] == ["reaches", "reaches", "falls short"]
    assert found["without"] == []
    desk.does("cloth give-up Rug --yes")
    assert desk.told("share-out")["without"] == []


# keeping it


def test_keep_makes_it_the_claims_and_then_nothing_changes_any_more(desk: Desk) -> None:
    plan(desk, "Shawl", size="40cmx150cm")
    plan(desk, "Scarf", f"{TWO} --priority 1")
    shown = desk.told("share-out")
    desk.does("share-out --keep --yes")
    for name in ("Shawl", "Scarf"):
        kept = {key: grams for key, grams in claims(desk, name).items() if grams}
        assert kept == pytest.approx(given(shown, name))
    again = desk.told("share-out")
    assert again["changes"] == []
    assert again["cloths"] == [
        one | {key: then[key] for key in ("odds_now", "odds_free")}
        for one, then in zip(shown["cloths"], again["cloths"], strict=True)
    ]
    before = everything(desk)
    assert "None: it is what the cloths claim today." in desk.does("share-out --keep")
    assert everything(desk) == before


def test_a_cloth_that_was_shared_out_is_not_told_to_claim_again(desk: Desk) -> None:
    plan(desk, "Shawl", size="40cmx150cm")
    plan(desk, "Scarf", f"{TWO} --priority 1")
    desk.does("share-out --keep --yes")
    for one in desk.told("cloth check"):
        assert "not-kept" not in {notice["code"] for notice in one["warnings"]}


@pytest.mark.parametrize("swapped", [False, True])
def test_undo_puts_every_claim_back_as_it_was(desk: Desk, swapped: bool) -> None:
    """Whichever of the two claims is the older one, and though both skeins are claimed whole."""
    first, second = (2, 1) if swapped else (1, 2)
    plan(desk, "A", f"--warp Driftwood --weft Fresh --priority {first}", "60cmx2m")
    plan(desk, "B", f"--warp Driftwood --weft Fresh --priority {second}", "60cmx2m")
    plan(desk, "C", f"{TWO} --priority 1")
    before = all_claims(desk)
    desk.does("share-out --keep --yes")
    assert all_claims(desk) != before
    assert desk.does("undo").startswith("Undone: share-out (")
    assert all_claims(desk) == before


def test_it_asks_before_a_cloth_loses_yarn_and_leaves_things_be_where_nobody_answers(
    desk: Desk,
) -> None:
    plan(desk, "Early", "--warp Driftwood --weft Driftwood --priority 2", "30cmx120cm")
    plan(desk, "Late", "--warp Driftwood --weft Driftwood --priority 1", "30cmx120cm")
    before = everything(desk)
    ran = desk.run("share-out --keep")
    assert ran.exit_code == 2 and "Early" in ran.stderr and "--yes" in ran.stderr
    ran = desk.run("share-out --keep", given="n\n")
    assert ran.exit_code == 0 and "Nothing was changed." in ran.stderr
    assert everything(desk) == before
    ran = desk.run("share-out --keep", given="y\n")
    assert ran.exit_code == 0 and "farspun undo" in ran.stderr
    assert everything(desk) != before


def test_what_was_shown_is_not_kept_where_the_stash_was_changed_meanwhile(desk: Desk) -> None:
    from farspun.errors import ImpossibleValue
    from farspun.services.sharing_out import keep_shares, share_out
    from farspun.store.engine import Stash

    plan(desk, "Shawl")
    stash = Stash(path=desk.stash)
    shown = share_out(stash)
    desk.does("skein take Driftwood 5g")
    before = everything(desk)
    with pytest.raises(ImpossibleValue, match="changed meanwhile"):
        keep_shares(stash, shown)
    assert everything(desk) == before


# bad input


def test_where_nothing_is_planned_a_sentence_says_so_and_nothing_is_stored(desk: Desk) -> None:
    before = everything(desk)
    assert "nothing to share out" in desk.does("share-out", "share-out --keep --yes")
    assert desk.told("share-out")["cloths"] == []
    assert everything(desk) == before


def test_an_empty_stash_is_answered_and_not_made(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    ran = desk.run("share-out --keep --yes")
    assert ran.exit_code == 0
    assert "nothing to share out" in ran.stdout and "There is no stash at" in ran.stderr
    assert not desk.stash.exists()


def test_where_nothing_fits_every_cloth_is_told_short(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Wraps --weft Wraps", "20cmx60cm")
    found = desk.told("share-out")
    assert found["pieces"] == 0 and found["bound_m"] == 0 and found["gap"] == 0
    assert cloth(found, "Shawl")["verdict"] == "falls short"
    said = desk.does("share-out --keep --yes")
    assert said.startswith("Nothing of the stash can be shared out among 1 planned cloth.")


@pytest.mark.parametrize("promise", ["100%", "50%", "0", "sure"])
def test_a_promise_that_cannot_be_is_refused(desk: Desk, promise: str) -> None:
    plan(desk, "Shawl")
    before = everything(desk)
    assert "promise" in desk.refuses(f"share-out --keep --yes --promise {promise}", 3).lower()
    assert everything(desk) == before


def test_a_cloth_cut_from_pieces_too_small_set_up_is_told_apart_from_short_yarn(
    desk: Desk,
) -> None:
    plan(desk, "Bag", f"{TWO} --cut --ends 60 --warp-cut 100cm", "30cmx80cm")
    found = desk.told("share-out")
    assert cloth(found, "Bag")["too_small"]
    assert "The set-up, not the yarn, is too small" in desk.does("share-out")
