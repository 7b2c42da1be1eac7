"""Tags for skeins: what each says, gathered; and the sheet to print."""

from collections.abc import Sequence
from pathlib import Path

from farspun.cards.paper import checked_paper
from farspun.cards.tag_facts import Length, Tag
from farspun.errors import WrongUse
from farspun.services.card_notes import washed
from farspun.services.carding import checked_out, patch_of
from farspun.services.file_asked import write_whole
from farspun.services.showing import ShownWhole, shown_whole
from farspun.store.cloths import readings_seen
from farspun.store.engine import Stash, reading
from farspun.store.skeins import skein_named
from farspun.units import name_key


def tags_of(stash: Stash, names: Sequence[str]) -> list[Tag]:
    """A tag for each skein named. Raises NotFound; WrongUse for a name given twice."""
    keys = [name_key(name) for name in names]
    for at, key in enumerate(keys):
        if key in keys[:at]:
            raise WrongUse(f"“{names[at].strip()}” is named twice.", "Name each skein once.")
    with reading(stash) as connection:
        rows = [skein_named(connection, name) for name in names]
        seen = readings_seen(connection, [row["id"] for row in rows])
        return [
            _tag(shown_whole(connection, row["name"]), row["wrap"], washed(seen[row["id"]]))
            for row in rows
        ]


def print_tags(
    tags: Sequence[Tag], out: Path, paper: str, qr: bool = False, force: bool = False
) -> None:
    """Write the tags to `out` as a PDF to cut up. Raises WrongUse, ImpossibleValue."""
    checked_out(out, paper, force)
    write_whole(out, tags_as_pdf(tags, paper, qr))


def tags_as_pdf(tags: Sequence[Tag], paper: str, qr: bool = False) -> bytes:
    """The tags as a PDF to cut up. Raises ImpossibleValue for a paper that is none."""
    from farspun.cards.tags import tags_pdf

    return tags_pdf(tags, checked_paper(paper), qr)


def _tag(shown: ShownWhole, wrap: str | None, was_washed: bool | None) -> Tag:
    length = shown.length_m
    return Tag(
        name=shown.name,
        fibre=shown.fibre,
        superwash=shown.superwash,
        plies=shown.plies,
        twist=shown.twist,
        draw=shown.draw,
        mill=shown.mill,
        washed=was_washed,
        mass_g=shown.mass_g,
        length_m=Length(length["p05"], length["p50"], length["p95"]) if length else None,
        m_per_100g=shown.m_per_100g,
        yd_per_lb=shown.yd_per_lb,
        wraps_per_cm=shown.wraps_per_cm,
        wrap=wrap,
        colour=shown.colour,
        hex=patch_of(shown.colour),
        spun=shown.spun,
        place=shown.place,
        note=shown.note,
    )
