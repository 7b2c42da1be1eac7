"""farspun largest: it keeps the promise, one cm more does not, and it says what stops it."""

from pathlib import Path

import pytest

from cli.cloths import claims
from cli.running import Desk, furnished

SETT = "--sett 3/cm --picks 3/cm"
YARN = f'--warp "Gorse 1" --weft Driftwood {SETT}'


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def odds_of(desk: Desk, yarn: str, width: float, length: float) -> float:
    weft = yarn.replace("--weft ", "")
    found = desk.told(f"reach {weft} --size {width:.10g}cmx{length:.10g}cm")
    return float(found["odds"]["yarn"])


@pytest.mark.parametrize("held", ["--width 30cm", "--length 120cm", "--shape 1:4"])
def test_it_keeps_the_promise_and_one_cm_more_does_not(desk: Desk, held: str) -> None:
    found = desk.told(f"largest {YARN} {held}")
    size, beyond = found["size"], found["beyond"]
    assert size["odds"] >= 0.95 > beyond["odds"]
    assert odds_of(desk, YARN, size["width_cm"], size["length_cm"]) == size["odds"]
    assert odds_of(desk, YARN, beyond["width_cm"], beyond["length_cm"]) == beyond["odds"]
    assert found["check"]["verdict"] == "reaches"
    assert [need["short_m"] for need in found["check"]["warp"] + found["check"]["weft"]] == [0, 0]
    moved = beyond["width_cm"] - size["width_cm"], beyond["length_cm"] - size["length_cm"]
    assert moved == {"--width 30cm": (0, 1), "--length 120cm": (1, 0)}.get(held, (0.25, 1))


def test_a_yarn_that_ends_it_is_named_and_so_is_the_loom(desk: Desk) -> None:
    assert desk.told(f"largest {YARN} --width 30cm")["ends_it"] == "Gorse 1"
    narrow = desk.told(f"largest {YARN} --length 20cm --loom Table --promise 60%")
    assert narrow["ends_it"] == "the loom"
    assert narrow["beyond"]["odds"] is None
    said = desk.does(f"largest {YARN} --length 20cm --loom Table --promise 60%")
    assert "more than the loom takes" in said


def test_a_smaller_promise_gives_a_larger_cloth(desk: Desk) -> None:
    lengths = [
        desk.told(f"largest {YARN} --width 30cm --promise {promise}")["size"]["length_cm"]
        for promise in ("99%", "95%", "80%", "60%")
    ]
    assert lengths == sorted(set(lengths))


def test_one_yarn_serves_both_sides_and_how_to_split_it_is_told(desk: Desk) -> None:
    found = desk.told("largest --weft Driftwood --width 20cm")
    split = found["split"]
    assert split["warp_m"] + split["weft_m"] < 450
    assert min(split.values()) > 50
    said = " ".join(desk.does("largest --warp Driftwood --width 20cm").split())
    assert f"about {split['warp_m']:.0f} m go into the warp" in said
    assert desk.told("largest --warp Driftwood --width 20cm") == found


def test_with_a_sett_and_no_warp_only_the_weft_is_asked(desk: Desk) -> None:
    found = desk.told(f"largest --weft Driftwood --width 30cm {SETT}")
    assert found["check"]["warp"] == []
    assert found["split"] is None


def test_the_table_has_the_longest_of_each_width(desk: Desk) -> None:
    rows = desk.told(f"largest {YARN} --sizes")["sizes"]
    assert 4 <= len(rows) <= 12
    lengths = [row["length_cm"] for row in rows]
    assert lengths == sorted(lengths, reverse=True)
    assert all(row["odds"] >= 0.95 for row in rows)
    middle = rows[len(rows) // 2]
    alone = desk.told(f"largest {YARN} --width {middle['width_cm']}cm")["size"]
    assert alone["length_cm"] == middle["length_cm"]
    assert desk.does(f"largest {YARN}") == desk.does(f"largest {YARN} --sizes")


def test_pieces_to_be_cut_are_judged_on_their_size_as_well(desk: Desk) -> None:
    found = desk.told(f"largest {YARN} --width 30cm --cut")
    assert found["check"]["odds"]["all"] == found["size"]["odds"] >= 0.95
    assert found["check"]["verdict"] == "reaches"


def test_other_cloths_claims_are_taken_off(desk: Desk) -> None:
    before = desk.told(f"largest {YARN} --width 20cm")["size"]["length_cm"]
    desk.does(f"cloth plan A --size 20cmx60cm {YARN}")
    assert desk.told(f"largest {YARN} --width 20cm")["size"]["length_cm"] < before


def test_who_keeps_the_yarn_is_said_where_no_size_is_left(desk: Desk) -> None:
    desk.does(f"cloth plan Shawl --size 60cmx300cm {YARN}")
    kept = claims(desk, "Shawl")["weft", "Driftwood"]
    assert kept == 150  # all of it
    found = desk.told(f"largest --warp 'Gorse 2' --weft Driftwood {SETT} --width 20cm")
    assert found["size"] is None
    assert found["why"].endswith("for Driftwood; Shawl keeps 150 g of Driftwood")
    free = desk.told(f"largest {YARN} --length 400m")  # the warp is what ends this one
    assert "Shawl keeps 100 g of Gorse 1" in free["why"] and "Driftwood" not in free["why"]


def test_the_table_tells_the_split_of_one_yarn_as_the_whole_answer_does(desk: Desk) -> None:
    rows = desk.told("largest --warp Driftwood")["sizes"]
    row = rows[len(rows) // 2]
    split = desk.told(f"largest --warp Driftwood --width {row['width_cm']}cm")["split"]
    assert row["split_m"] == pytest.approx([split["warp_m"], split["weft_m"]], rel=1e-4)
    said = desk.does("largest --warp Driftwood")
    assert f"{row['split_m'][0]:.0f} m  {row['split_m'][1]:.0f} m" in said
    assert all(one["split_m"] is None for one in desk.told(f"largest {YARN}")["sizes"])


def test_the_table_leaves_out_what_no_one_weaves_unless_it_is_asked_for(desk: Desk) -> None:
    rows = desk.told("largest --warp Driftwood --promise 60%")["sizes"]
    assert rows
    for row in rows:
        assert row["width_cm"] >= 5 and row["length_cm"] <= 100 * row["width_cm"]
    asked = desk.told("largest --warp Driftwood --promise 60% --width 1cm")["size"]
    assert asked["length_cm"] > 100


def test_nothing_is_stored(desk: Desk) -> None:
    before = desk.stash.read_bytes()
    desk.does(f"largest {YARN} --width 30cm --sizes")
    assert desk.stash.read_bytes() == before


def test_where_no_size_keeps_it_that_is_an_answer(desk: Desk) -> None:
    found = desk.told(f"largest {YARN} --length 400m")
    assert (found["size"], found["check"]) == (None, None)
    assert "even 1 x 40000 cm does not keep it" in found["why"]
    assert "No size keeps the promise" in desk.does(f"largest {YARN} --length 400m")
    wide = desk.told(f"largest {YARN} --width 5m")
    assert "the loom takes 120 cm" in wide["why"]


def test_a_skein_of_unknown_length_is_to_be_weighed_first(desk: Desk) -> None:
    said = desk.does(f"largest --weft Wraps --width 20cm {SETT}")
    assert "the length of Wraps is not known" in " ".join(said.split())


def test_a_closed_yarn_that_a_cloth_claims_is_refused_in_words(desk: Desk) -> None:
    desk.does(
        f"cloth plan A --size 20cmx60cm {YARN}", "skein close Driftwood --because lost --sure"
    )
    assert "that skein was closed" in desk.refuses(f"largest {YARN} --width 30cm", 3)


@pytest.mark.parametrize(
    ("more", "code", "words"),
    [
        ("--width 30cm --length 1m", 2, "do not go together"),
        ("--shape 4", 3, "two numbers are wanted"),
        ("--shape 0:4", 3, "from 1:1000 to 1000:1"),
        ("--width 30cm --promise 100%", 3, "at most 99.9 in 100"),
        ("--width 0cm", 3, "width"),
        ("--width 30cm --loom Nowhere", 4, "no loom"),
    ],
)
def test_what_cannot_be_is_said_in_words(desk: Desk, more: str, code: int, words: str) -> None:
    assert words in desk.refuses(f"largest {YARN} {more}", code)


def test_no_skein_and_no_stash_are_said_in_words(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    assert "No skein was named" in desk.refuses("largest --width 30cm", 2)
    assert "Driftwood" in desk.refuses("largest --weft Driftwood --width 30cm", 4)


def test_stripes_are_wound_as_their_order_says(desk: Desk) -> None:
    striped = f"--warp-order '6 \"Gorse 1\", 2 Fresh' --weft Driftwood {SETT}"
    size = desk.told(f"largest {striped} --width 30cm")["size"]
    assert size["odds"] >= 0.95
    found = desk.told(f"largest {striped} --width 30cm")["check"]["setup"]["warp_order"]
    assert found["threads"] == 8
    said = desk.refuses("largest --warp-order '6 \"Gorse 1\", 2 Fresh' --width 30cm", 2)
    assert "one side only" in said
