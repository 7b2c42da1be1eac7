"""farspun odds: written cases against an independent calculation, and what is refused."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk

REFERENCE = Path(__file__).resolve().parents[2] / "fixtures" / "reference" / "odds.json"
CASES: dict[str, Any] = json.loads(REFERENCE.read_text(encoding="utf-8"))["cases"]
ODDS, QUANTILE, SHORT_SHARE, SHORT_M = 0.005, 0.005, 0.03, 2.0  # the source's tolerances
KEYS = ["odds", "verdict", "warp", "weft", "ends", "warp_cut_cm", "drivers"]
NEED = ["skeins", "need_m", "have_m", "odds", "short_m", "short_g", "in_hand_m"]
POINTS = ["p05", "p50", "p95"]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def case(name: str = "P1") -> dict[str, Any]:
    """A written case that a test may change."""
    found: dict[str, Any] = copy.deepcopy(CASES[name]["case"])
    return found


def least() -> dict[str, Any]:
    """Only what has no usual value."""
    skeins = [{"median_m": 500.0, "own_sd_ln": 0.03}]
    yarn = {"skeins": skeins}
    size = {"width_cm": 40, "length_cm": 160}
    return {"size": size, "ends_per_cm": 4, "picks_per_cm": 4, "warp": [yarn], "weft": [yarn]}


def answer(desk: Desk, document: Any) -> dict[str, Any]:
    result = desk.run(["odds", "-", "--json"], given=json.dumps(document))
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def refusal(desk: Desk, text: str | bytes) -> str:
    """What is said of a document that must be refused."""
    result = desk.run(["odds", "-", "--json"], given=text)
    assert (result.exit_code, result.stdout) == (3, ""), result.stdout + result.stderr
    assert len(result.stderr.splitlines()) == 2, result.stderr
    return result.stderr


@pytest.mark.parametrize("name", CASES)
def test_a_case_calculated_by_brute_force_comes_out_the_same(desk: Desk, name: str) -> None:
    path = desk.folder / "case.json"
    path.write_text(json.dumps(CASES[name]["case"]), encoding="utf-8")
    found, expected = desk.told(["odds", str(path)]), CASES[name]["expect"]
    assert found["odds"] == pytest.approx(expected["odds"], abs=ODDS)
    for points in ("need_m", "have_m"):
        assert found["weft"][0][points] == pytest.approx(expected[f"weft_{points}"], rel=QUANTILE)
    for side in ("warp", "weft"):
        short_m = expected[f"short_{side}_m"]
        off_m = max(SHORT_M, SHORT_SHARE * short_m)
        assert found[side][0]["short_m"] == pytest.approx(short_m, abs=off_m)


def test_the_same_case_on_standard_input_is_the_same_answer(desk: Desk) -> None:
    path = desk.folder / "case.json"
    path.write_text(json.dumps(case()), encoding="utf-8")
    assert answer(desk, case()) == desk.told(["odds", str(path)])


def test_the_answer_has_the_keys_that_scripts_rely_on_and_no_other(desk: Desk) -> None:
    found = answer(desk, case())
    assert list(found) == KEYS
    assert list(found["odds"]) == ["yarn", "warp", "weft", "size", "all"]
    for need in (*found["warp"], *found["weft"]):
        assert list(need) == NEED
        assert (list(need["need_m"]), list(need["have_m"])) == (POINTS, POINTS)
        assert (need["skeins"], need["short_g"]) == ([], None)
    assert all(list(driver) == ["cause", "share"] for driver in found["drivers"])
    assert sum(driver["share"] for driver in found["drivers"]) == pytest.approx(1)


def test_a_side_left_out_is_null_and_the_other_alone_is_the_yarn(desk: Desk) -> None:
    document = case()
    del document["warp"]
    odds = answer(desk, document)["odds"]
    assert odds["warp"] is None
    assert (
        odds["yarn"]
        == odds["weft"]
        == pytest.approx(CASES["P1"]["expect"]["odds"]["weft"], abs=ODDS)
    )


def test_keys_left_out_take_the_usual_values_and_the_set_up_is_planned(desk: Desk) -> None:
    found = answer(desk, least())
    usual = least()
    usual["size"] |= {"pieces": 1, "give": 0.05, "size_promise": 0.8, "loom": "rigid-heddle"}
    usual["size"] |= {"fibre": "wool", "wash": "gentle", "floating_selvedges": 0, "hem_cm": 0}
    usual |= {"cut": False, "promise": 0.95}
    usual["spreads"] = {
        "take_up": [0.09, 0.03],
        "weft_crimp": [0.09 / 0.91, 0.03 / 0.91**2],
        "draw_in": [1 - 0.955 * (40 / 0.9) / (40 / 0.9 + 0.8), 0.025],
        "shrink_length": [0.10, 0.05],
        "shrink_width": [0.10, 0.05],
        "beat": [1.0, 0.08],
        "waste_cm": [50.0, 8.0],
        "joins": [0.03, 0.02],
        "cutting": [1.0, 0.01],
    }
    assert answer(desk, usual) == found
    assert found["odds"]["size"] >= 0.8
    assert found["ends"] > 4 * 0.95 * 40 and found["warp_cut_cm"] > 0.95 * 160


def test_ends_and_warp_cut_that_are_written_stand(desk: Desk) -> None:
    found = answer(desk, least() | {"ends": 180, "warp_cut_cm": 250.5})
    assert (found["ends"], found["warp_cut_cm"]) == (180, 250.5)
    assert found["warp"][0]["need_m"]["p50"] == pytest.approx(180 * 2.505, rel=QUANTILE)


def test_hems_fringes_gaps_and_edges_cost_what_they_should(desk: Desk) -> None:
    plain, more = least(), least()
    plain["size"]["pieces"] = more["size"]["pieces"] = 2
    exact = {name: [0.0, 0.0] for name in ("take_up", "shrink_length", "shrink_width", "draw_in")}
    plain["spreads"] = more["spreads"] = exact | {"waste_cm": [50.0, 0.0]}
    more["size"] |= {"hem_cm": 2, "side_hem_cm": 1, "fringe_cm": 5, "gap_cm": 3}
    more["size"] |= {"sample_cm": 10, "header_cm": 4, "floating_selvedges": 4}
    few, many = answer(desk, plain), answer(desk, more)
    assert few["warp_cut_cm"] == 2 * 160 * 0.95 + 50
    unwoven = 3 + 2 * 2 * 5
    assert many["warp_cut_cm"] == pytest.approx(2 * (160 + 4) * 0.95 + 14 + 50 + unwoven, abs=1)
    assert (few["ends"], many["ends"]) == (152, 160)  # 4/cm over 40 x 0.95 and 42 x 0.95
    metres = (160 + 4) * many["warp_cut_cm"] / 100
    assert many["warp"][0]["need_m"]["p50"] == pytest.approx(metres, rel=QUANTILE)


def test_yarns_with_shares_divide_the_ends_and_the_picks(desk: Desk) -> None:
    document = case()
    whole = answer(desk, document)
    skeins = document["warp"][0]["skeins"]
    document["warp"] = [{"share": 0.25, "skeins": skeins}, {"share": 0.75, "skeins": skeins}]
    document["weft"] = [document["weft"][0] | {"share": part} for part in (0.4, 0.6)]
    parts = answer(desk, document)
    for side, shares in (("warp", (52 / 209, 157 / 209)), ("weft", (0.4, 0.6))):
        all_m = whole[side][0]["need_m"]["p50"]
        for need, share in zip(parts[side], shares, strict=True):
            assert need["need_m"]["p50"] == pytest.approx(all_m * share, rel=1e-6)


def test_for_pieces_to_be_cut_the_size_joins_the_verdict(desk: Desk) -> None:
    document = least() | {"cut": True}
    document["warp"] = document["weft"] = [{"skeins": [{"median_m": 5000, "own_sd_ln": 0.01}]}]
    planned = answer(desk, document)
    assert planned["verdict"] == "reaches"
    assert planned["odds"]["all"] >= 0.945
    tight = answer(desk, document | {"ends": planned["ends"] - 8})
    assert tight["verdict"] == "uncertain"
    assert tight["odds"]["yarn"] == 1.0
    assert tight["warp"][0]["short_m"] == 0.0


def test_more_yarn_never_lowers_the_odds_of_warp_or_weft(desk: Desk) -> None:
    before = {"warp": 0.0, "weft": 0.0}
    for more in (0.9, 1.0, 1.1):
        document = case("P2")
        for side in ("warp", "weft"):
            document[side][0]["skeins"][0]["median_m"] *= more
        odds = answer(desk, document)["odds"]
        assert all(odds[side] >= before[side] for side in before)
        before = {side: odds[side] for side in before}


def test_the_order_of_skeins_and_keys_does_not_matter(desk: Desk) -> None:
    name = next(name for name in CASES if len(CASES[name]["case"]["weft"][0]["skeins"]) > 2)
    document = case(name)
    turned = dict(reversed(case(name).items()))
    turned["weft"][0]["skeins"] = turned["weft"][0]["skeins"][::-1]
    assert answer(desk, turned) == answer(desk, document)


def test_in_words_the_verdict_comes_first_and_yards_beside_metres(desk: Desk) -> None:
    result = desk.run(["odds", "-"], given=json.dumps(case()))
    assert result.exit_code == 0
    assert result.stdout.startswith("Uncertain: 93 in 100 that the yarn reaches.")
    assert "need 319-425 m, have 408-453 m" in result.stdout
    assert "in yards: need 349-465, have 446-496" in result.stdout


def test_an_unknown_key_is_named_wherever_it_stands(desk: Desk) -> None:
    for where in ((), ("size",), ("warp", 0), ("weft", 0, "skeins", 0)):
        document: Any = case()
        place = document
        for step in where:
            place = place[step]
        place["bogus"] = 1
        name = ".".join([*map(str, where), "bogus"])
        assert refusal(desk, json.dumps(document)).startswith(f"“{name}” cannot be there")
    document = case()
    document["spreads"]["let_off"] = [0.04, 0.01]
    assert "known are take_up, draw_in" in refusal(desk, json.dumps(document))


@pytest.mark.parametrize("key", ["size", "ends_per_cm", "picks_per_cm"])
def test_a_key_without_a_usual_value_must_be_there(desk: Desk, key: str) -> None:
    document = case()
    del document[key]
    assert refusal(desk, json.dumps(document)).startswith(f"“{key}” cannot be left out")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("ends_per_cm", "4"),
        ("ends_per_cm", True),
        ("ends_per_cm", None),
        ("ends_per_cm", 0),
        ("picks_per_cm", -1),
        ("picks_per_cm", 1e308),
        ("ends", 208.5),
        ("ends", 0),
        ("ends", 10**400),
        ("warp_cut_cm", -1),
        ("cut", "yes"),
        ("cut", 1),
        ("promise", 0.5),
        ("promise", 0.9991),
        ("promise", 95),
        ("size", []),
        ("size", "40x160"),
        ("spreads", [1, 2]),
        ("warp", {}),
        ("warp", [[]]),
        ("weft", [{"skeins": []}]),
        ("weft", [{"skeins": [{"median_m": 0, "own_sd_ln": 0.1}]}]),
        ("weft", [{"skeins": [{"median_m": 1e-308, "own_sd_ln": 0.1}]}]),
        ("weft", [{"skeins": [{"median_m": 100, "own_sd_ln": -0.1}]}]),
        ("weft", [{"share": 1.5, "skeins": [{"median_m": 100, "own_sd_ln": 0.1}]}]),
        ("weft", [{"yarn": 7, "skeins": [{"median_m": 100, "own_sd_ln": 0.1}]}]),
    ],
)
def test_a_value_of_another_kind_is_refused_by_name(desk: Desk, key: str, value: Any) -> None:
    said = refusal(desk, json.dumps(case() | {key: value}))
    assert said.startswith(f"“{key}")
    assert "document" not in said


@pytest.mark.parametrize(
    ("name", "spread"),
    [
        ("take_up", [1.0, 0.1]),
        ("take_up", [0.1, -0.1]),
        ("take_up", [0.1]),
        ("take_up", [0.1, 0.1, 0.1]),
        ("take_up", 0.1),
        ("take_up", ["0.1", 0.1]),
        ("shrink_width", [0.999999, 0.1]),
        ("beat", [0.0, 0.1]),
        ("cutting", [1e-300, 0.01]),
        ("waste_cm", [-1.0, 0.0]),
        ("joins", [-1.0, 0.0]),
        ("weft_crimp", [0.1, 1e300]),
    ],
)
def test_a_spread_that_says_nothing_is_refused(desk: Desk, name: str, spread: Any) -> None:
    document = case()
    document["spreads"][name] = spread
    assert refusal(desk, json.dumps(document)).startswith(f"“spreads.{name}")


def test_shares_that_do_not_make_a_whole_are_refused(desk: Desk) -> None:
    for shares in ((0.5, 0.6), (1, 1)):
        document = case()
        document["warp"] = [document["warp"][0] | {"share": one} for one in shares]
        assert refusal(desk, json.dumps(document)).startswith("The shares of the warp")


def test_three_thirds_written_as_33_hundredths_are_a_whole(desk: Desk) -> None:
    document = case()
    document["weft"] = [document["weft"][0] | {"share": 0.33} for _ in range(3)]
    assert len(answer(desk, document)["weft"]) == 3


def test_a_case_without_any_yarn_is_refused(desk: Desk) -> None:
    assert "a warp, a weft or both" in refusal(desk, json.dumps(case() | {"warp": [], "weft": []}))


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_that_are_none_are_refused(desk: Desk, number: str) -> None:
    text = json.dumps(case()).replace('"ends_per_cm": 4.0', f'"ends_per_cm": {number}')
    assert refusal(desk, text).startswith("“ends_per_cm”")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   \n",
        "{",
        "null",
        "[]",
        "42",
        '"P1"',
        "{'size': 1}",
        "not JSON at all",
        "[" * 200_000,
        '{"size":' * 100_000,
        "9" * 10_000,
        "\ufeff{}",
        b"\xff\xfe\x00\x01",
    ],
    ids=lambda text: repr(text[:12]),
)
def test_what_is_not_a_case_is_refused_in_two_lines(desk: Desk, text: str | bytes) -> None:
    assert len(refusal(desk, text)) < 400


def test_a_fibre_that_is_not_known_is_answered_with_the_nearest(desk: Desk) -> None:
    document = least()
    document["size"]["fibre"] = "whool"
    result = desk.run(["odds", "-"], given=json.dumps(document))
    assert (result.exit_code, result.stdout) == (4, "")
    assert "“wool”" in result.stderr


def test_a_missing_file_or_a_folder_is_refused(desk: Desk) -> None:
    assert "no such file" in desk.refuses(["odds", str(desk.folder / "nowhere.json")], 3)
    assert "is a directory" in desk.refuses(["odds", str(desk.folder)], 3)


def test_odds_opens_no_stash(desk: Desk) -> None:
    answer(desk, case())
    assert not desk.stash.exists()


def thick(document: dict[str, Any], sett: float) -> dict[str, Any]:
    """The document at that sett, its yarns of 6 wraps per cm and 350 tex."""
    found = document | {"ends_per_cm": sett, "picks_per_cm": sett}
    for side in ("warp", "weft"):
        found[side] = [yarn | {"tex": 350.0, "wraps_per_cm": 6.0} for yarn in document[side]]
    return found


def test_where_thickness_is_told_a_closer_cloth_takes_up_more(desk: Desk) -> None:
    def warp_per_end(document: dict[str, Any]) -> float:
        found = answer(desk, document)
        return float(found["warp_cut_cm"])

    usual, close = warp_per_end(thick(least(), 3.0)), warp_per_end(thick(least(), 4.2))
    assert usual == pytest.approx(warp_per_end(least()), abs=1)  # practice's own figure
    assert close > usual + 5
    by_hand = thick(least(), 4.2) | {"spreads": {"take_up": [0.09, 0.03]}}
    assert warp_per_end(by_hand) == pytest.approx(usual, abs=1)


def test_a_twill_takes_up_less_than_plain_cloth(desk: Desk) -> None:
    plain, twill = (answer(desk, least() | {"weave": name}) for name in ("plain", "2/2 twill"))
    assert twill["warp_cut_cm"] < plain["warp_cut_cm"]


def test_a_weave_or_a_purpose_nobody_knows_is_refused(desk: Desk) -> None:
    assert "weave" in desk.run(["odds", "-"], given=json.dumps(least() | {"weave": "knit"})).stderr
    assert "“purpose”" in refusal(desk, json.dumps(least() | {"purpose": "pretty"}))
