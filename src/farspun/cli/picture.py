"""farspun picture: charts of what the stash knows."""

import typer

from farspun.cli import picture_charts

group = typer.Typer(no_args_is_help=True, help="Draw it: charts to print or to send.")


def add_to(app: typer.Typer) -> None:
    """Hang the group on the tree."""
    picture_charts.add_charts(group)
    app.add_typer(group, name="picture")
