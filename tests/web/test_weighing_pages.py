"""The ball weighed at the loom, as a page: the answer of the command, sentence for sentence."""

import pytest

from stashes import farspun, told
from web.reader import Page, Reader, planned

WEIGH = "/at-the-loom/weigh"


@pytest.fixture
def woven(shelf: Reader) -> Reader:
    """The scarf on the loom, its weft more than enough."""
    words = ("skein measure Driftwood --length 320m --state relaxed", "cloth wound Scarf",
             "cloth on-loom Scarf --picks 5/cm")  # fmt: skip
    planned(shelf)
    for line in words:
        assert farspun(shelf.path, *line.split()).exit_code == 0, line
    return shelf


def weigh(reader: Reader, **typed: str) -> Page:
    return reader.send(reader.open("/at-the-loom", cloth="Scarf"), WEIGH, **typed)


def screen(reader: Reader) -> str:
    return " ".join(farspun(reader.path, "cloth", "weigh", "Scarf").stdout.split())


def test_a_weighed_ball_is_answered_as_the_command_does(woven: Reader) -> None:
    page = weigh(woven, woven="70", ball_0="100", tare="30")
    assert page.status == 200, page.said
    net = "Driftwood 70 g (100 g less 30 g of the shuttle)."
    assert f"weighed at 70 cm of the tape: {net}" in page.said
    lines = farspun(woven.path, "cloth", "weigh", "Scarf").stdout.splitlines()
    assert page.verdict == lines[0]
    assert screen(woven).startswith(page.verdict)
    for line in lines:
        for part in line.split("  "):
            if part.strip():
                assert part.strip() in page.said, part
    answer = told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]
    assert answer["mass_g"] == 70
    for mark in answer["marks"][1:]:
        assert f"<b>{max(0.0, mark['middle_g']):.0f}</b>g" in page.text or mark["middle_g"] < 10
    assert "farspun" not in page.main


def test_a_ball_that_will_not_last_says_what_can_be_done(woven: Reader) -> None:
    page = weigh(woven, woven="70", ball_0="30")
    assert page.status == 200, page.said
    assert "will hardly last" in page.verdict
    assert "What can be done" in page.said and "Stop at" in page.said
    assert "it is used up before" in page.said
    assert f"Weighed at the loom: {page.verdict}" in woven.open("/cloth", name="Scarf").said
    assert page.said.index("will hardly last") < page.said.index("What can be done")
    ways = told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]["ways"]
    assert page.text.count("<li>") >= len(ways) > 0


def test_a_weighing_with_its_shuttle_holds_the_verdict_and_the_marks_back(woven: Reader) -> None:
    before = told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]
    page = weigh(woven, woven="70", ball_0=f"{before['mass_g'] - 1:.0f}")
    (yarn,) = told(woven.path, "cloth", "weigh", "Scarf")["yarns"]
    assert yarn["doubted"] and yarn["verdict"] == "reaches"
    assert page.verdict.startswith("Driftwood: the weighing is in doubt")
    assert "will last" not in page.said and "The ball should weigh" not in page.said
    assert "Was the shuttle" in page.said
    right = weigh(woven, woven="70", ball_0="75")
    assert "in doubt" not in right.said and "The ball should weigh" in right.said


def test_before_anything_is_weighed_the_marks_stand_there(woven: Reader) -> None:
    page = woven.open("/at-the-loom", cloth="Scarf")
    marks = told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]["marks"]
    assert f"<b>{marks[0]['middle_g']:.0f}</b>g" in page.text
    assert page.text.count("before the first pick") >= 1
    assert page.form(WEIGH).boxes["ball_0_of"] == "Driftwood"
    assert "Weighed at the loom" not in woven.open("/cloth", name="Scarf").said


def test_the_weighings_so_far_stand_below_one_another(woven: Reader) -> None:
    weigh(woven, woven="40", ball_0="95")
    page = weigh(woven, woven="27.5 in", ball_0="2.65 oz")
    weighings = told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]["weighings"]
    assert [round(one["woven_cm"], 1) for one in weighings] == [0, 40, 69.8]
    assert page.said.index("40 cm (15.7 in): 95") < page.said.index("(27.5 in): 75")


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ({"woven": "70"}, "ball_0"),
        ({"ball_0": "70"}, "woven"),
        ({"woven": "70", "ball_0": "x"}, "ball_0"),
        ({"woven": "70 g", "ball_0": "70"}, "woven"),
        ({"woven": "9000", "ball_0": "70"}, "woven"),
        ({"woven": "70", "ball_0": "900"}, ""),
        ({"woven": "70", "ball_0": "20", "tare": "30"}, ""),
    ],
)
def test_a_weighing_that_cannot_be_says_why_and_stores_nothing(
    woven: Reader, typed: dict[str, str], wrong: str
) -> None:
    page = weigh(woven, **typed)
    assert page.status == 422
    assert page.wrong(wrong) if wrong else page.problem or "wrong-why" in page.text
    assert "farspun" not in page.main and "--" not in page.main
    kept = page.form(WEIGH).boxes
    assert {name: kept[name] for name in typed} == typed
    assert len(told(woven.path, "cloth", "weigh", "Scarf")["yarns"][0]["weighings"]) == 1


def test_a_weighing_sent_twice_counts_once(woven: Reader) -> None:
    boxes = woven.open("/at-the-loom", cloth="Scarf").form(WEIGH).boxes
    boxes |= {"woven": "70", "ball_0": "70"}
    assert woven.post(WEIGH, boxes).address == woven.post(WEIGH, boxes).address
    done = told(woven.path, "cloth", "history", "Scarf")
    assert sum(one["command"] == "cloth weigh" for one in done) == 1


def test_a_weighing_of_a_cloth_that_came_off_meanwhile_is_told(woven: Reader) -> None:
    page = woven.open("/at-the-loom", cloth="Scarf")
    farspun(woven.path, "cloth", "off-loom", "Scarf")
    stale = woven.send(page, WEIGH, woven="70", ball_0="70")
    assert stale.status == 409 and "cloth off-loom, Scarf" in stale.problem
    assert stale.status != 200 and not [one for one in stale.forms if one.action == WEIGH]


def test_only_a_cloth_on_the_loom_has_a_ball_to_weigh(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/at-the-loom", cloth="Scarf")
    assert WEIGH not in page.text
    assert shelf.post(WEIGH, {"of": "Scarf", "token": "x"}).status == 409


def test_a_weft_of_two_skeins_has_a_box_for_each(shelf: Reader) -> None:
    planned(shelf, weft_more="Gorse")
    for line in ("cloth wound Scarf", "cloth on-loom Scarf"):
        assert farspun(shelf.path, *line.split()).exit_code == 0
    page = weigh(shelf, woven="60", ball_0="80", ball_1="71")
    assert page.status == 200, page.said
    answer = told(shelf.path, "cloth", "weigh", "Scarf")
    assert [one["mass_g"] for one in answer["yarns"]] in ([151], [80, 71])
    assert page.verdict.startswith("Driftwood + Gorse") or "Gorse" in page.said
