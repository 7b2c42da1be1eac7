"""What a skein did when it was tugged as a warp end would be."""

NAME = "tug test"


def statements(dialect: str) -> list[str]:
    """The SQL of this step; the same for every dialect."""
    return [
        "ALTER TABLE skein ADD COLUMN tug VARCHAR"
        " CONSTRAINT skein_tug CHECK (tug IN ('holds', 'drifts'))"
    ]
