"""farspun picture: what is drawn, what is told of it, and what is refused."""

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from cli.running import Desk, furnished

PLAN = (
    'cloth plan Shawl --size 40cmx160cm --warp Driftwood --weft "Gorse 1" --weft "Gorse 2"'
    " --sett 3/cm --picks 3/cm --weave '2/2 twill'"
)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    found = furnished(tmp_path)
    for name, note in (
        ("Driftwood", "slate"), ("Gorse 1", "weld"),
        ("Gorse 2", "striping madder 1 m, woad 2 m"),
    ):  # fmt: skip
        ran = found.run(["skein", "change", name, "--colour", note])
        assert ran.exit_code == 0, ran.stderr
    found.told(PLAN)
    return found


def drawn(desk: Desk, *words: str) -> dict[str, object]:
    found: dict[str, object] = desk.told(["picture", *words])
    return found


def out(desk: Desk, name: str) -> str:
    return str(desk.folder / name)


@pytest.mark.parametrize("suffix", ["svg", "png"])
@pytest.mark.parametrize(
    "words", [("cloth", "Shawl"), ("cloth", "Shawl", "--close-up"), ("stripes", "Shawl"),
              ("draft", "Shawl"), ("draft", "--weave", "herringbone 2/2 x4"), ("stash",)]
)  # fmt: skip
def test_every_picture_is_written_with_its_words(
    desk: Desk, words: tuple[str, ...], suffix: str
) -> None:
    file = out(desk, f"a picture.{suffix}")
    ran = desk.run(["picture", *words, "--out", file])
    assert ran.exit_code == 0, ran.stderr
    assert ran.stdout.startswith(f"Drawn: {file}\nWords   ")
    said = " ".join(ran.stdout.partition("Words")[2].split())
    if suffix == "svg":
        root = ElementTree.parse(file).getroot()
        title, told = root[0].text, root[1].text
    else:
        with Image.open(file) as image:
            title, told = image.text["Title"], image.text["Description"]
    assert " ".join((told or "").split()) == said
    assert said.startswith(title or "?")


def test_a_cloth_is_told_with_its_size_threads_odds_and_shades(desk: Desk) -> None:
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.png"))
    check = desk.told("cloth check Shawl")
    cloth = found["data"]["cloths"][0]
    assert cloth["odds"] == check["odds"]["yarn"]
    assert cloth["weave"] == "2/2 twill"
    assert cloth["ends"] == pytest.approx(check["setup"]["reed_width_cm"] * 3)
    assert cloth["width_cm"] == pytest.approx(40, rel=0.08)
    assert cloth["ends"] / cloth["width_cm"] == pytest.approx(cloth["ends_per_cm"])
    assert cloth["picks"] / cloth["length_cm"] == pytest.approx(cloth["picks_per_cm"])
    assert [one["shade"] for one in cloth["colours"]["Gorse 2"]] == ["madder", "woad"]
    assert "that the yarn reaches" in found["told"]


def test_a_cloth_is_told_with_where_each_yarn_runs_and_how_its_shades_lie(desk: Desk) -> None:
    desk.does("skein add Fleck --mass 200g --length 700m --state relaxed")
    desk.told("cloth plan Mat --size 30cmx40cm --warp Fleck --weft Fleck --sett 3/cm --picks 3/cm")
    for name, told in (
        ("Shawl", "Warp Driftwood: slate; weft Gorse 1: weld; weft Gorse 2: striping madder"),
        ("Mat", "Warp and weft Fleck: colour not told."),
    ):
        file = out(desk, f"{name}.svg")
        found = drawn(desk, "cloth", name, "--out", file)
        assert told in found["told"]
        texts = ElementTree.parse(file).getroot().iter("{http://www.w3.org/2000/svg}text")
        written = " ".join(one.text or "" for one in texts)
        assert all(yarn in written for yarn in found["data"]["cloths"][0]["yarns"].values())


def test_where_no_end_is_free_that_is_said(desk: Desk) -> None:
    desk.does("skein add Stub --mass 1g --length 1m --state relaxed --colour madder")
    desk.told("cloth change Shawl --warp Stub")
    (cloth,) = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.png"))["data"]["cloths"]
    said = f"hatched: none of its {cloth['ends']} ends is there, too little warp yarn is free"
    assert said in cloth["notes"]


def test_the_cloth_that_is_drawn_has_its_yarns_colours_in_their_places(desk: Desk) -> None:
    """Weld first, then madder and woad: what comes first is yellow, never blue."""
    desk.does("skein add Long --mass 200g --length 700m --state relaxed --colour slate")
    desk.told("cloth change Shawl --size 40cmx280cm --warp Long --sett 3/cm --picks 3/cm")
    drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.png"))
    with Image.open(out(desk, "a.png")) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    colour = pixels.max(axis=2) - pixels.min(axis=2)
    rows, columns = (
        np.flatnonzero((colour > 12).sum(axis=1) > 30),
        np.flatnonzero((colour > 12).sum(axis=0) > 30),
    )
    cloth = pixels[rows[0] : rows[-1], columns[0] : columns[-1]]
    tall = len(cloth)
    assert tall / cloth.shape[1] == pytest.approx(7, rel=0.1)
    warmth = (cloth[..., 0] - cloth[..., 2]).mean(axis=1)
    early, late = warmth[: tall // 3], warmth[-tall // 4 :]
    assert early.min() > late.min() + 10  # stripes of woad come late only


def test_what_the_weft_is_too_short_for_is_told_and_left_blank(desk: Desk) -> None:
    desk.told("cloth change Shawl --size 40cmx900cm")
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.png"))
    cloth = found["data"]["cloths"][0]
    assert any("not woven, the weft gives out after" in note for note in cloth["notes"])
    length = float(re.search(r"after ([\d.]+) cm", " ".join(cloth["notes"])).group(1))
    need = desk.told("cloth check Shawl")["weft"][0]
    part = need["have_m"]["p50"] / need["need_m"]["p50"]
    assert length / cloth["length_cm"] == pytest.approx(part, rel=0.05)


def test_a_cloth_without_a_warp_is_hatched_and_not_drawn_as_finished(desk: Desk) -> None:
    desk.does("skein add Stub --mass 2g --length 3m --state relaxed --colour madder")
    desk.told("cloth change Shawl --warp Stub")
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.png"))
    cloth = found["data"]["cloths"][0]
    note = next(one for one in cloth["notes"] if one.startswith("hatched"))
    assert re.fullmatch(r"hatched: \d+ ends of \d+ are not there, the warp yarn is too short", note)
    with Image.open(out(desk, "a.png")) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    assert (pixels.max(axis=2) - pixels.min(axis=2) > 40).mean() < 0.03  # almost no yarn


def test_a_long_stripe_is_told_by_how_long_it_lasts(desk: Desk) -> None:
    """Stripes of 3 m over picks of so many cm: 3 m divided by a pick."""
    desk.told('cloth change Shawl --weft "Gorse 2"')
    striping = "striping madder 3m, woad 3m, weld 3m"
    assert desk.run(["skein", "change", "Gorse 2", "--colour", striping]).exit_code == 0
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.svg"))
    setup = desk.told("cloth check Shawl")["setup"]
    cloth = found["data"]["cloths"][0]
    note = next(one for one in cloth["notes"] if "colour" in one)
    picks, cm = re.fullmatch(
        r"each colour of the weft lasts about (\d+) picks, ([\d.]+) cm", note
    ).groups()
    wanted = 300 / setup["pick_length_cm"]
    assert float(picks) == pytest.approx(wanted, abs=0.5)
    assert float(cm) == pytest.approx(wanted / cloth["picks_per_cm"], abs=0.06)
    assert not any("drift" in one for one in cloth["notes"])


def test_a_part_of_a_gradient_and_of_a_note_is_told(desk: Desk) -> None:
    desk.told('cloth change Shawl --weft "Gorse 2"')
    colour = "gradient from madder to cream, wibbled"
    assert desk.run(["skein", "change", "Gorse 2", "--colour", colour]).exit_code == 0
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.svg"))
    notes = found["data"]["cloths"][0]["notes"]
    assert "not read of the colour of Gorse 2: wibbled" in notes
    note = next(one for one in notes if "gradient" in one)
    used = int(re.fullmatch(r"of the gradient of Gorse 2 the first (\d+) % is used", note)[1])
    need = desk.told("cloth check Shawl")["weft"][0]
    assert used / 100 == pytest.approx(need["need_m"]["p50"] / need["have_m"]["p50"], rel=0.15)
    assert note[1:] in found["told"]


def test_other_yarns_are_tried_side_by_side_with_their_odds(desk: Desk) -> None:
    words = ("cloth", "Shawl", "--try", "weft=Cone", "--try", "weft = fresh")
    found = drawn(desk, *words, "--out", out(desk, "a.svg"))
    cloths = found["data"]["cloths"]
    assert [one["title"] for one in cloths] == ["Shawl", "Tried: weft Cone", "Tried: weft Fresh"]
    for skein, cloth in zip(("Cone", "Fresh"), cloths[1:], strict=True):
        tried = desk.told(f"cloth change Shawl --weft {skein} --dry-run")
        assert cloth["odds"] == tried["odds"]["yarn"]
        assert set(cloth["colours"]) == {"Driftwood", skein}
    assert "Cone" not in str(desk.told("cloth show Shawl"))  # nothing is stored


def test_a_striping_weft_is_told_whether_its_stripes_stack(desk: Desk) -> None:
    desk.told('cloth change Shawl --weft "Gorse 2"')
    striping = ["--colour", "striping madder 30cm, woad 20cm"]
    assert desk.run(["skein", "change", "Gorse 2", *striping]).exit_code == 0
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.svg"))
    setup = desk.told("cloth check Shawl")["setup"]
    pick_m = setup["pick_length_cm"] / 100
    off_m = abs(pick_m - 0.25 * round(pick_m / 0.25))  # periods of 50 cm
    drift = next(note for note in found["data"]["cloths"][0]["notes"] if "stripes" in note)
    said = int(re.search(r"(\d+) picks", drift).group(1))
    assert said == pytest.approx(0.5 / off_m, abs=1)


def test_stripes_are_those_of_the_orders(desk: Desk) -> None:
    desk.told(["cloth", "change", "Shawl", "--warp", "Driftwood", "--warp", "Cone", "--warp-order",
               "6 Driftwood, 2 Cone", "--weft-order", '10cm "Gorse 1", 4 "Gorse 2"'])  # fmt: skip
    found = drawn(desk, "stripes", "Shawl", "--out", out(desk, "a.svg"))
    setup = desk.told("cloth check Shawl")["setup"]
    for side, order in zip(found["data"]["sides"], ("warp_order", "weft_order"), strict=True):
        told = setup[order]
        assert side["stripes"] == [[one["yarn"], one["threads"]] for one in told["stripes"]]
        assert (side["repeats"], side["over"]) == (told["repeats"], told["over"])
        assert side["yarns"] == [[one["yarn"], one["threads"]] for one in told["yarns"]]


def test_ends_and_shares_of_yarns_are_stripes_too(desk: Desk) -> None:
    desk.told("cloth change Shawl --warp Driftwood:6 --warp Cone:2 --weft 'Gorse 1:75%'"
              " --weft 'Gorse 2:25%'")  # fmt: skip
    warp, weft = drawn(desk, "stripes", "Shawl", "--out", out(desk, "a.svg"))["data"]["sides"]
    assert warp["stripes"] == [["Driftwood", 6], ["Cone", 2]]
    assert sum(ends for _, ends in warp["yarns"]) == warp["threads"]
    assert sum(threads for _, threads in weft["stripes"]) == 4
    assert weft["note"].startswith("the yarns in turn")


def test_the_skeins_of_one_yarn_are_stripes_in_their_order(desk: Desk) -> None:
    desk.told("cloth change Shawl --size 40cmx280cm")
    weft = drawn(desk, "stripes", "Shawl", "--out", out(desk, "a.svg"))["data"]["sides"][1]
    assert [name for name, _ in weft["stripes"]] == ["Gorse 1", "Gorse 2"]
    assert sum(threads for _, threads in weft["stripes"]) == weft["threads"]
    pick_m = desk.told("cloth check Shawl")["setup"]["pick_length_cm"] / 100
    (have_m,) = [one["free_m"] for one in desk.told("skein list") if one["name"] == "Gorse 1"]
    claimed = desk.told("cloth check Shawl")["weft"][0]["have_m"]["p50"]
    first = dict(weft["stripes"])["Gorse 1"]
    assert first * pick_m <= claimed
    assert "skein after skein" in weft["note"]
    assert have_m is not None
    svg = (desk.folder / "a.svg").read_text()
    assert "of one yarn, 2 skeins one after another" in svg
    assert "#e0c72f" in svg  # weld as it is, not mixed with the next skein


def test_the_stash_shows_all_shades_of_a_skein_and_its_note(desk: Desk) -> None:
    found = drawn(desk, "stash", "--out", out(desk, "a.svg"))
    shades = {one["name"]: one["shades"] for one in found["data"]["skeins"]}
    assert shades["Gorse 2"] == ["#b23328", "#4a6d8c"]
    svg = (desk.folder / "a.svg").read_text()
    assert svg.count('fill="#b23328"') == svg.count('fill="#4a6d8c"') == 3
    assert re.search(r">striping.*….*2 m</text>", svg)


def test_the_stash_is_drawn_with_what_is_free(desk: Desk) -> None:
    found = drawn(desk, "stash", "--out", out(desk, "a.svg"))
    told = {one["name"]: one["free_m"] for one in desk.told("skein list")}
    assert {one["name"]: one["free_m"] for one in found["data"]["skeins"]} == told


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("cloth", "Shal", "--out", "a.png"), 4, "There is no cloth called “Shal”."),
        (("cloth", "Shawl", "--out", "a.jpg"), 2, "The picture a.jpg would be of no known kind."),
        (("stripes", "Shawl", "--out", "a"), 2, "The picture a would be of no known kind."),
        (("stash", "--out", ""), 2, "No file is named to draw into."),
        (("stash", "--out", "state"), 2, "state is a folder."),
        (("stash", "--out", "no/where/a.png"), 2, "there is no folder no/where."),
        (("draft", "--out", "a.png"), 2, "Whose draft?"),
        (("draft", "Shawl", "--weave", "plain", "--out", "a.png"), 2, "Whose draft?"),
        (("draft", "--weave", "tartan", "--out", "a.png"), 4, "no weave or file called “tartan”"),
        (
            ("cloth", "Shawl", "--try", "Cone", "--out", "a.png"),
            2,
            "“Cone” does not say what to try",
        ),
        (("cloth", "Shawl", "--try", "weft=", "--out", "a.png"), 2, "does not say what to try"),
        (("cloth", "Shawl", "--try", "weft=Con", "--out", "a.png"), 4, "called “Con”"),
        (("cloth", "Shawl", *("--try", "weft=Cone") * 6, "--out", "a.png"), 2, "6 yarns cannot"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_two_lines(
    desk: Desk, words: tuple[str, ...], code: int, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(desk.folder)
    (desk.folder / "state").mkdir(exist_ok=True)
    before = set(desk.folder.rglob("*"))
    ran = desk.run(["picture", *words])
    assert ran.exit_code == code
    assert said in ran.stderr
    assert len(ran.stderr.strip().splitlines()) == 2
    assert set(desk.folder.rglob("*")) - before <= {desk.folder / "state"}


def test_a_file_that_is_there_is_asked_about_and_force_draws_over_it(desk: Desk) -> None:
    file = desk.folder / "a.svg"
    file.write_text("mine")
    refused = desk.run(["picture", "stash", "--out", str(file)])
    assert refused.exit_code == 2
    assert "--force" in refused.stderr
    assert file.read_text() == "mine"
    banana = desk.run(["picture", "draft", "--weave", "banana", "--out", str(file)])
    assert banana.exit_code == 4
    assert "banana" in banana.stderr
    left = desk.run(["picture", "stash", "--out", str(file)], "n\n")
    assert (left.exit_code, file.read_text()) == (0, "mine")
    assert desk.run(["picture", "stash", "--out", str(file), "--force"]).exit_code == 0
    assert "<svg" in file.read_text()


def test_a_cloth_that_is_given_up_is_drawn_without_odds(desk: Desk) -> None:
    assert desk.run("cloth give-up Shawl --yes").exit_code == 0
    found = drawn(desk, "cloth", "Shawl", "--out", out(desk, "a.svg"))
    assert found["data"]["cloths"][0]["odds"] is None


def test_a_picture_is_the_same_every_time(desk: Desk) -> None:
    for name in ("a", "b"):
        for suffix in ("svg", "png"):
            drawn(desk, "cloth", "Shawl", "--out", out(desk, f"{name}.{suffix}"))
    for suffix in ("svg", "png"):
        one, other = ((desk.folder / f"{name}.{suffix}").read_bytes() for name in "ab")
        assert one == other
