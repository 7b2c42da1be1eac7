"""Two tabs, two presses, an old page: nothing is lost and nothing is stored twice."""

from concurrent.futures import ThreadPoolExecutor

from stashes import farspun, told
from web.reader import Reader

ADD, WEIGH, TAKE = "/skeins/new", "/skein/weigh", "/skein/take"


def test_a_form_pressed_twice_is_stored_once(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    boxes = page.form(TAKE).boxes | {"amount": "10"}
    first, second = gorse.post(TAKE, boxes), gorse.post(TAKE, boxes)
    assert first.address == second.address
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 61


def test_pressed_twice_at_the_same_moment_it_is_stored_once(gorse: Reader) -> None:
    boxes = gorse.open("/skein", name="Gorse").form(TAKE).boxes | {"amount": "10"}
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: gorse.post(TAKE, boxes), range(4)))
    assert {one.status for one in answers} == {200}
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 61


def test_an_added_skein_pressed_twice_is_there_once(reader: Reader) -> None:
    boxes = reader.open(ADD).form(ADD).boxes | {"name": "Gorse", "mass": "71"}
    assert reader.post(ADD, boxes).address == reader.post(ADD, boxes).address
    assert len(told(reader.path, "skein", "list")) == 1


def test_a_form_sent_again_with_something_else_is_refused_in_words(gorse: Reader) -> None:
    boxes = gorse.open("/skein", name="Gorse").form(TAKE).boxes
    gorse.post(TAKE, boxes | {"amount": "10"})
    again = gorse.post(TAKE, boxes | {"amount": "20"})
    assert again.status == 409
    assert "sent once already, with something else in it" in again.problem
    assert again.form(TAKE).boxes["amount"] == "20"
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 61
    # from the page as it is drawn now it can be sent
    assert gorse.send(again, TAKE).status == 200
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 41


def test_a_form_that_was_refused_may_be_mended_and_sent(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    refused = gorse.send(page, WEIGH, mass="x")
    assert refused.status == 422
    assert gorse.send(page, WEIGH, mass="70").status == 200


def test_what_changed_in_another_tab_is_told_before_it_counts(gorse: Reader) -> None:
    one, other = gorse.open("/skein", name="Gorse"), gorse.open("/skein", name="Gorse")
    gorse.send(one, TAKE, amount="20")
    stale = gorse.send(other, WEIGH, mass="71")
    assert stale.status == 409
    assert "skein take, Gorse: 20 g" in stale.problem
    assert stale.form(WEIGH).boxes["mass"] == "71"
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 51
    assert gorse.send(stale, WEIGH, mass="50").status == 200


def test_what_the_command_line_did_meanwhile_is_told(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    farspun(gorse.path, "skein", "weigh", "Gorse", "69g")
    stale = gorse.send(page, TAKE, amount="5")
    assert stale.status == 409 and "skein weigh, Gorse: 69 g" in stale.problem


def test_what_was_undone_meanwhile_is_told(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "take", "Gorse", "5g")
    page = gorse.open("/skein", name="Gorse")
    farspun(gorse.path, "undo")
    assert "undo" in gorse.send(page, TAKE, amount="5").problem


def test_what_happened_to_another_skein_is_no_hindrance(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "50g")
    assert gorse.send(page, TAKE, amount="5").status == 200


def test_a_page_of_an_earlier_start_is_refused_in_words_and_keeps_what_was_typed(
    gorse: Reader,
) -> None:
    boxes = gorse.open("/skein", name="Gorse").form(TAKE).boxes | {"amount": "10"}
    later = Reader(gorse.path)
    answer = later.post(TAKE, boxes)
    assert answer.status == 409
    assert "from before farspun was started last" in answer.problem
    assert "Look whether it was stored" in answer.problem
    assert answer.form(TAKE).boxes["amount"] == "10"
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 71


def test_a_token_serves_its_own_form_and_thing_only(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "50g")
    token = gorse.open("/skein", name="Gorse").form(WEIGH).boxes["token"]
    for action, of in ((TAKE, "Gorse"), (WEIGH, "Oat")):
        answer = gorse.post(action, {"of": of, "token": token, "amount": "5", "mass": "9"})
        assert answer.status == 409


def test_a_form_without_a_token_or_with_a_made_up_one_stores_nothing(gorse: Reader) -> None:
    for token in ("", "1", "1.2.3", "1.1." + "0" * 64, "9" * 5000, "١.١.x", "a.b.c"):
        answer = gorse.post(TAKE, {"of": "Gorse", "amount": "5", "token": token})
        assert answer.status == 409
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 71


def test_so_many_forms_later_an_old_page_is_refused_and_not_stored_twice(gorse: Reader) -> None:
    from farspun.errors import ChangedMeanwhile
    from farspun.web import once

    forms = once.Once()
    first = forms.token("a", 0)
    forms.sent("a", first, {}).answer = "/x"
    for _ in range(once.KEPT + 1):
        forms.sent("a", forms.token("a", 0), {}).answer = "/y"
    try:
        forms.sent("a", first, {})
    except ChangedMeanwhile as refused:
        assert "too old" in refused.message
    else:
        raise AssertionError("it was taken again")
