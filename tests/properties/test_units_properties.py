"""What holds for any text, and for any number there and back."""

import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from farspun import units
from farspun.errors import ImpossibleValue

QUANTITY_READERS = [
    units.mass, units.length, units.wraps, units.threads, units.dents, units.count,
]  # fmt: skip
READERS = [
    *QUANTITY_READERS,
    units.size,
    units.share,
    units.promise,
    units.test_length,
    units.skein_name,
    units.name_key,
    lambda text: units.loss(text, "shrinkage"),
    lambda text: units.addition(text, "crimp"),
    lambda text: units.whole(text, "strands"),
    lambda text: units.count(text, fibre=text),
]
CONVERSIONS = [
    (units.dtex_from_tex, units.tex_from_dtex),
    (units.denier_from_tex, units.tex_from_denier),
    (units.nm_from_tex, units.tex_from_nm),
    (units.m_per_100g_from_tex, units.tex_from_m_per_100g),
    (units.yd_per_lb_from_tex, units.tex_from_yd_per_lb),
    (units.ne_cotton_from_tex, units.tex_from_ne_cotton),
    (units.worsted_from_tex, units.tex_from_worsted),
    (units.woollen_run_from_tex, units.tex_from_woollen_run),
    (units.linen_lea_from_tex, units.tex_from_linen_lea),
]

# close to what a person writes, so that much of it is read and the rest is nearly right
WRITTEN = """
0 1 2 8 16 30 150 3.5 .5 1/2 3/4 ½ ¾ 1e3 nan , . - + ± +- % / x × = : ( ) ' " ″ s
g kg mg oz lb m cm mm yd ft in wpi wpc epi ppi dpi ends/cm /cm /10cm /in m/100g yd/lb m/g
tex dtex den Nm Ne cotton worsted woollen wool linen silk lea run cut per ends wraps
percent of out
"""
PIECES = st.sampled_from(WRITTEN.split())
NEARLY = st.lists(st.tuples(PIECES, st.sampled_from(["", " ", "\u202f"])), max_size=8).map(
    lambda pairs: "".join(piece + gap for piece, gap in pairs)
)
ANY_TEXT = st.one_of(st.text(max_size=40), NEARLY, st.text("0123456789./ ±+-%xgm", max_size=30))
AMOUNTS = st.one_of(
    st.integers(1, 9_999).map(str),
    st.decimals("0.001", "9999", places=3).map(str),
    st.builds("{}/{}".format, st.integers(1, 15), st.integers(2, 16)),
    st.builds("{} {}/16".format, st.integers(1, 400), st.integers(1, 15)),
)
POSITIVE = st.floats(1e-6, 1e6)

unhurried = settings(deadline=None)  # every reader in turn, on a machine that may be busy


@unhurried
@given(ANY_TEXT)
@example("\ud800")
@example("İ g")
@example("1/0 g")
def test_any_text_is_read_or_refused_in_two_plain_lines(text):
    for reader in READERS:
        try:
            reader(text)
        except ImpossibleValue as error:
            assert error.exit_code == 3
            assert error.hint
            assert "\n" not in error.message + error.hint


@unhurried
@given(ANY_TEXT)
def test_whatever_is_read_is_a_number_that_can_be(text):
    for reader in QUANTITY_READERS:
        try:
            found = reader(text)
        except ImpossibleValue:
            continue
        assert 0 < found.value < math.inf
        assert 0 < found.step < math.inf
        assert found.sd is None or 0 <= found.sd < math.inf


def _read_back_is_the_same(reader, text):
    found = reader(text)
    again = reader(found.said)
    assert again.said == found.said
    assert again.value == pytest.approx(found.value, rel=1e-9)
    assert again.step == pytest.approx(found.step, rel=1e-9)
    assert (again.sd is None) == (found.sd is None)


@unhurried
@given(ANY_TEXT)
@example("¼ tex")
@example("¼ cotton")
@example("00 1/2 run")
def test_what_is_said_back_is_read_as_the_same(text):
    for reader in [*QUANTITY_READERS, units.share]:
        try:
            reader(text)
        except ImpossibleValue:
            continue
        _read_back_is_the_same(reader, text)


@given(st.decimals("0.501", "0.999", places=3))
def test_a_promise_said_back_is_read_as_the_same(odds):
    for text in (f"{odds}", f"{odds * 100}%", f"{odds * 100} in 100"):
        assert units.promise(units.promise(text).said).value == float(odds)


@given(AMOUNTS, st.sampled_from(["mg", "g", "grains"]))
def test_a_mass_said_back_is_read_as_the_same(amount, unit):
    found = units.mass(f"{amount}{unit}")
    assert units.mass(found.said) == found


@given(AMOUNTS, st.sampled_from(["mm", "cm", "m", "in", "ft", "yd", "km"]))
def test_a_length_said_back_is_read_as_the_same(amount, unit):
    found = units.length(f"{amount}{unit}")
    assert units.length(found.said) == found


@given(
    st.one_of(st.integers(1, 99).map(str), st.decimals("0.5", "99", places=2).map(str)),
    st.sampled_from(["Nm", "Ne", "tex", "dtex", "lea", "run", "cut", "cotton", "worsted", "linen"]),
    st.integers(1, 8),
)
def test_a_count_said_back_is_read_as_the_same(figures, system, plies):
    texts = [f"{figures} {system}", f"{system} {figures}"]
    if system not in ("tex", "dtex"):
        texts += [f"{figures}/{plies} {system}", f"{plies}/{figures}s {system}"]
    for text in texts:
        try:
            units.count(text)
        except ImpossibleValue:
            assert plies >= float(figures), "only then may the plies not be whole"
            continue
        _read_back_is_the_same(units.count, text)


@given(st.integers(1, 200), st.integers(1, 12))
def test_singles_count_and_plies_may_stand_in_either_order(singles, plies):
    assume(plies <= singles)
    for system in ("Nm", "cotton", "worsted", "linen"):
        one, other = (
            units.count(f"{a}/{b} {system}") for a, b in [(singles, plies), (plies, singles)]
        )
        assert one.value == other.value
        assert one.value == pytest.approx(
            units.count(f"{singles} {system}").value * plies, rel=1e-12
        )


@given(st.integers(0, 400), st.integers(0, 35))
def test_yards_and_inches_add_up(yards, inches):
    assume(yards and inches)
    together = units.length(f"{yards} yd {inches} in").value
    assert together == pytest.approx(units.length(f"{36 * yards + inches} in").value, rel=1e-15)


@given(st.decimals("0.1", "99.9", places=1))
def test_a_loss_and_the_same_added_lead_back_to_one(percent):
    lost = units.loss(f"{percent}%", "shrinkage").value
    added = units.loss(f"+{percent}%", "shrinkage").value
    addition = units.addition(f"{percent}%", "crimp").value
    assert (1 - added) * (1 + addition) == pytest.approx(1)
    assert added < lost
    assert units.crimp_from_take_up(added) == pytest.approx(addition)


@given(st.decimals("0", "300", places=1), st.decimals("0", "20", places=1))
def test_the_spread_of_an_added_loss_is_its_slope(percent, sd):
    found = units.loss(f"+{percent}%±{sd}%", "shrinkage")
    a, h = float(percent) / 100, 1e-6
    slope = ((a + h) / (1 + a + h) - a / (1 + a)) / h
    assert found.sd == pytest.approx(float(sd) / 100 * slope, rel=1e-4)


@given(st.floats(0, 0.999))
def test_take_up_and_crimp_are_inverse(take_up):
    assert units.take_up_from_crimp(units.crimp_from_take_up(take_up)) == pytest.approx(take_up)


@given(st.floats(0, 0.999), st.floats(0, 0.999))
def test_take_up_and_crimp_give_the_same_for_numbers_and_arrays(one, two):
    for convert in (units.crimp_from_take_up, units.take_up_from_crimp):
        assert convert(np.array([one, two])).tolist() == [convert(one), convert(two)]


@pytest.mark.parametrize(("there", "back"), CONVERSIONS)
@given(st.lists(POSITIVE, min_size=1, max_size=4))
def test_count_systems_are_inverse_and_the_same_for_numbers_and_arrays(there, back, numbers):
    for tex in numbers:
        assert back(there(tex)) == pytest.approx(tex, rel=1e-12)
        assert there(back(tex)) == pytest.approx(tex, rel=1e-12)
    for convert in (there, back):
        assert convert(np.array(numbers)).tolist() == [convert(number) for number in numbers]


@given(POSITIVE)
def test_all_counts_are_one_yarn(tex):
    counts = units.all_counts(tex)
    assert counts["worsted"] == pytest.approx(1.5 * counts["ne_cotton"])
    assert counts["linen_lea"] == pytest.approx(2.8 * counts["ne_cotton"])
    assert counts["woollen_run"] == pytest.approx(0.525 * counts["ne_cotton"])
    assert counts["dtex"] == pytest.approx(10 * tex)
    assert counts["m_per_100g"] == pytest.approx(100 * counts["nm"])
    assert counts["yd_per_lb"] == pytest.approx(840 * counts["ne_cotton"])


@given(st.floats(1, 49_000))
def test_a_mass_said_is_read_within_its_rounding(mass_g):
    metric = units.mass(units.say_mass(mass_g))
    assert abs(metric.value - mass_g) <= metric.step * 0.501
    imperial = units.mass(units.say_mass_imperial(mass_g))
    assert abs(imperial.value - mass_g) <= max(0.501 * 28.35, imperial.step * 0.501) + 1e-9


@given(st.floats(0.02, 90_000))
def test_a_length_said_is_read_within_its_rounding(length_m):
    for said in (
        units.say_length(length_m),
        units.say_length_imperial(length_m),
        units.say_cm(length_m * 100),
        units.say_inches(length_m * 100),
    ):
        read = units.length(said)
        assert abs(read.value - length_m) <= read.step * 0.501 + 1e-9


@given(st.floats(0.1, 300))
def test_a_sett_said_is_read_within_its_rounding(per_cm):
    for said in (units.say_per_cm(per_cm), units.say_per_inch(per_cm)):
        read = units.threads(said)
        assert abs(read.value - per_cm) <= read.step * 0.501


@given(st.floats(0.001, 1))
def test_a_percentage_said_is_read_within_its_rounding(fraction):
    assert abs(units.share(units.say_percent(fraction)).value - fraction) <= 0.000501


@given(st.floats(0, 1), st.floats(0.501, 0.999))
def test_odds_said_are_never_certain_and_never_reach_a_promise_unkept(odds, promise):
    said = units.say_odds(odds, promise)
    figure = int(said.split()[-3])
    assert 1 <= figure <= 99
    assert said.startswith(("under 1 ", "over 99 ")) or abs(figure - 100 * odds) <= 1
    if odds < promise and not said.startswith("over"):
        assert figure < 100 * promise


@given(st.text(max_size=220))
def test_a_name_kept_is_kept_the_same_again(text):
    try:
        name = units.skein_name(text)
    except ImpossibleValue:
        return
    assert units.skein_name(name) == name
    assert units.name_key(name) == units.name_key(text)
    assert 1 <= len(name) <= 200


@given(st.text(max_size=40))
def test_the_key_of_a_name_is_its_own_key(text):
    key = units.name_key(text)
    assert units.name_key(key) == key
