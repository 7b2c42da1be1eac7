"""Step 6: balls weighed at the loom, half-way through a cloth.

A row for each ball that was on the scale: how much was woven by then, what it weighed without its
shuttle, and one unit of the scale's last digit. Rows are only ever added; a weighing leaves the
skein's balance alone, for the ball is still a part of it.
"""

from farspun.store.migrations.step_0001_first import WORDS
from farspun.store.migrations.step_0003_life import kept

NAME = "weighed at the loom"

WEIGHING = """
    CREATE TABLE weighing (
        {id},
        action_id INTEGER NOT NULL REFERENCES action (id),
        cloth_id INTEGER NOT NULL REFERENCES cloth (id),
        skein_id INTEGER NOT NULL REFERENCES skein (id),
        woven_um BIGINT NOT NULL,
        mass_mg BIGINT NOT NULL,
        step_ug BIGINT NOT NULL,
        said VARCHAR NOT NULL,
        CONSTRAINT weighing_woven CHECK (woven_um >= 0),
        CONSTRAINT weighing_mass CHECK (mass_mg >= 0),
        CONSTRAINT weighing_step CHECK (step_ug > 0)
    )
"""


def statements(dialect: str) -> list[str]:
    """The SQL of this step for "sqlite" or "postgresql"."""
    return [
        WEIGHING.format(**WORDS[dialect]),
        "CREATE INDEX ix_weighing_cloth_id ON weighing (cloth_id)",
        *kept("weighing", dialect),
    ]
