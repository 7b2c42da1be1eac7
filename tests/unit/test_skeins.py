"""Adding skeins and measuring them: what is stored, said back, asked and refused."""

import math
from pathlib import Path

import pytest

from farspun.errors import ImpossibleValue, NotFound, UnreadableValue, WrongUse
from farspun.services import skeins
from farspun.services.showing import show, show_all
from farspun.services.skeins import Description
from farspun.store.engine import Stash
from farspun.units import mass
from stashes import add_skein, balance_and_ledger, measured

WHOLE = {"mass": "100 g", "length": "280 m", "state": "relaxed"}


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    return Stash(path=tmp_path / "stash.db")


@pytest.mark.parametrize(
    "name",
    [
        "Gorse 1",
        "it's “mine”",
        'say "hello"; DROP TABLE skein; --',
        "warp:3=left",
        "🐑 lamb",
        "صوف",
        "x" * 200,
        "Å",
    ],
)
def test_any_name_is_kept_as_entered_and_found_again(stash, name):
    add_skein(stash, name, **WHOLE)
    assert show(stash, name).name == name
    assert [one.name for one in show_all(stash)] == [name]


@pytest.mark.parametrize("name", ["", "   ", "-x", "a\nb", "x" * 201])
def test_a_name_that_cannot_be_is_refused_and_makes_no_stash(stash, name):
    with pytest.raises(UnreadableValue):
        add_skein(stash, name)
    assert not stash.exists


def test_two_names_that_differ_only_by_case_are_refused_naming_the_first(stash):
    add_skein(stash, "Gorse 1")
    with pytest.raises(ImpossibleValue, match="there is a skein called “Gorse 1” already"):
        add_skein(stash, " GORSE 1 ", mass="3 g")
    assert len(show_all(stash)) == 1


def test_a_name_nearly_right_is_answered_with_the_nearest(stash):
    add_skein(stash, "Driftwood")
    with pytest.raises(NotFound) as refused:
        show(stash, "drift wood")
    assert refused.value.nearest == ["Driftwood"]


def test_a_skein_weighed_and_counted_is_as_long_as_counted(stash):
    shown = add_skein(stash, "A", **WHOLE).skein
    assert shown.length_m["p50"] == pytest.approx(280.0, rel=0.002)
    assert shown.length_m["sd"] / shown.length_m["mean"] == pytest.approx(
        math.hypot(0.015, 0.025), rel=0.01
    )
    assert shown.length_m["p05"] < shown.length_m["p50"] < shown.length_m["p95"]
    assert shown.tex["p50"] == pytest.approx(1000 * 100 / 280, rel=0.002)
    assert shown.m_per_100g == pytest.approx(280.0, rel=0.002)
    assert (shown.mass_g, shown.claimed_m, shown.free_m) == (100.0, 0.0, shown.length_m["mean"])


def test_strands_times_once_round_are_a_count_as_one_length_is(stash):
    add_skein(stash, "A", mass="100 g", length="280 m", state="relaxed")
    add_skein(stash, "B", mass="100 g", strands=140, once_round="2 m", state="relaxed")
    first, second = show_all(stash)
    assert first.length_m["p50"] == pytest.approx(second.length_m["p50"])
    assert show(stash, "B").evidence[1].said == "140 × 2 m = 280 m, relaxed"


def test_length_is_not_known_without_a_count_or_a_mass(stash):
    shown = add_skein(stash, "A", test_length="10m=4.3g", wpi="15 wpi").skein
    assert (shown.length_m, shown.free_m, shown.mass_g) == (None, None, None)
    assert shown.tex["p50"] == pytest.approx(430, rel=0.1)


def test_grist_is_not_known_from_a_mass_alone(stash):
    shown = add_skein(stash, "A", mass="100 g").skein
    assert (shown.tex, shown.m_per_100g, shown.wpi) == (None, None, None)
    assert shown.length_m["p95"] > 10 * shown.length_m["p05"]


def test_a_skein_of_which_nothing_was_measured_is_kept_with_nothing_known(stash):
    shown = add_skein(stash, "A").skein
    assert (shown.length_m, shown.tex, shown.mass_g, shown.evidence) == (None, None, None, [])


def test_a_count_without_its_state_is_read_as_longer_and_that_is_said(stash):
    understood = add_skein(stash, "A", mass="100 g", length="280 m")
    assert understood.skein.length_m["p50"] == pytest.approx(252, rel=0.002)
    (remark,) = understood.remarks
    assert "10 % longer than it will be washed, ± 9" in remark
    assert "--state" in remark
    assert add_skein(stash, "B", **WHOLE).remarks == []


def test_superwash_wool_and_linen_relax_less_than_wool_when_unwashed(stash):
    unwashed = {"mass": "100 g", "length": "280 m", "state": "unwashed"}
    add_skein(stash, "wool", **unwashed)
    add_skein(stash, "linen", fibre="linen", **unwashed)
    skeins.add(stash, Description("superwash", superwash=True), measured(**unwashed))
    found = {one.name: one.length_m["p50"] for one in show_all(stash)}
    assert found["wool"] == pytest.approx(0.85 * 280, rel=0.005)
    assert found["linen"] == pytest.approx(found["superwash"], rel=1e-12)
    assert found["linen"] == pytest.approx(0.96 * 280, rel=0.005)


def test_a_test_length_of_under_three_scale_steps_is_refused(stash):
    with pytest.raises(ImpossibleValue, match=r"at least 3 steps of the scale \(0.30 g\)"):
        add_skein(stash, "A", test_length="10m=0.2g")
    add_skein(stash, "A", test_length="10m=0.3g")


def test_more_than_five_kilograms_is_asked_about_and_stored(stash):
    understood = add_skein(stash, "A", mass="5.1 kg")
    assert "5.1 kg is a great deal" in understood.remarks[0]
    assert understood.skein.mass_g == 5100.0


def test_a_tare_is_taken_off(stash):
    understood = add_skein(stash, "A", mass="132 g", tare="20 g")
    assert understood.skein.mass_g == 112.0
    assert understood.readings == [("weighed", "132 g less a tare of 20 g: 112 g")]
    with pytest.raises(ImpossibleValue, match="less a tare"):
        add_skein(stash, "B", mass="20 g", tare="20 g")


@pytest.mark.parametrize(
    "half",
    [
        {"strands": 100},
        {"once_round": "2 m"},
        {"state": "relaxed"},
        {"tool": "ash"},
        {"tare": "20 g"},
        {"mass": "20 g", "state": "relaxed"},
    ],
)
def test_half_a_reading_is_refused(stash, half):
    with pytest.raises(WrongUse):
        add_skein(stash, "A", **half)


@pytest.mark.parametrize(
    "vanishing",
    [
        {"mass": "0.0001 g"},
        {"length": "0.1 mm"},
        {"wpi": "0.0001 wpi"},
        {"label": "0.0001 tex"},
        {"test_length": "10m=0.0004g"},
        {"strands": 1_000_000_000, "once_round": "100 km"},
    ],
)
def test_what_is_too_small_or_too_large_to_be_kept_is_refused(stash, vanishing):
    with pytest.raises(ImpossibleValue):
        add_skein(stash, "A", **vanishing)


def test_a_label_is_read_by_the_fibre(stash):
    add_skein(stash, "A", fibre="cotton", label="2/8")
    add_skein(stash, "B", label="1680 yd/lb")
    found = {one.name: one.tex["p50"] for one in show_all(stash)}
    assert found["A"] == pytest.approx(590.541 / 4, rel=0.01)
    assert found["B"] == pytest.approx(496_054.65 / 1680, rel=0.01)


def test_rebuy_belongs_to_mill_yarn(stash):
    with pytest.raises(WrongUse, match="--rebuy"):
        skeins.add(stash, Description("A", rebuy=mass("100 g")), measured())
    skeins.add(stash, Description("A", mill=True, rebuy=mass("1/4 lb")), measured())
    shown = show(stash, "A")
    assert (shown.rebuy, shown.draw) == ("1/4 lb", "worsted")


@pytest.mark.parametrize("spun", ["2024", "2024-05", "2024-05-31"])
def test_the_day_of_spinning_may_be_a_year_or_a_month(stash, spun):
    skeins.add(stash, Description("A", spun=spun), measured())
    assert show(stash, "A").spun == spun


@pytest.mark.parametrize("spun", ["May 2024", "2024-13", "2024-02-30", "24-05-01", "0000", ""])
def test_a_day_that_is_none_is_refused(stash, spun):
    with pytest.raises(UnreadableValue):
        skeins.add(stash, Description("A", spun=spun), measured())


@pytest.mark.parametrize(
    "wrong",
    [
        Description("A", fibre="wool 50, silk 30"),
        Description("A", fibre="kryptonite"),
        Description("A", plies=101),
        Description("A", note="two\nlines"),
        Description("A", note="x" * 2001),
    ],
)
def test_a_description_that_cannot_be_is_refused(stash, wrong):
    with pytest.raises((ImpossibleValue, NotFound)):
        skeins.add(stash, wrong, measured())
    assert not stash.exists


def test_a_second_reading_makes_surer_and_the_first_stays(stash):
    before = add_skein(stash, "A", **WHOLE).skein
    after = skeins.measure(stash, "a", measured(test_length="50m=17.9g")).skein
    assert [item.kind for item in after.evidence] == ["weighed", "counted", "test length"]
    assert after.length_m["sd"] < before.length_m["sd"]


def test_measuring_nothing_is_refused(stash):
    add_skein(stash, "A")
    with pytest.raises(WrongUse, match="Nothing was measured"):
        skeins.measure(stash, "A", measured())


def test_a_skein_counted_at_a_known_grist_weighs_what_that_makes(stash):
    shown = add_skein(stash, "A", length="100 m", state="relaxed", label="250 m/100g").skein
    assert shown.mass_g == pytest.approx(40.0, rel=0.002)
    assert balance_and_ledger(stash, "A") == (round(shown.mass_g * 1000),) * 2


def test_a_better_grist_moves_a_mass_that_was_worked_out(stash):
    add_skein(stash, "A", length="100 m", state="relaxed", wpi="12 wpi")
    after = skeins.measure(stash, "A", measured(test_length="50m=20.00g")).skein
    assert after.mass_g == pytest.approx(100 * after.tex["p50"] / 1000, rel=0.02)
    assert balance_and_ledger(stash, "A") == (round(after.mass_g * 1000),) * 2


def test_a_mass_that_was_weighed_is_not_moved_by_other_readings(stash):
    add_skein(stash, "A", **WHOLE)
    assert skeins.measure(stash, "A", measured(test_length="10m=3.9g")).skein.mass_g == 100.0


def test_snug_and_loose_wraps_of_one_skein_do_not_mix(stash):
    skeins.add(stash, Description("A", wrap="snug"), measured(wpi="15 wpi"))
    skeins.measure(stash, "A", measured(wpi="14 wpi"), wrap="snug")
    with pytest.raises(ImpossibleValue, match="wrapped snug before"):
        skeins.measure(stash, "A", measured(wpi="11 wpi"), wrap="loose")


def test_the_way_of_wrapping_may_be_said_with_the_first_wraps(stash):
    add_skein(stash, "A", test_length="100m=40.00g")
    add_skein(stash, "B", test_length="100m=40.00g")
    skeins.measure(stash, "A", measured(wpi="11 wpi"), wrap="loose")
    skeins.measure(stash, "B", measured(wpi="11 wpi"), wrap="snug")
    found = {one.name: one.fibre_fill for one in show_all(stash)}
    assert found["A"] < found["B"]


def test_readings_that_disagree_are_named_with_a_question(stash):
    shown = add_skein(
        stash, "A", mass="100 g", length="380 m", state="relaxed", test_length="10m=3.9g"
    ).skein
    assert [item.kind for item in shown.conflict.evidence] == ["counted", "test length"]
    assert shown.conflict.why.startswith("The count (380 m, relaxed) and the test length (10 m")
    assert shown.conflict.why.endswith("?")
    assert "counted before washing" in shown.conflict.why
    assert add_skein(stash, "B", **WHOLE, test_length="10m=3.6g").skein.conflict is None


def test_a_tool_that_reads_long_is_told_of(stash):
    for number in range(8):
        said = add_skein(
            stash,
            f"A{number}",
            mass="100.0 g",
            length="300 m",
            state="relaxed",
            tool="Oak",
            test_length="200m=71.4g",
        ).skein.remarks
    (remark,) = said
    assert remark.startswith("“Oak” reads ")
    assert remark.endswith("long, from 8 skeins.")


@pytest.mark.parametrize(
    ("given", "slip"),
    [
        ({"wpi": "140 wpi"}, "are the wraps a slip: were about 14 per inch meant?"),
        ({"mass": "50 g", "length": "4000 m"}, "is the length ten times too long"),
        ({"test_length": "10m=0.3g"}, "is the test length a slip?"),
    ],
)
def test_a_yarn_too_fine_for_hands_names_the_reading_that_is_likely_the_slip(stash, given, slip):
    assert slip in " ".join(add_skein(stash, "Fine", **given).remarks)


def test_ninety_nine_plies_are_asked_about(stash):
    told = skeins.add(stash, Description("Rope", plies=99), measured(mass="50 g"))
    assert any("99 plies" in one for one in told.remarks)
    assert not skeins.add(stash, Description("Cord", plies=8), measured(mass="50 g")).remarks
