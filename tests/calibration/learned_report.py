"""What learning is worth, in the tables of docs/design/learned.md.

`tests/calibration/write_learned.py` writes them anew; the tests weave the few again in each run and
compare, and all of them in `sh tests/run long`.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from calibration import flat_rules_study as flat
from calibration import learned_need_study as need
from farspun.craft import habits
from farspun.craft.case import Spreads
from farspun.craft.learned import spreads_off
from farspun.craft.learning import Lessons, Question
from farspun.craft.planning import part_promise, settled
from farspun.craft.records import Record, record_columns

SEED = 1
MANY, FEW = 2000, 30  # weavers
SAMPLES = 300  # weavers who wash a sample
SAMPLE_TELLS = {
    "reed, off, washed, picks": ("draw_in", "shrink_length", "shrink_width", "beat"),
    "the same, warp and thrums": (
        *("draw_in", "shrink_length", "shrink_width", "beat"),
        *("take_up", "waste_cm"),
    ),
}


def need_table(weavers: int) -> Iterator[str]:
    """A row for each kind of weaver: kept before each cloth, weft alone, width on cloth 12 to 1."""
    for kind, ways in need.KINDS.items():
        found = need.row(SEED, weavers, **ways)
        kept = " | ".join(f"{100 * found.kept[at]:.1f}" for at in need.ASKED)
        alone = ", ".join(f"{100 * found.weft_alone[at]:.1f}" for at in need.ASKED)
        narrower = found.width[need.ASKED[-1]] / found.width[1]
        yield f"| {kind} | {kept} | {alone} | {100 * narrower:.0f} % |"


def flat_table() -> Iterator[str]:
    """A row for each way of measuring, and all together: running out, yarn left over."""
    cloth = flat.Cloth(SEED)
    told = {name: cloth.enough(name) for name in flat.WAYS}
    every, pooled = max(told.values()), cloth.pooled()
    columns = {
        name: (
            *(100 * cloth.runs_out(name, part) for part in (1.1, 1.2)),
            *(100 * cloth.left_over(name, part) for part in (told[name], every, pooled)),
        )
        for name in flat.WAYS
    }
    for name, figures in columns.items():
        yield f"| {name} | " + " | ".join(f"{figure:.1f}" for figure in figures) + " |"
    together = [
        flat.together({name: figures[at] for name, figures in columns.items()}) for at in range(5)
    ]
    yield "| all together | " + " | ".join(f"{figure:.1f}" for figure in together) + " |"
    yield (
        f"| flat rule | +10 % | +20 % | as told | {100 * (every - 1):+.0f} % |"
        f" {100 * (pooled - 1):+.0f} % |"
    )


def size_table(weavers: int) -> Iterator[str]:
    """Extra warp kept for size: as planned first, and after a washed sample."""
    habit = _spreads([])
    yield f"| nothing, at 80 in 100 with 5 % give | {_extra(habit, 0.80, 0.05):.1f} | |"
    yield f"| nothing, at 95 in 100 without give | {_extra(habit, 0.95, 0.0):.1f} | |"
    for told, names in SAMPLE_TELLS.items():
        middle = _extra(_spreads([Record(name, "wool", "next", 0.0) for name in names]), 0.95, 0.05)
        found = [_extra(_spreads(_sampled(number, names)), 0.95, 0.05) for number in range(weavers)]
        yield f"| a sample: {told} | {middle:.1f} | {float(np.median(found)):.1f} |"


def _sampled(number: int, names: tuple[str, ...]) -> list[Record]:
    """A sample of a weaver's own cloth."""
    rng = np.random.Generator(np.random.PCG64([21, SEED, number]))
    woven = need.weaver(rng).woven(rng, 1)
    return [
        Record(name, "wool", "next", float(spreads_off(woven[name], need.HABITS[name])[0]))
        for name in names
    ]


def _spreads(records: list[Record]) -> Spreads:
    lessons = Lessons(record_columns(records))
    asked = [Question(name, "wool", "next", need.HABITS[name]) for name in need.SEEN]
    learned = dict(zip(need.SEEN, lessons.spreads(asked), strict=True))
    others = {name: need.HABITS[name] for name in ("weft_crimp", "joins")}
    return Spreads(**learned, **others, cutting=habits.cutting_habit())


def _extra(spreads: Spreads, promise: float, give: float) -> float:
    """Warp yarn beyond that at all middle values for the full size, per cent."""
    size, full = replace(need.SIZE, give=give), replace(need.SIZE, give=0.0)
    found = settled(size, spreads, need.ENDS_PER_CM, part_promise(promise, 2))
    middle = settled(full, spreads, need.ENDS_PER_CM, 0.5)
    more = found.ends * found.warp_cut_cm / (middle.ends * middle.warp_cut_cm)
    return 100 * (more - 1)


TABLES = {
    "need": lambda: need_table(MANY),
    "few": lambda: need_table(FEW),
    "flat": flat_table,
    "size": lambda: size_table(SAMPLES),
}
