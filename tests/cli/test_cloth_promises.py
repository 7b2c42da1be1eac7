"""Assumptions by hand, the promises asked for, and pieces that are to be cut."""

from pathlib import Path

import pytest

from cli.cloths import EXACT, assumption, plan
from cli.running import Desk, furnished

SETT = "--sett 3/cm --picks 3/cm"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


# --- assumptions and promises


def test_assumptions_by_hand_appear_as_given_and_are_exact_without_a_spread(desk: Desk) -> None:
    given = (
        "--take-up 10% --draw-in +10% --shrink-width 12%±3% --shrink-length 8%+-2% --let-off 3%"
        " --waste 60cm±5cm --beat 4% --warp Driftwood --weft Fresh"
    )
    found = plan(desk, given)
    own = "as you gave it"
    assert assumption(found, "take-up") == (0.1, 0.0, own)
    draw_in, sd, origin = assumption(found, "draw-in")
    assert draw_in == pytest.approx(0.1 / 1.1, abs=1e-6)
    assert (sd, origin) == (0.0, own)
    assert assumption(found, "shrinkage in width") == (0.12, 0.03, own)
    assert assumption(found, "shrinkage in length") == (0.08, 0.02, own)
    assert assumption(found, "let-off") == (0.03, 0.0, own)
    assert assumption(found, "loom waste") == (60.0, 5.0, own)
    assert assumption(found, "beat") == (1.0, 0.04, own)
    assert assumption(found, "weft crimp")[2] != own


def test_a_weft_take_up_by_hand_takes_the_place_of_crimp_and_joins(desk: Desk) -> None:
    found = plan(desk, f"{EXACT} --weft-take-up 10% --beat 0% --warp Driftwood --weft Fresh")
    names = [one["name"] for one in found["assumptions"]]
    assert "weft take-up" in names and "weft crimp" not in names
    assert found["setup"]["pick_length_cm"] == pytest.approx(40 * 1.10)
    points = found["weft"][0]["need_m"]
    assert points["p05"] == points["p95"] == pytest.approx(480 * 0.44)


def test_with_everything_exact_the_size_is_kept_for_sure(desk: Desk) -> None:
    found = plan(desk, f"{EXACT} --warp Driftwood --weft Fresh")
    assert found["odds"]["size"] == 1.0
    assert found["allowance_for_size"] == {"length_cm": 0, "ends": 0, "yarn_m": 0}
    assert (found["setup"]["ends"], found["setup"]["warp_cut_cm"]) == (120, 210)


def test_a_spread_that_says_nothing_is_refused(desk: Desk) -> None:
    line = "cloth plan A --size 20cmx50cm --sett 3/cm --warp Driftwood --weft Fresh"
    for more in ("--shrink-width 99.9%±99%", "--draw-in 95%±20%", "--waste 1cm±10m"):
        assert "less doubtful" in desk.refuses(f"{line} {more}", 3)


def test_the_size_promise_buys_size_with_yarn(desk: Desk) -> None:
    before = 0
    for promise in ("60%", "80%", "95%", "99%"):
        found = plan(desk, f"--size-promise {promise} --warp Driftwood --weft Fresh", promise)
        assert found["odds"]["size"] >= float(promise.rstrip("%")) / 100 - 0.005
        assert found["setup"]["ends"] > before
        before = found["setup"]["ends"]
    assert plan(desk, "--warp Driftwood --weft Fresh", "Usual")["odds"]["size"] >= 0.795


def test_give_makes_the_set_up_smaller(desk: Desk) -> None:
    ends = [
        plan(desk, f"--give {give} --warp Driftwood --weft Fresh", give)["setup"]["ends"]
        for give in ("10%", "5%", "0%")
    ]
    assert ends == sorted(set(ends))
    usual = plan(desk, "--warp Driftwood --weft Fresh", "Usual")["setup"]["ends"]
    assert usual == ends[1]


def test_the_promise_asked_for_is_kept_and_said(desk: Desk) -> None:
    line = '--warp "Gorse 1" --weft Driftwood --give 1% --promise'
    for promise, value in (("99.9%", 0.999), ("0.6", 0.6), ("2 in 3", 2 / 3), ("50.1%", 0.501)):
        found = plan(desk, f'{line} "{promise}"', promise, "30cmx120cm")
        assert found["promise"] == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize("option", ["--promise", "--size-promise"])
@pytest.mark.parametrize("promise", ["50%", "0.5", "99.91%", "100%", "0%", "-1%", "95", "nan"])
def test_a_promise_out_of_range_is_refused(desk: Desk, option: str, promise: str) -> None:
    line = f"cloth plan A --size 20cmx50cm --warp Driftwood --weft Fresh {option} {promise}"
    assert "romise" in desk.refuses(line, 3)


# --- pieces to be cut


def test_for_pieces_to_be_cut_nothing_is_given_and_the_size_joins_the_verdict(desk: Desk) -> None:
    desk.does("skein add Much --mass 2kg --length 9km --state relaxed")
    yarns = "--warp Much --weft Much"
    usual, cut = plan(desk, yarns, "Usual"), plan(desk, f"--cut {yarns}", "Cut")
    assert cut["odds"]["size"] > 0.97 > usual["odds"]["size"]
    assert cut["odds"]["all"] >= 0.945 and cut["verdict"] == "reaches"
    assert cut["setup"]["ends"] > usual["setup"]["ends"]
    given = plan(desk, f"--cut --give 5% {yarns}", "Given")
    assert given["setup"]["ends"] < cut["setup"]["ends"]


def test_a_set_up_too_small_for_its_pieces_is_not_mended_with_yarn(desk: Desk) -> None:
    desk.does("skein add Much --mass 2kg --length 9km --state relaxed")
    found = plan(desk, "--cut --ends 140 --warp Much --weft Much")
    assert found["odds"]["yarn"] == 1.0 and found["odds"]["size"] < 0.95
    assert found["verdict"] != "reaches"
    assert [need["short_m"] for need in (*found["warp"], *found["weft"])] == [0.0, 0.0]
    (notice,) = [one for one in found["warnings"] if one["code"] == "set-up-too-small"]
    assert notice["text"].startswith("The set-up, not the yarn, is too small")
    assert desk.told("shortfalls") == []


def test_what_is_short_of_a_cloth_to_be_cut_counts_yarn_and_size_together(desk: Desk) -> None:
    size = "30cmx180cm"
    found = plan(desk, '--cut --warp "Gorse 1" --weft Driftwood', size=size)
    assert found["verdict"] == "falls short"
    short_m, setup = found["warp"][0]["short_m"], found["setup"]
    desk.does("cloth give-up Cloth --yes")
    by_hand = f"--ends {setup['ends']} --warp-cut {setup['warp_cut_cm']}cm"
    usual = plan(desk, f'{by_hand} --warp "Gorse 1" --weft Driftwood', "Usual", size)
    assert short_m > usual["warp"][0]["short_m"] > 0
    exact = f"--length {short_m + 0.01:.2f}m --mass {(short_m + 0.01) / 4:.4f}g --state relaxed"
    desk.does("cloth give-up Usual --yes", f"skein add More {exact}")
    mended = plan(desk, '--cut --warp "Gorse 1" --warp More --weft Driftwood', "Mended", size)
    assert mended["odds"]["all"] == pytest.approx(0.95, abs=0.02)


def test_of_several_skeins_so_much_is_kept_that_the_promise_holds_without_the_rest(
    tmp_path: Path,
) -> None:
    """What is not kept goes to another cloth, and this one is as sure as it was promised."""
    desk = Desk(tmp_path)
    for number, metres in enumerate((60, 70, 80, 300)):
        desk.does(f"skein add 'Ash {number}' --mass 100g --length {metres}m --state unwashed")
    desk.does("skein add Heath --mass 300g --length 900m --state relaxed")
    weft = "--weft 'Ash 0' --weft 'Ash 1' --weft 'Ash 2' --weft 'Ash 3'"
    size = "--size 30cmx150cm --sett 3/cm --picks 3/cm"
    before = desk.told(f"cloth plan First {size} --warp Heath {weft}")
    assert before["odds"]["yarn"] > 0.97
    desk.does(f"cloth plan Thief --size 30cmx600cm --sett 3/cm --picks 3/cm --warp Heath {weft}")
    after = desk.told("cloth check First")
    assert after["odds"]["yarn"] < before["odds"]["yarn"]  # the rest is gone indeed
    assert after["odds"]["yarn"] >= 0.95


def test_a_changed_cloth_says_that_what_is_kept_is_no_longer_enough(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(f"cloth plan Shawl --size 30cmx120cm --warp 'Gorse 2' --weft Driftwood {SETT}")
    assert "is kept for it" not in desk.does("cloth check Shawl")
    said = " ".join(desk.does("cloth change Shawl --size 33cmx120cm").split())
    assert "is kept for it, and it wants" in said
    assert "if others take the rest it is" in said and "farspun cloth claim Shawl" in said
    desk.does("cloth claim Shawl")
    assert "is kept for it" not in desk.does("cloth check Shawl")


def test_the_list_tells_the_odds_that_the_verdict_is_on(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(
        f"cloth plan Bag --size 30cmx60cm --cut --warp 'Gorse 2' --weft Driftwood {SETT}"
        " --size-promise 80%"
    )
    found, (row,) = desk.told("cloth check Bag"), desk.told("cloth list")
    assert found["odds"]["all"] < found["odds"]["yarn"]
    assert row["odds"] == found["odds"]["all"]


def test_a_cloth_that_will_be_too_small_does_not_begin_with_good_news_alone(
    tmp_path: Path,
) -> None:
    desk = furnished(tmp_path)
    plan = f"cloth plan Shawl --size 40cmx120cm --warp 'Gorse 2' --weft Driftwood {SETT}"
    first = " ".join(desk.does(f"{plan} --ends 100").split())
    assert "; but under 1 in 100 that it comes out as large as you asked." in first
    assert "comes out as large" not in desk.does("cloth change Shawl --default ends")
