"""farspun import and export, as a person or a script uses them."""

import contextlib
import json
import os
import pty
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from cli.running import Desk, furnished

TABLE = "name,mass,length,state\nHeath,100 g,300 m,relaxed\nMoor,80 g,200 m,unwashed\n"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


@pytest.fixture
def bare(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def write(desk: Desk, text: str, name: str = "in.csv") -> str:
    path = desk.folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def fails(desk: Desk, *words: str, code: int) -> str:
    """It ends with this code, with nothing on stdout; what stands on stderr."""
    result = desk.run(list(words))
    assert result.exit_code == code, result.stderr
    assert result.stdout == ""
    return result.stderr


@pytest.mark.parametrize("kind", ["csv", "json"])
def test_what_is_exported_is_imported_and_exported_the_same(desk, bare, tmp_path, kind):
    first, second = tmp_path / f"one.{kind}", tmp_path / f"two.{kind}"
    desk.does(f"export {first}")
    other = Desk(tmp_path / "other")
    other.folder.mkdir()
    told = other.does(f"import {first}")
    assert told.startswith("Imported: 6 skeins")
    other.does(f"export {second}")
    assert second.read_bytes() == first.read_bytes()
    again = other.run(f"import {first}")
    assert again.stdout == "Nothing in it is new.\n"
    assert again.stderr.startswith("There already, and passed over: 6 skeins")


def test_an_import_says_how_many_came_and_undo_takes_them_back(bare):
    assert bare.does(f"import {write(bare, TABLE)}") == "Imported: 2 skeins.\n"
    assert [one["name"] for one in bare.told("skein list")] == ["Heath", "Moor"]
    assert "import (in.csv: 2 skeins)" in bare.does("undo")
    assert bare.told("skein list") == []


def test_a_dry_run_says_what_would_come_and_makes_no_stash(bare):
    told = bare.does(f"import {write(bare, TABLE)} --dry-run")
    assert told == "Would be imported: 2 skeins.\n"
    assert not bare.stash.exists()


def test_json_of_an_import_names_what_came_and_what_was_there(bare):
    path = write(bare, TABLE)
    assert bare.told(f"import {path}") == {
        "new": {"skeins": 2}, "passed_over": {"skeins": []}, "remarks": [], "dry_run": False,
    }  # fmt: skip
    assert bare.told(f"import {path} --dry-run")["passed_over"] == {"skeins": ["Heath", "Moor"]}


def test_bad_cells_are_listed_with_code_3_and_an_empty_stdout(bare):
    path = write(bare, "name,mass\nA,112\nB,5 g\nC,x\n")
    for more in ([], ["--json"], ["--dry-run"]):
        lines = fails(bare, "import", path, *more, code=3).splitlines()
        assert lines[0] == (
            f"The file {path} cannot be imported: 2 cells are bad, so nothing was stored."
        )
        assert [line.partition(":")[0] for line in lines[1:3]] == [
            "  line 2, mass “112”",
            "  line 4, mass “x”",
        ]
        assert "docs/csv.md" in lines[3]
    assert not bare.stash.exists()


def test_a_decimal_comma_is_refused_with_the_way_to_allow_it(bare):
    path = write(bare, "name;mass\nA;1,5 g\n")
    assert "--map decimal=," in fails(bare, "import", path, code=3)
    bare.does(["import", path, "--map", "decimal=,"])
    assert bare.told("skein show A")["mass_g"] == 1.5


def test_columns_by_other_names_are_mapped(bare):
    path = write(bare, "Yarn,Weight,Price\nA,5 g,3\n")
    told = fails(bare, "import", path, code=3)
    assert "column “Yarn”: there is no such column" in told
    assert "--map “THEIRS=ours”" in told
    bare.does(["import", path, "--map", "Yarn=name", "--map", "Weight = mass", "--map", "Price=-"])
    assert bare.told("skein show A")["mass_g"] == 5.0


def test_what_was_not_said_of_a_count_is_remarked_on_stderr(bare):
    result = bare.run(["import", write(bare, "name,length\nA,100 m\n")])
    assert result.exit_code == 0
    assert result.stderr.startswith("A: Nothing said of how it was counted")


@pytest.mark.parametrize(
    ("name", "code", "why"),
    [
        ("nowhere.csv", 3, "no such file"),
        ("x" * 300 + ".csv", 3, "too long"),
        ("in.xls", 2, "kind"),
    ],
)
def test_a_file_that_cannot_be_read_is_a_plain_error(bare, name, code, why):
    assert why in bare.refuses(["import", str(bare.folder / name)], code)


def test_a_folder_is_no_file(desk):
    (desk.folder / "in.json").mkdir()
    assert "it is a folder" in desk.refuses(["import", str(desk.folder / "in.json")], 3)
    assert "is a folder" in desk.refuses(["export", str(desk.folder / "in.json")], 2)


def test_a_name_too_long_for_a_file_is_refused(desk):
    assert "too long" in desk.refuses(["export", str(desk.folder / f"{'x' * 300}.csv")], 2)


def test_an_export_says_what_a_table_has_no_place_for(desk):
    result = desk.run(["export", str(desk.folder / "out.csv")])
    assert result.stdout == "Exported: 6 skeins.\n"
    assert result.stderr == "A table has no place for 2 looms; an export to .json has.\n"


def test_an_export_asks_before_it_writes_over_a_file(desk):
    path = desk.folder / "out.csv"
    path.write_text("mine")
    kept = desk.run(["export", str(path)], given="n\n")
    assert (kept.exit_code, path.read_text()) == (0, "mine")
    assert "Nothing was changed." in kept.stderr
    done = desk.run(["export", str(path)], given="y\n")
    assert done.exit_code == 0
    assert path.read_text().startswith("name,fibre,")
    path.write_text("mine")
    desk.does(f"export {path} --force")
    assert path.read_text().startswith("name,fibre,")


def test_an_export_goes_to_a_folder_that_is_there(desk):
    assert "there is no folder" in desk.refuses(["export", str(desk.folder / "no" / "a.csv")], 2)
    assert "kind of file" in desk.refuses(["export", str(desk.folder / "a.txt")], 2)


def test_an_export_leaves_nothing_beside_the_file_and_keeps_its_rights(desk):
    path = desk.folder / "out.json"
    path.write_text("old")
    path.chmod(0o640)
    before = {one.name for one in desk.folder.iterdir()}
    desk.does(f"export {path} --force")
    assert {one.name for one in desk.folder.iterdir()} == before
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_an_export_of_no_stash_is_an_empty_table(bare):
    result = bare.run(["export", str(bare.folder / "out.csv")])
    assert result.stdout == "Exported: nothing.\n"
    assert "There is no stash" in result.stderr
    assert not bare.stash.exists()


def test_a_document_names_every_place_that_is_bad(desk):
    path = desk.folder / "out.json"
    desk.does(f"export {path}")
    document = json.loads(path.read_text())
    document["skeins"][1]["plies"] = 0
    document["looms"][0]["kind"] = "giant"
    path.write_text(json.dumps(document))
    other = Desk(desk.folder / "state")
    told = fails(other, "import", str(path), "--json", code=3)
    assert "2 places are bad" in told
    assert "looms[0].kind 'giant'" in told
    assert "skeins[1].plies 0" in told


def test_help_of_both_loads_nothing_heavy_and_an_import_loads_pandas_only_for_a_table(tmp_path):
    program = (
        "import sys\nfrom farspun.cli import main\nsys.argv = ['farspun', *sys.argv[1:]]\n"
        "try: main()\nfinally: print('|'.join(sys.modules), file=sys.stderr)\n"
    )

    def loaded(*words: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", program, "--stash", str(tmp_path / "s.db"), *words],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        return set(done.stderr.splitlines()[-1].split("|"))

    heavy = {"pandas", "sqlalchemy", "numpy", "scipy", "rich"}
    assert loaded("import", "--help") & heavy == set()
    path = tmp_path / "in.csv"
    path.write_text(TABLE)
    assert "pandas" in loaded("import", str(path))
    assert "pandas" not in loaded("export", str(tmp_path / "out.json"))
    assert "pandas" not in loaded("skein", "list")


def test_a_bar_is_shown_in_a_terminal_and_nowhere_else(tmp_path):
    path = tmp_path / "in.csv"
    path.write_text("name,mass\n" + "".join(f"A{n},{n % 900 + 1} g\n" for n in range(12000)))
    command = [sys.executable, "-m", "farspun", "--stash"]
    few = tmp_path / "few.csv"
    few.write_text("".join(path.read_text().splitlines(True)[:301]))
    piped = subprocess.run(
        [*command, str(tmp_path / "a.db"), "import", str(few)], capture_output=True, check=True
    )
    assert (piped.stdout, piped.stderr) == (b"Imported: 300 skeins.\n", b"")
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [*command, str(tmp_path / "b.db"), "import", str(path)],
        stdout=subprocess.PIPE, stderr=theirs, env=os.environ | {"TERM": "xterm"},
    ) as running:  # fmt: skip
        os.close(theirs)
        shown = b""
        with contextlib.suppress(OSError):  # the terminal's end
            while part := os.read(ours, 65536):
                shown += part
        assert running.stdout.read() == b"Imported: 12000 skeins.\n"
    os.close(ours)
    assert b"importing" in shown
