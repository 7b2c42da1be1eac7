"""Step 3: the life of a cloth, what she measured of it, and yarn that comes back from it.

`record` has a row for each command that told something of a woven cloth or sample; what a later row
says again corrects the earlier. `confirmed` names a record that was set aside and counts again. The
ledger gets a kind of entry for yarn put back; for that its table is made anew, row by row.
"""

from farspun.store.migrations.step_0001_first import WORDS

NAME = "the life of a cloth"

KINDS = "'made', 'evidence', 'taken', 'weighed', 'closed', 'undone', 'returned'"

RECORD = """
    CREATE TABLE record (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        cloth_id INTEGER NOT NULL REFERENCES cloth (id),
        stage VARCHAR NOT NULL,
        said VARCHAR NOT NULL,
        ends INTEGER,
        warp_um BIGINT,
        thrums_um BIGINT,
        spare_um BIGINT,
        tape_um BIGINT,
        picks_micro_per_m BIGINT,
        picks_state VARCHAR,
        reed_um BIGINT,
        off_width_um BIGINT,
        off_length_um BIGINT,
        washed_width_um BIGINT,
        washed_length_um BIGINT,
        wash VARCHAR,
        mass_mg BIGINT,
        CONSTRAINT record_stage CHECK (stage IN ('sample', 'wound', 'on-loom', 'off-loom',
            'finished')),
        CONSTRAINT record_picks_state CHECK (picks_state IN ('tight', 'rested')),
        CONSTRAINT record_wash CHECK (wash IN ('gentle', 'hot', 'fulled', 'machine', 'none')),
        CONSTRAINT record_ends CHECK (ends > 0),
        CONSTRAINT record_lengths CHECK (warp_um > 0 AND tape_um > 0 AND reed_um > 0
            AND off_width_um > 0 AND off_length_um > 0
            AND washed_width_um > 0 AND washed_length_um > 0),
        CONSTRAINT record_thrums CHECK (thrums_um >= 0 AND spare_um >= 0),
        CONSTRAINT record_picks CHECK (picks_micro_per_m > 0),
        CONSTRAINT record_mass CHECK (mass_mg > 0)
    )
"""
CONFIRMED = """
    CREATE TABLE confirmed (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        cloth_id INTEGER NOT NULL REFERENCES cloth (id),
        factor VARCHAR NOT NULL
    )
"""
ENTRY = """
    CREATE TABLE entry_anew (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        skein_id INTEGER NOT NULL REFERENCES skein (id),
        kind VARCHAR NOT NULL,
        delta_mg BIGINT NOT NULL,
        said VARCHAR NOT NULL,
        length_mm BIGINT,
        weighed_mg BIGINT,
        step_ug BIGINT,
        cloth_id INTEGER REFERENCES cloth (id),
        off_claim_mg BIGINT,
        CONSTRAINT entry_kind CHECK (kind IN ({kinds})),
        CONSTRAINT entry_made CHECK (kind <> 'made' OR delta_mg > 0),
        CONSTRAINT entry_taken CHECK (kind <> 'taken' OR delta_mg < 0),
        CONSTRAINT entry_returned CHECK (kind <> 'returned' OR delta_mg > 0),
        CONSTRAINT entry_length CHECK (length_mm > 0),
        CONSTRAINT entry_weighed CHECK (weighed_mg > 0),
        CONSTRAINT entry_step CHECK (step_ug > 0),
        CONSTRAINT entry_scale CHECK ((weighed_mg IS NULL) = (step_ug IS NULL)),
        CONSTRAINT entry_off_claim CHECK (off_claim_mg >= 0)
    )
"""
COLUMNS = (
    "id, action_id, skein_id, kind, delta_mg, said, length_mm, weighed_mg, step_ug, cloth_id,"
    " off_claim_mg"
)


def kept(table: str, dialect: str) -> list[str]:
    """Rows are only ever added."""
    if dialect == "postgresql":
        return [
            f"CREATE TRIGGER {table}_keeps_all BEFORE UPDATE OR DELETE ON {table}"
            " FOR EACH ROW EXECUTE FUNCTION keeps_all()"
        ]
    return [
        f"CREATE TRIGGER {table}_keeps_{event.lower()} BEFORE {event} ON {table}"
        f" BEGIN SELECT RAISE(ABORT, 'append-only: {table}'); END"
        for event in ("UPDATE", "DELETE")
    ]


def _entry(dialect: str) -> list[str]:
    """One kind more, and one rule more."""
    if dialect == "postgresql":
        return [
            "ALTER TABLE entry DROP CONSTRAINT entry_kind",
            f"ALTER TABLE entry ADD CONSTRAINT entry_kind CHECK (kind IN ({KINDS}))",
            "ALTER TABLE entry ADD CONSTRAINT entry_returned"
            " CHECK (kind <> 'returned' OR delta_mg > 0)",
        ]
    return [
        "DROP TRIGGER entry_keeps_update",
        "DROP TRIGGER entry_keeps_delete",
        "DROP TRIGGER entry_adds_up",
        ENTRY.format(**WORDS[dialect], kinds=KINDS),
        f"INSERT INTO entry_anew ({COLUMNS}) SELECT {COLUMNS} FROM entry ORDER BY id",
        "DROP TABLE entry",
        "ALTER TABLE entry_anew RENAME TO entry",
        "CREATE INDEX ix_entry_skein_id ON entry (skein_id)",
        *kept("entry", dialect),
        "CREATE TRIGGER entry_adds_up AFTER INSERT ON entry"
        " BEGIN UPDATE skein SET balance_mg = coalesce(balance_mg, 0) + NEW.delta_mg"
        " WHERE id = NEW.skein_id; END",
    ]


def statements(dialect: str) -> list[str]:
    """The SQL of this step for "sqlite" or "postgresql"."""
    return [
        RECORD.format(**WORDS[dialect]),
        "CREATE INDEX ix_record_cloth_id ON record (cloth_id)",
        *kept("record", dialect),
        CONFIRMED.format(**WORDS[dialect]),
        "CREATE INDEX ix_confirmed_cloth_id ON confirmed (cloth_id)",
        *kept("confirmed", dialect),
        *_entry(dialect),
    ]
