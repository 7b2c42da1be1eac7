"""farspun web: the same as pages, for a phone beside the scale and for a desk."""

import gc
from typing import Annotated

import typer

from farspun.cli.opening import stash_to_read
from farspun.cli.printing import tell
from farspun.errors import WrongUse

HOST = "127.0.0.1"  # this machine alone


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("web", short_help="The same as pages, in a browser.")(web)


def web(
    ctx: typer.Context,
    port: Annotated[
        int, typer.Option(metavar="N", min=0, max=65535, help="Where; 0 for any that is free.")
    ] = 8765,
) -> None:
    """Show the stash as pages, for this machine alone, until you end it with Ctrl-C."""
    import socket

    import uvicorn

    from farspun.web.app import make_app

    stash = stash_to_read(ctx)
    gc.enable()  # a server runs on, unlike a command
    listening = socket.socket()
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as trouble:
        listening.close()
        raise WrongUse(
            f"Port {port} cannot be used ({trouble.strerror}).",
            "Choose another with --port, or 0 for any that is free.",
        ) from None
    tell(f"The pages are at http://{HOST}:{listening.getsockname()[1]}/ until you press Ctrl-C.")
    settings = uvicorn.Config(
        make_app(stash), log_level="warning", server_header=False, limit_concurrency=None
    )
    with listening:
        uvicorn.Server(settings).run(sockets=[listening])
