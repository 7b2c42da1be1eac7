"""Looking a stash through: each thing that can be wrong is found, and said with what to do."""

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from cli.running import furnished as cli_furnished
from farspun.errors import DamagedStash, NotAStash, WrongUse
from farspun.services import backups, doctor
from farspun.services.balance import amount, take
from farspun.services.undoing import undo
from farspun.store import engine, migrations
from farspun.store.engine import Stash, reading, writing
from lives import OFF_LOOM, ON_LOOM, PLAN, WOUND
from stashes import add_skein, claim, told

OLD = Path(__file__).parents[2] / "fixtures" / "old-databases"


@pytest.fixture(scope="module")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two skeins, something taken, something claimed, something undone."""
    stash = Stash(path=tmp_path_factory.mktemp("doctor") / "stash.db")
    add_skein(stash, "Gorse", mass="100 g", length="250 m", state="unwashed")
    add_skein(stash, "Heather", mass="90 g", length="210 m", state="unwashed")
    claim(stash, "Shawl", "Gorse", 60_000)
    take(stash, "Heather", amount("20 g"))
    take(stash, "Heather", amount("5 g"))
    undo(stash)
    with writing(stash) as connection:
        for side in ("warp", "weft"):
            connection.exec_driver_sql(
                "INSERT INTO cloth_yarn (action_id, cloth_id, side, position, skein_id)"
                f" VALUES (1, 1, '{side}', 0, 1)"
            )
    return stash.path


@pytest.fixture
def stash(furnished: Path, tmp_path: Path) -> Stash:
    """The furnished stash, and a copy of it."""
    path = Path(shutil.copy(furnished, tmp_path))
    backups.backup(Stash(path=path))
    return Stash(path=path)


def meddle(stash: Stash, *statements: str) -> None:
    """As another program would, without a word of it in the seal."""
    with closing(sqlite3.connect(stash.path, isolation_level=None)) as other:
        for statement in statements:
            other.execute(statement)


def codes(report: doctor.Report) -> list[str]:
    return [one.code for one in report.wrong]


def notices(report: doctor.Report) -> list[str]:
    return [one.code for one in report.notices]


def test_a_healthy_stash_is_found_healthy(stash):
    report = doctor.examine(stash)
    assert (report.wrong, report.notices, report.healthy) == ([], [], True)


def test_a_stash_not_made_yet_is_healthy_and_not_made(tmp_path):
    report = doctor.examine(Stash(path=tmp_path / "none.db"), mend=True)
    assert (report.healthy, notices(report)) == (True, ["empty"])
    assert list(tmp_path.iterdir()) == []


UNSEALED = "PRAGMA user_version = 0"
KEEPS = "DROP TRIGGER entry_keeps_update"


@pytest.mark.parametrize(
    ("statements", "code", "said"),
    [
        (
            ["UPDATE skein SET balance_mg = 7 WHERE id = 1"],
            "ledger",
            "“Gorse” is said to hold 0.007",
        ),
        ([KEEPS, "UPDATE entry SET delta_mg = 1 WHERE id = 1"], "ledger", "adds up to 0.001 g"),
        (["DROP TRIGGER entry_keeps_delete"], "schema", "trigger “entry_keeps_delete” is missing"),
        (["DROP TABLE loom"], "schema", "table “loom” is missing"),
        (["DROP INDEX ix_change_action_id"], "schema", "index “ix_change_action_id” is missing"),
        (
            [KEEPS, "CREATE TRIGGER entry_keeps_update BEFORE UPDATE ON entry BEGIN SELECT 1; END"],
            "schema",
            "trigger “entry_keeps_update” is not as farspun makes it",
        ),
        (
            ["CREATE TRIGGER odd AFTER INSERT ON entry BEGIN DELETE FROM entry; END"],
            "schema",
            "none of farspun's",
        ),
        (["DELETE FROM schema_step WHERE number = 1"], "schema", "steps of its schema"),
        (["DELETE FROM cloth_yarn WHERE side = 'weft'"], "orphan", "“Shawl” has no weft"),
        (["UPDATE claim SET skein_id = 99"], "orphan", "belongs to nothing in “skein”"),
        (["DELETE FROM estimate WHERE skein_id = 1"], "orphan", "“Gorse” has no estimate"),
        (
            ["INSERT INTO change (action_id, table_name, row_id) VALUES (1, 'goat', 3)"],
            "orphan",
            "there is no such table",
        ),
        (["UPDATE cloth SET status = 'given-up'"], "claim", "“Shawl” was given up and still"),
        (["UPDATE estimate SET ln_tex = ln_tex + 0.1"], "estimates", "“Gorse”, “Heather”"),
        (["UPDATE estimate SET pulls = '{}' WHERE skein_id = 2"], "estimates", "“Heather”"),
        (["UPDATE shared_cause SET mean = mean + 0.1"], "shared", "What skeins share"),
        (["DELETE FROM shared_covariance"], "shared", "What skeins share"),
        (["UPDATE skein SET fibre = 'moonlight'"], "unreadable", "moonlight"),
        (["UPDATE estimate SET pulls = '{' WHERE skein_id = 2"], "unreadable", "cannot be seen"),
    ],
)
def test_what_is_wrong_is_found_and_said_with_what_to_do(stash, statements, code, said):
    meddle(stash, *statements, UNSEALED)
    report = doctor.examine(stash)
    found = [one for one in report.wrong if one.code == code]
    assert found, report.wrong
    assert any(said in one.text for one in found), found
    assert all(one.text.endswith(".") and one.do.endswith(".") for one in report.wrong)


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cloth off the loom, and one wound."""
    desk = cli_furnished(tmp_path_factory.mktemp("lived"))
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    desk.does(PLAN.replace("Shawl", "Mat").replace("Gorse 1", "Gorse 2"), "cloth wound Mat")
    return desk.stash


@pytest.mark.parametrize(
    ("statement", "code", "said"),
    [
        ("UPDATE cloth SET status = 'finished' WHERE id = 1", "life", "was told to be off loom"),
        ("UPDATE cloth SET status = 'planned' WHERE id = 2", "life", "was told to be wound"),
        ("UPDATE cloth SET status = 'given-up' WHERE id = 1", None, ""),
        ("DELETE FROM record WHERE cloth_id = 2", "life", "was told to be only planned"),
        ("UPDATE record SET id = id + 90 WHERE stage = 'wound'", "life", "is out of order"),
        ("UPDATE cloth SET ends = NULL WHERE id = 2", "life", "nobody knows how many ends"),
        ("UPDATE claim SET side = 'warp'", "claim", "The warp of “Mat” is there and still claims"),
        ("UPDATE claim SET cloth_id = 1", "claim", "The weft of “Shawl” is there and still claims"),
    ],
)
def test_a_life_that_does_not_fit_its_cloth_is_found(lived, tmp_path, statement, code, said):
    stash = Stash(path=Path(shutil.copy(lived, tmp_path)))
    with closing(sqlite3.connect(stash.path, isolation_level=None)) as other:
        kept = ("record_keeps_update", "record_keeps_delete")
        names = " OR ".join(f"name = '{one}'" for one in kept)
        made = other.execute(f"SELECT name, sql FROM sqlite_master WHERE {names}").fetchall()
        for name, _ in made:
            other.execute(f"DROP TRIGGER {name}")
        assert other.execute(statement).rowcount > 0
        for _, sql in made:
            other.execute(sql)
        other.execute("PRAGMA user_version = 0")
    report = doctor.examine(stash)
    assert codes(report) == ([] if code is None else [code])
    assert all(said in one.text and one.text.endswith(".") for one in report.wrong)


def test_overclaimed_yarn_is_worth_knowing_and_not_wrong(stash):
    take(stash, "Gorse", amount("30 g"), "Shawl")
    meddle(stash, "UPDATE claim SET mass_mg = 70000", UNSEALED)
    meddle(stash, "DROP TRIGGER claim_raised", "UPDATE claim SET mass_mg = 71000", UNSEALED)
    report = doctor.examine(stash)
    assert codes(report) == ["schema"]
    assert "claim 71 g of “Gorse”, which holds 70 g" in report.notices[0].text


def test_a_change_by_another_program_breaks_the_seal_and_can_be_taken_as_it_is(stash):
    meddle(stash, "UPDATE skein SET note = 'by hand'")
    with pytest.raises(DamagedStash):
        told_directly(stash)
    assert codes(doctor.examine(stash, mend=True)) == ["seal"]
    report = doctor.examine(stash, as_it_is=True)
    assert (report.healthy, report.sealed_anew) == (True, True)
    assert told(stash.path, "skein", "list")[0]["note"] == "by hand"


def told_directly(stash: Stash) -> None:
    with reading(stash):
        pass


def test_a_stash_with_more_wrong_than_its_seal_is_not_taken_as_it_is(stash):
    meddle(stash, "UPDATE estimate SET ln_tex = ln_tex + 0.1")
    report = doctor.examine(stash, as_it_is=True)
    assert (codes(report), report.sealed_anew) == (["seal", "estimates"], False)


def test_mending_rebuilds_what_is_worked_out_and_touches_nothing_else(stash):
    meddle(stash, "DELETE FROM estimate WHERE skein_id = 1", "DELETE FROM shared_cause", UNSEALED)
    kept = everything(stash)
    report = doctor.examine(stash, mend=True)
    assert (report.healthy, report.mended) == (True, True)
    assert everything(stash) == kept


def everything(stash: Stash) -> list[str]:
    """All that is not worked out from something else."""
    worked_out = ("estimate", "shared_cause", "shared_covariance")
    with closing(sqlite3.connect(stash.path)) as connection:
        return [
            line
            for line in connection.iterdump()
            if not line.startswith(tuple(f'INSERT INTO "{table}"' for table in worked_out))
        ]


def test_mending_leaves_alone_a_stash_in_which_more_is_wrong(stash):
    meddle(stash, "DELETE FROM estimate", "UPDATE skein SET balance_mg = 7", UNSEALED)
    before = stash.path.read_bytes()
    report = doctor.examine(stash, mend=True)
    assert not report.mended
    assert "ledger" in codes(report)
    assert stash.path.read_bytes() == before


def test_mending_and_taking_as_it_is_do_not_go_together(stash):
    with pytest.raises(WrongUse):
        doctor.examine(stash, mend=True, as_it_is=True)


@pytest.mark.parametrize("at", [100, 5_000, 60_000])
def test_a_damaged_file_is_a_finding(stash, at):
    whole = stash.path.read_bytes()
    stash.path.write_bytes(whole[:at] + b"\xff" * 4096 + whole[at + 4096 :])
    report = doctor.examine(stash)
    assert {"damaged", "integrity", "seal", "unreadable"} & set(codes(report))


def test_a_stash_cut_short_is_a_finding(stash):
    stash.path.write_bytes(stash.path.read_bytes()[:9000])
    assert codes(doctor.examine(stash)) == ["damaged"]


def test_what_is_no_stash_is_refused(tmp_path):
    with pytest.raises(NotAStash):
        doctor.examine(Stash(path=tmp_path))


def test_an_older_schema_is_looked_through_and_left_as_it_is(tmp_path):
    path = tmp_path / "stash.db"
    with closing(sqlite3.connect(path)) as old:
        old.executescript((OLD / "schema-1.sql").read_text(encoding="utf-8"))
    before = path.read_bytes()
    report = doctor.examine(Stash(path=path))
    assert {one.code for one in report.wrong} <= {
        "orphan",
        "estimates",
        "shared",
    }  # what later code makes
    assert notices(report) == ["older-schema", "no-copy"]
    assert f"step 1 of {migrations.NEWEST}" in report.notices[0].text
    assert path.read_bytes() == before


def test_what_a_broken_off_command_left_beside_is_told(stash, tmp_path):
    with closing(sqlite3.connect(stash.path)) as other, other:
        other.execute("BEGIN IMMEDIATE")
        assert notices(doctor.examine(stash)) == []
    broken = Stash(path=tmp_path / "broken" / "stash.db")
    broken.path.parent.mkdir()
    with closing(sqlite3.connect(stash.path, isolation_level=None)) as other:
        other.execute(UNSEALED)
        other.execute("UPDATE skein SET note = 'of late'")
        for one in tmp_path.glob("stash.db*"):
            shutil.copy(one, broken.path.parent)
        assert notices(doctor.examine(stash)) == ["left-over"]
    report = doctor.examine(broken)
    assert (report.wrong, notices(report)) == ([], ["left-over", "no-copy"])
    assert "in the stash now" in report.notices[0].do
    assert told(broken.path, "skein", "list")[0]["note"] == "of late"
    assert notices(doctor.examine(broken)) == ["no-copy"]


def test_a_file_everybody_may_write_and_one_nobody_may_are_told(stash):
    stash.path.chmod(0o666)
    assert notices(doctor.examine(stash)) == ["open-to-all"]


def test_unfinished_copies_are_told(stash):
    (stash.path.parent / "backups" / "stash-x.db.1.unfinished").touch()
    assert notices(doctor.examine(stash)) == ["unfinished"]


def test_a_stash_on_a_server_is_looked_through_as_far_as_rows_go(stash, monkeypatch):
    """The same examinations by way of a server's connection: here one that is lent."""
    server = Stash(url="postgresql://localhost/stash")
    monkeypatch.setattr(engine, "_server_engine", lambda *_: engine._reading_engine(stash, True))
    assert doctor.examine(server).healthy


def test_every_examination_says_what_it_sees(furnished):
    from farspun.store.examining import EXAMINATIONS

    said: list[Callable[..., object]] = list(EXAMINATIONS)
    assert all(one.__doc__ for one in said)
