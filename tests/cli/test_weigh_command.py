"""farspun cloth weigh: what is asked, stored, told and refused."""

from pathlib import Path

import pytest

from cli.running import Desk, furnished
from lives import ON_LOOM, PLAN, WOUND

WEIGHED = "cloth weigh Shawl --woven 60cm --ball Driftwood=105g"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A cloth on the loom: 150 g of weft, about 0.6 g for each cm."""
    found = furnished(tmp_path)
    found.does(PLAN, WOUND, ON_LOOM)
    return found


def test_it_tells_first_whether_the_ball_will_last(desk: Desk) -> None:
    ran = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=115g")
    assert ran.exit_code == 0
    first, _, rest = ran.stdout.partition("\n\n")
    assert first == "Driftwood will last to the end: over 99 in 100."
    assert "Shawl: 60 of 185 cm woven" in rest
    assert "Now     115 g on ball and shuttle" in rest


def test_where_it_will_not_last_each_way_out_has_its_numbers(desk: Desk) -> None:
    told = desk.told("cloth weigh Shawl --woven 60cm --ball Driftwood=90g --json")
    (yarn,) = told["yarns"]
    assert yarn["verdict"] == "falls short"
    assert yarn["odds"] < 0.05
    ways = {way["do"]: way for way in yarn["ways"]}
    assert set(ways) >= {"shorten", "another skein", "alternate"}
    tape = ways["shorten"]["tape_cm"]
    assert tape == pytest.approx(yarn["reaches_cm"])
    end = told["end_cm"]
    assert ways["another skein"]["last_cm"] == pytest.approx(end - tape)
    assert ways["shorten"]["length_cm"] == pytest.approx(160 * tape / end, rel=0.01)
    own, other = ways["alternate"]["picks"]
    assert 0 < own / (own + other) < 90 / ((end - 60) * yarn["rate_g_per_cm"]["mean"])


def test_the_rate_is_what_went_over_what_was_woven(desk: Desk) -> None:
    """150 g, then 120 g at 60 cm: 0.50 g per cm by the scale, 0.46 by the plan."""
    (yarn,) = desk.told("cloth weigh Shawl --woven 60cm --ball Driftwood=120g --json")["yarns"]
    mean, sd = yarn["rate_g_per_cm"]["mean"], yarn["rate_g_per_cm"]["sd"]
    assert 0.46 < mean < 0.50
    assert abs(mean - 0.50) < 2 * sd
    assert yarn["weighings"] == [
        {"woven_cm": 0.0, "mass_g": 150.0},
        {"woven_cm": 60.0, "mass_g": 120.0},
    ]


def test_a_ball_far_from_what_was_to_be_left_is_asked_about(desk: Desk) -> None:
    ran = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=60g")
    assert "were to be left by now, and the scale says 60 g" in ran.stderr
    desk.does("undo")
    assert desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=120g").stderr == ""


def test_that_it_lasts_is_not_claimed_of_a_weighing_that_is_in_doubt(desk: Desk) -> None:
    ran = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=145g")
    assert ran.stdout.startswith("Driftwood: the weighing is in doubt")
    assert "will last" not in ran.stdout and "End " not in ran.stdout
    assert "that weighing is in doubt" in " ".join(desk.run("cloth check Shawl").stdout.split())
    tared = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=145g --tare 25g").stdout
    assert tared.startswith("Driftwood will last to the end") and "Now     120 g" in tared


def test_a_doubted_weighing_that_falls_short_tells_so_only_if_it_is_right(desk: Desk) -> None:
    ran = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=60g")
    first = " ".join(ran.stdout.partition("\n\n")[0].split())
    assert first.startswith(
        "Driftwood: the weighing is in doubt; if 60 g is right, it will hardly last:"
    )


def test_weighed_again_it_goes_on_from_there_and_asking_stores_nothing(desk: Desk) -> None:
    desk.does(WEIGHED, "cloth weigh Shawl --woven 90cm --ball Driftwood=85g")
    told = desk.told("cloth weigh Shawl --json")
    assert [one["woven_cm"] for one in told["yarns"][0]["weighings"]] == [0.0, 60.0, 90.0]
    assert desk.told("cloth weigh Shawl --json") == told


def test_the_same_place_told_again_corrects_it(desk: Desk) -> None:
    desk.does(WEIGHED, "cloth weigh Shawl --woven 60cm --ball Driftwood=110g")
    told = desk.told("cloth weigh Shawl --json")["yarns"][0]["weighings"]
    assert told[1:] == [{"woven_cm": 60.0, "mass_g": 110.0}]


@pytest.mark.parametrize("place", ["77.6cm", "58.2cm", "19.4cm", "7.6in", "38.8cm", "30.6in"])
def test_whatever_the_place_it_can_be_corrected_up_and_down(desk: Desk, place: str) -> None:
    for grams in (118, 60, 120):
        desk.does(f"cloth weigh Shawl --woven {place} --ball Driftwood={grams}g")
    told = desk.told("cloth weigh Shawl")["yarns"][0]["weighings"]
    assert [one["mass_g"] for one in told] == [150.0, 120.0]


@pytest.mark.parametrize(
    ("ball", "slip"),
    [
        ("Driftwood=145g", "Was the shuttle, about 24 g, weighed with it (--tare)?"),
        ("Driftwood=4.4g", "Were ounces meant: 4.4 oz is 125 g?"),
        ("Driftwood=12g", "Is the decimal point right: was it 120 g?"),
        ("Driftwood=60g", "Was a ball or shuttle left out, or is the tape a slip?"),
    ],
)
def test_the_likely_slip_is_named(desk: Desk, ball: str, slip: str) -> None:
    said = " ".join(desk.run(f"cloth weigh Shawl --woven 60cm --ball {ball}").stderr.split())
    assert "Is that right? About 121 g of Driftwood were to be left by now" in said
    assert slip in said


def test_check_list_and_show_go_by_the_ball_once_it_was_weighed(desk: Desk) -> None:
    before = desk.told("cloth check Shawl")
    desk.does("cloth weigh Shawl --woven 60cm --ball Driftwood=95g")
    (yarn,) = desk.told("cloth weigh Shawl")["yarns"]
    check = desk.told("cloth check Shawl")
    assert before["verdict"] == "reaches" and check["verdict"] == yarn["verdict"] == "uncertain"
    assert check["odds"]["yarn"] == check["odds"]["weft"] == check["weft"][0]["odds"]
    assert check["odds"]["yarn"] == pytest.approx(yarn["odds"])
    (row,) = desk.told("cloth list")
    assert row["odds"] == pytest.approx(yarn["odds"])
    assert "Driftwood 95 g at 60 cm" in desk.run("cloth show Shawl").stdout
    assert "By the ball as it was at 60 cm" in desk.run("cloth check Shawl").stdout


def test_yarn_of_the_warp_with_enough_left_is_named_for_the_last_part(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(
        'cloth plan Shawl --size 40cmx100cm --sett 3/cm --picks 3/cm --warp "Gorse 1"'
        ' --weft "Gorse 2" --loom Table',
        "cloth wound Shawl", ON_LOOM,
    )  # fmt: skip
    (yarn,) = desk.told("cloth weigh Shawl --woven 60cm --ball 'Gorse 2=15g'")["yarns"]
    (way,) = [one for one in yarn["ways"] if one["do"] == "another skein"]
    assert way["like"][0] == "Gorse 1"


def test_what_is_allowed_off_the_length_is_said(desk: Desk) -> None:
    """5 % of 160 cm may be lacking: 152 cm."""
    for grams in range(116, 90, -2):
        desk.does(f"cloth weigh Shawl --woven 60cm --ball Driftwood={grams}g")
        (yarn,) = desk.told("cloth weigh Shawl")["yarns"]
        short = [one for one in yarn["ways"] if one["do"] == "shorten"]
        if short:
            break
    assert short[0]["length_cm"] >= short[0]["serves_cm"] == pytest.approx(152)
    assert "you allowed 152 cm" in desk.run("cloth weigh Shawl").stdout


def test_weighed_before_the_first_pick_that_is_where_it_starts(desk: Desk) -> None:
    desk.does("cloth weigh Shawl --woven 0cm --ball Driftwood=152g")
    told = desk.told("cloth weigh Shawl --json")["yarns"][0]
    assert told["weighings"] == [{"woven_cm": 0.0, "mass_g": 152.0}]


def test_the_shuttle_comes_off(desk: Desk) -> None:
    desk.does("cloth weigh Shawl --woven 60cm --ball Driftwood=130g --tare 25g")
    assert desk.told("cloth weigh Shawl --json")["yarns"][0]["mass_g"] == 105.0


def test_a_weighing_leaves_the_skein_s_balance_alone_and_undo_takes_it_back(desk: Desk) -> None:
    before = desk.told("skein show Driftwood --json")["mass_g"]
    desk.does(WEIGHED)
    assert desk.told("skein show Driftwood --json")["mass_g"] == before
    desk.does("undo")
    assert len(desk.told("cloth weigh Shawl --json")["yarns"][0]["weighings"]) == 1


@pytest.mark.parametrize(
    ("line", "code", "why"),
    [
        ("--woven 60cm --ball Driftwood=160g", 3, "there were 150 g before the cloth"),
        ("--woven 3m --ball Driftwood=105g", 3, "the warp of “Shawl” is 260 cm long"),
        ("--woven 60cm --ball 'Gorse 1=20g'", 3, "it is warp"),
        ("--woven 60cm --ball Nothing=20g", 4, "Its weft is Driftwood"),
        ("--woven 60cm", 2, "Nothing was weighed"),
        ("--ball Driftwood=105g", 2, "How much is woven was not told"),
        ("--woven 60cm --ball Driftwood", 3, "it is not SKEIN=MASS"),
        ("--woven 60cm --ball Driftwood=105", 3, "unit"),
        ("--woven 60cm --ball Driftwood=105g --ball driftwood=5g", 2, "twice"),
        ("--woven 60 --ball Driftwood=105g", 3, "unit"),
        ("--woven 60cm --ball Driftwood=5g --tare 25g", 3, "25 g"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_stored(
    desk: Desk, line: str, code: int, why: str
) -> None:
    ran = desk.run(f"cloth weigh Shawl {line}")
    assert ran.exit_code == code, ran.stderr
    assert why in ran.stderr
    assert ran.stdout == ""
    assert desk.told("cloth weigh Shawl --json")["woven_cm"] == 0


def test_less_woven_or_a_heavier_ball_than_before_is_refused(desk: Desk) -> None:
    desk.does(WEIGHED)
    less = desk.run("cloth weigh Shawl --woven 50cm --ball Driftwood=110g")
    assert (less.exit_code, "it was 60 cm the last time" in less.stderr) == (3, True)
    heavier = desk.run("cloth weigh Shawl --woven 80cm --ball Driftwood=120g")
    assert (heavier.exit_code, "it was 105 g at 60 cm woven" in heavier.stderr) == (3, True)


@pytest.mark.parametrize(
    ("done", "hint"),
    [
        ((), "farspun cloth wound Shawl"),
        ((WOUND,), "farspun cloth on-loom Shawl"),
        ((WOUND, ON_LOOM, "cloth off-loom Shawl"), "--left SKEIN=MASS"),
        (("cloth give-up Shawl --yes",), "farspun cloth show Shawl"),
    ],
)
def test_a_cloth_that_is_not_on_the_loom_says_what_comes_first(
    tmp_path: Path, done: tuple[str, ...], hint: str
) -> None:
    desk = furnished(tmp_path)
    desk.does(PLAN, *done)
    ran = desk.run(WEIGHED)
    assert ran.exit_code == 3
    assert hint in ran.stderr


def test_of_two_skeins_the_one_not_weighed_is_taken_as_it_was_and_that_is_said(
    tmp_path: Path,
) -> None:
    desk = furnished(tmp_path)
    desk.does(
        'cloth plan Shawl --size 40cmx160cm --sett 3/cm --picks 3/cm --warp "Gorse 1"'
        " --weft Driftwood --weft Fresh --loom Table",
        WOUND, ON_LOOM,
    )  # fmt: skip
    ran = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=105g")
    assert "“Fresh” was not weighed and is taken as it was, 90 g" in ran.stderr
    assert "--ball Fresh=0g" in ran.stderr
    used_up = desk.run("cloth weigh Shawl --woven 60cm --ball Driftwood=105g --ball Fresh=0g")
    assert "was not weighed" not in used_up.stderr


def test_a_yarn_of_one_half_only_is_judged_by_its_own_picks(tmp_path: Path) -> None:
    """30 cm of the one, then the other: at 20 cm the second has not begun."""
    desk = furnished(tmp_path)
    desk.does(
        'cloth plan Shawl --size 40cmx100cm --sett 3/cm --picks 3/cm --warp "Gorse 1"'
        " --weft-order '90 Driftwood, 400 Fresh' --loom Table",
        "cloth wound Shawl --warp 2m", ON_LOOM,
    )  # fmt: skip
    told = desk.told("cloth weigh Shawl --woven 20cm --ball Driftwood=138g --ball Fresh=90g --json")
    first, second = told["yarns"]
    assert first["skeins"] == ["Driftwood"]
    assert first["left_g"]["mean"] == pytest.approx(150 - 12 / 20 * 30, abs=1.5)
    assert [one["mass_g"] for one in second["weighings"]] == [90.0, 90.0]
    assert second["left_g"]["mean"] == pytest.approx(
        90 - second["rate_g_per_cm"]["mean"] * told["end_cm"], abs=0.5
    )
    assert not any(way["do"] in ("alternate", "open the beat") for way in second["ways"])


def test_what_others_keep_of_the_ball_is_said(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(
        PLAN,
        'cloth plan Other --size 10cmx30cm --sett 3/cm --picks 3/cm --warp "Gorse 2"'
        " --weft Driftwood --loom Table",
        WOUND, ON_LOOM,
    )  # fmt: skip
    assert "is kept for other cloths" in desk.run(WEIGHED).stdout


def test_the_weighings_go_out_and_come_in_again(desk: Desk, tmp_path: Path) -> None:
    desk.does(WEIGHED, f"export {tmp_path}/out.json")
    other = Desk(tmp_path / "other")
    other.folder.mkdir()
    other.does(f"import {tmp_path}/out.json")
    line = "cloth weigh Shawl --json"
    assert other.told(line)["yarns"][0]["weighings"] == desk.told(line)["yarns"][0]["weighings"]


def test_a_cloth_woven_to_its_end_says_so(desk: Desk) -> None:
    desk.does(WEIGHED)
    ran = desk.run("cloth weigh Shawl --woven 198cm --ball Driftwood=25g")
    assert ran.stdout.startswith("Driftwood lasted: the cloth is woven as long as it was planned.")
