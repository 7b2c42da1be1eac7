"""A yarn of which only the weight is known: that is told first, and settled first."""

from pathlib import Path

from cli.running import Desk

BAND = "cloth plan Band --warp Warp --weft Heavy --size 20cmx100cm --sett 3/cm --picks 3/cm"


def desk_with(tmp_path: Path, warp: str) -> Desk:
    desk = Desk(tmp_path)
    desk.does(f"skein add Warp {warp} --state relaxed", "skein add Heavy --mass 100g", BAND)
    return desk


def test_a_yarn_only_weighed_comes_first_even_while_another_is_short(tmp_path: Path) -> None:
    desk = desk_with(tmp_path, "--mass 20g --length 40m")
    said = " ".join(desk.does("cloth check Band").split())
    assert "Doubt in Heavy: how long the yarn is" in said
    assert "Next weigh 10 m of Heavy to a tenth of a gram" in said
    assert "no single measurement would settle it" not in said
    assert "or have" in said  # the warp is short all the same
    check = desk.told("cloth check Band")
    assert check["warnings"][0]["code"] == "only-weighed"
    assert check["drivers"] == [{"cause": "length", "share": 1.0}]


def test_a_test_length_ends_that(tmp_path: Path) -> None:
    desk = desk_with(tmp_path, "--mass 200g --length 400m")
    desk.does("skein measure Heavy --test-length 10m=5.0g")
    codes = [one["code"] for one in desk.told("cloth check Band")["warnings"]]
    assert "only-weighed" not in codes


def test_a_count_without_its_state_says_what_is_made_of_it(tmp_path: Path) -> None:
    """124 rounds of 1.5 m are 186 m; a tenth less is 167.4 m."""
    ran = Desk(tmp_path).run("skein add A --strands 124 --once-round 1.5m --mass 90g")
    assert "186 m counted are 167 m washed" in ran.stderr
