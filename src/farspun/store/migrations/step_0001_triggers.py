"""Step 1, the triggers: what the first schema keeps for ever, adds up, and refuses.

Actions, evidence and ledger entries are only ever added to; a skein's balance is what its
entries add up to; claims on a skein are never raised beyond its balance (a reading or weighing
that lowers a balance leaves them alone). Frozen like the tables.
"""

APPEND_ONLY = ("action", "evidence", "entry")

SQLITE_TRIGGERS = (
    *(
        f"""
        CREATE TRIGGER {table}_keeps_{event.lower()} BEFORE {event} ON {table}
        BEGIN SELECT RAISE(ABORT, 'append-only: {table}'); END
        """
        for table in APPEND_ONLY
        for event in ("UPDATE", "DELETE")
    ),
    """
    CREATE TRIGGER entry_adds_up AFTER INSERT ON entry
    BEGIN
        UPDATE skein SET balance_mg = coalesce(balance_mg, 0) + NEW.delta_mg
        WHERE id = NEW.skein_id;
    END
    """,
    *(
        f"""
        CREATE TRIGGER claim_{name} BEFORE {event} ON claim
        WHEN NEW.mass_mg > {allowed} AND NEW.mass_mg
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
)

POSTGRESQL_TRIGGERS = (
    """
    CREATE FUNCTION keeps_all() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'append-only: %', TG_TABLE_NAME; END $$
    """,
    *(
        f"""
        CREATE TRIGGER {table}_keeps_all BEFORE UPDATE OR DELETE ON {table}
        FOR EACH ROW EXECUTE FUNCTION keeps_all()
        """
        for table in APPEND_ONLY
    ),
    """
    CREATE FUNCTION adds_up() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        UPDATE skein SET balance_mg = coalesce(balance_mg, 0) + NEW.delta_mg
        WHERE id = NEW.skein_id;
        RETURN NEW;
    END $$
    """,
    """
    CREATE TRIGGER entry_adds_up AFTER INSERT ON entry
    FOR EACH ROW EXECUTE FUNCTION adds_up()
    """,
    """
    CREATE FUNCTION claim_within() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE
        allowed bigint := 0;
        itself integer := -1;
    BEGIN
        IF TG_OP = 'UPDATE' THEN
            itself := OLD.id;
            IF NEW.skein_id = OLD.skein_id THEN allowed := OLD.mass_mg; END IF;
        END IF;
        IF NEW.mass_mg > allowed AND NEW.mass_mg
            + (SELECT coalesce(sum(mass_mg), 0) FROM claim
               WHERE skein_id = NEW.skein_id AND id <> itself)
            > (SELECT coalesce(balance_mg, 0) FROM skein WHERE id = NEW.skein_id)
        THEN RAISE EXCEPTION 'claimed beyond the balance'; END IF;
        RETURN NEW;
    END $$
    """,
    """
    CREATE TRIGGER claim_within BEFORE INSERT OR UPDATE ON claim
    FOR EACH ROW EXECUTE FUNCTION claim_within()
    """,
)

TRIGGERS = {"sqlite": SQLITE_TRIGGERS, "postgresql": POSTGRESQL_TRIGGERS}
