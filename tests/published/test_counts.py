"""Counts, plying and reels against fixtures/published/counts.txt."""

import pytest

from farspun.craft.yarn import mean_tex, plied_tex, singles_tex_for_ply
from farspun.errors import UnreadableValue
from farspun.services.arithmetic import grist
from farspun.units import (
    GRAMS_PER_POUND,
    METRES_PER_YARD,
    all_counts,
    count,
    ne_cotton_from_tex,
    tex_from_ne_cotton,
)
from published.published import Row, published

GRAINS_PER_POUND = 7000  # exact
REEL_YARDS = 120


@published("counts", "at one tex")
def test_every_system_is_as_the_standard_has_it(row: Row) -> None:
    row.check("count", all_counts(1.0)[row.text("system")])


@published("counts", "one system in another")
def test_the_systems_agree_with_one_another(row: Row) -> None:
    counts = all_counts(73.0)
    row.check("factor", counts[row.text("system")] / counts[row.text("per one of")])


@published("counts", "the same yarn")
def test_a_count_is_read_and_said_in_another_system(row: Row) -> None:
    answer = grist(tex=count(row.text("said")).value)
    row.check("count", getattr(answer, row.text("system")))


@published("counts", "French count")
def test_the_french_count_is_half_the_metric(row: Row) -> None:
    row.check("french", grist(tex=count(row.text("said")).value).nm / 2)


@published("counts", "wrap reel")
def test_a_reel_weighed_in_grains_gives_the_count(row: Row) -> None:
    mass_g = row.number("grains") * GRAMS_PER_POUND / GRAINS_PER_POUND
    answer = grist(mass_g=mass_g, length_m=REEL_YARDS * METRES_PER_YARD)
    row.check("count", getattr(answer, row.text("system")))


@published("counts", "mass of a length")
def test_a_length_of_known_count_weighs_what_it_should(row: Row) -> None:
    yarn = grist(tex=count(row.text("said")).value)
    row.check("pounds", row.number("yards") / yarn.yd_per_lb)


@published("counts", "twisted together")
def test_singles_twisted_together_make_the_printed_count(row: Row) -> None:
    singles = [tex_from_ne_cotton(one) for one in row.numbers("singles")]
    row.check("count", ne_cotton_from_tex(plied_tex(singles)))


@published("counts", "singles for a ply")
def test_the_singles_of_a_ply_allow_for_its_contraction(row: Row) -> None:
    yarn = tex_from_ne_cotton(row.number("count"))
    singles = singles_tex_for_ply(yarn, int(row.number("plies")), row.number("contraction"))
    row.check("singles", ne_cotton_from_tex(singles))


@published("counts", "mean by length")
def test_the_mean_count_goes_by_length(row: Row) -> None:
    row.check("mean", mean_tex(row.numbers("masses"), row.numbers("tex")))


@published("counts", "asked, not guessed")
def test_a_woollen_count_is_asked_about_with_every_meaning(row: Row) -> None:
    with pytest.raises(UnreadableValue) as refused:
        count(row.text("said"))
    said = f"{refused.value.message} {refused.value.hint}"
    for meaning in row.numbers("meanings"):
        assert f"{meaning:.0f}" in said
