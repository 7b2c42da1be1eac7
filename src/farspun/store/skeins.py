"""Skeins, one or all, with the estimates kept beside them."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, Row, RowMapping, exists, insert, or_, select, update

from farspun.errors import NotFound
from farspun.store.rows import among, in_sight, stands
from farspun.store.tables import entry, estimate, evidence, skein
from farspun.units import name_key

SUMMARY = (
    *(column for column in skein.c if column.name not in ("action_id", "name_key", "spun")),
    *(
        estimate.c[name]
        for name in (
            "ln_tex",
            "var_tex",
            "ln_fill",
            "ln_wraps_per_cm",
            "length_known",
            "tex_known",
            "now_ln_length",
            "now_sd_ln",
            "forgotten_take",
        )
    ),
    # else its mass is a guess from its length alone
    or_(
        estimate.c.tex_known,
        exists().where(
            evidence.c.skein_id == skein.c.id, evidence.c.kind == "weighed", stands(evidence)
        ),
        exists().where(entry.c.skein_id == skein.c.id, entry.c.kind == "weighed"),
    ).label("mass_known"),
)


def add_skein(connection: Connection, action_id: int, name: str, **described: Any) -> int:
    """Its id; the caller has looked whether the name is free."""
    written = connection.execute(
        insert(skein).values(
            action_id=action_id, name=name, name_key=name_key(name), status="open", **described
        )
    )
    assert written.inserted_primary_key is not None
    return int(written.inserted_primary_key[0])


def add_evidence(
    connection: Connection, action_id: int, skein_id: int, kind: str, said: str, **values: Any
) -> int:
    """One reading; its id."""
    written = connection.execute(
        insert(evidence).values(
            action_id=action_id, skein_id=skein_id, kind=kind, said=said, **values
        )
    )
    assert written.inserted_primary_key is not None
    return int(written.inserted_primary_key[0])


def change_skein(connection: Connection, skein_id: int, **values: Any) -> None:
    """Change what she says of a skein (never its balance: that is the ledger's)."""
    connection.execute(update(skein).where(skein.c.id == skein_id).values(**values))


def named(connection: Connection, name: str) -> RowMapping | None:
    """The skein of that name, whatever the case; None where there is none."""
    if not _can_be_stored(name):
        return None
    found = connection.execute(select(skein).where(skein.c.name_key == name_key(name)))
    return found.mappings().one_or_none()


def names_of(connection: Connection, skein_ids: Collection[int]) -> dict[int, str]:
    """What these skeins are called."""
    wanted = select(skein.c.id, skein.c.name).where(skein.c.id.in_(skein_ids))
    return {row.id: row.name for row in connection.execute(wanted)}


def colours_of(connection: Connection, skein_ids: Collection[int]) -> dict[int, str]:
    """The colour noted of each of these skeins that has one."""
    wanted = select(skein.c.id, skein.c.colour).where(skein.c.id.in_(skein_ids))
    return {row.id: row.colour for row in connection.execute(wanted) if row.colour}


def _can_be_stored(name: str) -> bool:
    """False for half a character, which no terminal should send."""
    return not any("\ud800" <= sign <= "\udfff" for sign in name)


def skein_named(connection: Connection, name: str) -> RowMapping:
    """The skein of that name. Raises NotFound with the nearest names."""
    found = named(connection, name)
    if found is None:
        raise NotFound(
            "skein",
            name.strip(),
            connection.execute(select(skein.c.name).where(in_sight(skein))).scalars(),
        )
    return found


def summaries(connection: Connection, skein_id: int | None = None) -> list[RowMapping]:
    """Every skein (or one) with what its stored estimate says, in the order of names."""
    return summaries_of(connection, None if skein_id is None else [skein_id])


def summaries_of(connection: Connection, skein_ids: Collection[int] | None) -> list[RowMapping]:
    """As `summaries`, for these skeins (None: all)."""
    query = select(*SUMMARY).join_from(skein, estimate, skein.c.id == estimate.c.skein_id)
    query = query.where(in_sight(skein), among(skein.c.id, skein_ids))
    rows = connection.execute(query).mappings().all()
    return sorted(rows, key=lambda row: in_order(row["name"]))


def in_order(name: str) -> list[tuple[int, int, str]]:
    """Sort key that puts “Gorse 2” before “Gorse 10”.

    >>> sorted(["Gorse 10", "gorse 2"], key=in_order)
    ['gorse 2', 'Gorse 10']
    """
    import re

    parts = re.split("([0-9]+)", name_key(name))
    return [(1, int(part), "") if part.isdecimal() else (0, 0, part) for part in parts]


def readings_that_stand(connection: Connection, skein_id: int) -> list[tuple[int, str, str]]:
    """(id, kind, said) of a skein's readings that count, in the order they were made."""
    rows = connection.execute(
        select(evidence.c.id, evidence.c.kind, evidence.c.said)
        .where(evidence.c.skein_id == skein_id, stands(evidence))
        .order_by(evidence.c.id)
    )
    return [(row.id, row.kind, row.said) for row in rows]


def last_mass_mg(connection: Connection, skein_id: int) -> int | None:
    """What the whole skein was weighed as last; None where it never was."""
    return connection.execute(
        select(evidence.c.mass_mg)
        .where(evidence.c.skein_id == skein_id, evidence.c.kind == "weighed", stands(evidence))
        .order_by(evidence.c.id.desc())
        .limit(1)
    ).scalar()


def evidence_with_pulls(
    connection: Connection, skein_id: int
) -> list[tuple[int, str, str, float | None]]:
    """(id, kind, said, pull) of a skein's readings that stand, in the order they were made."""
    pulls = connection.execute(
        select(estimate.c.pulls).where(estimate.c.skein_id == skein_id)
    ).scalar_one()
    rows: list[Row[int, str, str]] = list(
        connection.execute(
            select(evidence.c.id, evidence.c.kind, evidence.c.said)
            .where(evidence.c.skein_id == skein_id, stands(evidence))
            .order_by(evidence.c.id)
        )
    )
    return [(number, kind, said, pulls.get(str(number))) for number, kind, said in rows]
