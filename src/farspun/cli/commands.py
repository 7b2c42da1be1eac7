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
        lash,
        lessons,
        match,
        picture,
        reach,
        reckon,
        share_out,
        shortfalls,
        skein,
        to_spin,
        transfer,
        undo,
        upkeep,
        web,
    )

    for group in (
        *(demo, web, reach, largest, match, skein, cloth, share_out, shortfalls, to_spin),
        *(lessons, equipment, undo, picture, transfer, upkeep),
        *(arithmetic, draft, geometry, reckon, lash),
    ):
        group.add_to(app)
