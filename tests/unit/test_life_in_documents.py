"""What was told of woven cloths in a JSON document: whole, and refused where it cannot be."""

import copy
import json
import re
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished
from farspun.errors import ImpossibleValue
from farspun.services import exporting
from farspun.services.importing import import_file
from farspun.store.engine import Stash
from lives import LIFE, SAMPLE


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A cloth with sample, life, a correction that puts yarn back, a slip and its confirmation."""
    desk = furnished(tmp_path_factory.mktemp("life"))
    desk.does(
        LIFE[0], SAMPLE, LIFE[1], "cloth wound Shawl --ends 144", *LIFE[2:],
        "cloth finished Shawl --washed 41.4cmx15.66cm",
        "lessons --confirm Shawl 'shrinkage in length'",
        "cloth finished Shawl --mass 180g", "undo",
    )  # fmt: skip
    exporting.export(Stash(path=desk.stash), desk.folder / "out.json")
    return json.loads((desk.folder / "out.json").read_text(encoding="utf-8"))


def test_records_stand_with_their_cloth_in_the_order_they_were_told(whole: Any) -> None:
    (cloth,) = whole["cloths"]
    assert whole["layout"] == 3
    assert [one["stage"] for one in cloth["records"]] == [
        "sample", "wound", "wound", "on-loom", "off-loom", "finished", "finished",
    ]  # fmt: skip
    assert cloth["records"][0]["reed_um"] == 120_000
    assert cloth["records"][3]["picks_micro_per_m"] == 290_000_000
    assert cloth["records"][3]["picks_state"] == "tight"
    assert "mass_mg" not in cloth["records"][-1]  # what was undone is left out
    assert [one["factor"] for one in cloth["confirmed"]] == ["shrink_length"]
    kinds = [line["kind"] for skein in whole["skeins"] for line in skein["ledger"]]
    assert {"taken", "returned", "weighed"} <= set(kinds)


def test_a_document_of_before_there_were_records_comes_in(whole: Any, tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does(LIFE[0], f"export {tmp_path}/new.json")
    older = json.loads((tmp_path / "new.json").read_text(encoding="utf-8"))
    older["layout"] = 1
    for cloth in older["cloths"]:
        del cloth["records"], cloth["confirmed"], cloth["weighings"]
    (tmp_path / "older.json").write_text(json.dumps(older), encoding="utf-8")
    other = Stash(path=tmp_path / "other.db")
    import_file(other, tmp_path / "older.json")
    exporting.export(other, tmp_path / "again.json")
    assert (tmp_path / "again.json").read_bytes() == (tmp_path / "new.json").read_bytes()
    assert not import_file(Stash(path=desk.stash), tmp_path / "older.json").anything


def _changed(whole: Any, *place: str | int, to: Any) -> Any:
    document = copy.deepcopy(whole)
    thing = document["cloths"][0]
    for part in place[:-1]:
        thing = thing[part]
    if to is KeyError:
        del thing[place[-1]]
    else:
        thing[place[-1]] = to
    return document


@pytest.mark.parametrize(
    ("place", "to", "told"),
    [
        (("status",), "planned", "the cloth is only planned, and a record says"),
        (("status",), "off-loom", "the cloth is off the loom, and a record says finished"),
        (("records",), [], r"status: no record says that it is finished"),
        (("ends",), KeyError, "its ends and its warp are settled"),
        (("warp_cut_um",), KeyError, "its ends and its warp are settled"),
        (("direct",), True, r"records\[1\].stage: it is warped direct"),
        (("records", 0, "ends"), 100, r"records\[0\]: --ends cannot be told then"),
        (("records", 0, "stage"), "woven", r"records\[0\].stage"),
        (("records", 0, "reed_um"), 0, r"records\[0\].reed_um"),
        (("records", 1, "tape_um"), 100, r"records\[1\]: --tape cannot be told then"),
        (("records", 1, "picks_state"), "tight", "it goes with picks_micro_per_m"),
        (("records", 1, "action"), 10_000, r"records\[1\].action: there are"),
        (("records", 2, "action"), 0, r"records\[2\].action: records go by their command"),
        (("records", 2, "reed_um"), 5, r"records\[2\]: --reed cannot be told then"),
        (("records", 3, "stage"), "finished", r"records\[4\].stage: it was finished already"),
        (("records", 4, "thrums_um"), 2_600_000, "Thrums|thrums cannot be 260 cm"),
        (("records", 4, "spare_um"), 2_000_000, "spare cannot be"),
        (("records", 4, "thrums_um"), -1, r"records\[4\].thrums_um"),
        (("records", 4, "wash"), "boiled", r"records\[4\].wash"),
        (("records", 4, "colour"), "x", r"records\[4\].colour"),
        (("confirmed", 0, "factor"), "luck", r"confirmed\[0\].factor: those there are"),
        (("confirmed", 0, "action"), 10_000, r"confirmed\[0\].action: there are"),
    ],
)
def test_what_no_command_could_have_told_is_refused_with_its_place(
    whole: Any, tmp_path: Path, place: tuple[str | int, ...], to: Any, told: str
) -> None:
    path = tmp_path / "in.json"
    path.write_text(json.dumps(_changed(whole, *place, to=to)), encoding="utf-8")
    stash = Stash(path=tmp_path / "stash.db")
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, path)
    text = "\n".join([refused.value.message, *refused.value.faults])
    assert re.search(told, text), text
    assert not stash.exists


@pytest.mark.parametrize(
    ("kind", "changes", "told"),
    [
        ("returned", {"delta_mg": -5}, "what is put back comes to the skein"),
        ("returned", {"off_claim_mg": 5}, "off_claim_mg does not go with “returned”"),
        ("returned", {"cloth": "Nobody"}, "the document has no cloth called “Nobody”"),
        ("weighed", {"cloth": "Nobody"}, "the document has no cloth called “Nobody”"),
    ],
)
def test_lines_of_the_ledger_that_cannot_be_are_refused(
    whole: Any, tmp_path: Path, kind: str, changes: dict[str, Any], told: str
) -> None:
    document = copy.deepcopy(whole)
    lines = [line for skein in document["skeins"] for line in skein["ledger"]]
    next(line for line in lines if line["kind"] == kind).update(changes)
    path = tmp_path / "in.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(ImpossibleValue) as refused:
        import_file(Stash(path=tmp_path / "stash.db"), path)
    assert told in "\n".join(refused.value.faults)


def test_another_cloth_of_the_same_name_differs_where_its_records_do(
    whole: Any, tmp_path: Path
) -> None:
    (tmp_path / "in.json").write_text(json.dumps(whole), encoding="utf-8")
    stash = Stash(path=tmp_path / "stash.db")
    import_file(stash, tmp_path / "in.json")
    Desk(tmp_path).does("cloth finished Shawl --mass 180g")
    with pytest.raises(ImpossibleValue) as refused:
        import_file(stash, tmp_path / "in.json")
    assert "“Shawl” is in the stash already, and differs" in "\n".join(refused.value.faults)
