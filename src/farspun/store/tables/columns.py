"""What the columns of every table are made of."""

from typing import Any

from sqlalchemy import JSON, BigInteger, CheckConstraint
from sqlmodel import Field, SQLModel


class Row(SQLModel):
    """A table's row. Rows are never validated, so pydantic need not make ready for it."""

    model_config = {"defer_build": True}


def row_id() -> Any:
    """The number of a row."""
    return Field(default=None, primary_key=True)


def to(table: str, **options: Any) -> Any:
    """The number of a row of that table."""
    return Field(foreign_key=f"{table}.id", **options)


def big(**options: Any) -> Any:
    """A whole number of up to 64 bits."""
    return Field(sa_type=BigInteger, **options)


def json(**options: Any) -> Any:
    """What is kept as JSON."""
    return Field(sa_type=JSON(none_as_null=True), **options)


def check(name: str, rule: str) -> CheckConstraint:
    """A rule that every row keeps."""
    return CheckConstraint(rule, name=name)


def one_of(name: str, column: str, words: tuple[str, ...]) -> CheckConstraint:
    """One of these words, or null."""
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=name)
