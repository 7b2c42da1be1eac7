"""Fifty planned cloths asked at once, against each of them asked by itself."""

from pathlib import Path

import pytest

from benchmarks.timing import measured
from cli.running import Desk

CLOTHS = 50
MOST_RATIO = 1.3
RUNS = 5
PROGRAM = """
import json, time
from pathlib import Path
from farspun.craft.plan import OPEN
from farspun.services.checking import checked
from farspun.services.cloths import check_cloths
from farspun.services.taught import taught
from farspun.store import cloths
from farspun.store.engine import Stash, reading

stash = Stash(path=Path({path!r}))


def one_by_one():
    with reading(stash) as connection:
        known = taught(connection)
        plans = [one for one in cloths.plans(connection) if one.status in OPEN]
        return [checked(connection, plan, known) for plan in plans]


def took(answer):
    start = time.perf_counter()
    answer()
    return time.perf_counter() - start


one_by_one(), check_cloths(stash)
both = [(took(lambda: check_cloths(stash)), took(one_by_one)) for _ in range({runs})]
together, apart = (min(one) for one in zip(*both))
print(json.dumps({{"together_s": together, "apart_s": apart, "cloths": len(one_by_one())}}))
"""


def _stash(folder: Path, skeins: int, taught: bool) -> Path:
    desk = Desk(folder)
    desk.does("loom add Floor --kind floor --width 120cm")
    for at in range(skeins):
        counted = f"--length 400m --state unwashed --wpi 15wpi --tool 'tool {at % 5}'"
        desk.does(f'skein add "Gorse {at}" --mass 100g {counted}')
    for at in range(CLOTHS):
        warp, weft = 2 * at % skeins, (2 * at + 1) % skeins
        desk.does(
            f'cloth plan "Towel {at}" --size 20cmx60cm --sett 3/cm --picks 3/cm'
            f' --warp "Gorse {warp}" --weft "Gorse {weft}"'
        )
    if taught:
        woven = "--reed 11cm --off 10cmx15cm --washed 9cmx13.5cm --picks 3/cm"
        desk.does(*(f'cloth sample "Towel {at}" {woven}' for at in range(3)))
    return desk.stash


@pytest.mark.bench
@pytest.mark.parametrize("taught", [False, True])
@pytest.mark.parametrize("skeins", [20, 100])
def test_fifty_cloths_at_once_cost_little_more_than_each_by_itself(
    tmp_path: Path, skeins: int, taught: bool
) -> None:
    path = _stash(tmp_path, skeins, taught)
    found = measured(PROGRAM.format(path=str(path), runs=RUNS))
    ratio = found["together_s"] / found["apart_s"]
    print(
        f"\n50 cloths of {skeins} skeins{', taught' if taught else ''}:"
        f" {found['together_s']:.2f} s, {ratio:.2f} times (at most {MOST_RATIO})"
    )
    assert found["cloths"] == CLOTHS
    assert ratio <= MOST_RATIO
