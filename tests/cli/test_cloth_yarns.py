"""The yarns of a cloth: together or in an order or in bands, on both sides, as spun, short."""

from pathlib import Path

import pytest

from cli.cloths import EXACT, SHAWL, assumption, claims, middle, plan
from cli.running import Desk, furnished


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


# --- the yarns of a side


def test_skeins_without_a_number_are_one_yarn_and_their_lengths_are_added(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --warp "Gorse 2" --weft Driftwood')
    (warp,) = found["warp"]
    assert warp["skeins"] == ["Gorse 1", "Gorse 2"]
    alone = [desk.told(["skein", "show", one])["length_m"]["p50"] for one in warp["skeins"]]
    assert warp["have_m"]["p50"] == pytest.approx(sum(alone), rel=2e-3)
    ends = found["setup"]["ends"] * found["setup"]["warp_cut_cm"] / 100
    assert middle(warp) == pytest.approx(ends, rel=1e-3)


def test_ends_are_parts_of_the_repeat_in_the_order_given(desk: Desk) -> None:
    found = plan(desk, f'--ends 50 {EXACT} --warp "Gorse 1:4" --warp Driftwood:3 --weft Fresh')
    assert [need["skeins"] for need in found["warp"]] == [["Gorse 1"], ["Driftwood"]]
    cut_m = found["setup"]["warp_cut_cm"] / 100
    # seven whole repeats and one end more, which falls to the first yarn
    assert [middle(need) / cut_m for need in found["warp"]] == pytest.approx([29, 21], rel=1e-3)
    turned = plan(
        desk, f'--ends 50 {EXACT} --warp Driftwood:3 --warp "Gorse 1:4" --weft Fresh', "Turned"
    )
    assert [middle(need) / cut_m for need in turned["warp"]] == pytest.approx([22, 28], rel=1e-3)


def test_a_yarn_may_come_again_in_the_order_and_still_gives_its_length_once(desk: Desk) -> None:
    order = '--warp "Gorse 1:4" --warp Driftwood:2 --warp "Gorse 1:1" --weft Fresh'
    found = plan(desk, f"--ends 70 {EXACT} {order}")
    first, _, again = found["warp"]
    cut_m = found["setup"]["warp_cut_cm"] / 100
    assert [middle(n) / cut_m for n in found["warp"]] == pytest.approx([40, 20, 10], rel=1e-3)
    assert again["have_m"]["p50"] == pytest.approx(first["have_m"]["p50"] - middle(first), rel=2e-3)


def test_an_order_longer_than_the_warp_is_refused(desk: Desk) -> None:
    said = desk.refuses(
        "cloth plan Narrow --size 5cmx50cm --sett 3/cm --warp Driftwood:200 --warp Fresh:2"
        ' --weft "Gorse 1"',
        3,
    )
    assert "202 ends" in said


@pytest.mark.parametrize("shares", [("25%", "75%"), ("0.25", "0.75"), ("1/4", "3/4")])
def test_shares_are_parts_of_the_picks_adding_to_one(desk: Desk, shares: tuple[str, str]) -> None:
    whole = plan(desk, '--warp "Gorse 1" --weft Driftwood')
    desk.does("cloth give-up Cloth --yes")
    first, second = shares
    parts = plan(desk, f'--warp "Gorse 1" --weft Driftwood:{first} --weft Fresh:{second}', "Bands")
    assert [need["skeins"] for need in parts["weft"]] == [["Driftwood"], ["Fresh"]]
    needs = [middle(need) for need in parts["weft"]]
    assert needs[1] == pytest.approx(3 * needs[0], rel=1e-6)
    # a little off for the other yarn's thickness, which bends the picks otherwise
    assert sum(needs) == pytest.approx(middle(whole["weft"][0]), rel=1e-3)


def test_three_thirds_said_as_33_per_cent_are_a_whole(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood:33% --weft Fresh:33% --weft Cone:33%')
    first, *others = [middle(need) for need in found["weft"]]
    assert others == pytest.approx([first, first])
    whole = desk.told(
        'reach Driftwood Fresh Cone --warp "Gorse 1" --size 40cmx160cm --sett 3/cm --picks 3/cm'
    )
    # as one yarn they come in by their lengths, and the picks bend a little otherwise
    assert 3 * first == pytest.approx(middle(whole["weft"][0]), rel=1e-2)


@pytest.mark.parametrize("shares", [("20%", "70%"), ("60%", "60%"), ("1", "1")])
def test_shares_that_do_not_add_to_one_are_refused(desk: Desk, shares: tuple[str, str]) -> None:
    line = f'{SHAWL.rsplit(" ", 2)[0]} --weft "Driftwood:{shares[0]}" --weft "Fresh:{shares[1]}"'
    assert "together" in desk.refuses(line, 3)


@pytest.mark.parametrize(
    "yarns",
    [
        '--warp "Gorse 1:4" --warp "Gorse 2" --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood:50% --weft Fresh',
    ],
)
def test_mixing_yarns_with_and_without_a_number_is_wrong_use(desk: Desk, yarns: str) -> None:
    said = desk.refuses(f"cloth plan Mixed --size 40cmx160cm --sett 3/cm {yarns}", 2)
    assert "or to none" in said


@pytest.mark.parametrize(
    "yarns",
    [
        '--warp "Gorse 1" --warp "gorse 1" --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood:50% --weft driftwood:50%',
    ],
)
def test_a_skein_named_twice_does_not_count_twice(desk: Desk, yarns: str) -> None:
    said = desk.refuses(f"cloth plan Twice --size 40cmx160cm --sett 3/cm {yarns}", 2)
    assert "named twice" in said


@pytest.mark.parametrize("number", ["0", "-1", "1.5", "x", ""])
def test_ends_that_are_no_whole_number_are_refused(desk: Desk, number: str) -> None:
    words = ["cloth", "plan", "A", "--size", "40cmx160cm", "--weft", "Fresh", "--warp"]
    assert "nds of Gorse 1" in desk.refuses([*words, f"Gorse 1:{number}"], 3)


@pytest.mark.parametrize("number", ["0%", "-5%", "101%", "2", "nan", ""])
def test_a_share_that_is_no_part_is_refused(desk: Desk, number: str) -> None:
    words = ["cloth", "plan", "A", "--size", "40cmx160cm", "--warp", "Fresh", "--weft"]
    assert "hare of Gorse 1" in desk.refuses([*words, f"Gorse 1:{number}"], 3)


def test_the_whole_text_is_first_tried_as_a_name(desk: Desk) -> None:
    for name in ("Gorse 1:4", "A=B", "Fresh:50%"):
        desk.does(f'skein add "{name}" --mass 100g --length 400m --state relaxed')
    found = plan(desk, '--warp "Gorse 1:4" --weft "Fresh:50%"')
    assert found["warp"][0]["skeins"] == ["Gorse 1:4"]
    assert found["weft"][0]["skeins"] == ["Fresh:50%"]
    split = plan(desk, '--warp "Gorse 1:4:2" --warp "A=B:1" --weft "fresh:50%"', "Split")
    assert [need["skeins"] for need in split["warp"]] == [["Gorse 1:4"], ["A=B"]]


def test_a_skein_on_both_sides_serves_the_warp_first(desk: Desk) -> None:
    found = plan(desk, "--warp Driftwood --weft Driftwood", size="20cmx100cm")
    (warp,), (weft,) = found["warp"], found["weft"]
    left = warp["have_m"]["p50"] - middle(warp)
    assert weft["have_m"]["p50"] == pytest.approx(left, rel=5e-3)
    held = claims(desk, "Cloth")
    total = held["warp", "Driftwood"] + held["weft", "Driftwood"]
    assert held["warp", "Driftwood"] > held["weft", "Driftwood"] > 0
    assert total <= 150


def test_a_skein_without_known_length_makes_it_uncertain_and_is_to_be_weighed(desk: Desk) -> None:
    found = plan(desk, "--warp Wraps --weft Driftwood")
    (warp,) = found["warp"]
    assert warp["have_m"] == {"p05": None, "p50": None, "p95": None}
    assert (warp["odds"], warp["short_m"], warp["short_g"]) == (None, None, None)
    assert found["odds"]["yarn"] is found["odds"]["warp"] is found["odds"]["all"] is None
    assert found["odds"]["weft"] > 0.999
    assert found["verdict"] == "uncertain"
    assert found["settle"] == {
        "do": "weigh Wraps",
        "odds_after": None,
        "clear_yes": None,
        "size_after": None,
    }
    assert desk.run("cloth check Cloth --exit-code").exit_code == 10


def test_grams_are_null_where_only_the_length_is_known(desk: Desk) -> None:
    desk.does("skein add Counted --length 100m --state relaxed")
    found = plan(desk, "--warp Counted --weft Driftwood")
    (warp,) = found["warp"]
    assert warp["short_m"] > 300 and warp["short_g"] is None
    (row,) = desk.told("shortfalls")
    assert row["get"] == {"spin": {"length_m": row["short_m"], "mass_g": None}}
    assert "more Counted" in desk.does("cloth check Cloth")


# --- woven as it was spun


def test_yarn_woven_as_spun_is_longer_and_the_cloth_shrinks_more_never_both(desk: Desk) -> None:
    washed = plan(desk, "--warp Fresh --weft Driftwood", "Washed", "20cmx50cm")
    desk.does("cloth give-up Washed --yes")
    spun = plan(desk, "--as-spun --warp Fresh --weft Driftwood", "Spun", "20cmx50cm")
    assert spun["warp"][0]["have_m"]["p50"] == pytest.approx(270, rel=0.02)
    assert washed["warp"][0]["have_m"]["p50"] == pytest.approx(270 * 0.85, rel=0.03)
    assert assumption(spun, "relaxation in length")[:2] == pytest.approx((0.15, 0.10))
    assert "relaxation in length" not in [one["name"] for one in washed["assumptions"]]
    assert spun["setup"]["off_loom_length_cm"] == pytest.approx(50 / (0.9 * 0.85))
    assert spun["setup"]["off_loom_width_cm"] == washed["setup"]["off_loom_width_cm"]


def test_washed_yarn_is_the_same_as_spun(desk: Desk) -> None:
    washed = plan(desk, "--warp Driftwood --weft Driftwood", "Washed")
    desk.does("cloth give-up Washed --yes")
    spun = plan(desk, "--as-spun --warp Driftwood --weft Driftwood", "Spun")
    assert washed | {"cloth": "Spun"} == spun


# --- short


def test_the_metres_that_are_short_make_it_keep_its_promise(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood', size="38cmx2m")
    shorts = [(need["short_m"], need["short_g"]) for need in (*found["warp"], *found["weft"])]
    assert found["verdict"] == "falls short" and shorts[0][0] > 0
    desk.does("cloth give-up Cloth --yes")
    for name, (short_m, _) in zip(("W1", "W2"), shorts, strict=True):
        exact = f"--length {short_m + 0.01:.2f}m --mass {(short_m + 0.01) / 4:.4f}g"
        desk.does(f"skein add {name} {exact} --state relaxed --tool {name}")
    yarns = '--warp "Gorse 1" --warp W1 --weft Driftwood --weft W2'
    assert plan(desk, yarns, "Mended", "38cmx2m")["odds"]["yarn"] == pytest.approx(0.95, abs=0.02)


def test_grams_short_are_the_metres_at_the_yarns_grist(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood', size="38cmx3m")
    for need, name in zip((*found["warp"], *found["weft"]), ("Gorse 1", "Driftwood"), strict=True):
        tex = desk.told(["skein", "show", name])["tex"]["p50"]
        assert need["short_g"] == pytest.approx(need["short_m"] * tex / 1000, rel=1e-3)
