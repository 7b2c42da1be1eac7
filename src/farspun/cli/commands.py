"""Which modules make up the command tree, in the order `--help` shows them."""

import typer


def add_to(app: typer.Typer) -> None:
    """Hang every command and group on the tree."""
    from farspun.cli import (
        arithmetic,
        cloth,
        demo,
        draft,
        equipment,
        geometry,
        largest,
        lessons,
        match,
        reach,
        reckon,
        shortfalls,
        skein,
        to_spin,
        transfer,
        undo,
        upkeep,
        web,
    )

    for group in (
        *(demo, web, reach, largest, match, skein, cloth, shortfalls, to_spin, lessons, equipment),
        *(undo, transfer, upkeep, arithmetic, draft, geometry, reckon),
    ):
        group.add_to(app)
