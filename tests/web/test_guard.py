"""Who is let in: the right host, our own pages, bodies of a bearable size; what answers say."""

from collections.abc import Iterator

import pytest

from stashes import told
from web.reader import AT, Reader

TAKE = "/skein/take"


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_form_from_another_site_is_refused(gorse: Reader, headers: dict[str, str]) -> None:
    boxes = gorse.open("/skein", name="Gorse").form(TAKE).boxes | {"amount": "10"}
    answer = gorse.post(TAKE, boxes, headers=headers)
    assert answer.status == 403
    assert "from a page of another site" in answer.said
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 71


def test_a_form_of_our_own_page_is_taken(gorse: Reader) -> None:
    boxes = gorse.open("/skein", name="Gorse").form(TAKE).boxes | {"amount": "10"}
    headers = {"origin": AT, "sec-fetch-site": "same-origin"}
    assert gorse.post(TAKE, boxes, headers=headers).status == 200


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:8765", "", "[::1]", "*"])
def test_another_host_is_refused(gorse: Reader, host: str) -> None:
    answer = gorse.client.get("/stash", headers={"host": host})
    assert answer.status_code == 400
    assert "Gorse" not in answer.text


@pytest.mark.parametrize("host", ["localhost:1", "127.0.0.1", "LOCALHOST:8765"])
def test_its_own_hosts_are_let_in_at_any_port(gorse: Reader, host: str) -> None:
    assert gorse.client.get("/stash", headers={"host": host}).status_code == 200


def test_a_body_of_50_mb_is_refused_before_it_is_read(gorse: Reader) -> None:
    def body() -> Iterator[bytes]:
        for _ in range(50):
            yield b"x" * 1_000_000

    size = {"content-length": str(50_000_000), "content-type": "application/x-www-form-urlencoded"}
    answer = gorse.client.post(TAKE, content=b"x" * 50_000_000, headers=size)
    assert answer.status_code == 413
    assert "more than a form can hold" in answer.text
    # and one that does not say how long it is
    kind = {"content-type": "application/x-www-form-urlencoded"}
    assert gorse.client.post(TAKE, content=body(), headers=kind).status_code == 413


def test_a_file_sent_to_a_form_is_left_out(gorse: Reader) -> None:
    answer = gorse.client.post(TAKE, files={"amount": ("a.txt", b"1 g")}, data={"of": "Gorse"})
    assert answer.status_code in (400, 409, 422)


def test_every_answer_says_what_a_browser_may_do_with_it(gorse: Reader) -> None:
    for address in ("/stash", "/nowhere", "/static/farspun.css", "/skein?name=none"):
        headers = gorse.open(address).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["referrer-policy"] == "same-origin"


def test_no_page_has_script_or_style_in_it_or_anything_from_outside(gorse: Reader) -> None:
    for address in ("/stash", "/skeins/new", "/skein?name=Gorse"):
        text = gorse.open(address).text
        assert "<style" not in text and " style=" not in text and " onclick" not in text
        assert "<script>" not in text
        assert "://" not in text.replace("http://www.w3.org", "").split("<footer>")[0]


def test_a_page_that_is_not_there_says_so(reader: Reader) -> None:
    for address in ("/nowhere", "/skein/fly", "/static/nothing.css", "/docs", "/openapi.json"):
        page = reader.open(address)
        assert page.status in (404, 405)
        assert "Traceback" not in page.text and "{" not in page.said


def test_a_fault_of_its_own_is_told_in_words_and_written_down(
    gorse: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr("farspun.web.pages.stash.browse", broken)
    page = gorse.open("/stash")
    assert page.status == 500
    assert "a fault of farspun itself" in page.said
    assert "secret detail" not in page.text
    log = next(gorse.path.parent.rglob("faults.log"))
    assert "secret detail" in log.read_text() and "/stash" in log.read_text()


def test_a_stash_that_is_damaged_is_told_in_words(gorse: Reader) -> None:
    gorse.path.write_bytes(b"no stash at all" * 500)
    for side in ("-wal", "-shm"):
        gorse.path.with_name(gorse.path.name + side).unlink(missing_ok=True)
    page = gorse.open("/stash")
    assert page.status == 500
    assert "is not a stash" in page.said
