"""The orders of a cloth's yarns: planned, asked, changed, shown, carried elsewhere, refused."""

import json
from collections import Counter
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import pytest

from cli.cloths import EXACT, claims, middle, plan
from cli.running import Desk, furnished

STRIPED = '--warp "Gorse 1" --warp driftwood --weft Fresh'
ORDER = "--warp-order \"6 'gorse 1', 2 DRIFTWOOD\""
NOTHING = "cloth plan Odd --size 20cmx50cm --sett 3/cm --weft Fresh"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def codes(found: dict[str, Any]) -> dict[str, str]:
    return {one["code"]: one["text"] for one in found["warnings"]}


def by_yarn(order: dict[str, Any]) -> dict[str, int]:
    return {one["yarn"]: one["threads"] for one in order["yarns"]}


# --- counted


def test_the_order_tells_the_ends_of_each_yarn(desk: Desk) -> None:
    found = plan(desk, f"--ends 70 {EXACT} {ORDER} {STRIPED}")
    laid = Counter(islice(cycle(["Gorse 1"] * 6 + ["Driftwood"] * 2), 70))
    assert laid == {"Gorse 1": 54, "Driftwood": 16}
    assert by_yarn(found["setup"]["warp_order"]) == laid
    cut_m = found["setup"]["warp_cut_cm"] / 100
    needs = {need["skeins"][0]: middle(need) / cut_m for need in found["warp"]}
    assert needs == pytest.approx(dict(laid), rel=1e-3)


def test_floating_selvedges_go_with_the_first_yarn_and_are_not_in_the_order(desk: Desk) -> None:
    found = plan(desk, f"--ends 70 --floating-selvedges 2 {EXACT} {ORDER} {STRIPED}")
    assert by_yarn(found["setup"]["warp_order"]) == {"Gorse 1": 54, "Driftwood": 16}
    assert found["setup"]["ends"] == 72
    cut_m = found["setup"]["warp_cut_cm"] / 100
    assert middle(found["warp"][0]) / cut_m == pytest.approx(56, rel=1e-3)


def test_the_answer_carries_the_stripes_with_running_counts_and_repeats(desk: Desk) -> None:
    order = "--warp-order \"(6 'Gorse 1', 2 Driftwood, 4 'Gorse 1')x2\""
    found = plan(desk, f"--ends 70 {order} {STRIPED}")["setup"]["warp_order"]
    assert found == {
        "order": '(6 "Gorse 1", 2 Driftwood, 4 "Gorse 1")x2',
        "threads": 12,
        "repeats": 5,
        "over": 10,
        "stripes": [
            {"yarn": "Gorse 1", "threads": 6, "upto": 6},
            {"yarn": "Driftwood", "threads": 2, "upto": 8},
            {"yarn": "Gorse 1", "threads": 4, "upto": 12},
        ],
        "yarns": [
            {"yarn": "Gorse 1", "threads": 5 * 10 + 8},
            {"yarn": "Driftwood", "threads": 12},
        ],
    }
    said = desk.does("cloth check Cloth")
    assert "repeat of 12 ends 5 times and 10 more; in all 58 Gorse 1, 12 Driftwood" in " ".join(
        said.split()
    )


def test_without_an_order_there_is_none(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood')["setup"]
    assert found["warp_order"] is None and found["weft_order"] is None


def test_the_yarns_of_an_order_need_not_be_named_again(desk: Desk) -> None:
    named = plan(desk, f"{ORDER} {STRIPED}", "Named")
    desk.does("cloth give-up Named --yes")
    bare = plan(desk, f"{ORDER} --weft Fresh", "Bare")
    assert named | {"cloth": "Bare"} == bare
    asked = desk.told(f"reach Fresh --size 40cmx160cm --sett 3/cm --picks 3/cm {ORDER}")
    assert asked["setup"] == bare["setup"]
    assert [need["need_m"] for need in asked["warp"]] == [one["need_m"] for one in bare["warp"]]


def test_the_sett_of_a_mixed_warp_is_that_of_the_mean_wrap_of_its_order(desk: Desk) -> None:
    desk.does('skein add Fine --mass 50g --label "1200 m/100g"')
    desk.does('skein add Thick --mass 300g --label "150 m/100g"')

    def sett(yarns: str) -> float:
        line = f"reach Driftwood --size 20cmx50cm {yarns}"
        return float(desk.told(line)["setup"]["sett_ends_per_cm"])

    fine, thick = sett("--warp Fine"), sett("--warp Thick")
    mixed = [sett(f"--warp-order '{n} Fine, 1 Thick'") for n in (1, 3, 9)]
    assert thick < mixed[0] < mixed[1] < mixed[2] < fine
    # as where each yarn is given its ends of one repeat; mirrored, the middle stripe counts once
    assert mixed[1] == pytest.approx(sett("--warp Fine:3 --warp Thick:1"), rel=1e-9)
    assert sett("--warp-order '3 Fine, 2 Thick | mirror'") == pytest.approx(mixed[1], rel=1e-9)


def test_bands_of_the_weft_are_counted_in_picks(desk: Desk) -> None:
    crimp = "--weft-take-up 12% --take-up 10%"  # else it would follow the mixture
    order = f"--weft-order '10cm Fresh, 2 Driftwood' {crimp}"
    found = plan(desk, f'--warp "Gorse 1" --weft Fresh --weft Driftwood {order}')
    setup = found["setup"]
    laid = Counter(islice(cycle(["Fresh"] * 30 + ["Driftwood"] * 2), setup["picks"]))
    assert by_yarn(setup["weft_order"]) == laid
    assert sum(laid.values()) == setup["picks"]
    whole = plan(desk, f'--warp "Gorse 2" --weft Driftwood {crimp}', "Whole")
    for need in found["weft"]:
        share = laid[need["skeins"][0]] / setup["picks"]
        assert middle(need) == pytest.approx(share * middle(whole["weft"][0]), rel=1e-6)


def test_every_piece_begins_its_weft_anew_and_header_and_sample_too(desk: Desk) -> None:
    order = "--weft-order '20 Fresh, 20 Driftwood'"
    more = f"{EXACT} --pieces 3 --header 5cm --sample 5cm --warp 'Gorse 1' {order}"
    found = plan(desk, f"{more} --weft Fresh --weft Driftwood", size="20cmx50cm")["setup"]
    # 10 cm at 3 per cm, then three times 150 picks: three orders and 30 picks, 20 and 10 of them
    assert found["picks"] == 30 + 3 * 150
    assert by_yarn(found["weft_order"]) == {"Fresh": 20 + 3 * 80, "Driftwood": 10 + 3 * 70}
    assert (found["weft_order"]["repeats"], found["weft_order"]["over"]) == (3, 30)


def test_two_shuttles_in_turn_share_the_picks_one_to_one_and_two_to_one(desk: Desk) -> None:
    for n, order in enumerate(("1 Fresh, 1 Driftwood", "2 Fresh, 1 Driftwood")):
        more = f"--warp 'Gorse 1' --weft Fresh --weft Driftwood --weft-order '{order}'"
        found = plan(desk, more, f"Turn {n}", "20cmx50cm")
        picks, laid = found["setup"]["picks"], by_yarn(found["setup"]["weft_order"])
        assert sum(laid.values()) == picks
        assert laid["Fresh"] == -(-picks * (n + 1) // (n + 2))
        first, second = (middle(need) for need in found["weft"])
        assert first / second == pytest.approx(laid["Fresh"] / laid["Driftwood"], rel=1e-9)


# --- stored, shown, changed


def test_an_order_is_kept_with_the_cloth_and_shown(desk: Desk) -> None:
    plan(desk, f"{ORDER} {STRIPED} --weft-order '2 fresh'", "Kept")
    shown = desk.told("cloth show Kept")
    assert shown["warp_order"] == '6 "Gorse 1", 2 Driftwood'
    assert shown["weft_order"] == "2 Fresh"
    assert [one["ends"] for one in shown["yarns"]] == [6, 2, None]
    said = desk.does("cloth show Kept")
    assert 'Order   warp: 6 "Gorse 1", 2 Driftwood\n        weft: 2 Fresh\n' in said
    assert "6 in its order" in said


def test_an_order_is_changed_and_taken_back(desk: Desk) -> None:
    plan(desk, f"{ORDER} {STRIPED}", "Turned")
    desk.does("cloth change Turned --warp-order '4 driftwood, 3 \"GORSE 1\"'")
    shown = desk.told("cloth show Turned")
    assert [(one["skein"], one["ends"]) for one in shown["yarns"]] == [
        ("Gorse 1", 3),
        ("Driftwood", 4),
        ("Fresh", None),
    ]
    desk.does("cloth change Turned --promise 90%")
    assert desk.told("cloth show Turned")["warp_order"] == '4 Driftwood, 3 "Gorse 1"'
    desk.does("cloth change Turned --default warp-order")
    shown = desk.told("cloth show Turned")
    assert shown["warp_order"] is None
    assert [one["ends"] for one in shown["yarns"]] == [None, None, None]
    desk.does("undo")
    assert desk.told("cloth show Turned")["warp_order"] == '4 Driftwood, 3 "Gorse 1"'


def test_an_order_takes_the_place_of_ends_given_before(desk: Desk) -> None:
    plan(desk, "--warp 'Gorse 1:4' --warp Driftwood:2 --warp 'Gorse 1:1' --weft Fresh", "Before")
    desk.does(f"cloth change Before {ORDER}")
    shown = desk.told("cloth show Before")
    assert [(one["skein"], one["ends"]) for one in shown["yarns"][:2]] == [
        ("Gorse 1", 6),
        ("Driftwood", 2),
    ]


def test_other_yarns_for_an_order_want_another_order(desk: Desk) -> None:
    plan(desk, f"{ORDER} {STRIPED}", "Turned")
    change = "cloth change Turned --warp Cone --warp Driftwood"
    assert "--default warp-order" in desk.refuses(change, 2)
    assert desk.told("cloth show Turned")["warp_order"] == '6 "Gorse 1", 2 Driftwood'
    desk.does(f"{change} --warp-order '3 Cone, 1 Driftwood'")
    desk.does("cloth change Turned --warp Cone:3 --warp Fresh:2 --default warp-order")
    assert [one["ends"] for one in desk.told("cloth show Turned")["yarns"]] == [3, 2, None]


def test_claims_follow_the_order(desk: Desk) -> None:
    desk.does(f"cloth plan Few --size 20cmx50cm --sett 3/cm {ORDER} {STRIPED}")
    kept = claims(desk, "Few")
    metres = {"Gorse 1": 4.0, "Driftwood": 3.0}  # to the gram
    ends = {name: kept["warp", name] * metres[name] for name in metres}
    assert ends["Gorse 1"] / ends["Driftwood"] == pytest.approx(3, rel=0.1)


def test_a_skein_of_another_name_keeps_its_place_in_every_order(desk: Desk) -> None:
    plan(desk, f"{ORDER} {STRIPED}", "Kept", "20cmx50cm")
    before = desk.told("cloth check Kept")["setup"]["warp_order"]["yarns"]
    desk.does('skein change "Gorse 1" --name "Slate, dark"')
    assert desk.told("cloth show Kept")["warp_order"] == '6 "Slate, dark", 2 Driftwood'
    after = desk.told("cloth check Kept")["setup"]["warp_order"]["yarns"]
    assert [one["threads"] for one in after] == [one["threads"] for one in before]
    desk.does("undo")
    assert desk.told("cloth show Kept")["warp_order"] == '6 "Gorse 1", 2 Driftwood'


def test_orders_go_out_and_come_in_again(desk: Desk, tmp_path: Path) -> None:
    plan(desk, f"{ORDER} {STRIPED} --weft-order '10cm fresh'", "Kept")
    out, again = tmp_path / "out.json", tmp_path / "again.json"
    desk.does(["export", str(out)])
    (tmp_path / "other").mkdir()
    other = Desk(tmp_path / "other")
    other.does(["import", str(out)])
    assert other.told("cloth check Kept") == desk.told("cloth check Kept")
    other.does(["export", str(again)])
    assert again.read_bytes() == out.read_bytes()


@pytest.mark.parametrize(
    ("key", "text", "place", "why"),
    [
        ("warp_order", "6 slate, (2 oat", "warp_order", "column 10"),
        ("warp_order", '6 "Gorse 1" 2 Driftwood', "warp_order", "it is written"),
        ("warp_order", "2 Driftwood", "warp_order", "does not name the yarns"),
        ("warp_order", '5 "Gorse 1", 2 Driftwood', "warp[0]", "the order has 5 ends"),
        ("weft_order", "2 Fresh, 1 Cone", "weft_order", "does not name the yarns"),
        ("weft_order", "1 Cone", "weft_order", "does not name the yarns"),
    ],
)
def test_an_order_that_does_not_fit_its_cloth_does_not_come_in(
    desk: Desk, tmp_path: Path, key: str, text: str, place: str, why: str
) -> None:
    plan(desk, f"{ORDER} {STRIPED} --weft-order '10cm fresh'", "Kept")
    out = tmp_path / "out.json"
    desk.does(["export", str(out)])
    document = json.loads(out.read_text(encoding="utf-8"))
    document["cloths"][0][key] = text
    out.write_text(json.dumps(document), encoding="utf-8")
    (tmp_path / "other").mkdir()
    other = Desk(tmp_path / "other")
    ran = other.run(["import", str(out)])
    assert ran.exit_code == 3 and f"cloths[0].{place}: " in ran.stderr and why in ran.stderr
    assert other.told("cloth list") == []


# --- said


def test_edges_that_differ_are_told_with_what_makes_them_alike(desk: Desk) -> None:
    found = plan(desk, f"--ends 152 {ORDER} {STRIPED}", "Uneven")
    said = codes(found)["order-edges"]
    assert "152 ends begin with 6 Gorse 1 and break off with 2 Driftwood" in said
    assert "add 6 Gorse 1 (--ends 158)" in said
    assert "leave 2 out (--ends 150;" in said
    assert """--warp-order '3 "Gorse 1", 2 Driftwood, 3 "Gorse 1"'""" in said
    for cure in ("--ends 158", "--ends 150"):
        desk.does(f"cloth change Uneven {cure}")
        assert "order-edges" not in codes(desk.told("cloth check Uneven"))
    desk.does("cloth change Uneven --ends 152")
    desk.does("""cloth change Uneven --warp-order '3 "Gorse 1", 2 Driftwood, 3 "Gorse 1"'""")
    assert "order-edges" not in codes(desk.told("cloth check Uneven"))


def test_ends_that_the_loom_has_no_room_for_are_not_offered(desk: Desk) -> None:
    found = plan(desk, f"--loom Table --ends 178 {ORDER} {STRIPED}", "Wide")
    said = codes(found)["order-edges"]
    assert "leave 4 out (--ends 174;" in said and "--ends 182" not in said


def test_stripes_of_one_yarn_that_meet_are_told(desk: Desk) -> None:
    order = "--warp-order \"12 'Gorse 1', 4 Driftwood, 12 'Gorse 1'\""
    found = plan(desk, f"--ends 140 {order} {STRIPED}", "Meeting")
    assert "24 ends of Gorse 1 lie side by side" in codes(found)["order-joins"]
    desk.does("cloth give-up Meeting --yes")
    once = plan(desk, f"--ends 28 {order} {STRIPED}", "Once")
    assert "order-joins" not in codes(once)


def test_odd_stripes_are_told_where_the_warp_goes_on_in_pairs(desk: Desk) -> None:
    order = "--warp-order \"6 'Gorse 1', 3 Driftwood\""
    found = plan(desk, f"--direct {order} {STRIPED}", "Pairs")
    assert "a stripe of 3 Driftwood is odd" in codes(found)["odd-stripes"]
    desk.does("cloth change Pairs --not-direct")
    assert "odd-stripes" not in codes(desk.told("cloth check Pairs"))


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ("--fibre linen --label '400 m/100g'", "Gorse 1 is elastic and Beside is not"),
        ("--label '100 m/100g'", "Beside is 2.0 times as thick as Gorse 1"),
        ("--label '1600 m/100g'", "Gorse 1 is 2.0 times as thick as Beside"),
    ],
)
def test_yarns_of_one_warp_that_take_up_unequally_are_told(
    desk: Desk, other: str, why: str
) -> None:
    desk.does(f"skein add Beside --mass 200g {other}")
    order = "--warp-order \"4 'Gorse 1', 2 Beside\""
    said = codes(plan(desk, f"--weft Driftwood {order}", "Unlike"))["unequal-take-up"]
    assert why in said and "tension" in said
    like = plan(desk, "--weft Driftwood --warp-order \"4 'Gorse 1', 2 'Gorse 2'\"", "Like")
    assert "unequal-take-up" not in codes(like)


def test_a_band_that_breaks_off_at_the_end_of_a_piece_is_told(desk: Desk) -> None:
    order = "--weft-order '12cm Fresh, 3cm Driftwood'"
    more = f"{EXACT} --warp 'Gorse 1' --weft Fresh --weft Driftwood {order}"
    found = plan(desk, more, "Bands", "20cmx50cm")
    said = codes(found)["order-breaks-off"]
    assert "comes 3 times, and breaks off after 5 cm" in said
    assert "One of 16.7 cm would come out even" in said
    desk.does("cloth give-up Bands --yes")
    assert "order-breaks-off" not in codes(plan(desk, more, "Even", "20cmx45cm"))


def test_shuttles_that_would_use_both_skeins_up_alike_are_told(desk: Desk) -> None:
    desk.does("skein add Little --mass 40g --length 115m --state relaxed")
    yarns = "--warp 'Gorse 1' --weft Driftwood --weft Little"
    found = plan(desk, f"{yarns} --weft-order '1 Driftwood, 1 Little'", "Turns", "30cmx160cm")
    assert found["verdict"] != "reaches"
    assert "4 picks to 1 in turn would use them up alike" in codes(found)["shuttles"]
    changed = desk.told("cloth change Turns --weft-order '4 Driftwood, 1 Little'")
    assert "shuttles" not in codes(changed)


# --- refused, and nothing stored


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("--warp Cone --warp-order '12 Cone, 4 Con'", 4, "Column 12 of the warp order"),
        ("--warp Cone --warp-order '12 Driftwood'", 4, "it has Cone"),
        ("--warp-order '12 Nobody'", 4, "called “Nobody”"),
        ("--warp Cone --warp-order '12 Cone, (4 Cone'", 3, "column 10: this bracket is never"),
        ("--warp Cone --warp-order '12 Cone)'", 3, "column 8: this bracket closes none"),
        ("--warp Cone --warp-order '0 Cone'", 3, "olumn 1 of the warp order cannot be 0"),
        ("--warp Cone --warp-order '9000000 Cone'", 3, "cannot be 9000000"),
        ("--warp Cone --warp-order ''", 3, "a stripe is wanted here"),
        ("--warp Cone --warp-order '4000 Cone'", 3, "4000 ends long"),
        ("--warp Cone --warp Driftwood --warp-order '4 Cone, 4000 Driftwood'", 3, "--ends 4004"),
        ("--warp Cone --warp Driftwood --warp-order '4 Cone'", 2, "does not name it"),
        ("--warp Cone:3 --warp-order '4 Cone'", 2, "so does :ENDS"),
        ("--warp Cone --warp-order '3cm Cone'", 3, "told in ends, not in lengths"),
        ("--warp Cone --weft-order '2 Fresh, 1 Fresch'", 4, "did you mean “Fresh”"),
        ("--warp Cone --weft-order '9km Fresh, 1 Driftwood' --weft Driftwood", 3, "Driftwood"),
        ("--warp Cone --weft-order '10cm Fresh, 1mm Fresh'", 3, "not one pick"),
        ("--warp Cone --warp-order '(1 Cone, 2 cone)x9000, 1 Cone'", 3, "18001 stripes"),
    ],
)
def test_an_order_that_cannot_be_is_refused_and_nothing_is_stored(
    desk: Desk, line: str, code: int, said: str
) -> None:
    assert said in desk.refuses(f"{NOTHING} {line}", code)
    assert desk.told("cloth list") == []
    plan(desk, "--warp Cone --weft Fresh --weft-order '2 fresh'", "Kept", "20cmx50cm")
    before = desk.told("cloth show Kept")
    assert said in desk.refuses(f"cloth change Kept --weft Fresh {line}", code)
    assert desk.told("cloth show Kept") == before
