"""Which reading would settle it: what says nothing, or cannot be taken, is never offered."""

import numpy as np

from farspun.craft.case import Case, Size, Skein, Spreads, Yarn
from farspun.craft.reach import Doubt
from farspun.craft.settle import best_settling
from farspun.craft.spread import Spread


def case_of(skein: Skein) -> Case:
    sure = Spread(0.0, 0.0, "loss", by_hand=True)
    same = Spread(1.0, 0.0, "ratio", by_hand=True)
    spreads = Spreads(
        take_up=sure, draw_in=sure, weft_crimp=Spread(0.0, 0.0, "addition", by_hand=True),
        shrink_length=sure, shrink_width=sure, beat=same,
        waste_cm=Spread(50.0, 0.0, "length", by_hand=True),
        joins=Spread(0.0, 0.0, "addition", by_hand=True), cutting=same,
    )  # fmt: skip
    return Case(
        size=Size(20.0, 100.0), ends_per_cm=3.0, picks_per_cm=3.0, ends=60, warp_cut_cm=170,
        spreads=spreads, warp=(), weft=(Yarn("Moss", (skein,)),),
    )  # fmt: skip


def test_a_reading_that_moves_next_to_nothing_is_not_offered():
    cov = np.diag([1e-30, 0.02, 0.09])
    skein = Skein("Moss", 200.0, 0.1, tex=250.0, cov=cov)
    doubt = Doubt("weft", 0, 0.01, 0.1, {})
    assert best_settling(case_of(skein), doubt, "uncertain") is None


def test_a_skein_that_was_taken_from_is_not_to_be_counted_again():
    # a grist so doubtful that only a count says how long it is
    cov = np.diag([0.04, 4.0, 4.0])
    doubt = Doubt("weft", 0, 0.1, 0.2, {})
    whole = Skein("Moss", 200.0, 0.2, tex=250.0, cov=cov)
    begun = Skein("Moss", 200.0, 0.2, tex=250.0, cov=cov, whole=False)
    first = best_settling(case_of(whole), doubt, "uncertain")
    second = best_settling(case_of(begun), doubt, "uncertain")
    assert first is not None and first.reading == "re-count"
    assert second is None or second.reading != "re-count"
