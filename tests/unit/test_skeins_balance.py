"""Taking, weighing, closing: the ledger, claims, and what is refused."""

import math
from pathlib import Path

import pytest
from sqlalchemy import select

from farspun.errors import ImpossibleValue, NotFound, ToConfirm, UnreadableValue
from farspun.services import balance, skein_closing, skeins
from farspun.services.balance import amount
from farspun.services.history import history
from farspun.services.showing import show
from farspun.services.undoing import undo
from farspun.store import tables
from farspun.store.engine import Stash, reading
from farspun.units import mass
from stashes import add_skein, balance_and_ledger, claim, measured


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    """Gorse: 100 g, 280 m counted relaxed."""
    stash = Stash(path=tmp_path / "stash.db")
    add_skein(stash, "Gorse", mass="100 g", length="280 m", state="relaxed")
    return stash


def claimed(stash: Stash) -> dict[str, int]:
    with reading(stash) as connection:
        rows = connection.execute(
            select(tables.cloth.c.name, tables.claim.c.mass_mg).join(tables.claim)
        )
        return {row.name: row.mass_mg for row in rows}


def test_a_mass_taken_leaves_the_rest(stash):
    moved = balance.take(stash, "gorse", amount("40 g"))
    assert (moved.change_g, moved.skein.mass_g, moved.remarks) == (-40.0, 60.0, [])
    assert moved.skein.length_m["p50"] == pytest.approx(168, rel=0.01)
    assert balance_and_ledger(stash, "Gorse") == (60_000, 60_000)


def test_a_length_taken_is_kept_as_said_and_weighed_by_the_median_grist(stash):
    tex = show(stash, "Gorse").tex["p50"]
    moved = balance.take(stash, "Gorse", amount("100 yd"))
    assert moved.change_g == pytest.approx(-91.44 * tex / 1000, abs=0.001)
    assert moved.skein.length_m["p50"] == pytest.approx(280 - 91.44, abs=0.2)
    assert history(stash, "Gorse")[-1].said == "100 yd"


def test_what_little_is_left_keeps_its_doubt_in_metres(stash):
    whole = show(stash, "Gorse").length_m
    left = balance.take(stash, "Gorse", amount("279 m")).skein.length_m
    assert left["p50"] == pytest.approx(whole["p50"] - 279, abs=0.01)
    assert left["sd"] == pytest.approx(math.hypot(whole["sd"], 0.02 * 279), rel=0.01)


def test_more_than_there_is_cannot_be_taken(stash):
    with pytest.raises(ImpossibleValue, match="“Gorse” holds 100 g"):
        balance.take(stash, "Gorse", amount("100.001 g"))
    with pytest.raises(ImpossibleValue, match=r"300 m \(107 g\)"):
        balance.take(stash, "Gorse", amount("300 m"))
    assert balance_and_ledger(stash, "Gorse") == (100_000, 100_000)


def test_all_of_it_can_be_taken_and_then_nothing_is_left(stash):
    moved = balance.take(stash, "Gorse", amount("100 g"))
    assert "skein close Gorse --because used" in moved.remarks[0]
    assert moved.skein.length_m == {"mean": 0, "sd": 0, "p05": 0, "p50": 0, "p95": 0}
    assert (moved.skein.mass_g, moved.skein.free_m) == (0.0, 0.0)


def test_yarn_kept_for_a_cloth_is_not_taken_for_something_else(stash):
    claim(stash, "Shawl", "Gorse", 70_000)
    with pytest.raises(ImpossibleValue, match="30 g of “Gorse” is free"):
        balance.take(stash, "Gorse", amount("31 g"))
    balance.take(stash, "Gorse", amount("30 g"))
    assert claimed(stash) == {"Shawl": 70_000}


def test_yarn_taken_for_its_cloth_comes_off_the_claim_but_not_below_nothing(stash):
    claim(stash, "Shawl", "Gorse", 70_000)
    balance.take(stash, "Gorse", amount("50 g"), "shawl")
    assert claimed(stash) == {"Shawl": 20_000}
    balance.take(stash, "Gorse", amount("50 g"), "Shawl")
    assert claimed(stash) == {"Shawl": 0}
    assert [line.cloth for line in history(stash, "Gorse")][-2:] == ["Shawl", "Shawl"]


def test_yarn_kept_for_another_cloth_is_not_taken_for_this_one(stash):
    claim(stash, "Shawl", "Gorse", 60_000)
    claim(stash, "Rug", "Gorse", 40_000)
    with pytest.raises(ImpossibleValue, match="kept for “Rug”"):
        balance.take(stash, "Gorse", amount("61 g"), "Shawl")
    assert claimed(stash) == {"Shawl": 60_000, "Rug": 40_000}


def test_a_cloth_that_is_not_there_is_not_found_and_nothing_is_taken(stash):
    claim(stash, "Shawl", "Gorse", 60_000)
    with pytest.raises(NotFound) as refused:
        balance.take(stash, "Gorse", amount("10 g"), "Shwl")
    assert refused.value.nearest == ["Shawl"]
    assert balance_and_ledger(stash, "Gorse") == (100_000, 100_000)


@pytest.mark.parametrize(
    ("given", "asked", "advice"),
    [
        ({"wpi": "12 wpi"}, "10 g", "Weigh it first"),
        ({"wpi": "12 wpi"}, "10 m", "Weigh it first"),
        ({"mass": "50 g"}, "10 m", "by mass"),
    ],
)
def test_what_is_not_known_cannot_be_taken_from(stash, given, asked, advice):
    add_skein(stash, "B", **given)
    with pytest.raises(ImpossibleValue) as refused:
        balance.take(stash, "B", amount(asked))
    assert advice in refused.value.hint


@pytest.mark.parametrize("said", ["12", "3,5 g", "3,5 m", "12 parsec", "", "ten grams"])
def test_an_amount_is_a_mass_or_a_length_with_its_unit(said):
    with pytest.raises(UnreadableValue):
        amount(said)


def test_weighing_an_untouched_skein_is_evidence(stash):
    moved = balance.weigh(stash, "Gorse", mass("101 g"))
    assert [item.kind for item in moved.skein.evidence] == ["weighed", "counted", "weighed"]
    assert (moved.change_g, moved.skein.mass_g) == (1.0, 101.0)
    assert balance_and_ledger(stash, "Gorse") == (101_000, 101_000)


def test_a_first_weighing_makes_the_balance(stash):
    add_skein(stash, "B", wpi="12 wpi")
    moved = balance.weigh(stash, "B", mass("50 g"), mass("8 g"))
    assert (moved.skein.mass_g, moved.skein.length_m is None) == (42.0, False)
    assert history(stash, "B")[-1].what == "made"


def test_weighing_after_a_take_sets_what_is_left_and_sharpens_it(stash):
    before = balance.take(stash, "Gorse", amount("200 m")).skein
    moved = balance.weigh(stash, "Gorse", mass("28.6 g"))
    assert moved.remarks == []
    assert moved.skein.mass_g == 28.6
    assert [item.kind for item in moved.skein.evidence] == ["weighed", "counted"]
    assert moved.skein.length_m["sd"] < before.length_m["sd"]
    assert balance_and_ledger(stash, "Gorse") == (28_600, 28_600)


def test_a_weighing_that_does_not_fit_asks_for_a_forgotten_take(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    moved = balance.weigh(stash, "Gorse", mass("45 g"))
    assert "60 g should be left" in moved.remarks[0]
    assert moved.remarks[0].endswith("not written down?")
    assert moved.skein.length_m["p50"] == pytest.approx(0.45 * 280, rel=0.02)


def test_a_mass_measured_after_a_take_is_what_is_left(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    shown = skeins.measure(stash, "Gorse", measured(mass="59 g", wpi="14 wpi")).skein
    assert shown.mass_g == 59.0
    assert [item.kind for item in shown.evidence] == ["weighed", "counted", "wrapped"]


def test_a_count_after_a_take_is_refused_whole(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    with pytest.raises(ImpossibleValue, match="a count is of the whole skein"):
        skeins.measure(stash, "Gorse", measured(length="150 m", wpi="14 wpi"))
    assert len(show(stash, "Gorse").evidence) == 2


def test_a_skein_found_shorter_than_what_was_taken_is_as_long_as_its_mass_says(stash):
    add_skein(stash, "B", mass="100 g", length="280 m", tool="oak")
    balance.take(stash, "B", amount("250 m"))
    skeins.measure(stash, "B", measured(test_length="200m=84.0g"))
    shown = show(stash, "B")
    by_mass = 1000 * shown.mass_g / shown.tex["p50"]
    assert shown.length_m["p50"] == pytest.approx(by_mass, rel=0.02)


def test_a_closed_skein_is_empty_keeps_its_history_and_is_left_alone(stash):
    moved = skein_closing.close(stash, "Gorse", "given")
    assert (moved.skein.status, moved.skein.closed_because) == ("closed", "given")
    assert (moved.change_g, moved.skein.mass_g) == (-100.0, 0.0)
    assert history(stash, "Gorse")[-1].what == "closed"
    for forbidden in (
        lambda: balance.take(stash, "Gorse", amount("1 g")),
        lambda: balance.weigh(stash, "Gorse", mass("1 g")),
        lambda: skein_closing.close(stash, "Gorse", "lost"),
        lambda: skeins.measure(stash, "Gorse", measured(wpi="12 wpi")),
    ):
        with pytest.raises(ImpossibleValue, match=r"it is closed \(given\)"):
            forbidden()


def test_closing_a_skein_names_the_cloth_that_counted_on_it(stash):
    claim(stash, "Shawl", "Gorse", 60_000)
    assert "“Shawl” (60 g)" in skein_closing.close(stash, "Gorse", "lost", sure=True).remarks[0]
    assert claimed(stash) == {}


def test_history_tells_every_line_with_the_balance_after_it(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    balance.weigh(stash, "Gorse", mass("59 g"))
    skein_closing.close(stash, "Gorse", "sold")
    assert [(line.what, line.change_g, line.balance_g) for line in history(stash, "Gorse")] == [
        ("weighed", None, None),
        ("counted", None, None),
        ("made", 100.0, 100.0),
        ("taken", -40.0, 60.0),
        ("weighed", -1.0, 59.0),
        ("closed", -59.0, 0.0),
    ]


@pytest.mark.parametrize("name", ["nobody", "\udcff"])
def test_nothing_is_made_for_a_skein_that_is_not_there(tmp_path, name):
    stash = Stash(path=tmp_path / "other.db")
    for attempt in (
        lambda: balance.take(stash, name, amount("1 g")),
        lambda: balance.weigh(stash, name, mass("1 g")),
        lambda: skein_closing.close(stash, name, "lost"),
        lambda: skeins.measure(stash, name, measured(wpi="12 wpi")),
        lambda: history(stash, name),
        lambda: show(stash, name),
    ):
        with pytest.raises(NotFound):
            attempt()
    assert not stash.exists


def test_what_is_left_weighed_again_and_again_is_use_and_nothing_is_doubted(stash):
    add_skein(stash, "Heath", mass="60 g", length="120 m", state="relaxed")
    for on_scale, used in (("58 g", 2), ("55 g", 3), ("50 g", 5)):
        moved = balance.weigh(stash, "Heath", mass(on_scale), used=True)
        assert moved.change_g == pytest.approx(-used)
        assert f"{used} g of “Heath” were used" in moved.remarks[0].replace(".0 g", " g")
    assert (moved.skein.conflict, moved.skein.remarks) == (None, [])
    # 60 g are 120 m, so 50 g are 100 m
    assert moved.skein.length_m["p50"] == pytest.approx(100, rel=0.02)
    assert balance_and_ledger(stash, "Heath") == (50_000, 50_000)


def test_two_weighings_as_near_as_a_scale_and_the_day_are_one_skein_untouched(stash):
    add_skein(stash, "Heath", mass="60 g", length="120 m", state="relaxed")
    moved = balance.weigh(stash, "Heath", mass("59.5 g"))
    assert moved.remarks == []
    assert [line.what for line in history(stash, "Heath")].count("taken") == 0
    assert moved.skein.conflict is None


def test_a_lower_mass_measured_is_asked_about_used_or_weighed_wrongly(stash):
    with pytest.raises(ToConfirm, match=r"weighed as 100 g.*20 g were used"):
        skeins.measure(stash, "Gorse", measured(mass="80 g"), sure=False)
    assert balance_and_ledger(stash, "Gorse") == (100_000, 100_000)
    moved = balance.weigh(stash, "Gorse", mass("80 g"))
    assert "20 g of “Gorse” less than it weighed before" in moved.remarks[-1]
    assert moved.skein.conflict is not None  # nothing was taken: one of the two is wrong


def test_a_lower_weighing_of_what_is_left_is_use_and_not_asked_about(stash):
    moved = balance.weigh(stash, "Gorse", mass("77 g"), used=True, sure=False)
    assert moved.remarks == ["23 g of “Gorse” were used since 100 g were weighed."]
    assert balance_and_ledger(stash, "Gorse") == (77_000, 77_000)
    assert moved.skein.conflict is None


@pytest.mark.parametrize("on_scale", ["80 g", "120 g"])
def test_a_skein_weighed_again_of_which_nothing_was_used_has_two_readings(stash, on_scale):
    moved = balance.weigh(stash, "Gorse", mass(on_scale), used=False, sure=False)
    assert [one.kind for one in moved.skein.evidence] == ["weighed", "counted", "weighed"]
    assert not any("--used" in one for one in moved.remarks)
    assert moved.skein.conflict is not None
    assert [line.what for line in history(stash, "Gorse")].count("taken") == 0


def test_more_on_the_scale_than_was_weighed_before_is_asked_about_with_the_bobbin(stash):
    balance.weigh(stash, "Gorse", mass("52 g"), used=True)
    with pytest.raises(ToConfirm) as asked:
        balance.weigh(stash, "Gorse", mass("97 g"), used=True, sure=False)
    for words in ("97 g are 45 g more than the 52 g before", "bobbin or cone", "(--tare)", "wet",
                  "yarn put back?"):  # fmt: skip
        assert words in asked.value.message
    assert balance_and_ledger(stash, "Gorse") == (52_000, 52_000)
    moved = balance.weigh(stash, "Gorse", mass("97 g"), used=True, sure=True)
    assert moved.skein.mass_g == 97
    assert "bobbin or cone" in moved.remarks[0]


def test_more_than_the_ledger_leaves_after_a_take_is_asked_about_beyond_its_doubt(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    # 5 % of the 40 g and 1 % of 60 g twice: two spreads are 4.7 g
    balance.weigh(stash, "Gorse", mass("64 g"), used=True, sure=False)
    with pytest.raises(ToConfirm, match="90 g are 26 g more than the 64 g before"):
        balance.weigh(stash, "Gorse", mass("90 g"), used=True, sure=False)


def test_a_first_weighing_is_never_asked_about(stash):
    add_skein(stash, "B", wpi="12 wpi")
    moved = balance.weigh(stash, "B", mass("50 g"), used=True, sure=False)
    assert (moved.skein.mass_g, moved.remarks) == (50.0, [])


def test_after_a_weighing_that_was_too_high_the_right_one_leaves_no_false_use(stash):
    balance.weigh(stash, "Gorse", mass("52 g"), used=True)
    balance.weigh(stash, "Gorse", mass("97 g"), used=True, sure=True)
    with pytest.raises(ToConfirm, match=r"45 g more than there was.*take that back.*Undo"):
        balance.weigh(stash, "Gorse", mass("52 g"), used=True, sure=False)
    with pytest.raises(ToConfirm, match=r"one of the two is wrong.*take that back.*Undo"):
        balance.weigh(stash, "Gorse", mass("52 g"), used=False, sure=False)
    undo(stash)
    moved = balance.weigh(stash, "Gorse", mass("51.5 g"), used=True, sure=False)
    assert moved.remarks == []
    stand = [one for one in history(stash, "Gorse") if not one.undone]
    assert [one.said for one in stand if one.what == "taken"] == ["used, by the scale"]
    assert show(stash, "Gorse").remarks == []


def test_the_scale_above_the_ledger_names_the_bobbin_and_below_it_what_was_taken(stash):
    balance.take(stash, "Gorse", amount("40 g"))
    (above,) = balance.weigh(stash, "Gorse", mass("85 g")).remarks
    assert "60 g should be left" in above and "bobbin or cone" in above
    assert "was some taken" not in above


def test_a_skein_kept_for_cloths_is_closed_only_when_asked_and_its_claims_end(stash):
    claim(stash, "Shawl", "Gorse", 70_000)
    with pytest.raises(ToConfirm, match="kept for “Shawl” \\(70 g\\)"):
        skein_closing.close(stash, "Gorse", "given", sure=False)
    assert show(stash, "Gorse").status == "open"
    skein_closing.close(stash, "Gorse", "given")
    assert (show(stash, "Gorse").claims, claimed(stash)) == ([], {})


def test_a_closed_skein_is_opened_again_with_what_was_left(stash):
    before = show(stash, "Gorse")
    skein_closing.close(stash, "Gorse", "lost")
    assert skein_closing.reopen(stash, "Gorse").change_g == 100
    assert show(stash, "Gorse") == before
    assert balance_and_ledger(stash, "Gorse") == (100_000, 100_000)
    with pytest.raises(ImpossibleValue, match="it is open"):
        skein_closing.reopen(stash, "Gorse")
