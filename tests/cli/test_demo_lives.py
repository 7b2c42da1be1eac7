"""The whole life of the demo's cloths: at every step the ledger and a scale beside it agree.

The scale is kept here, in plain grams: what a weaver would have on it when each command is typed.
A skein that was weighed holds what the scale said, to the milligram; no gram goes missing between
skeins and cloths; and each step taken back leaves what was before it.
"""

from pathlib import Path

import pytest

from cli.running import Desk
from farspun.services import demo
from farspun.store.engine import Stash
from stashes import balance_and_ledger

# cloth: its weft skeins, and the grams of each left on the scale afterwards
LIVES = {
    "Winter scarf": {"Harebell": 41.0},
    "Table runner": {"Peat smoke": 23.0},
    "Lap rug": {"Hearth": 0.0, "Lichen": 52.5},
}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    found = Desk(tmp_path)
    demo.build(Stash(path=found.stash), demo.scenario())
    return found


def skeins(desk: Desk) -> dict[str, float | None]:
    return {one["name"]: one["mass_g"] for one in desk.told("skein list")}


def agrees(desk: Desk, scale: dict[str, float | None]) -> None:
    """Every skein: its stored balance, the sum of its ledger, and the scale."""
    assert skeins(desk).keys() <= scale.keys()
    for name, grams in scale.items():
        balance, ledger = balance_and_ledger(Stash(path=desk.stash), name)
        assert balance == ledger, name
        if grams is not None:
            assert balance == pytest.approx(1000 * grams, abs=1), name
    assert desk.run("doctor").exit_code == 0


def used(desk: Desk, cloth: str) -> dict[str, float]:
    return {one["skein"]: one["used_g"] for one in desk.told(f"cloth show '{cloth}'")["yarns"]}


def step(desk: Desk, scale: dict[str, float | None], line: str) -> dict[str, float | None]:
    """One command, taken back, then given again; the scale with it."""
    before = skeins(desk)
    desk.does(line)
    after = skeins(desk)
    desk.does("undo")
    assert skeins(desk) == before
    agrees(desk, scale)
    desk.does(line)
    assert skeins(desk) == after
    return {name: after[name] for name in scale}


@pytest.mark.parametrize(
    "cloth",
    [
        "Lap rug",
        pytest.param("Winter scarf", marks=pytest.mark.long),
        pytest.param("Table runner", marks=pytest.mark.long),
    ],
)
def test_a_cloth_of_the_demo_lives_its_life(desk: Desk, cloth: str) -> None:
    left, start = LIVES[cloth], skeins(desk)
    setup = desk.told(f"cloth check '{cloth}'")["setup"]
    scale = step(desk, start, f"cloth wound '{cloth}' --ends {setup['ends']}")
    warp_g = sum((start[name] or 0) - (scale[name] or 0) for name in start)
    assert warp_g == pytest.approx(sum(used(desk, cloth).values()), abs=0.01)
    scale = step(desk, scale, f"cloth on-loom '{cloth}' --picks {setup['picks_per_cm']:.2f}/cm")
    for part in (0.3, 0.6):  # the ball is still a part of its skein
        balls = " ".join(
            f"--ball '{name}={(scale[name] or 0) - part * ((scale[name] or 0) - grams):.1f}g'"
            for name, grams in left.items()
        )
        woven_cm = part * setup["tape_length_cm"]
        scale = step(desk, scale, f"cloth weigh '{cloth}' --woven {woven_cm:.0f}cm {balls}")
        assert scale == {name: scale[name] for name in start}
    weighed = " ".join(f"--left '{name}={grams}g'" for name, grams in left.items())
    scale = step(desk, scale, f"cloth off-loom '{cloth}' --thrums 50cm {weighed}")
    for name, grams in left.items():
        assert scale[name] == grams
    width, length = setup["off_loom_width_cm"] * 0.9, setup["off_loom_length_cm"] * 0.9
    step(desk, scale, f"cloth finished '{cloth}' --washed {width:.1f}cmx{length:.1f}cm")
    agrees(desk, scale)
    gone = {name: (start[name] or 0) - (scale[name] or 0) for name in start}
    assert sum(gone.values()) == pytest.approx(sum(used(desk, cloth).values()), abs=0.01)
    assert not any(one["claimed_g"] for one in desk.told(f"cloth show '{cloth}'")["yarns"])


def test_a_cloth_given_up_at_each_stage_leaves_what_the_scale_has(desk: Desk) -> None:
    scale = skeins(desk)
    scale = step(desk, scale, "cloth give-up 'Winter scarf' --yes")
    before = dict(scale)
    scale = step(desk, scale, "cloth wound 'Table runner'")
    scale = step(desk, scale, "cloth give-up 'Table runner' --yes")
    assert scale == before
    desk.does("cloth wound Collar", "cloth on-loom Collar")
    desk.does("cloth weigh Collar --woven 40cm --ball Harebell=80g")
    scale = step(desk, skeins(desk), "cloth give-up Collar --yes")
    assert scale["Harebell"] == 80.0
    agrees(desk, scale)
