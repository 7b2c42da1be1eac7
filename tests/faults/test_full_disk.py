"""No room left: the file of the stash cannot grow, or no file can grow beyond so many bytes."""

import shlex
from pathlib import Path

import pytest

from farspun.store import copies
from faults.nursery import Ended, Nursery, a_place
from faults.outcomes import Outcome
from faults.stash_state import found_wrong, furnished, made_by, rows

PAGE = 4096
LONG = "ü" * 2000
LINES = {
    "skein add": f"skein add Nettle --mass 50g --note {LONG} --place {LONG} --colour {LONG}",
    "skein take": "skein take Gorse 50m --for Shawl",
    "cloth plan": "cloth plan Scarf --size 20cmx150cm --warp Gorse --weft Bracken",
    "undo": "undo",
    "import": "import {folder}/table.csv",
}
TABLE = "name,mass,note\n" + "".join(f"Nettle {n},50 g,{'x' * 900}\n" for n in range(40))


def judged(place: Path, ended: Ended, before: object) -> str:
    """What came of it: carried out whole, or refused in plain words and nothing stored."""
    now = rows(place)
    if found_wrong(place):
        return "half"
    if ended.code == 0:
        return "done" if now != before else "lost"
    assert ended.plain, ended
    return "refused" if now == before else "half"


@pytest.mark.parametrize("name", LINES)
def test_the_file_of_the_stash_cannot_grow(nursery: Nursery, name: str) -> None:
    outcome = Outcome("the file of the stash cannot grow", name)
    pages = len(furnished()) // PAGE
    for more in (0, 1, 3):
        with a_place(furnished()) as place:
            (place.parent / "table.csv").write_text(TABLE, encoding="utf-8")
            before = rows(place)
            words = shlex.split(LINES[name].format(folder=place.parent))
            ended = nursery.run(place, *words, FARSPUN_PAGES=str(pages + more))
            outcome.count(judged(place, ended, before))
            if ended.code:
                assert "disk is full" in ended.err
    outcome.tell()
    assert outcome.refused or name in ("skein take", "cloth plan", "undo")


@pytest.mark.parametrize("name", LINES)
def test_no_file_can_grow_beyond_so_many_bytes(nursery: Nursery, name: str) -> None:
    """Also the log that SQLite writes first, and the file it is folded into."""
    outcome = Outcome("no file can grow beyond so many bytes", name)
    for room in (0, 3_000, 9_000, 30_000, 60_000, 100_000, 140_000, 1_000_000):
        with a_place(furnished()) as place:
            (place.parent / "table.csv").write_text(TABLE, encoding="utf-8")
            before = rows(place)
            words = shlex.split(LINES[name].format(folder=place.parent))
            outcome.count(judged(place, nursery.run(place, *words, room=room), before))
    outcome.tell()
    assert outcome.refused
    assert outcome.done


def test_a_new_stash_cannot_grow(nursery: Nursery) -> None:
    outcome = Outcome("a new stash cannot grow", "skein add")
    words = shlex.split(LINES["skein add"])
    for room in (0, 3_000, 9_000, 60_000, 120_000, 1_000_000):
        with a_place() as place:
            ended = nursery.run(place, *words, room=room)
            outcome.count(judged(place, ended, rows(Path("/no/such/stash"))))
            assert nursery.run(place, *words).code == (3 if ended.code == 0 else 0)
    outcome.tell()


def test_a_copy_has_no_room(nursery: Nursery) -> None:
    """Nothing is left of it, and the stash is as it was; so is a copy that was to be replaced."""
    outcome = Outcome("a copy has no room", "backup, restore")
    earlier = made_by(("skein add Nettle --mass 50g",))
    for room in (0, 9_000, 100_000, 150_000):
        for line in ("backup", "backup mine.db --force", "restore mine.db --yes"):
            with a_place(furnished()) as place:
                mine = place.parent / "mine.db"
                mine.write_bytes(earlier)
                before = rows(place)
                ended = nursery.run(place, *line.replace("mine.db", str(mine)).split(), room=room)
                assert ended.plain, ended
                same = rows(place) == before and mine.read_bytes() == earlier
                left = list(place.parent.rglob("*unfinished*"))
                outcome.count("refused" if same and not left and not copies.made(place) else "half")
    outcome.tell()
