"""Step 2: what is needed to take a command back, and to carry a stash elsewhere.

`change` keeps what a row was before a command changed it; a cloth may be undone; an action may have
come with an import; a reading keeps how it was written, to be written again, and may be struck out.
Claims beyond the balance, which a later weighing may have left, come back where a command is
undone. A cloth tells a loom or reed that she named from one that farspun chose; of older cloths
that is not known, and it is taken as chosen.
"""

from farspun.store.migrations.step_0001_first import WORDS

NAME = "undo and import"

CHANGE = """
    CREATE TABLE change (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        table_name VARCHAR NOT NULL,
        row_id INTEGER NOT NULL,
        before JSON
    )
"""
STRUCK = """
    CREATE TABLE struck (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        evidence_id INTEGER NOT NULL REFERENCES evidence (id)
    )
"""
KEPT = {
    "sqlite": tuple(
        f"""
        CREATE TRIGGER {table}_keeps_{event.lower()} BEFORE {event} ON {table}
        BEGIN SELECT RAISE(ABORT, 'append-only: {table}'); END
        """
        for table in ("change", "struck")
        for event in ("UPDATE", "DELETE")
    ),
    "postgresql": tuple(
        f"""
        CREATE TRIGGER {table}_keeps_all BEFORE UPDATE OR DELETE ON {table}
        FOR EACH ROW EXECUTE FUNCTION keeps_all()
        """
        for table in ("change", "struck")
    ),
}


NOT_UNDOING = "(SELECT undoes FROM action ORDER BY id DESC LIMIT 1) IS NULL"
CLAIMS = {
    "sqlite": (
        "DROP TRIGGER claim_made",
        "DROP TRIGGER claim_raised",
        *(
            f"""
            CREATE TRIGGER claim_{name} BEFORE {event} ON claim
            WHEN NEW.mass_mg > {allowed} AND {NOT_UNDOING} AND NEW.mass_mg
                + (SELECT coalesce(sum(mass_mg), 0) FROM claim
                   WHERE skein_id = NEW.skein_id AND id <> {itself})
                > (SELECT coalesce(balance_mg, 0) FROM skein WHERE id = NEW.skein_id)
            BEGIN SELECT RAISE(ABORT, 'claimed beyond the balance'); END
            """
            for name, event, allowed, itself in (
                ("made", "INSERT", "0", "-1"),
                (
                    "raised",
                    "UPDATE",
                    "CASE WHEN NEW.skein_id = OLD.skein_id THEN OLD.mass_mg ELSE 0 END",
                    "OLD.id",
                ),
            )
        ),
    ),
    "postgresql": (
        f"""
        CREATE OR REPLACE FUNCTION claim_within() RETURNS trigger LANGUAGE plpgsql AS $$
        DECLARE
            allowed bigint := 0;
            itself integer := -1;
        BEGIN
            IF TG_OP = 'UPDATE' THEN
                itself := OLD.id;
                IF NEW.skein_id = OLD.skein_id THEN allowed := OLD.mass_mg; END IF;
            END IF;
            IF NEW.mass_mg > allowed AND {NOT_UNDOING} AND NEW.mass_mg
                + (SELECT coalesce(sum(mass_mg), 0) FROM claim
                   WHERE skein_id = NEW.skein_id AND id <> itself)
                > (SELECT coalesce(balance_mg, 0) FROM skein WHERE id = NEW.skein_id)
            THEN RAISE EXCEPTION 'claimed beyond the balance'; END IF;
            RETURN NEW;
        END $$
        """,
    ),
}


def statements(dialect: str) -> list[str]:
    """The SQL of this step for "sqlite" or "postgresql"."""
    return [
        CHANGE.format(**WORDS[dialect]),
        "CREATE INDEX ix_change_action_id ON change (action_id)",
        STRUCK.format(**WORDS[dialect]),
        "CREATE INDEX ix_struck_evidence_id ON struck (evidence_id)",
        *KEPT[dialect],
        *CLAIMS[dialect],
        "ALTER TABLE action ADD COLUMN import_id INTEGER REFERENCES action (id)",
        "ALTER TABLE cloth ADD COLUMN undone BOOLEAN NOT NULL DEFAULT FALSE",
        "ALTER TABLE evidence ADD COLUMN written JSON",
        "ALTER TABLE cloth ADD COLUMN loom_asked BOOLEAN NOT NULL DEFAULT FALSE",
        "ALTER TABLE cloth ADD COLUMN reed_asked BOOLEAN NOT NULL DEFAULT FALSE",
    ]
