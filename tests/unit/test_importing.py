"""Reading files in: what a table may look like, what is refused, and what a document must keep."""

import copy
import csv
import io
import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import func, select

from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue, WrongUse
from farspun.services import balance, cloths, demo, exporting, giving_up, skein_closing
from farspun.services.cloth_asked import ClothAsked
from farspun.services.csv_cells import COLUMNS, written_from
from farspun.services.csv_reading import maps
from farspun.services.history import history
from farspun.services.importing import import_file
from farspun.services.showing import show_all
from farspun.services.undoing import undo
from farspun.store import copies, tables
from farspun.store.engine import Stash, reading
from farspun.store.estimates import estimate_rows
from farspun.store.migrations import NEWEST
from farspun.units import mass
from stashes import add_skein

OLD = Path(__file__).parents[2] / "fixtures" / "old-databases"
TABLE = """name,fibre,mass,length,state,wpi,note
Gorse,wool,112 g,271 m,relaxed,15 wpi; 16 wpi,"soft,
and long"
Driftwood,"wool 80, silk 20",98.5 g,,,,

Teasel,,,,,12 wpi,
"""


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    return Stash(path=tmp_path / "stash.db")


def table(folder: Path, text: str | bytes, name: str = "table.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def names(stash: Stash) -> list[str]:
    return [one.name for one in show_all(stash)]


def faults(stash: Stash, path: Path, *mapped: str) -> list[str]:
    """Every fault that is told of a file that is refused; nothing may be stored."""
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, path, mapped)
    assert not stash.exists
    return list(refused.value.faults)


def test_a_table_becomes_skeins_with_their_readings(stash, tmp_path):
    done = import_file(stash, table(tmp_path, TABLE.replace(",\nand", ", and")))
    assert done.new == {"skeins": 3}
    found = {one.name: one for one in show_all(stash)}
    assert found["Gorse"].mass_g == 112.0
    assert found["Driftwood"].fibre == "wool 80, silk 20"
    assert found["Teasel"].mass_g is None
    assert [line.said for line in history(stash, "Gorse")] == [
        "112 g", "271 m, relaxed", "15 wpi", "16 wpi", "112 g",
    ]  # fmt: skip


def test_a_table_says_the_same_as_adding_its_skeins_one_by_one(stash, tmp_path):
    import_file(
        stash, table(tmp_path, "name,length,state,test_lengths\nA,100 m,relaxed,10m=4.3g\n")
    )
    other = Stash(path=tmp_path / "other.db")
    add_skein(other, "A", length="100 m", state="relaxed", test_length="10m=4.3g")
    assert show_all(stash) == show_all(other)


def test_the_same_table_twice_adds_nothing_twice(stash, tmp_path):
    path = table(tmp_path, TABLE.replace(",\nand", ", and"))
    import_file(stash, path)
    before = stash.path.read_bytes()
    again = import_file(stash, path)
    assert again.new == {"skeins": 0}
    assert again.passed_over == {"skeins": ["Gorse", "Driftwood", "Teasel"]}
    assert stash.path.read_bytes() == before


def test_what_was_measured_since_does_not_make_the_table_a_stranger(stash, tmp_path):
    path = table(tmp_path, "name,mass,wpi\nA,100 g,15 wpi\n")
    import_file(stash, path)
    balance.take(stash, "A", balance.amount("10 g"))
    assert import_file(stash, path).passed_over == {"skeins": ["A"]}


def test_a_name_that_is_there_with_other_content_is_bad_and_nothing_is_stored(stash, tmp_path):
    add_skein(stash, "A", mass="100 g")
    with pytest.raises(ImpossibleValue, match="1 cell is bad") as refused:
        import_file(stash, table(tmp_path, "name,mass\nB,50 g\na,99 g\n"))
    assert "line 3, name “a”: “A” is in the stash already" in "\n".join(refused.value.faults)
    assert names(stash) == ["A"]


def test_every_bad_cell_is_told_with_line_column_value_and_reason(stash, tmp_path):
    text = (
        'name,mass,fibre,plies,mill,state,note\n\nA,112,wool,two,,,"one\ntwo"\n'
        "\n,5 g,,,,,\nB,3 yd,woool,,perhaps,wet,\nb,5 g,,,,,\n"
    )
    found = faults(stash, table(tmp_path, text))
    assert found[0] == (
        "line 3, mass “112”: a number needs its unit. Write it with g, mg, kg, oz or lb: “112 g”."
    )
    assert [fault.partition(":")[0] for fault in found[1:]] == [
        "line 3, plies “two”",
        "line 6, name",
        "line 7, mass “3 yd”",
        "line 7, fibre “woool”",
        "line 7, mill “perhaps”",
        "line 7, state “wet”",
        "line 8, name “b”",
    ]
    assert found[-1].endswith("it is on line 7 already")


def test_half_a_reading_is_told_with_its_columns(stash, tmp_path):
    found = faults(stash, table(tmp_path, "name,strands,tare,rebuy\nA,12,,\nB,,5 g,\nC,,,50 g\n"))
    assert [fault.partition(":")[0] for fault in found] == [
        "line 2, strands “12”",
        "line 3, tare “5 g”",
        "line 4, rebuy “50 g”",
    ]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_tables_of_every_spreadsheet_are_read(stash, tmp_path, ends, delimiter, mark):
    rows = [
        ["Name", " mass "],
        [],
        ["A; b", "112 g"],
        ["", ""],
        ["B\nb".replace("\n", " "), "5 oz"],
    ]
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator=ends).writerows(rows)
    import_file(stash, table(tmp_path, mark + file.getvalue().encode()))
    assert names(stash) == ["A; b", "B b"]


def test_a_line_break_in_quotes_counts_as_a_line_of_the_file(stash, tmp_path):
    text = 'name,"mass",note\r\nA,5 g,"x"\r\n"B\r\n",6,""\r\n\r\nC,7,\r\n'
    found = faults(stash, table(tmp_path, text))
    assert [fault.partition(",")[0] for fault in found] == ["line 3", "line 6"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (b"", "it is empty"),
        (b"\n \n", "it is empty"),
        (b"name\nA\xff\n", "line 2 is not UTF-8"),
        ("name\nA".encode("utf-16"), "line 1 is not UTF-8"),
        (b"name,mass\nA,1\0 g\n", "line 2 holds a NUL byte"),
        (b'name,note\nA,"open\n', "line 2: a quotation mark is not closed"),
        (b"name,note\nA," + b"x" * 200_000 + b"\n", "line 2: a cell is too long"),
    ],
)
def test_a_file_that_is_no_table_is_a_plain_error(stash, tmp_path, text, why):
    with pytest.raises(UnreadableValue, match=why):
        import_file(stash, table(tmp_path, text))
    assert not stash.exists


def test_a_long_cell_is_told_with_its_place(stash, tmp_path):
    [fault] = faults(stash, table(tmp_path, "name,note\nA," + "x" * 20_000 + "\n"))
    assert fault.startswith("line 2, note “xxx")
    assert fault.endswith("20000 characters, and at most 10000 are read")


def test_ragged_lines_are_told_by_their_number(stash, tmp_path):
    found = faults(stash, table(tmp_path, "name,mass\nA,5 g,6\n,,,\nB\nC,7 g\n"))
    assert found == [
        "line 2: cells: 3, in the heading: 2",
        "line 4: cells: 1, in the heading: 2",
    ]


@pytest.mark.parametrize(
    ("heading", "fault"),
    [
        ("name,mas", "line 1, column “mas”: there is no such column. Did you mean “mass”?"),
        ("name,mass,mass", "line 1, column “mass”: “mass” is there twice"),
        ("name,", "line 1, column: it has no name"),
        ("mass", "line 1, column “name”: it is missing, and every skein has a name"),
    ],
)
def test_columns_that_cannot_be_are_told(stash, tmp_path, heading, fault):
    assert faults(stash, table(tmp_path, f"{heading}\n")) == [fault]


def test_another_name_of_a_column_and_a_decimal_comma_come_by_map_only(stash, tmp_path):
    path = table(tmp_path, "Title;Weight;Price;note\nA;112,5 g;3,20;1,5 twist\n")
    found = faults(stash, path)
    assert [fault.partition(": there is no such column")[0] for fault in found] == [
        "line 1, column “Title”",
        "line 1, column “Weight”",
        "line 1, column “Price”",
    ]
    mapped = ("Title=name", "Weight=mass", "Price=-")
    [fault] = faults(stash, path, *mapped)
    assert fault == "line 2, mass “112,5 g”: the decimal mark is a point. Write 112.5 g."
    import_file(stash, path, (*mapped, "decimal=,"))
    [shown] = show_all(stash)
    assert (shown.name, shown.mass_g) == ("A", 112.5)
    with reading(stash) as connection:
        assert connection.execute(select(tables.skein.c.note)).scalar_one() == "1,5 twist"


def test_a_map_of_a_column_that_is_not_there_is_told(stash, tmp_path):
    assert faults(stash, table(tmp_path, "name\nA\n"), "Weight=mass") == [
        "line 1, column “Weight”: it is mapped, and the file has no such column"
    ]


@pytest.mark.parametrize("text", ["mass", "=mass", "Weight=", "Weight=weight", "decimal=."])
def test_a_map_that_maps_nothing_is_wrong_use(text):
    with pytest.raises(WrongUse):
        maps([text])


def test_a_table_with_a_heading_alone_has_nothing_new(stash, tmp_path):
    assert not import_file(stash, table(tmp_path, ",".join(COLUMNS) + "\n")).anything
    assert not stash.exists


def test_a_dry_run_stores_nothing_and_tells_the_same(stash, tmp_path):
    path = table(tmp_path, TABLE.replace(",\nand", ", and"))
    tried = import_file(stash, path, dry_run=True)
    assert not stash.exists
    assert tried.new == import_file(stash, path).new


@pytest.mark.parametrize("name", ["table.txt", "table", "csv"])
def test_the_name_of_a_file_says_what_kind_it_is(stash, tmp_path, name):
    with pytest.raises(WrongUse, match=r"does not say"):
        import_file(stash, table(tmp_path, TABLE, name))


def test_readings_of_an_older_stash_are_written_from_their_whole_units(stash, tmp_path):
    add_skein(stash, "A", mass="100.0 g", strands=100, once_round="1.5 m", state="relaxed",
              wpi="15 wpi", test_length="10m=4.3g", label="230 m/100g")  # fmt: skip
    with reading(stash) as connection:
        rows = connection.execute(select(tables.evidence)).mappings().all()
    written = [written_from(dict(row)) for row in rows]
    assert written == [
        {"mass": "100.0 g"},
        {"strands": "100", "once_round": "1.5 m"},
        {"test_length": "10 m=4.3 g"},
        {"wpi": "5.9055 wraps/cm"},
        {"label": "434.783 tex"},
    ]
    assert written_from({"kind": "weighed", "mass_mg": 106_311, "step_ug": 7_087_381}) == {
        "mass": "106311 mg"
    }


def test_a_table_says_what_it_has_no_place_for(stash, tmp_path):
    demo.build(stash, demo.scenario())
    balance.weigh(stash, "Lichen", mass("101 g"))
    skein_closing.close(stash, "Sloe", "given")
    done = exporting.export(stash, tmp_path / "out.csv")
    assert done.written == {"skeins": 13}
    assert done.left_out == [
        "1 later reading", "2 skeins' takes and weighings", "1 closed skein",
        "4 cloths", "2 looms", "5 reeds",
    ]  # fmt: skip


# a whole stash as JSON


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> bytes:
    """The demo's stash, with something taken back and a cloth that claims more than is left."""
    folder = tmp_path_factory.mktemp("whole")
    stash = Stash(path=folder / "stash.db")
    demo.build(stash, demo.scenario())
    balance.take(stash, "Rushlight", balance.amount("5 g"))
    undo(stash)
    balance.weigh(stash, "Sloe", mass("90 g"))
    add_skein(stash, "Gone", mass="10 g")
    undo(stash)
    exporting.export(stash, folder / "out.json")
    return (folder / "out.json").read_bytes()


def test_a_whole_stash_comes_back_byte_for_byte(stash, tmp_path, whole):
    done = import_file(stash, table(tmp_path, whole, "in.json"))
    assert done.new == {"looms": 2, "reeds": 5, "skeins": 14, "cloths": 4}
    exporting.export(stash, tmp_path / "out.json")
    assert (tmp_path / "out.json").read_bytes() == whole


def test_what_was_undone_is_left_out_with_its_name(whole):
    assert b"Gone" not in whole


def test_the_same_stash_twice_adds_nothing_and_writes_no_action(stash, tmp_path, whole):
    path = table(tmp_path, whole, "in.json")
    import_file(stash, path)
    with reading(stash) as connection:
        before = connection.execute(select(func.count()).select_from(tables.action)).scalar_one()
    assert not import_file(stash, path).anything
    with reading(stash) as connection:
        after = connection.execute(select(func.count()).select_from(tables.action)).scalar_one()
    assert after == before


def test_a_stash_of_other_things_is_joined(stash, tmp_path, whole):
    add_skein(stash, "Mine", mass="50 g", length="100 m", state="relaxed")
    import_file(stash, table(tmp_path, whole, "in.json"))
    assert len(names(stash)) == 15
    assert len(cloths.list_cloths(stash)) == 4


def test_a_name_with_other_content_is_bad_and_nothing_comes_in(stash, tmp_path, whole):
    add_skein(stash, "sloe", mass="50 g")
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, table(tmp_path, whole, "in.json"))
    assert "“sloe” is in the stash already, and differs" in "\n".join(refused.value.faults)
    assert names(stash) == ["sloe"]


def test_an_import_is_taken_back_whole(stash, tmp_path, whole):
    add_skein(stash, "Mine", mass="50 g")
    before = show_all(stash)
    path = table(tmp_path, whole, "in.json")
    import_file(stash, path)
    assert undo(stash).command == "import"
    assert show_all(stash) == before
    assert cloths.list_cloths(stash) == []
    exporting.export(stash, tmp_path / "after.json")
    document = json.loads((tmp_path / "after.json").read_bytes())
    assert [one["said"] for one in document["actions"]] == ["Mine; weighed 50 g"]
    assert document["looms"] == []
    import_file(stash, path)
    assert len(names(stash)) == 15


def changed(whole: bytes, *place: str | int, to: object) -> bytes:
    document = json.loads(whole)
    thing = document
    for part in place[:-1]:
        thing = thing[part]
    if to is KeyError:
        del thing[place[-1]]
    else:
        thing[place[-1]] = to
    return json.dumps(document).encode()


@pytest.mark.parametrize(
    ("place", "to", "told"),
    [
        (("farspun",), "other", "no stash that farspun exported"),
        (("layout",), 4, "written by a later farspun"),
        (("layout",), True, "layout"),
        (("more",), 1, "more 1: Extra inputs are not permitted"),
        (("skeins", 0, "colour_code"), "x", r"skeins\[0\].colour_code"),
        (("skeins", 0, "action"), KeyError, r"skeins\[0\].action: Field required"),
        (("skeins", 0, "action"), 10_000, r"skeins\[0\].action: there are"),
        (("skeins", 0, "name"), "-x", r"skeins\[0\].name: "),
        (("skeins", 0, "name"), " x ", r"skeins\[0\].name: it is written “x”"),
        (("skeins", 1, "name"), "BRACKEN 1", r"skeins\[1\].name: .* is there twice"),
        (("skeins", 0, "fibre"), "gold", r"skeins\[0\].fibre: There is no fibre"),
        (("skeins", 0, "status"), "closed", r"skeins\[0\].closed_because"),
        (("skeins", 0, "spun"), "soon", r"skeins\[0\].spun"),
        (("skeins", 0, "note"), "a\nb", r"skeins\[0\].note"),
        (("skeins", 0, "plies"), 0, r"skeins\[0\].plies"),
        (("skeins", 0, "superwash"), "no", r"skeins\[0\].superwash"),
        (("skeins", 0, "readings", 0, "mass_mg"), 0, r"skeins\[0\].readings\[0\].mass_mg"),
        (("skeins", 0, "readings", 0, "mass_mg"), 1.5, r"skeins\[0\].readings\[0\].mass_mg"),
        (("skeins", 0, "readings", 0, "mass_mg"), 10**30, r"skeins\[0\].readings\[0\].mass_mg"),
        (("skeins", 0, "readings", 0, "mass_mg"), 111_000, r"readings\[0\].written: it does not"),
        (("skeins", 0, "readings", 0, "written"), {"mass": "x"}, r"readings\[0\].written"),
        (("skeins", 0, "readings", 0, "millitex"), 100, r"readings\[0\].millitex"),
        (("skeins", 0, "readings", 0, "step_ug"), KeyError, r"readings\[0\].step_ug"),
        (("skeins", 0, "readings", 0, "said"), "\ud800", r"skeins\[0\].readings\[0\].said"),
        (("skeins", 0, "readings", 0, "said"), "\0", r"skeins\[0\].readings\[0\].said"),
        (("skeins", 0, "ledger", 0, "delta_mg"), -5, r"skeins\[0\].ledger\[0\].delta_mg"),
        (("skeins", 0, "ledger", 0, "kind"), "undone", r"skeins\[0\].ledger\[0\]: “undone”"),
        (("skeins", 0, "ledger", 0, "cloth"), "Lap rug", r"skeins\[0\].ledger\[0\]: cloth does"),
        (("actions", 0, "at"), "2025-13-01T00:00:00+00:00", r"actions\[0\].at: there is no such"),
        (("actions", 0, "at"), "yesterday", r"actions\[0\].at"),
        (("actions", 0, "undoes"), 3, r"actions\[0\].undoes: only an earlier"),
        (("actions", 20, "undoes"), 0, "taken back"),
        (("looms", 0, "width_mm"), -1, r"looms\[0\].width_mm"),
        (("reeds", 0, "loom"), "Nowhere", r"reeds\[0\].loom: the document has no loom"),
        (("cloths", 0, "weave"), "tangle", r"cloths\[0\].weave"),
        (("cloths", 0, "loom"), "Nowhere", r"cloths\[0\].loom"),
        (("cloths", 0, "promise_ppm"), 999_999, r"cloths\[0\].promise_ppm"),
        (("cloths", 0, "warp"), [], r"cloths\[0\].warp"),
        (("cloths", 0, "warp", 0, "skein"), "Nobody", r"cloths\[0\].warp\[0\].skein"),
        (("cloths", 0, "weft", 0, "share_ppm"), 500_000, r"cloths\[0\].weft"),
        (("cloths", 0, "claims", 0, "mass_mg"), 40_000_000, r"claims\[0\].mass_mg: .* were free"),
        (("cloths", 0, "claims", 0, "skein"), "Puddle", r"cloths\[0\].claims\[0\]: the cloth has"),
        (("cloths", 0, "status"), "given-up", r"claims\[0\]: a cloth given up claims nothing"),
    ],
)
def test_a_changed_document_is_refused_with_the_place(stash, tmp_path, whole, place, to, told):
    path = table(tmp_path, changed(whole, *place, to=to), "in.json")
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, path)
    text = "\n".join([refused.value.message, *refused.value.faults])
    assert re.search(told, text), text
    assert not stash.exists


@pytest.mark.parametrize(
    "text",
    [
        b"[]", b"3", b"null", b"{", b"{}", b'{"farspun": NaN}', b'{"farspun": 1, "farspun": 2}',
        b"[" * 100_000, b'{"farspun": "stash"}', b'{"farspun": "stash", "layout": 1e999}',
        b"\xff\xfe", b"",
    ],
)  # fmt: skip
def test_what_is_no_document_is_a_plain_error(stash, tmp_path, text):
    with pytest.raises(ImpossibleValue):
        import_file(stash, table(tmp_path, text, "in.json"))
    assert not stash.exists


def test_a_claim_beyond_what_the_stash_has_free_is_refused(stash, tmp_path, whole):
    """The skein is the same here and there, but here another cloth keeps it already."""
    import_file(stash, table(tmp_path, whole, "in.json"))
    document = json.loads(whole)
    second = copy.deepcopy(document["cloths"][0])
    second["name"] = "Another"
    free_before = {one.name: one.free_m for one in show_all(stash)}
    skein = second["claims"][0]["skein"]
    assert free_before[skein] is not None
    lone = [one for one in document["cloths"] if one["name"] != document["cloths"][0]["name"]]
    document["cloths"] = [*lone, second]
    with pytest.raises(FarspunError) as refused:
        import_file(stash, table(tmp_path, json.dumps(document), "other.json"))
    assert "has not so much of that skein free" in "\n".join(refused.value.faults)
    assert "Another" not in [one.name for one in cloths.list_cloths(stash)]


def test_estimates_are_worked_out_anew(stash, tmp_path, whole):
    import_file(stash, table(tmp_path, whole, "in.json"))
    with reading(stash) as connection:
        stored = connection.execute(select(tables.estimate)).mappings().all()
        assert [dict(row) for row in stored] == estimate_rows(connection)
    assert b"ln_length" not in whole


def test_map_is_for_tables_only(stash, tmp_path, whole):
    with pytest.raises(WrongUse, match="--map is for CSV"):
        import_file(stash, table(tmp_path, whole, "in.json"), ("a=name",))


def test_a_given_up_cloth_and_one_that_claims_too_much_come_back(stash, tmp_path):
    add_skein(stash, "A", mass="100 g", length="400 m", state="relaxed")
    add_skein(stash, "B", mass="100 g", length="400 m", state="relaxed")
    asked = ClothAsked(width_cm=30, length_cm=80, size_said="30 x 80", warp=("A",), weft=("B",))
    cloths.plan_cloth(stash, "One", asked)
    giving_up.give_up_cloth(stash, "One")
    cloths.plan_cloth(stash, "Two", asked)
    balance.weigh(stash, "A", mass("20 g"))
    exporting.export(stash, tmp_path / "a.json")
    other = Stash(path=tmp_path / "other.db")
    import_file(other, tmp_path / "a.json")
    exporting.export(other, tmp_path / "b.json")
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert show_all(other) == show_all(stash)


@pytest.mark.parametrize("number", range(1, NEWEST + 1))
@pytest.mark.parametrize("kind", ["csv", "json"])
def test_a_stash_of_every_older_schema_goes_out_and_comes_back(tmp_path, number, kind):
    old = Stash(path=tmp_path / "old.db")
    with closing(sqlite3.connect(old.path)) as connection:
        connection.executescript((OLD / f"schema-{number}.sql").read_text(encoding="utf-8"))
        # their Shawl was put there without any yarn, which no command does
        shawl = "(SELECT id FROM cloth WHERE name = 'Shawl')"
        connection.execute(f"DELETE FROM claim WHERE cloth_id = {shawl}")
        connection.execute("DELETE FROM cloth WHERE name = 'Shawl'")
        connection.commit()
    exporting.export(old, tmp_path / f"a.{kind}")
    new = Stash(path=tmp_path / "new.db")
    import_file(new, tmp_path / f"a.{kind}")
    exporting.export(new, tmp_path / f"b.{kind}")
    assert (tmp_path / f"a.{kind}").read_bytes() == (tmp_path / f"b.{kind}").read_bytes()
    assert "Driftwood" in names(new)


def test_a_stash_is_copied_before_an_import_and_a_new_one_is_not(stash, tmp_path):
    import_file(stash, table(tmp_path, "name,mass\nA,50 g\n"))
    assert copies.made(stash.path) == []
    before = names(stash)
    import_file(stash, table(tmp_path, "name,mass\nA,50 g\nB,50 g\n"))
    (copy,) = copies.made(stash.path)
    assert "-before-import" in copy.name
    assert names(Stash(path=copy)) == before


def test_a_unit_for_a_whole_column_comes_by_map(stash, tmp_path):
    text = "Skein;Weight (oz);Yards\nA;3.9;412\nB;2 oz;200\nC;;150\nD;3,5;100\n"
    mapped = ["Skein=name", "Weight (oz)=mass oz", "Yards=length yd", "decimal=,"]
    import_file(stash, table(tmp_path, text), mapped)
    found = {one.name: one for one in show_all(stash)}
    assert found["A"].mass_g == pytest.approx(3.9 * 28.349523125, abs=0.001)
    assert found["B"].mass_g == pytest.approx(2 * 28.349523125, abs=0.001)
    assert found["D"].mass_g == pytest.approx(3.5 * 28.349523125, abs=0.001)
    assert history(stash, "A")[1].said.startswith("412 yd")


def test_a_column_without_units_is_told_with_the_way_to_give_it_one(stash, tmp_path):
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, table(tmp_path, "name,mass\nA,3.9\nB,4\n"))
    assert "--map “THEIR COLUMN=mass UNIT”" in refused.value.hint
    with pytest.raises(WrongUse, match="The column “note” has no unit"):
        maps(["Remarks=note oz"])


def test_thousands_are_never_taken_for_decimals(stash, tmp_path):
    path = table(tmp_path, "name;mass;length\nBig;4 oz;1,200 yd\n")
    (fault,) = faults(stash, path, "decimal=,")
    assert "1,200 yd" in fault


def test_what_others_call_our_columns_is_asked_about(stash, tmp_path):
    found = faults(stash, table(tmp_path, "Skein,Weight (oz),Yardage,Fiber\nA,1,2,3\n"))
    assert [fault.rpartition("Is it ")[2] for fault in found] == [
        f"“{ours}”? --map “{theirs}={ours}”"
        for theirs, ours in (
            ("Skein", "name"),
            ("Weight (oz)", "mass"),
            ("Yardage", "length"),
            ("Fiber", "fibre"),
        )
    ]


def test_one_remark_stands_for_all_skeins_it_is_about(stash, tmp_path):
    rows = "".join(f"S{n},{100 + n} m\n" for n in range(9))
    (remark,) = import_file(stash, table(tmp_path, f"name,length\n{rows}")).remarks
    assert remark.startswith("S0, S1, S2, S3 and 5 more: Nothing said of how it was counted")
