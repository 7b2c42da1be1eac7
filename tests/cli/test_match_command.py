"""farspun match: every criterion turns a pair round, the rule holds, and what cannot be is said."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

SIZE = "--size 25cmx80cm"
WARP = f"match --warp Hill {SIZE}"  # the weft is sought
WEFT = f"match --weft Hill {SIZE}"  # the warp is sought
ADD = "skein add {name} --mass 100g --length {metres}m --state relaxed --plies 2 {more}"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A yarn for one side, and nothing else."""
    desk = Desk(tmp_path)
    desk.does(add("Hill", "--wpi 20wpi --wrap snug"))
    return desk


def add(name: str, more: str = "", metres: int = 400) -> str:
    return ADD.format(name=f'"{name}"', metres=metres, more=more)


def ranked(desk: Desk, line: str) -> list[str]:
    return [" + ".join(one["skeins"]) for one in desk.told(line)["matches"]]


def reason(desk: Desk, line: str, name: str, criterion: str) -> dict[str, Any]:
    """One criterion of one skein."""
    found = desk.told(f'{line} --explain "{name}"')["explained"]["matches"]
    alone = next(one for one in found if one["skeins"] == [name])
    (told,) = [one for one in alone["criteria"] if one["name"] == criterion]
    return dict(told)


# (what is sought, criterion, what is said of the worse one, words of the reason, how it stands)
TURNS = [
    (WARP, "grist", "--mass 300g", "the heavier weft shows more than the warp", "against"),
    (WARP, "loft", "--wpi 15.5wpi --wrap snug", "much loftier than the warp", "to mind"),
    (WEFT, "loft", "--wpi 17wpi --wrap snug", "lofty: as a warp it rubs", "to mind"),
    (WEFT, "loft", "--fibre linen", "it does not give: wind it at one tension", "to mind"),
    (WEFT, "warp", "--plies 1", "singles: they fray and part", "against"),
    (WEFT, "warp", "--fibre mohair", "mohair clings", "to mind"),
    (WEFT, "warp", "--tug drifts", "it drifted apart when tugged", "against"),
    (WARP, "shrinkage", "--superwash", "less than the warp", "to mind"),
    (WARP, "dye", "--colour navy", "may bleed: wash it alone first", "to mind"),
    (WARP, "dye", "--colour 'pink, bleeds'", "says that it bleeds", "against"),
    (WARP, "dye", "--colour pink --state unwashed", "dyed, and counted unwashed", "to mind"),
]


def replaced(line: str, more: str) -> str:
    """`more` in place of what the line says already."""
    words = more.split(" ")
    for at, word in enumerate(words):
        if word.startswith("--") and f" {word} " in f" {line} " and at + 1 < len(words):
            before, after = line.split(f"{word} ", 1)
            line = before + " ".join(after.split(" ")[1:])
    return f"{line} {more}"


@pytest.mark.parametrize(("line", "criterion", "worse", "words", "stands"), TURNS)
def test_turning_a_reading_round_turns_the_pair_round_for_the_reason_told(
    tmp_path: Path, line: str, criterion: str, worse: str, words: str, stands: str
) -> None:
    tug = "" if worse in ("--plies 1", "--tug drifts") else " --tug holds"
    better = "--colour heather" + (" --wpi 20wpi --wrap snug" if "--wpi" in worse else "")
    for order in (("A", "B"), ("B", "A")):
        desk = Desk(tmp_path / order[0])
        desk.folder.mkdir()
        desk.does(add("Hill", "--wpi 20wpi --wrap snug"))
        good, bad = order
        lines = {
            good: add(good, better + tug),
            bad: replaced(add(bad, better + tug), worse),
        }
        desk.does(lines["A"], lines["B"])
        assert ranked(desk, line)[0] == good
        told = reason(desk, line, bad, criterion)
        assert told["stands"] == stands
        assert words in told["why"]
        other = reason(desk, line, good, criterion)["stands"]
        assert other == ("well" if tug else "to mind")  # a warp that was not tugged yet


@pytest.mark.parametrize("order", [("A", "B"), ("B", "A")])
def test_what_reaches_stands_before_what_does_not(desk: Desk, order: tuple[str, str]) -> None:
    long, short = order
    lines = {long: add(long, "--colour 'red, bleeds'", 400), short: add(short, "", 90)}
    desk.does(lines["A"], lines["B"])
    assert ranked(desk, WARP) == [long, short]
    assert "too little" in reason(desk, WARP, short, "left over")["why"]
    assert reason(desk, WARP, short, "odds")["stands"] == "against"
    above = desk.told(f"{WARP} --explain {short}")["explained"]["above"]
    assert above == f"{long} stands before it: it reaches, and this falls short"


@pytest.mark.parametrize("order", [("A", "B"), ("B", "A")])
def test_of_what_reaches_the_one_that_leaves_least_stands_first(
    desk: Desk, order: tuple[str, str]
) -> None:
    less, more = order
    lines = {less: add(less, "", 330), more: add(more, "", 460)}
    desk.does(lines["A"], lines["B"])
    assert ranked(desk, WARP) == [less, more]
    found = {one["skeins"][0]: one["left_m"] for one in desk.told(WARP)["matches"]}
    assert 0 < found[less] < found[more]
    above = desk.told(f"{WARP} --explain {more}")["explained"]["above"]
    assert above == f"{less} stands before it: less of it would be left over"


def test_a_pale_other_side_turns_what_may_bleed_from_to_mind_to_against(tmp_path: Path) -> None:
    for colour, stands in (("heather", "to mind"), ("cream", "against")):
        desk = Desk(tmp_path / colour)
        desk.folder.mkdir()
        desk.does(add("Hill", f"--colour {colour}"), add("Sea", "--colour navy"))
        assert reason(desk, WARP, "Sea", "dye")["stands"] == stands


def test_a_tug_that_held_clears_what_its_spinning_leaves_doubtful(desk: Desk) -> None:
    desk.does(add("Soft", "--draw woollen"), add("Thin", "--draw woollen"))
    assert ranked(desk, WEFT) == ["Soft", "Thin"]
    said = desk.does("skein measure Thin --tug holds")
    assert "tug test     holds" in said
    assert ranked(desk, WEFT) == ["Thin", "Soft"]
    assert reason(desk, WEFT, "Thin", "warp")["stands"] == "well"
    desk.does("skein measure Thin --tug drifts")
    assert ranked(desk, WEFT) == ["Soft", "Thin"]
    desk.does("undo")
    assert ranked(desk, WEFT) == ["Thin", "Soft"]
    assert desk.told("skein show Thin")["tug"] == "holds"


def test_like_skeins_are_offered_together_where_none_reaches_alone(desk: Desk) -> None:
    for name, metres in (("Gorse 1", 70), ("Gorse 2", 60), ("Gorse 3", 50)):
        like = f"--colour Gorse --mass {round(metres / 4)}g"
        desk.does(replaced(add(name, "", metres), like))
    desk.does(add("Other", "--colour teal", 85))
    first = desk.told(WARP)["matches"][0]
    assert first["skeins"] == ["Gorse 1", "Gorse 2", "Gorse 3"]
    assert first["verdict"] == "reaches"
    assert first["by"] == "draws"
    quick = desk.told(f'reach "Gorse 1" "Gorse 2" "Gorse 3" --warp Hill {SIZE}')
    assert first["odds"] == quick["odds"]["yarn"]
    told = desk.told(f'{WARP} --explain "Gorse 3"')["explained"]["matches"]
    assert [len(one["skeins"]) for one in told] == [3, 1]


def test_the_odds_of_the_first_are_those_of_the_quick_question(desk: Desk) -> None:
    desk.does(add("Moor", "--wpi 14wpi", 300), add("Fen", "--fibre linen", 200))
    for one in desk.told(WARP)["matches"]:
        quick = desk.told(f"reach {one['skeins'][0]} --warp Hill {SIZE}")
        assert one["odds"] == quick["odds"]["yarn"]
        assert one["verdict"] == quick["verdict"]


def test_a_planned_cloth_is_matched_with_its_own_set_up_and_its_own_claims(desk: Desk) -> None:
    desk.does(add("Moor", "", 300), f"cloth plan Shawl {SIZE} --warp Hill --weft Moor")
    found = desk.told("match Shawl")
    assert (found["cloth"], found["side"], found["known"]) == ("Shawl", "weft", ["Hill"])
    (own,) = found["matches"]
    check = desk.told("cloth check Shawl")
    assert own["skeins"] == ["Moor"]
    assert own["odds"] == check["odds"]["yarn"]
    other = desk.told("match Shawl --for warp")
    assert (other["side"], other["known"]) == ("warp", ["Moor"])
    assert [one["skeins"] for one in other["matches"]] == [["Hill"]]


def test_the_rule_of_the_order_is_printed_and_nothing_else_decides(desk: Desk) -> None:
    for at in range(12):
        more = ["", "--fibre linen", "--colour navy", "--plies 1", "--fibre 'wool 50, nylon 50'"]
        desk.does(add(f"S{at}", more[at % 5], 60 + 40 * at))
    found = desk.told(f"{WEFT} --limit 50")
    rows = found["matches"]
    classes = {"reaches": 0, "uncertain": 1, "falls short": 2}

    def key(one: dict[str, Any]) -> tuple[float, ...]:
        verdict = classes[one["verdict"]]
        missing = round(max(0.0, 1 - one["have_m"] / one["need_m"]), 2) if verdict == 2 else 0.0
        last = one["left_m"] if verdict == 0 else -one["odds"]
        return verdict, missing, one["against"], one["mind"], last

    assert len(rows) == 12
    assert [key(one) for one in rows] == sorted(key(one) for one in rows)
    for one in rows:
        stands = [told["stands"] for told in one["criteria"] if told["name"] != "odds"]
        assert (stands.count("against"), stands.count("to mind")) == (one["against"], one["mind"])
    assert "".join(found["order"].split()) in "".join(desk.does(WEFT).split())


def test_the_limit_is_kept_and_places_are_told(desk: Desk) -> None:
    desk.does(*(add(f"S{at}", "", 300 + at) for at in range(5)))
    assert len(desk.told(f"{WARP} --limit 2")["matches"]) == 2
    assert [one["rank"] for one in desk.told(WARP)["matches"]] == [1, 2, 3, 4, 5]
    assert desk.told(f"{WARP} --limit 2 --explain S4")["explained"]["matches"][0]["rank"] == 5


def test_a_cloth_woven_as_spun_is_matched_as_it_would_be_checked(desk: Desk) -> None:
    desk.does(add("Fresh", "--state unwashed", 300), add("Moor", "", 300))
    for one in desk.told(f"{WARP} --as-spun")["matches"]:
        quick = desk.told(f"reach {one['skeins'][0]} --warp Hill {SIZE} --as-spun")
        assert one["odds"] == quick["odds"]["yarn"]


def test_nothing_is_stored(desk: Desk) -> None:
    desk.does(add("Moor"))
    before = desk.stash.read_bytes()
    desk.does(WARP, f"{WEFT} --explain Moor")
    assert desk.stash.read_bytes() == before


def test_an_empty_shelf_and_nothing_that_fits_are_answers(desk: Desk) -> None:
    assert "no other skein" in " ".join(desk.does(WARP).split())
    found = desk.told(WARP)
    assert found["matches"] == []
    desk.does(add("Crumb", "", 5))
    said = " ".join(desk.does(WARP).split())
    assert "none reaches" in said
    assert "Crumb: under 1 in 100" in said


def test_a_warp_that_is_not_enough_itself_is_told_first(desk: Desk) -> None:
    desk.does(add("Moor"))
    said = " ".join(desk.does("match --warp Hill --size 90cmx300cm").split())
    assert "Whatever is chosen, for the warp itself it is under 1 in 100." in said


def test_why_a_skein_is_not_among_them(desk: Desk) -> None:
    desk.does(
        add("Moor"),
        add("Gone"),
        "skein close Gone --because sold --sure",
        "skein add Wraps --wpi 12wpi",
        "cloth plan All --size 45cmx300cm --warp Moor --weft Moor --sett 4/cm",
    )
    for name, why in (
        ("Gone", "Gone was closed (sold)"),
        ("Hill", "Hill is the warp already"),
        ("Wraps", "the length of Wraps is not known: weigh it first"),
        ("Moor", "nothing of Moor is free: other cloths claim all of it"),
    ):
        told = desk.told(f"{WARP} --explain {name}")["explained"]
        assert (told["matches"], told["why_not"]) == ([], why)
        assert why in " ".join(desk.does(f"{WARP} --explain {name}").split())


def test_a_yarn_both_claimed_and_closed_is_refused_or_left_out_in_words(desk: Desk) -> None:
    desk.does(add("Moor"), f"cloth plan Shawl {SIZE} --warp Hill --weft Moor")
    desk.does("skein close Moor --because lost --sure")
    assert desk.told("match Shawl")["matches"] == []
    assert "Moor was closed" in desk.does("match Shawl --explain Moor")
    assert "that skein was closed" in desk.refuses("match Shawl --for warp", 3)


def test_a_width_no_loom_takes_is_an_answer(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    found = desk.told("match --warp 'Gorse 1' --size 5mx1m --sett 3/cm")
    assert "the loom takes 120 cm" in found["why"]
    assert "No weft can be told" in desk.does("match --warp 'Gorse 1' --size 5mx1m --sett 3/cm")


@pytest.mark.parametrize(
    ("line", "code", "words"),
    [
        ("match", 2, "Nothing to match was named"),
        ("match --warp Hill", 2, "No size was given"),
        (f"match --warp Hill --weft Hill {SIZE}", 2, "both given"),
        (f"{WARP} --for warp", 2, "do not go together"),
        (f"{WARP} --promise 100%", 3, "at most 99.9 in 100"),
        (f"{WARP} --limit 0", 3, "limit"),
        (f"{WARP} --explain Nobody", 4, "no skein"),
        ("match Nothing", 4, "no cloth"),
    ],
)
def test_what_cannot_be_is_said_in_words(desk: Desk, line: str, code: int, words: str) -> None:
    assert words in desk.refuses(line, code)


def test_no_stash_at_all_is_said_in_words(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    assert "There is no skein called “Hill”" in desk.refuses(WARP, 4)
    assert "There is no cloth called “Shawl”" in desk.refuses("match Shawl", 4)


ORDERED = "--warp-order '6 Hill, 2 Oat'"


def test_a_side_that_has_an_order_is_matched_as_it_is_wound(desk: Desk) -> None:
    for name in ("Oat", "Fern"):
        desk.does(add(name))
    found = desk.told(f"match {ORDERED} {SIZE}")
    assert (found["side"], found["known"]) == ("weft", ["Hill", "Oat"])
    (first,) = found["matches"]
    quick = desk.told(f"reach Fern {ORDERED} {SIZE}")
    assert first["odds"] == quick["odds"]["yarn"]
    desk.does(f"cloth plan Runner {ORDERED} --weft Fern {SIZE}")
    assert desk.told("match Runner")["matches"][0]["odds"] == quick["odds"]["yarn"]
    said = desk.refuses("match Runner --for warp", 2)
    assert "has an order" in said and "cloth change Runner --warp-order" in said


def test_a_learned_or_given_take_up_is_that_of_every_candidate(desk: Desk) -> None:
    desk.does(add("Oat", "--mass 250g"))
    for given in ("--take-up 25%", "--weft-take-up 30%±2%"):
        for line, quick in (
            (f"match --warp Hill {SIZE}", f"reach Oat --warp Hill {SIZE}"),
            (f"match --weft Hill {SIZE}", f"reach Hill --warp Oat {SIZE}"),
        ):
            (one,) = desk.told(f"{line} {given}")["matches"]
            told = desk.told(f"{quick} {given}")
            side = "weft" if "--warp Hill" in line else "warp"
            assert one["need_m"] == pytest.approx(told[side][0]["need_m"]["p50"], rel=0.01)
            assert one["odds"] == told["odds"]["yarn"]


ONLY_WEIGHED = "only weighed; weigh a test length or wrap it"


@pytest.mark.parametrize("line", [WARP, WEFT])
def test_a_skein_that_is_only_weighed_is_left_out_and_named(desk: Desk, line: str) -> None:
    """No span of it names a middle: `skein list` shows "?" for it as well."""
    desk.does(add("Moor"))
    before = desk.told(line)
    desk.does("skein add Mystery --mass 100g", "skein add Wraps --wpi 12wpi")
    told = desk.told(line)
    assert told["matches"] == before["matches"]
    assert told["looked"]["skeins"] == before["looked"]["skeins"] == 1
    assert told["looked"]["unknown_length"] == 2
    assert told["looked"]["unknown"] == [
        {"skein": "Mystery", "why": ONLY_WEIGHED},
        {"skein": "Wraps", "why": "weigh it first"},
    ]
    assert f"Mystery: {ONLY_WEIGHED}" in desk.does(line)
    assert ONLY_WEIGHED in " ".join(desk.does(f"{line} --explain Mystery").split())


def test_a_skein_that_is_only_counted_is_no_warp_and_does_not_stop_the_search(desk: Desk) -> None:
    desk.does(add("Moor"), "skein add Bare --length 400m --state relaxed")
    found = desk.told(WEFT)["matches"]
    assert [one["skeins"] for one in found] == [["Moor"], ["Bare"]]
    assert found[1]["odds"] is None
    assert "the sett cannot be found" in found[1]["criteria"][0]["why"]


def test_of_many_skeins_of_unknown_length_the_first_are_named(desk: Desk) -> None:
    desk.does(add("Moor"), *(f"skein add M{at} --mass 100g" for at in range(8)))
    said = desk.does(WARP)
    assert "8 skeins of unknown length" in said
    assert "M4: only weighed" in said and "M5" not in said
    assert "and 3 others" in said


def test_without_a_stash_the_way_to_one_is_said(tmp_path: Path) -> None:
    assert "There is no stash at" in Desk(tmp_path).refuses(WARP, 4)
