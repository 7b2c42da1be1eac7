"""Doubts about a skein, in plain words: readings that disagree, tools that read long or short."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from farspun.store.rows import stands
from farspun.store.tables import estimate, evidence, shared_cause
from farspun.units import name_key, say_percent

BIAS_SHOWN = 2.0  # spreads from nothing at which a tool is told of; judgement
NOUNS = {
    "weighed": "the mass",
    "counted": "the count",
    "test length": "the test length",
    "wrapped": "the wraps",
    "labelled": "the label",
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
    said = " and ".join(f"{NOUNS[item.kind]} ({item.said})" for item in named)
    off = " and ".join(f"{abs(item.pull or 0.0):.1f}" for item in named)
    disagree = "disagree" if len(named) > 1 else "does not fit the rest"
    return Disagreement(named, f"{said} {disagree}, off by {off} spreads: {conflict['ask']}?")


def disagreements(connection: Connection, skein_ids: Collection[int]) -> dict[int, Disagreement]:
    """Those of the skeins whose readings disagree, with the question to ask."""
    rows = connection.execute(
        select(estimate.c.skein_id, estimate.c.conflict, estimate.c.pulls).where(
            estimate.c.skein_id.in_(skein_ids), estimate.c.conflict.is_not(None)
        )
    ).all()
    found = {}
    for skein_id, conflict, pulls in rows:
        said = connection.execute(
            select(evidence.c.id, evidence.c.kind, evidence.c.said).where(
                evidence.c.id.in_(conflict["evidence"])
            )
        )
        items = {number: Item(kind, text, pulls.get(str(number))) for number, kind, text in said}
        found[skein_id] = disagreement(conflict, items)
    return found


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
