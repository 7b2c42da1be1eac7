"""Doubts about a skein, in plain words: readings that disagree, tools that read long or short."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from farspun.store.rows import among, stands
from farspun.store.tables import estimate, evidence, shared_cause
from farspun.units import name_key, say_percent

FAR_APART = 3.0  # spreads that each of two readings of one kind is off; judgement
BIAS_SHOWN = 2.0  # spreads from nothing at which a tool is told of; judgement
NOUNS = {
    "weighed": "mass",
    "counted": "count",
    "test length": "test length",
    "wrapped": "wraps",
    "labelled": "label",
}
DONE = {"test length": "measured by a test length"} | {
    kind: kind for kind in ("weighed", "counted", "wrapped", "labelled")
}


@dataclass(frozen=True, slots=True)
class Item:
    """A reading as shown: `pull` in spreads, None where it was not judged."""

    kind: str
    said: str
    pull: float | None


@dataclass(frozen=True, slots=True)
class Disagreement:
    """The readings that disagree, and the likeliest explanation as a question."""

    evidence: list[Item]
    why: str


def disagreement(conflict: dict[str, Any], items: dict[int, Item]) -> Disagreement:
    """Words for a stored conflict; `items` by evidence id."""
    named = [items[number] for number in conflict["evidence"]]
    said = "The " + " and the ".join(f"{NOUNS[item.kind]} ({item.said})" for item in named)
    disagree = "disagree" if len(named) > 1 else "does not fit the rest"
    return Disagreement(named, f"{said} {disagree}{_off(named)}: {conflict['ask']}?")


def disagreements(
    connection: Connection, skein_ids: Collection[int] | None
) -> dict[int, Disagreement]:
    """Those of the skeins (None: all) whose readings disagree, by skein id."""
    conflicts = connection.execute(
        select(estimate.c.skein_id, estimate.c.conflict, estimate.c.pulls)
        .where(estimate.c.conflict.is_not(None))
        .where(among(estimate.c.skein_id, skein_ids))
    ).all()
    if not conflicts:
        return {}
    items = items_by_id(connection, [row.skein_id for row in conflicts])
    own = {
        row.skein_id: [items[int(one)] for one in row.pulls if int(one) in items]
        for row in conflicts
    }
    return {
        row.skein_id: _twice(own[row.skein_id]) or disagreement(row.conflict, items)
        for row in conflicts
    }


def _twice(items: list[Item]) -> Disagreement | None:
    """Two readings of one kind that pull the skein apart: one of them is a slip."""
    pairs = [
        (min(abs(one.pull), abs(other.pull)), one, other)
        for at, one in enumerate(items)
        for other in items[at + 1 :]
        if one.kind == other.kind and one.pull and other.pull and one.pull * other.pull < 0
    ]
    least, one, other = max(pairs, key=lambda found: found[0], default=(0.0, None, None))
    if one is None or other is None or least < FAR_APART:
        return None
    why = f"It was {DONE[one.kind]} as {one.said} and as {other.said}: which of them is a slip?"
    return Disagreement([one, other], why)


def items_by_id(connection: Connection, skein_ids: Collection[int]) -> dict[int, Item]:
    """The readings of these skeins that stand, by evidence id, in the order they were made."""
    rows = connection.execute(
        select(evidence.c.id, evidence.c.kind, evidence.c.said, estimate.c.pulls)
        .join(estimate, estimate.c.skein_id == evidence.c.skein_id)
        .where(among(evidence.c.skein_id, skein_ids), stands(evidence))
        .order_by(evidence.c.id)
    )
    return {row.id: Item(row.kind, row.said, row.pulls.get(str(row.id))) for row in rows}


def _off(named: list[Item]) -> str:
    """By how many spreads each is off the whole; left out where that could not be judged."""
    pulls = [abs(item.pull) for item in named if item.pull]
    if len(pulls) < len(named):
        return ""
    return f", off by {' and '.join(f'{pull:.1f}' for pull in pulls)} spreads"


def biased_tools(connection: Connection, skein_id: int) -> list[str]:
    """A sentence for each tool this skein was counted on that shows a bias."""
    tools = connection.execute(
        select(evidence.c.tool)
        .distinct()
        .where(evidence.c.skein_id == skein_id, evidence.c.kind == "counted", stands(evidence))
    ).scalars()
    return _biased(connection, sorted(tools, key=lambda tool: tool or ""))


def _biased(connection: Connection, tools: Sequence[str | None]) -> list[str]:
    keys = {f"tool:{name_key(tool) if tool else ''}": tool for tool in tools}
    causes = connection.execute(select(shared_cause).where(shared_cause.c.key.in_(keys))).all()
    said = []
    for cause in causes:
        if abs(cause.mean) > BIAS_SHOWN * cause.sd:
            tool = keys[cause.key]
            off = say_percent(abs(math.expm1(cause.mean)))
            way = "long" if cause.mean > 0 else "short"
            name = f"“{tool}”" if tool else "Your niddy-noddy"
            said.append(f"{name} reads {off} {way}, from {cause.skeins} skeins.")
    return said
