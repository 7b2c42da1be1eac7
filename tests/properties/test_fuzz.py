"""Whatever is written, it is read or refused in plain lines: no fault of farspun's, no waiting."""

import csv
import io
import json
import math
from collections.abc import Callable
from functools import cache
from pathlib import Path
from time import thread_time
from typing import Any
from unicodedata import category

import pytest
from hypothesis import HealthCheck, event, example, given, settings
from hypothesis import strategies as st

from doings import PRELUDE, a_folder, do_all, exported, hangs_together, seen
from farspun import units
from farspun.cli.verdict import case_lines
from farspun.craft.fibres import blend
from farspun.craft.weave import EXAMPLES, weave
from farspun.errors import FarspunError, ImpossibleValue
from farspun.services import balance, doctor, skeins
from farspun.services.csv_cells import COLUMNS
from farspun.services.csv_reading import maps
from farspun.services.importing import import_file
from farspun.services.odds import KINDS, odds_of_case
from farspun.services.shortfalls import shortfalls
from farspun.store.engine import Stash
from scribbles import far_fetched_cases, spoiled, spoiled_json, texts

MOST_S = 1.0  # of this thread's own time: a busy machine makes nothing slow
MOST_SAID = 2000  # characters of a message: a screen
MORE = (  # done to a stash so that its document has everything in it
    ("add", 2, "3 3/4 oz", "400 m", 3),
    ("add", 3, "112 g", "12 yd 18 in", 5),
    ("reed", 0, "7 g", "95.5 m", 1),
    ("take for", 1, "7 g", "95.5 m", 1),
    ("plan", 0, "7 g", "95.5 m", 1),
    ("weigh", 0, "98.5 g", "95.5 m", 1),
    ("undo", 0, "7 g", "95.5 m", 0),
    ("weigh", 0, "41 g", "95.5 m", 1),
    ("close", 3, "7 g", "95.5 m", 1),
    ("measure", 2, "7 g", "95.5 m", 4),
)
unhurried = settings(deadline=None, suppress_health_check=list(HealthCheck))
many = settings(unhurried, max_examples=10_000)


def answer(act: Callable[[], Any]) -> Any:
    """What it answers; None where it is refused. Nothing else may happen, and not for long."""
    begun = thread_time()
    try:
        found = act()
        event("answered")
        return found
    except FarspunError as refused:
        event("refused")
        assert refused.exit_code in (2, 3, 4, 5)
        for line in (refused.message, refused.hint, *refused.faults):
            assert line.strip() and len(line) <= MOST_SAID, line
            assert not any(category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in line), line
        return None
    finally:
        assert thread_time() - begun < MOST_S


READERS: dict[str, tuple[Callable[[str], Any], tuple[str, ...]]] = {
    "mass": (units.mass, ("112 g", "3 3/4 oz", "1 lb 4 oz", "0.50kg ± 2 g", "½ lb")),
    "length": (units.length, ("271m", "12 yd 18 in", "50cm±8cm", "2' 6\"", "1.5 km")),
    "wraps": (units.wraps, ("15 wpi", "6 wraps/cm", "5.5 wpc", "40 wraps per inch")),
    "threads": (units.threads, ("3/cm", "30/10cm", "8 epi", "7 1/2 ends per in", "8 ppi ± 1 ppi")),
    "dents": (units.dents, ("30/10cm", "8 dpi", "3 dents/cm")),
    "count": (
        units.count,
        ("230 m/100g", "1700 yd/lb", "40 tex", "Nm 8/2", "16s cotton", "2/8 cotton", "3 run"),
    ),
    "test length": (units.test_length, ("10m=4.3g", "11 yd = 1/8 oz")),
    "whole": (lambda text: units.whole(text, "strands"), ("150", " 7 ")),
    "amount": (balance.amount, ("40 g", "50 m")),
    "size": (units.size, ("40cmx160cm", "14in x 2yd 18in", "30 cm × 1.5 m")),
    "loss": (lambda text: units.loss(text, "shrinkage"), ("10%", "+10%", "10%±2%", "12.5 percent")),
    "addition": (lambda text: units.addition(text, "crimp"), ("10%", "+10% +- 2%")),
    "share": (units.share, ("40%", "0.4", "2/5")),
    "promise": (units.promise, ("95%", "0.95", "95 in 100", "9 out of 10")),
    "angle": (units.angle, ("25", "25deg", "12.5°")),
    "plies": (units.plies, ("2", "1:2", "1:1.5:2")),
    "piece": (units.cut_piece, ("front 34cmx38cm x2", "strap 2 6cm x 1.2m free")),
    "name": (units.skein_name, ("Gorse 1", "Ästa; “B”, c", "D=5:3")),
    "weave": (weave, EXAMPLES),
    "blend": (blend, ("wool 80, silk 20", "Wool 66.7% nylon 33.3%", "linen", "alpaca")),
    "date": (skeins.tidy_date, ("2024-05-31", "2024-05", "2024")),
    "note": (lambda text: skeins.tidy_text("note", text), ("soft, ü", '"quoted"')),
    "mapping": (lambda text: maps([text]), ("Garn=name", "theirs=-", "decimal=,")),
}


def any_reader() -> st.SearchStrategy[tuple[str, str]]:
    """A reader's name and a text for it."""
    return st.sampled_from(sorted(READERS)).flatmap(
        lambda name: st.tuples(st.just(name), texts(READERS[name][1]))
    )


@pytest.fixture(scope="module", autouse=True)
def everything_loaded() -> None:
    """The first call of each loads what it needs."""
    for read, right in READERS.values():
        for text in right:
            read(text)
    odds_of_case(json.dumps(cases()[0]))
    with a_folder() as folder:
        (folder / "one.csv").write_text("name,mass\nA,100 g\n", encoding="utf-8")
        import_file(Stash(path=folder / "stash.db"), folder / "one.csv")


@cache
def cases() -> list[Any]:
    """Written cases: those of the references, and one that says all that can be said."""
    path = Path(__file__).parents[2] / "fixtures" / "reference" / "odds.json"
    written = json.loads(path.read_text(encoding="utf-8"))["cases"]
    found = [one["case"] for one in written.values()]
    rare = {
        "hem_cm": 2, "side_hem_cm": 1, "fringe_cm": 8.5, "gap_cm": 5, "sample_cm": 12,
        "header_cm": 2, "floating_selvedges": 2, "size_promise": 0.8, "fibre": "wool 80, silk 20",
        "wash": "hot", "loom": "table",
    }  # fmt: skip
    whole = found[0] | {"size": found[0]["size"] | rare, "cut": True}
    planned = {key: value for key, value in whole.items() if key not in ("ends", "warp_cut_cm")}
    return [*found, whole, planned | {"spreads": {}}]


@cache
def documents() -> list[Any]:
    """Whole stashes as they are exported."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        do_all(stash, PRELUDE)
        first = exported(stash, "first.json")
        assert do_all(stash, MORE) == len(MORE)
        return [json.loads(text) for text in (first, exported(stash, "second.json"))]


def read_or_refused(name: str, text: str) -> None:
    answer(lambda: READERS[name][0](text))


@unhurried
@given(any_reader())
@example(("weave", "point 2/2 x" + "9" * 400))
@example(("whole", "9" * 5000))
def test_any_text_is_a_quantity_a_size_a_percentage_a_weave_or_is_refused(written):
    read_or_refused(*written)


@pytest.mark.long
@many
@given(any_reader())
def test_ten_thousand_texts_are_read_or_refused(written):
    read_or_refused(*written)


@pytest.mark.parametrize("name", ["amount", "date", "note", "mass", "length", "count", "weave"])
def test_of_a_long_text_only_the_beginning_is_said_back(name):
    for text in ("9" * 5000, "x\0" * 5000):
        with pytest.raises(FarspunError) as refused:
            READERS[name][0](text)
        assert len(refused.value.message + refused.value.hint) < 600


CELLS: dict[str, tuple[str, ...]] = {
    "name": ("Gorse 1", "gorse 2", "GORSE 1", "Fern", "Ästa; “B”, c"),
    "fibre": READERS["blend"][1],
    "plies": ("2", "1"),
    "draw": ("semi", "Woollen"),
    "twist": ("S", "z"),
    "tug": ("holds", "Drifts"),
    "superwash": ("yes", "no"),
    "mill": ("yes", "true"),
    "rebuy": ("100 g", "4 oz"),
    "mass": READERS["mass"][1],
    "tare": ("2 g", "1/8 oz"),
    "strands": ("120", "7"),
    "once_round": ("1.5 m", "60 in"),
    "state": ("relaxed", "unwashed", "under-tension"),
    "tool": ("Mill", "niddy-noddy"),
    "length": READERS["length"][1],
    "test_lengths": ("10m=4.3g", "10m=4.3g; 5 yd = 2.1 g"),
    "wpi": ("15 wpi", "15 wpi; 6 wraps/cm"),
    "wrap": ("snug", "loose"),
    "label": READERS["count"][1],
    "colour": ("grey", "=1+1", "two, three; four"),
    "spun": READERS["date"][1],
    "place": ("box", ""),
    "note": ("a\nb", '"quoted"', "NA", "nan", " "),
}


@st.composite
def tables(draw: st.DrawFn) -> bytes:
    """A table as some program may write it: often right, often nearly."""
    others = [column for column in COLUMNS if column != "name"]
    columns = draw(st.permutations(["name", *draw(st.sets(st.sampled_from(others), max_size=6))]))
    heading = [draw(spoiled([name])) if draw(st.integers(0, 30)) == 0 else name for name in columns]
    rows = [heading]
    for at in range(draw(st.integers(0, 3))):
        rows.append([_cell(draw, column, at) for column in columns])
    if draw(st.integers(0, 9)) == 0:
        rows[-1] = rows[-1][: draw(st.integers(0, len(columns)))]
    text = io.StringIO()
    writer = csv.writer(
        text,
        delimiter=draw(st.sampled_from((",", ",", ";", "\t", "|"))),
        quoting=draw(st.sampled_from((csv.QUOTE_MINIMAL, csv.QUOTE_ALL))),
        lineterminator=draw(st.sampled_from(("\n", "\r\n", "\r", "\n\n"))),
    )
    writer.writerows(rows)
    whole = draw(st.sampled_from(("", "", "\ufeff", "\n", "sep=;\n"))) + text.getvalue()
    if draw(st.integers(0, 3)) == 0:
        whole = draw(spoiled([whole]))
    coding = draw(st.sampled_from(("utf-8",) * 9 + ("utf-16", "utf-8-sig", "cp1252")))
    return whole.encode(coding, "replace" if coding == "cp1252" else "surrogatepass")


def _cell(draw: st.DrawFn, column: str, at: int) -> str:
    if column == "name" and draw(st.integers(0, 7)):
        return CELLS["name"][at]
    if draw(st.integers(0, 9)) == 0:
        return draw(texts(CELLS[column]))
    return draw(st.sampled_from(("", *CELLS[column])))


def taken_in_or_refused(name: str, content: bytes, mapped: tuple[str, ...] = ()) -> bool:
    """What comes in is a stash in which everything holds, and which goes out and in again."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        (folder / name).write_bytes(content)
        done = answer(lambda: import_file(stash, folder / name, mapped))
        if done is None or not done.anything:
            assert not stash.exists
            return False
        holds(stash)
        again = Stash(path=folder / "again.db")
        first = exported(stash, f"out{Path(name).suffix}")
        import_file(again, folder / f"out{Path(name).suffix}")
        assert exported(again, name) == first
        return True


def holds(stash: Stash) -> None:
    """All that the commands show can be shown."""
    hangs_together(stash)
    assert [one.text for one in doctor.examine(stash).wrong] == []
    seen(stash)
    shortfalls(stash)


MAPS = st.sampled_from(
    (
        (),
        (),
        (),
        (),
        ("decimal=,",),
        ("mass=-",),
        ("colour=note",),
        ("=a",),
        ("name=fibre",),
    )
)


@settings(unhurried, max_examples=60)
@given(content=tables(), mapped=MAPS)
@example(content=b"name,mass\nA,\x00", mapped=())
@example(content=b'""\n', mapped=())
@example(content=b" ; ;\n;;\n", mapped=())
@example(content=b"name,rebuy\n", mapped=("decimal=,",))
@example(content=b'name,note\nA,"' + b"x" * 200_000, mapped=())
def test_any_table_is_taken_in_or_refused(content, mapped):
    taken_in_or_refused("table.csv", content, mapped)


@pytest.mark.long
@settings(unhurried, max_examples=3_000)
@given(content=tables(), mapped=MAPS)
def test_three_thousand_tables_are_taken_in_or_refused(content, mapped):
    taken_in_or_refused("table.csv", content, mapped)


def written_documents(most: int) -> st.SearchStrategy[bytes]:
    """Exported documents, spoiled, as they lie in a file."""
    return st.deferred(lambda: spoiled_json(documents(), most)).map(
        lambda text: text.encode("utf-8", "surrogatepass")
    )


@settings(unhurried, max_examples=30)
@given(content=written_documents(most=2))
@example(content=b'{"farspun": "stash", "layout": ' + b"9" * 5000 + b"}")
@example(content=b"[" * 200_000)
def test_any_document_is_taken_in_or_refused(content):
    taken_in_or_refused("stash.json", content)


@pytest.mark.long
@settings(unhurried, max_examples=3_000)
@given(content=written_documents(most=2))
def test_three_thousand_documents_are_taken_in_or_refused(content):
    taken_in_or_refused("stash.json", content)


def answered_or_refused(text: str) -> None:
    """Odds that can be odds, and metres that can be metres."""
    found = answer(lambda: odds_of_case(text))
    if found is None:
        return
    odds = found.odds
    given = [odds.yarn, odds.warp, odds.weft, odds.size, odds.all]
    assert all(0 <= one <= 1 for one in given if one is not None)
    assert odds.size is not None and found.ends >= 1 and 0 < found.warp_cut_cm < math.inf
    for need in (*found.warp, *found.weft):
        points = (need.need_m, need.have_m)
        assert all(0 <= one.p05 <= one.p50 <= one.p95 < math.inf for one in points)
        assert 0 <= need.odds <= 1 and 0 <= need.short_m < math.inf
    assert "".join(case_lines(found))


def test_a_case_of_more_skeins_than_any_cloth_has_is_refused_at_once():
    case = json.loads(json.dumps(cases()[0]))
    case["weft"][0]["skeins"] *= 1_000
    with pytest.raises(ImpossibleValue, match="1001 skeins"):
        odds_of_case(json.dumps(case))


def test_a_yarn_of_which_no_end_would_be_in_the_warp_is_refused():
    case = json.loads(json.dumps(cases()[0])) | {"ends": 1}
    case["warp"] = [one | {"share": 0.5} for one in case["warp"] * 2]
    with pytest.raises(ImpossibleValue, match="the warp has 1 in all"):
        odds_of_case(json.dumps(case))


def test_a_warp_has_at_least_one_end():
    case = json.loads(json.dumps(cases()[-1])) | {"ends_per_cm": 0.001, "cut": False}
    case["size"] |= {"width_cm": 0.1, "side_hem_cm": 0, "give": 0.999999}
    assert odds_of_case(json.dumps(case)).ends == 1


@settings(unhurried, max_examples=60)
@given(text=st.deferred(lambda: spoiled_json(cases())))
@example(text="")
@example(text="[" * 200_000)
@example(text="\ufeff{}")
def test_any_written_case_is_answered_or_refused(text):
    answered_or_refused(text)


@pytest.mark.long
@settings(unhurried, max_examples=3_000)
@given(text=st.deferred(lambda: spoiled_json(cases())))
def test_three_thousand_written_cases_are_answered_or_refused(text):
    answered_or_refused(text)


@settings(unhurried, max_examples=30)
@given(case=far_fetched_cases(KINDS))
def test_a_far_fetched_case_is_answered_with_odds_or_refused(case):
    answered_or_refused(json.dumps(case))


@pytest.mark.long
@settings(unhurried, max_examples=2_000)
@given(case=far_fetched_cases(KINDS))
def test_two_thousand_far_fetched_cases_are_answered_with_odds_or_refused(case):
    answered_or_refused(json.dumps(case))
