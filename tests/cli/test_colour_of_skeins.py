"""What `skein show` and `skein list` tell of a colour note."""

import pytest

from stashes import farspun, told


@pytest.fixture
def place(tmp_path):
    return tmp_path / "stash.db"


def shown(place, note: str) -> str:
    farspun(place, "skein", "add", "Gorse", "--colour", note)
    return " ".join(farspun(place, "skein", "show", "Gorse").stdout.split())


def test_shades_are_told_to_scripts_with_hex_and_share(place):
    shown(place, "slate with oat flecks, a little madder")
    expected = [
        {"name": "slate", "hex": "#516572", "share": 0.8},
        {"name": "oat", "hex": "#d8c6a0", "share": 0.1},
        {"name": "madder", "hex": "#b23328", "share": 0.1},
    ]
    whole = told(place, "skein", "show", "Gorse")
    listed = told(place, "skein", "list")
    for one in (whole, listed[0]):
        assert [pair["name"] for pair in one["colours"]] == [pair["name"] for pair in expected]
        for got, wanted in zip(one["colours"], expected, strict=True):
            assert got == wanted | {"share": pytest.approx(wanted["share"])}
        assert one["colour"] == "slate with oat flecks, a little madder"
    assert whole["colour_lie"] == "marl"
    assert "“a little” madder is taken as 10 %" in whole["colour_assumed"]
    assert whole["colour_unknown"] == []


def test_what_was_not_understood_is_said_in_one_line(place):
    said = shown(place, "quuxy red with wibble flecks")
    assert "Colour words not known: quuxy, wibble" in said
    assert told(place, "skein", "show", "Gorse")["colour_unknown"] == ["quuxy", "wibble"]


def test_a_note_of_one_known_shade_is_shown_as_it_was_written_and_with_that_shade(place):
    said = shown(place, "Madder, rinsed")
    assert "Colour Madder, rinsed" in said
    assert "read as solid: madder #b23328" in said
    assert "not known" not in said


def test_a_slip_of_the_pen_is_asked_about_and_not_read(place):
    said = shown(place, "indgo with madder")
    assert "Colour words not known: indgo (did you mean indigo?)" in said
    assert "read as solid: madder" in said


def test_what_is_taken_for_a_share_is_said(place):
    said = shown(place, "80% red, 50% blue")
    assert "read as variegated: red 61.5 %, blue 38.5 %" in said
    assert "shares add to 130 %, taken in proportion" in said


def test_a_note_without_a_shade_has_no_colours(place):
    said = shown(place, "undyed")
    assert "Colour undyed" in said
    assert told(place, "skein", "show", "Gorse")["colours"] == []


def test_a_note_that_is_too_long_is_refused_where_it_is_written(place):
    result = farspun(place, "skein", "add", "Gorse", "--colour", "red " * 2500)
    assert result.exit_code == 3
    assert "characters long" in result.stderr
    assert len(result.stderr.strip().splitlines()) == 2


def test_a_plain_list_reads_no_colour_notes(place):
    from farspun.services.showing import show_all
    from farspun.store.engine import Stash

    shown(place, "red")
    stash = Stash(path=place)
    assert show_all(stash, coloured=False)[0].colours == []
    assert show_all(stash)[0].colours[0]["name"] == "red"
