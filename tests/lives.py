"""The lives of cloths in tests: lines that tell one from its winding to its washing."""

from collections.abc import Iterator

from cli.running import Desk
from farspun.services.taught import Seen, taught
from farspun.store.engine import Stash, reading

# 150 ends at 3 per cm: 50 cm in the reed; 198 cm of the warp woven up, 522 picks
PLAN = (
    'cloth plan Shawl --size 40cmx160cm --sett 3/cm --picks 3/cm --warp "Gorse 1" --weft Driftwood'
    " --loom Table"
)
SAMPLE = "cloth sample Shawl --reed 12cm --off 11cmx10cm --washed 9.9cmx9cm --picks 3.15/cm"
WOUND = "cloth wound Shawl --ends 150 --warp 2.6m"
ON_LOOM = "cloth on-loom Shawl --picks 2.9/cm"
OFF_LOOM = "cloth off-loom Shawl --tape 180cm --thrums 62cm --off 46cmx174cm --left Driftwood=60g"
FINISHED = "cloth finished Shawl --washed 41.4cmx156.6cm --mass 190g"
LIFE = (PLAN, WOUND, ON_LOOM, OFF_LOOM, FINISHED)


def seen(desk: Desk) -> dict[tuple[str, str, str], Seen]:
    """Every factor that shows, by cloth, "sample" or "cloth", and factor."""
    with reading(Stash(path=desk.stash)) as connection:
        found = taught(connection).seen
    assert len({(one.cloth, one.stage, one.factor) for one in found}) == len(found)
    return {(one.cloth, one.stage, one.factor): one for one in found}


def woven(desk: Desk, name: str, washed_cm: float, thrums_cm: float = 62) -> None:
    """A whole life of a narrow cloth of that name that lost so much of its 100 cm of length."""
    desk.does(*lines(name, washed_cm, thrums_cm))


def lines(name: str, washed_cm: float, thrums_cm: float = 62) -> Iterator[str]:
    """What tells that life."""
    yield (
        f'cloth plan "{name}" --size 10cmx90cm --sett 3/cm --picks 3/cm --loom Table'
        ' --warp "Gorse 2" --weft Driftwood'
    )
    yield f'cloth wound "{name}" --ends 36 --warp {thrums_cm + 110}cm'
    yield f'cloth on-loom "{name}"'
    yield f'cloth off-loom "{name}" --off 11cmx100cm --thrums {thrums_cm}cm'
    yield f'cloth finished "{name}" --washed 9.9cmx{washed_cm}cm'
