"""A cloth keeps the order of its warp's and its weft's yarns, as text; null where it has none."""

NAME = "orders"


def statements(dialect: str) -> list[str]:
    """The SQL of this step, the same for "sqlite" and "postgresql"."""
    return [
        "ALTER TABLE cloth ADD COLUMN warp_order VARCHAR",
        "ALTER TABLE cloth ADD COLUMN weft_order VARCHAR",
    ]
