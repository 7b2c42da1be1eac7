"""What to spin, against the published counts of plied yarns, upside down."""

import pytest

from farspun.craft.spinning import singles_tex
from farspun.craft.yarn import plied_tex
from farspun.units import ne_cotton_from_tex, tex_from_ne_cotton
from published.published import Row, published


@published("counts", "twisted together")
def test_the_printed_singles_come_back_from_the_yarn_they_make(row: Row) -> None:
    singles = [tex_from_ne_cotton(one) for one in row.numbers("singles")]
    found = singles_tex(plied_tex(singles), singles, 0.0)
    assert found == pytest.approx(singles)
    row.check("count", ne_cotton_from_tex(plied_tex(found)))


@published("counts", "singles for a ply")
def test_the_singles_to_spin_for_a_doubled_yarn_are_the_printed_ones(row: Row) -> None:
    parts = (1.0,) * int(row.number("plies"))
    yarn = tex_from_ne_cotton(row.number("count"))
    for one in singles_tex(yarn, parts, row.number("contraction")):
        row.check("singles", ne_cotton_from_tex(one))
