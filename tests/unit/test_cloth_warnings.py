"""What is said beside a verdict: each warning where it belongs, and none where it does not."""

from pathlib import Path

import pytest

from cli.running import Desk, furnished

SETT = "--sett 3/cm --picks 3/cm"
CALM = (
    f"cloth plan Calm --size 30cmx150cm {SETT} --size-promise 60%"
    ' --warp "Gorse 1" --weft Driftwood --loom Plain --reed R30'
)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = furnished(tmp_path)
    desk.does("loom add Plain --kind table --width 60cm", "reed add R30 30/10cm")
    return desk


def warned(desk: Desk, line: str) -> dict[str, str]:
    """Code and text of what a cloth command warns of."""
    return {one["code"]: one["text"] for one in desk.told(line)["warnings"]}


def planned(desk: Desk, more: str, size: str = "30cmx150cm") -> dict[str, str]:
    return warned(desk, f"cloth plan Cloth --size {size} {SETT} {more}")


def test_a_cloth_without_a_doubt_is_not_warned_of(desk: Desk) -> None:
    assert warned(desk, CALM) == {}
    assert "Note" not in desk.does("cloth check Calm")


def test_every_warning_is_a_note_in_words(desk: Desk) -> None:
    found = planned(desk, "--warp Wraps --weft Fresh --direct --ends 91", "30cmx20cm")
    words = " ".join(desk.does("cloth check Cloth").split())
    assert len(found) >= 3
    for text in found.values():
        assert f"Note {text}" in words


def test_a_skein_of_unknown_length_is_to_be_weighed(desk: Desk) -> None:
    assert planned(desk, "--warp Driftwood --weft Wraps")["length-unknown"].startswith(
        "Nothing is known of Wraps"
    )


def test_a_skein_that_is_used_up_or_closed_is_named(desk: Desk) -> None:
    desk.does(CALM, "cloth plan Other --size 10cmx20cm --sett 3/cm --warp Fresh --weft Fresh")
    desk.does("skein take Driftwood 150g --for Calm")
    assert warned(desk, "cloth check Calm")["used-up"] == "Nothing is left of Driftwood."
    desk.does("skein close Fresh --because lost --sure")
    found = warned(desk, "cloth check Other")
    assert found["closed"].startswith("Fresh was closed")
    assert "closed" not in warned(desk, "cloth check Calm")


def test_a_skein_promised_for_more_than_it_holds_is_overclaimed(desk: Desk) -> None:
    desk.does(CALM, "skein take Driftwood 1g", "skein weigh Driftwood 20g")
    found = warned(desk, "cloth check Calm")
    assert found["overclaimed"].startswith("Driftwood is promised to cloths for more")
    assert "Driftwood weighs less" in found["forgotten-take"]


def test_readings_that_disagree_are_put_as_a_question(desk: Desk) -> None:
    desk.does(
        "skein add Odd --mass 100g --length 800m --state relaxed --test-length 10m=3.0g --wpi 14wpi"
    )
    why = planned(desk, "--warp Odd --weft Driftwood")["readings-disagree"]
    assert why.startswith("Odd: ") and why.endswith("?")


def test_where_it_does_not_reach_the_cloths_that_keep_the_yarn_are_named(desk: Desk) -> None:
    desk.does(CALM)
    kept = desk.told("cloth show Calm")["yarns"][0]["claimed_g"]
    found = planned(desk, '--warp "Gorse 1" --weft Fresh', "30cmx200cm")
    assert found["claimed"] == f"Calm keeps {kept:.0f} g of Gorse 1."
    assert "claimed" not in warned(desk, "cloth check Calm")
    assert "claimed" not in warned(desk, f"reach Driftwood --size 10cmx20cm {SETT}")


def test_metres_that_are_no_whole_ends_are_told_of(desk: Desk) -> None:
    for name in ("Short 1", "Short 2", "Short 3"):
        desk.does(f'skein add "{name}" --mass 1g --length 4m --state relaxed')
    yarns = '--warp "Short 1" --warp "Short 2" --warp "Short 3" --weft Fresh'
    found = planned(desk, f"{yarns} --ends 4 --warp-cut 290cm", "10cmx100cm")
    assert "1 are missing" in found["short-ends"]
    assert "short-ends" not in planned_again(desk, f"{yarns} --ends 3 --warp-cut 290cm")


def planned_again(desk: Desk, more: str) -> dict[str, str]:
    desk.does("cloth give-up Cloth --yes")
    return warned(desk, f"cloth plan Again --size 10cmx100cm {SETT} {more}")


def test_a_set_up_too_small_for_pieces_to_be_cut_is_told_of(desk: Desk) -> None:
    small = planned(desk, "--cut --ends 80 --warp Driftwood --weft Fresh", "30cmx50cm")
    assert "80 ends" in small["set-up-too-small"]
    assert "set-up-too-small" not in planned_again(desk, "--ends 20 --warp Driftwood --weft Fresh")


def test_much_yarn_that_is_there_only_for_size_asks_for_a_sample(desk: Desk) -> None:
    much = planned(desk, "--size-promise 99% --warp Driftwood --weft Fresh", "20cmx50cm")
    assert "% of the warp yarn is there only for size" in much["sample-first"]
    sure = "--shrink-width 10% --shrink-length 10% --draw-in 6% --take-up 9% --waste 50cm"
    assert "sample-first" not in planned_again(desk, f"{sure} --warp Driftwood --weft Fresh")


def test_a_cloth_wider_than_long_is_asked_about(desk: Desk) -> None:
    wide = planned(desk, "--warp Driftwood --weft Fresh", "50cmx49.9cm")
    assert wide["wider-than-long"] == "It is wider than long (50 cm wide, 49.9 cm long): as meant?"
    assert "wider-than-long" not in planned_again(desk, "--warp Driftwood --weft Fresh")


def test_yarn_that_was_not_washed_is_to_be_washed_or_puckers_beside_washed_yarn(desk: Desk) -> None:
    first = planned(desk, "--warp Driftwood --weft Fresh")
    assert first["wash-first"].startswith("Fresh is not washed yet, and taken as washed")
    spun = planned_again(desk, "--warp Driftwood --weft Fresh --as-spun")
    assert "the cloth puckers there" in spun["puckers"]
    assert "wash-first" not in spun
    desk.does("skein measure Fresh --length 250m --state relaxed", "cloth give-up Again --yes")
    line = f"cloth plan Third --size 10cmx100cm {SETT} --warp Driftwood --weft Fresh"
    assert not {"wash-first", "puckers"} & warned(desk, line).keys()


def test_a_sett_that_no_reed_gives_is_told_of(desk: Desk) -> None:
    line = "--size 10cmx20cm --picks 3/cm --warp Driftwood --weft Fresh --loom Plain"
    assert "gives 0.50 per cm" in warned(desk, f"cloth plan A {line} --sett 0.5/cm")["no-reed"]
    assert "no-reed" not in warned(desk, f"cloth plan B {line} --sett 4.5/cm")


@pytest.mark.parametrize(
    ("sett", "codes"),
    [(4.0, set()), (6.5, {"sheds-stick"}), (14.0, {"sett-above-bound"})],
)
def test_a_sett_near_and_above_the_bound_is_told_of(
    desk: Desk, sett: float, codes: set[str]
) -> None:
    line = f"--size 8cmx20cm --picks 4/cm --warp Driftwood --weft Fresh --sett {sett}/cm"
    found = warned(desk, f"cloth plan A {line}").keys() & {"sheds-stick", "sett-above-bound"}
    assert found == codes


def test_the_bound_is_the_one_that_sett_tells_and_mill_yarn_does_not_stick(desk: Desk) -> None:
    known = desk.told("skein show Driftwood")
    bound = desk.told(["sett", "--count", f"{known['tex']['p50']:.6f} tex"])
    most = bound["upper_bound_ends_per_cm"]
    line = "--size 8cmx20cm --picks 4/cm --weft Fresh --sett"
    for sett, code in ((1.01, "sett-above-bound"), (0.99, "sheds-stick"), (0.74, "")):
        name = f"A{sett}"
        found = warned(desk, f"cloth plan {name} --warp Driftwood {line} {sett * most:.4f}/cm")
        assert found.keys() & {"sett-above-bound", "sheds-stick"} == ({code} if code else set())
    cone = desk.told("skein show Cone")
    mill = desk.told(
        ["sett", "--count", f"{cone['tex']['p50']:.6f} tex", "--fibre", "linen", "--mill"]
    )
    close = 0.9 * mill["upper_bound_ends_per_cm"]
    assert "sheds-stick" not in warned(desk, f"cloth plan M --warp Cone {line} {close:.4f}/cm")


def test_an_edge_end_that_is_never_caught_asks_for_floating_selvedges(desk: Desk) -> None:
    line = f"--size 10cmx20cm {SETT} --warp Driftwood --weft Fresh --weave"
    ribbed = warned(desk, f'cloth plan A {line} "warp rib 2/2"')
    basket = warned(desk, f'cloth plan B {line} "basket 2x2"')
    plain = warned(desk, f"cloth plan C {line} plain")
    floating = warned(desk, f'cloth plan D {line} "basket 2x2" --floating-selvedges 2')
    assert "floating-selvedge" in ribbed.keys() | basket.keys()
    assert "floating-selvedge" not in plain.keys() | floating.keys()


def test_an_odd_end_in_direct_warping_is_told_of(desk: Desk) -> None:
    yarns = "--warp Driftwood --weft Fresh"
    assert "leave one to spare" in planned(desk, f"--direct --ends 91 {yarns}")["odd-ends"]
    assert "odd-ends" not in planned_again(desk, f"--direct {yarns}")
    assert "odd-ends" in warned(desk, f"cloth change Again --floating-selvedges 1 {yarns}")


def test_gravest_comes_first(desk: Desk) -> None:
    found = planned(desk, "--warp Wraps --weft Fresh --direct --ends 91", "30cmx20cm")
    assert next(iter(found)) == "length-unknown"
    assert list(found)[-1] == "odd-ends"
