"""farspun cloth cut: pieces laid out, and the cloth planned for them."""

import math
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished
from farspun.craft.lay import Laid, Lay, Piece, faults

BAG = [
    *("--piece", "front 34cmx38cm x2"),
    *("--piece", "strap 6cmx90cm"),
    *("--piece", "pocket 15cmx18cm x2 free"),
]
YARN = ["--warp", "Driftwood", "--weft", "Gorse 1", "--sett", "3/cm", "--picks", "3/cm"]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def cut(desk: Desk, *more: str, name: str = "Bag") -> dict[str, Any]:
    found: dict[str, Any] = desk.told(["cloth", "cut", name, *BAG, *more])
    return found


def lay_of(found: dict[str, Any]) -> Lay:
    told = found["lay"]
    pieces = tuple(Laid(**one) for one in told["pieces"])
    return Lay(told["width_cm"], told["selvedge_cm"], pieces, told["nap"])


def test_the_cloth_is_as_long_as_the_lay_and_planned_to_be_cut(desk: Desk) -> None:
    found = cut(desk, *YARN, "--width", "50cm")
    shown = desk.told("cloth show Bag")
    assert (shown["width_cm"], shown["cut"], shown["pieces"]) == (50, True, 1)
    assert shown["length_cm"] == math.ceil(found["lay"]["length_cm"])
    assert "2 front, 1 strap, 2 pocket" in shown["size_said"]
    assert found["verdict"] == desk.told("cloth check Bag")["verdict"]
    assert found["odds"]["all"] is not None


def test_the_lay_has_no_fault(desk: Desk) -> None:
    found = cut(desk, *YARN, "--width", "50cm", "--seam", "1cm", "--raw-edge", "0.4cm")
    pieces = [
        Piece("front", 36.8, 40.8, 2),
        Piece("strap", 8.8, 92.8),
        Piece("pocket", 17.8, 20.8, 2, turnable=True),
    ]
    assert faults(lay_of(found), pieces) == []
    assert found["lay"]["usable_cm"] == 48


def test_nothing_said_of_the_width_takes_the_one_with_least_yarn(desk: Desk) -> None:
    found = cut(desk, *YARN)["lay"]
    own = found["width_cm"] * (2 * found["length_cm"] + 50)
    for width in (45, 60):
        other = cut(desk, *YARN, "--width", f"{width}cm", "--dry-run", name="Other")["lay"]
        assert own <= other["width_cm"] * (2 * other["length_cm"] + 50) + 1e-6


def test_a_planned_cloth_keeps_its_width_and_gets_its_length(desk: Desk) -> None:
    desk.does('cloth plan Bag --size 45cmx1m --sett 3/cm --warp Driftwood --weft "Gorse 1"')
    before = desk.told("cloth show Bag")
    found = cut(desk)
    after = desk.told("cloth show Bag")
    assert (after["width_cm"], found["lay"]["width_cm"]) == (45, 45)
    assert after["length_cm"] != before["length_cm"]
    assert after["sett_asked"] == before["sett_asked"]
    claimed = [one["claimed_g"] for one in after["yarns"]]
    assert claimed == [one["claimed_g"] for one in before["yarns"]]
    assert desk.run(["cloth", "cut", "Bag", *BAG]).stderr.startswith("Before ")


def test_a_dry_run_stores_nothing_and_draws_all_the_same(desk: Desk, tmp_path: Path) -> None:
    before = desk.stash.read_bytes()
    picture = tmp_path / "bag.svg"
    found = cut(desk, *YARN, "--dry-run", "--out", str(picture))
    assert desk.stash.read_bytes() == before
    assert picture.read_text(encoding="utf-8").startswith("<svg ")
    assert found["cloth"] is None


def test_where_the_picture_cannot_be_written_nothing_is_stored(desk: Desk, tmp_path: Path) -> None:
    for out in (tmp_path / "nowhere" / "bag.svg", tmp_path / "bag.png"):
        desk.refuses(["cloth", "cut", "Bag", *BAG, *YARN, "--out", str(out)], 2)
        assert desk.told("cloth list") == []


def test_a_nap_keeps_every_piece_from_being_turned(desk: Desk) -> None:
    free = ["--piece", "tab 40cmx6cm x2", "--grain", "free", *YARN, "--width", "20cm", "--dry-run"]
    found = desk.told(["cloth", "cut", "Tab", *free])["lay"]
    assert [one["turned"] for one in found["pieces"]] == [True, True]
    desk.refuses(["cloth", "cut", "Tab", *free, "--nap"], 3)
    both = ["cloth", "cut", "Tab", "--piece", "tab 4cmx6cm free", "--nap", *YARN]
    assert "nap" in desk.refuses(both, 2)


def test_a_piece_wider_than_any_loom_is_refused_and_panels_are_offered(desk: Desk) -> None:
    line = ["cloth", "cut", "Throw", "--piece", "throw 134cmx1m x2", *YARN]
    said = desk.refuses(line, 3)
    assert "no loom of yours weaves more than" in said
    assert "--panels" in said and "'throw 67cmx100cm x4'" in said
    assert desk.told("cloth list") == []
    found = desk.told([*line, "--panels"])["lay"]
    assert len(found["pieces"]) == 4
    assert {one["width_cm"] for one in found["pieces"]} == {71.0}
    assert found["panels"] == ["throw: 2 strips of 67 cm, sewn"]
    by_hand = ["cloth", "cut", "Same", "--piece", "throw 67cmx100cm x4", *YARN]
    assert desk.told(by_hand)["lay"]["length_cm"] == found["length_cm"]


def test_a_piece_wider_than_the_cloth_is_told_the_width_that_would_do(desk: Desk) -> None:
    line = ["cloth", "cut", "Bag", *BAG, *YARN, "--width"]
    said = desk.refuses([*line, "30cm"], 3)
    assert "the cloth is 30 cm wide" in said and "--width 40cm" in said
    assert desk.told([*line, "40cm"])["lay"]["width_cm"] == 40


def test_a_cloth_wider_than_the_looms_is_refused(desk: Desk) -> None:
    said = desk.refuses(["cloth", "cut", "Bag", *BAG, *YARN, "--width", "300cm"], 3)
    assert "at most about" in said
    assert desk.told("cloth list") == []


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ([], 2),
        (["--piece", "front"], 3),
        (["--piece", "front 34x38"], 3),
        (["--piece", "front 34cmx38cm", "--piece", "Front 3cmx8cm"], 2),
        (["--piece", "front 34cmx38cm x101"], 3),
        (["--piece", "front 34cmx38cm", "--seam", "2cm±1cm"], 3),
        (["--piece", "front 34cmx38cm", "--grain", "odd"], 3),
        (["--piece", "front 34cmx200m"], 3),
        (["--piece", "front 34cmx38cm", "--selvedge", "30cm", "--width", "50cm"], 3),
    ],
)
def test_what_cannot_be_laid_is_refused_and_nothing_stored(
    desk: Desk, more: list[str], code: int
) -> None:
    desk.refuses(["cloth", "cut", "Bag", *more, *YARN], code)
    assert desk.told("cloth list") == []


def test_a_new_cloth_needs_its_yarn(desk: Desk) -> None:
    assert "needs a warp and a weft" in desk.refuses(["cloth", "cut", "Bag", *BAG], 2)


def test_without_a_loom_the_width_is_free(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    desk.does("skein add Driftwood --mass 150g --length 450m --state relaxed",
              'skein add "Gorse 1" --mass 100g --length 400m --state relaxed')  # fmt: skip
    assert cut(desk, *YARN, "--width", "2m")["lay"]["width_cm"] == 200


def test_undo_takes_the_cloth_back(desk: Desk) -> None:
    cut(desk, *YARN)
    desk.does("undo")
    assert desk.told("cloth list") == []


def test_in_words_every_piece_has_its_place(desk: Desk) -> None:
    said = desk.does("cloth list") + desk.run(["cloth", "cut", "Bag", *BAG, *YARN]).stdout
    for piece in ("front 1", "front 2", "strap 1", "pocket 1", "pocket 2"):
        assert sum(line.startswith(piece) for line in said.splitlines()) == 1
    assert "is left over" in said and "handwoven cloth" in said
    inches = desk.run(["cloth", "cut", "Bag", *BAG, "--imperial"]).stdout
    assert "Piece, in in" in inches


def test_from_pieces_to_a_cloth_that_reaches(desk: Desk) -> None:
    """Pieces, cloth, verdict, shortfall, to spin, new skein, reaches."""
    desk.does(
        "skein add Big --mass 450g --length 1200m --state relaxed",
        "skein add Bracken --mass 60g --length 150m --state relaxed --plies 2",
    )
    yarn = ["--warp", "Big", "--weft", "Bracken", "--sett", "3/cm", "--picks", "3/cm"]
    found = cut(desk, *yarn, "--width", "42cm")
    assert found["verdict"] == "falls short"
    (short,) = desk.told("shortfalls")
    assert (short["cloth"], short["yarn"]) == ("Bag", "Bracken")
    (work,) = desk.told("to-spin Bag")
    spin = work["spin"]
    assert spin["length_m"] == short["short_m"]
    strands = math.ceil(1.02 * spin["length_m"] / 1.5)
    grams = strands * 1.5 * spin["tex"] / 1000
    said = desk.does(
        f"skein add Spun --plies 2 --mass {grams:.0f}g --strands {strands} --once-round 1.5m"
        " --state relaxed --for Bag"
    )
    assert "kept for the cloth" in said
    assert desk.told("cloth check Bag")["verdict"] == "reaches"
    assert desk.told("shortfalls") == desk.told("to-spin") == []
