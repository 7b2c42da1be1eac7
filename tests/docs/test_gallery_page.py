"""docs/gallery.md: what its commands print, and the pictures they draw, are those it shows."""

import re
import shlex
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from docs.pages import GALLERY, PICTURES, answered, demo_stash, examples, pictures, prepare
from farspun.craft import pooling
from farspun.pictures.cloth import CLOSE_MM

PAGE = GALLERY.read_text(encoding="utf-8")
SHOWN = re.findall(r"^!\[(.+?)\]\(pictures/(.+?)\)$", PAGE, re.MULTILINE)
OUT = "--out"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the page's commands were run; each must answer as the page shows."""
    place = tmp_path_factory.mktemp("gallery")
    demo_stash(place)
    prepare(PAGE, place)
    for example in examples(PAGE):
        assert answered(example, place).output == example.shown, example.line
    return place


def test_every_picture_of_the_page_is_drawn_by_a_command_above_it(folder: Path) -> None:
    drawn = [shlex.split(one.line)[shlex.split(one.line).index(OUT) + 1] for one in examples(PAGE)]
    assert drawn == [name for _, name in SHOWN]
    assert all(told.strip() for told, _ in SHOWN)
    assert {one.name for one in pictures(folder)} == set(drawn)
    assert {one.name for one in pictures(PICTURES)} >= set(drawn)


@pytest.mark.parametrize("name", [name for _, name in SHOWN])
def test_the_pictures_are_those_that_are_drawn_now(folder: Path, name: str) -> None:
    kept, now = PICTURES / name, folder / name
    if kept.suffix == ".svg":
        assert kept.read_bytes() == now.read_bytes()
        return
    with Image.open(kept) as one, Image.open(now) as other:
        assert one.text == other.text
        assert np.array_equal(np.asarray(one.convert("RGB")), np.asarray(other.convert("RGB")))


def test_the_pictures_are_small_enough_for_a_page() -> None:
    assert all((PICTURES / name).stat().st_size < 250_000 for _, name in SHOWN)


def test_the_lengths_of_the_page_are_those_that_are_drawn() -> None:
    assert f"in flecks of {1000 * pooling.FLECK_M:g} mm" in PAGE
    assert f"else {100 * pooling.STRETCH_M:g} cm" in PAGE
    assert CLOSE_MM == 50 and "Five centimetres from the first corner" in PAGE
