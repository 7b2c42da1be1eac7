"""What holds of any weave, any blend, any sett and any reed."""

from fractions import Fraction

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from farspun.craft.fibres import FIBRES, blend
from farspun.craft.interlacement import Weave, rows_name
from farspun.craft.reed import sleyings
from farspun.craft.sett import WarpYarn, suggested_sett, threads_share
from farspun.craft.weave import PURPOSES, practice_family, satin_moves, weave
from farspun.craft.yarn import (
    diameter_mm,
    packing_from_wraps,
    tex_from_diameter_mm,
    tex_from_wraps,
    wraps_per_cm_from_tex,
)
from farspun.errors import FarspunError, ImpossibleValue

SMALL = st.integers(1, 8)
TWILL_PARTS = st.tuples(SMALL, SMALL)
TURNS = st.integers(16, 24)  # every shaft is threaded before the twill turns
LETTERS = st.text(alphabet="0123456789/x# .-abdeghilnoprstwz×", max_size=30)


@st.composite
def _satins(draw: st.DrawFn) -> str:
    ends = draw(st.integers(5, 24).filter(satin_moves))
    return f"{ends}-end satin {draw(st.sampled_from(satin_moves(ends)))}"


NAMED = st.one_of(
    st.just("plain"),
    TWILL_PARTS.map(lambda ab: "{}/{} twill".format(*ab)),
    TWILL_PARTS.map(lambda ab: "{}/{} S twill".format(*ab)),
    TWILL_PARTS.map(lambda ab: "basket {}x{}".format(*ab)),
    TWILL_PARTS.map(lambda ab: "warp rib {}/{}".format(*ab)),
    TWILL_PARTS.map(lambda ab: "weft rib {}/{}".format(*ab)),
    st.builds("herringbone {0[0]}/{0[1]} x{1}".format, TWILL_PARTS, TURNS),
    st.builds("point {0[0]}/{0[1]} x{1}".format, TWILL_PARTS, TURNS),
    _satins(),
)


@st.composite
def _rows(draw: st.DrawFn) -> str:
    ends = draw(st.integers(2, 7))
    picks = draw(st.lists(st.text("#.", min_size=ends, max_size=ends), min_size=2, max_size=7))
    text = "/".join(picks)
    for lines in (picks, ["".join(column) for column in zip(*picks, strict=True)]):
        assume(all(0 < line.count("#") < len(line) for line in lines))
    return text


WEAVES = st.one_of(NAMED, _rows()).map(weave)


@given(WEAVES)
def test_the_name_of_a_weave_gives_the_weave_again(found: Weave) -> None:
    assert weave(found.name) == found
    assert weave(rows_name(found.interlacement)).interlacement == found.interlacement


@given(WEAVES)
def test_warp_and_weft_changed_over_twice_is_the_same_cloth(found: Weave) -> None:
    other = found.swapped()
    assert other.swapped().interlacement == found.interlacement
    assert (other.ends, other.picks) == (found.picks, found.ends)
    assert other.warp_face_share == pytest.approx(1 - found.warp_face_share)
    assert other.balance == pytest.approx(-found.balance)
    assert other.pick_intersections.tolist() == found.end_intersections.tolist()
    assert other.longest_weft_float == found.longest_warp_float


@given(WEAVES)
def test_faces_change_an_even_number_of_times_and_no_oftener_than_threads_cross(
    found: Weave,
) -> None:
    for changes, threads in (
        (found.pick_intersections, found.ends),
        (found.end_intersections, found.picks),
    ):
        assert (changes % 2 == 0).all()
        assert (changes >= 2).all()
        assert (changes <= threads).all()
    assert 0.5 <= threads_share(found) < 1
    assert 1 <= found.weft_float <= found.longest_weft_float
    assert 1 <= found.warp_float <= found.longest_warp_float


@given(WEAVES)
def test_edges_named_loose_are_loose_when_the_weft_is_followed_by_hand(found: Weave) -> None:
    for start in ("left", "right"):
        side, caught = start, set()
        for pick in range(2 * found.picks):
            side = "right" if side == "left" else "left"
            end = 0 if side == "left" else found.ends - 1
            now, after = (
                found.interlacement[pick % found.picks],
                found.interlacement[(pick + 1) % found.picks],
            )
            if now[end] != after[end]:
                caught.add(side)
        assert set(found.loose_edges(start)) == {"left", "right"} - caught


@given(WEAVES, st.sampled_from(PURPOSES))
def test_every_weave_counts_as_some_cloth_known_from_practice(found: Weave, purpose: str) -> None:
    assert practice_family(found, purpose) in (
        "plain",
        "twill or basket",
        "weft-faced",
        "warp-faced",
    )


@given(st.one_of(LETTERS, st.text(max_size=40)))
@example("/" * 300)
@example("# " * 200)
@example("9" * 400)
@example("²/² twill")
def test_any_text_is_a_weave_or_is_refused_in_words(text: str) -> None:
    try:
        found = weave(text)
    except FarspunError as refused:
        assert refused.hint
    else:
        assert weave(found.name) == found


@given(st.text(alphabet="0123456789.% ,/woolsilkcotn²½é", max_size=40))
def test_any_text_is_a_blend_or_is_refused_in_words(text: str) -> None:
    try:
        found = blend(text)
    except FarspunError as refused:
        assert refused.hint
    else:
        assert blend(found.said) == found


@given(
    st.dictionaries(st.sampled_from(sorted(FIBRES)), st.integers(1, 60), min_size=1, max_size=4),
    st.integers(1, 2),
)
def test_a_blend_lies_between_its_fibres_and_reads_back(shares: dict[str, int], parts: int) -> None:
    total = sum(shares.values())
    percents = {name: round(100 * share / total, parts) for name, share in shares.items()}
    found = blend(", ".join(f"{name} {percent}" for name, percent in percents.items()))
    assert blend(found.said) == found
    assert sum(share for _, share in found.parts) == pytest.approx(1)
    densities = [FIBRES[name].density_g_cm3 for name in shares]
    assert min(densities) * 0.999999 <= found.density_g_cm3 <= max(densities) * 1.000001


@given(st.floats(1, 5000), st.floats(0.9, 2.0), st.floats(0.01, 0.9))
def test_diameter_wraps_grist_and_packing_are_each_others_inverse(
    tex: float, density: float, packing: float
) -> None:
    across = diameter_mm(tex, density, packing)
    wraps = wraps_per_cm_from_tex(tex, density, packing)
    assert tex_from_diameter_mm(across, density, packing) == pytest.approx(tex)
    assert tex_from_wraps(wraps, density, packing) == pytest.approx(tex)
    assert packing_from_wraps(wraps, tex, density) == pytest.approx(packing)


@given(
    st.floats(0.5, 40),
    st.floats(5, 2000),
    st.booleans(),
    WEAVES,
    st.sampled_from(PURPOSES),
    st.booleans(),
)
def test_the_suggestion_lies_in_its_span_and_between_its_voices(
    wraps: float, tex: float, mill: bool, found: Weave, purpose: str, fulled: bool
) -> None:
    yarn = WarpYarn(blend("wool"), (wraps,), None, tex, mill)
    answer = suggested_sett(yarn, found, purpose, fulled)
    assert answer.low_ends_per_cm < answer.suggested_ends_per_cm < answer.high_ends_per_cm
    everyday = suggested_sett(yarn, weave("plain") if "faced" in purpose else found)
    voices = (everyday.from_wraps_ends_per_cm, everyday.from_grist_ends_per_cm)
    assert None not in voices
    low, high = sorted(one for one in voices if one is not None)
    assert low * 0.999999 <= everyday.suggested_ends_per_cm <= high * 1.000001


@given(st.floats(0.5, 30), st.floats(10, 200))
def test_no_repeat_up_to_ten_dents_comes_nearer_than_the_first(sett: float, reed: float) -> None:
    ways = sleyings(sett, reed)
    per_cm = reed / 10
    for dents in range(1, 11):
        for ends in range(dents, int(sett / per_cm * dents) + 3):
            off = abs(ends / dents * per_cm / sett - 1)
            assert abs(ways[0].off_fraction) <= off + 2e-9


@given(st.floats(0.5, 30), st.floats(10, 200), st.booleans(), st.booleans())
def test_a_sleying_gives_the_sett_it_says_and_is_as_even_as_can_be(
    sett: float, reed: float, rigid_heddle: bool, empty: bool
) -> None:
    for one in sleyings(sett, reed, rigid_heddle, empty):
        share = Fraction(sum(one.per_dent), len(one.per_dent))
        assert one.ends_per_cm == pytest.approx(float(share) * reed / 10)
        assert one.off_fraction == pytest.approx(one.ends_per_cm / sett - 1)
        assert max(one.per_dent) - min(one.per_dent) <= 1
        assert len(one.per_dent) == share.denominator
        assert min(one.per_dent) >= (0 if empty else 1)
        assert not rigid_heddle or max(one.per_dent) <= 1


def test_scaling_sett_and_reed_together_changes_no_sleying() -> None:
    for sett in (2.1, 3.3, 7.7):
        small, large = sleyings(sett, 30), sleyings(sett * 4, 120)
        assert [one.per_dent for one in small] == [one.per_dent for one in large]


def test_a_weave_that_is_too_large_is_refused() -> None:
    with pytest.raises(ImpossibleValue):
        weave("/".join(["#." * 65, ".#" * 65]))
