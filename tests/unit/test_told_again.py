"""What was told of a cloth is found again in the words it was told in."""

from pathlib import Path

import pytest

from cli.running import Desk, furnished
from farspun.services.told_again import ToldAgain, told_again
from farspun.store.engine import Stash
from lives import FINISHED, OFF_LOOM, ON_LOOM, PLAN


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """Gorse 1: 100 g, 400 m, as warp; Driftwood as weft."""
    found = furnished(tmp_path)
    found.does(PLAN)
    return found


def again(desk: Desk) -> ToldAgain:
    return told_again(Stash(path=desk.stash), "Shawl")


def test_lengths_and_picks_stand_in_the_unit_they_were_told_in(desk: Desk) -> None:
    desk.does("cloth wound Shawl --ends 150 --warp 102in", "cloth on-loom Shawl --picks 8ppi")
    assert again(desk).figures == {"warp": "102 in", "picks": "8 ppi"}
    desk.does("cloth on-loom Shawl --picks 3/cm")
    assert again(desk).figures == {"warp": "102 in", "picks": "3/cm"}
    desk.does("undo")
    assert again(desk).figures["picks"] == "8 ppi"


def test_both_sides_of_a_size_and_the_mass_of_the_piece_are_found(desk: Desk) -> None:
    desk.does("cloth wound Shawl --ends 150 --warp 2.6m", ON_LOOM, OFF_LOOM)
    desk.does("cloth finished Shawl --washed 16.3inx156.6cm --mass 6.7oz")
    told = again(desk).figures
    assert (told["washed_wide"], told["washed_long"]) == ("16.3 in", "156.6 cm")
    assert (told["off_wide"], told["mass"], told["thrums"]) == ("46 cm", "6.7 oz", "62 cm")


def test_what_was_left_stands_as_the_scale_said_with_its_tare(desk: Desk) -> None:
    desk.does("cloth wound Shawl --ends 150 --warp 2.6m --left 'gorse 1=12g' --tare 9g")
    told = again(desk)
    assert (told.left, told.tare, set(told.with_tare)) == ({"Gorse 1": "12 g"}, "9 g", {"Gorse 1"})


def test_a_tare_told_later_does_not_come_off_what_was_weighed_before(desk: Desk) -> None:
    desk.does("cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1=12g' --tare 9g", ON_LOOM)
    desk.does(f"{OFF_LOOM} --tare 2g", FINISHED)
    told = again(desk)
    assert told.left == {"Gorse 1": "3 g", "Driftwood": "60 g"}
    assert (told.tare, set(told.with_tare)) == ("2 g", {"Driftwood"})


def test_what_a_warp_left_of_a_yarn_that_is_weft_too_is_past_once_it_is_woven(
    desk: Desk,
) -> None:
    both = "cloth plan Both --size 20cmx60cm --sett 3/cm --picks 3/cm --loom Table"
    desk.does(f'{both} --warp "Gorse 1" --weft "Gorse 1"')
    desk.does("cloth wound Both --ends 75 --warp 1.5m --left 'Gorse 1=72g'", "cloth on-loom Both")
    assert told_again(Stash(path=desk.stash), "Both").left == {"Gorse 1": "72 g"}
    desk.does("cloth off-loom Both")
    assert told_again(Stash(path=desk.stash), "Both").left == {}
