"""The largest cloth a stash weaves never asks for more than the stash holds."""

import tempfile
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from farspun.services.cloth_asked import ClothAsked
from farspun.services.largest import Wish, largest
from farspun.services.quick_reach import quick_reach
from farspun.store.engine import Stash
from properties.tried import tried
from stashes import add_skein

STATES = ("relaxed", "unwashed", "under-tension")


@tried(4)
@given(
    warp_m=st.integers(60, 900),
    weft_m=st.integers(60, 900),
    states=st.tuples(st.sampled_from(STATES), st.sampled_from(STATES)),
    held=st.sampled_from(
        [{"width_cm": 22.5}, {"width_cm": 61.0}, {"length_cm": 150.0}, {"shape": 0.3}]
    ),
    promise=st.sampled_from([0.8, 0.95, 0.99]),
    cut=st.booleans(),
)
def test_what_the_largest_cloth_requires_is_there(warp_m, weft_m, states, held, promise, cut):
    with tempfile.TemporaryDirectory() as folder:
        stash = Stash(path=Path(folder) / "stash.db")
        for name, metres, state in (("A", warp_m, states[0]), ("B", weft_m, states[1])):
            add_skein(stash, name, mass=f"{metres // 4 + 1} g", length=f"{metres} m", state=state)
        asked = ClothAsked(warp=("A",), weft=("B",), promise=promise, cut=cut)
        found = largest(stash, asked, Wish(**held))
        if found.size is None:
            assert found.why
            return
        checks = [
            quick_reach(
                stash,
                ClothAsked(
                    warp=("A",),
                    weft=("B",),
                    promise=promise,
                    cut=cut,
                    width_cm=size.width_cm,
                    length_cm=size.length_cm,
                    size_said="",
                ),
            )
            for size in (found.size, found.beyond)
        ]
    assert checks[0].verdict == "reaches"
    assert [need.short_m for need in checks[0].needs] == [0.0, 0.0]
    assert checks[1].verdict != "reaches"
    assert min(checks[0].odds.warp, checks[0].odds.weft) >= promise
