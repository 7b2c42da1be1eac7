"""What the tables themselves refuse and keep, whatever the code above them does."""

from importlib import import_module
from pathlib import Path

import pytest
from sqlalchemy import create_engine, delete, insert, inspect, select, update
from sqlalchemy.exc import IntegrityError
from sqlmodel import SQLModel

from farspun.store import migrations, tables
from farspun.store.engine import Stash, reading, writing
from stashes import AT, CLOTH, add_cloth

SKEIN = {
    "action_id": 1,
    "name": "Gorse",
    "name_key": "gorse",
    "fibre": "wool",
    "draw": "semi",
    "superwash": False,
    "mill": False,
    "status": "open",
}


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    """One action, one skein of 100 g, one cloth."""
    stash = Stash(path=tmp_path / "stash.db")
    with writing(stash) as connection:
        connection.execute(insert(tables.action).values(at=AT, command="test", said=""))
        connection.execute(insert(tables.skein).values(**SKEIN))
        add_cloth(connection, "Shawl")
    add_entry(stash, "made", 100_000)
    return stash


def add_entry(stash: Stash, kind: str, delta_mg: int) -> None:
    with writing(stash) as connection:
        connection.execute(
            insert(tables.entry).values(
                action_id=1, skein_id=1, kind=kind, delta_mg=delta_mg, said=""
            )
        )


def add_claim(stash: Stash, mass_mg: int, side: str = "weft") -> None:
    with writing(stash) as connection:
        connection.execute(
            insert(tables.claim).values(
                action_id=1, cloth_id=1, skein_id=1, side=side, mass_mg=mass_mg
            )
        )


def described(schema):
    """Tables with their columns (kind, may be null), keys, links, rules by name, and indexes."""
    return {
        name: (
            {c["name"]: (str(c["type"]), c["nullable"]) for c in schema.get_columns(name)},
            schema.get_pk_constraint(name)["constrained_columns"],
            sorted(
                (f["constrained_columns"], f["referred_table"])
                for f in schema.get_foreign_keys(name)
            ),
            sorted(u["column_names"] for u in schema.get_unique_constraints(name)),
            {c["name"]: " ".join(c["sqltext"].split()) for c in schema.get_check_constraints(name)},
            sorted(i["name"] for i in schema.get_indexes(name)),
        )
        for name in schema.get_table_names()
        if name != "schema_step"
    }


def test_the_migrations_make_the_tables_the_code_knows(stash):
    known = create_engine("sqlite://")
    SQLModel.metadata.create_all(known)
    with known.connect() as ideal, reading(stash) as made:
        assert described(inspect(made)) == described(inspect(ideal))
    known.dispose()


def test_both_kinds_of_database_get_every_table():
    steps = [import_module(f"farspun.store.migrations.{name}") for name in migrations.STEPS]
    for dialect in ("sqlite", "postgresql"):
        made = "\n".join(text for step in steps for text in step.statements(dialect))
        assert "{" not in made
        for name in SQLModel.metadata.tables:
            assert f"CREATE TABLE {name} (" in made


@pytest.mark.parametrize("name", ["action", "evidence", "entry", "change"])
def test_what_happened_is_never_changed_or_removed(stash, name):
    table = SQLModel.metadata.tables[name]
    with writing(stash) as connection:
        connection.execute(
            insert(tables.evidence).values(
                action_id=1, skein_id=1, kind="wrapped", said="", wraps_per_100m=50_000
            )
        )
        row = {"action_id": 1, "table_name": "skein", "row_id": 1}
        connection.execute(insert(tables.change).values(row))
    for change in (update(table).values(id=7), delete(table)):
        with pytest.raises(IntegrityError, match="append-only"), writing(stash) as connection:
            connection.execute(change)
    with reading(stash) as connection:
        assert connection.execute(select(table)).all()


def test_the_balance_is_what_the_ledger_adds_up_to(stash):
    add_entry(stash, "taken", -30_000)
    with reading(stash) as connection:
        assert connection.execute(select(tables.skein.c.balance_mg)).scalar_one() == 70_000


def test_the_balance_never_goes_below_nothing(stash):
    with pytest.raises(IntegrityError, match="skein_balance"):
        add_entry(stash, "taken", -100_001)


def test_claims_go_up_to_the_balance_and_no_further(stash):
    add_claim(stash, 60_000, "warp")
    with pytest.raises(IntegrityError, match="claimed beyond the balance"):
        add_claim(stash, 40_001)
    add_claim(stash, 40_000)


def test_a_claim_is_not_raised_beyond_the_balance(stash):
    add_claim(stash, 60_000)
    with (
        pytest.raises(IntegrityError, match="claimed beyond the balance"),
        writing(stash) as connection,
    ):
        connection.execute(update(tables.claim).values(mass_mg=100_001))


def test_yarn_taken_from_under_claims_leaves_them_and_they_may_be_lowered(stash):
    add_claim(stash, 60_000, "warp")
    add_claim(stash, 40_000)
    add_entry(stash, "taken", -50_000)
    with writing(stash) as connection:
        connection.execute(
            update(tables.claim).where(tables.claim.c.side == "weft").values(mass_mg=30_000)
        )
    with reading(stash) as connection:
        claimed = connection.execute(select(tables.claim.c.mass_mg)).scalars().all()
    assert sorted(claimed) == [30_000, 60_000]


def test_nothing_is_claimed_of_a_skein_that_was_never_weighed(stash):
    with writing(stash) as connection:
        connection.execute(insert(tables.skein).values(SKEIN | {"name": "B", "name_key": "b"}))
    with (
        pytest.raises(IntegrityError, match="claimed beyond the balance"),
        writing(stash) as connection,
    ):
        connection.execute(
            insert(tables.claim).values(action_id=1, cloth_id=1, skein_id=2, side="warp", mass_mg=1)
        )


@pytest.mark.parametrize(
    ("table", "wrong"),
    [
        ("skein", {"name": ""}),
        ("skein", {"name": "n" * 201}),
        ("skein", {"status": "gone"}),
        ("skein", {"status": "closed"}),
        ("skein", {"plies": 0}),
        ("skein", {"draw": "short"}),
        ("skein", {"twist": "X"}),
        ("skein", {"wrap": "tight"}),
        ("skein", {"rebuy_mg": 100_000}),
        ("skein", {"balance_mg": -1}),
        ("cloth", {"status": "lost"}),
        ("cloth", {"width_um": 0}),
        ("cloth", {"pieces": 0}),
        ("cloth", {"purpose": "art"}),
        ("cloth", {"wash": "boil"}),
        ("cloth", {"promise_ppm": 500_000}),
        ("cloth", {"promise_ppm": 999_001}),
        ("cloth", {"give_ppm": 1_000_000}),
        ("cloth", {"priority": 0}),
        ("cloth", {"sett_micro_per_m": 0}),
        ("cloth", {"hem_um": -1}),
        ("cloth", {"repeat": 0}),
    ],
)
def test_a_row_that_cannot_be_is_refused(stash, table, wrong):
    whole = {
        "skein": SKEIN | {"name": "B", "name_key": "b"},
        "cloth": CLOTH | {"action_id": 1, "name": "B", "name_key": "b"},
    }[table]
    with pytest.raises(IntegrityError, match="CHECK"), writing(stash) as connection:
        connection.execute(insert(SQLModel.metadata.tables[table]).values(whole | wrong))


@pytest.mark.parametrize(
    "reading_of",
    [
        {"kind": "guessed", "millitex": 1},
        {"kind": "weighed", "mass_mg": 1},
        {"kind": "weighed", "mass_mg": 0, "step_ug": 1},
        {"kind": "counted", "length_mm": 1},
        {"kind": "counted", "length_mm": 1, "state": "damp"},
        {"kind": "test length", "length_mm": 1, "mass_mg": 1},
        {"kind": "wrapped"},
        {"kind": "labelled"},
    ],
)
def test_a_reading_without_its_numbers_is_refused(stash, reading_of):
    with pytest.raises(IntegrityError, match="CHECK"), writing(stash) as connection:
        connection.execute(
            insert(tables.evidence).values(action_id=1, skein_id=1, said="", **reading_of)
        )
