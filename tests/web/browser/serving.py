"""The pages on a free port, as `farspun web` serves them, and a browser for them."""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
from playwright.sync_api import Browser, sync_playwright

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 800}
ALONE = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
PAGES = {
    "stash": "/stash",
    "skein-new": "/skeins/new?name=Wheat&mass=71&strands=112&once_round=1.5&state=relaxed&work=1",
    "skein": "/skein?name=Driftwood",
    "weaves": "/skein/weaves?name=Oat",
    "weaves-wrong": "/skein/weaves?name=Oat&wide=x&long=",
    "weaves-largest": "/skein/weaves?name=Oat&side=warp&with=Slate&largest=yes",
    "cloths": "/cloths",
    "cloth-new": "/cloths/new",
    "cloth": "/cloth?name=Scarf",
    "cloth-woven": "/cloth?name=Shawl",
    "cloth-yarns": "/cloth/yarns?name=Scarf&side=weft",
    "share-out": "/share-out",
    "cloth-history": "/cloth/history?name=Shawl",
    "to-spin": "/to-spin",
    "at-the-loom": "/at-the-loom?cloth=Scarf",
    "weigh": "/at-the-loom?cloth=Shawl",
    "looms": "/looms",
    "lessons": "/lessons",
    "undo": "/undo",
    "not-there": "/skein?name=Nothing",
}


def chromium() -> str | None:
    """The browser of this machine."""
    return shutil.which("chromium")


@contextmanager
def served(stash: Path) -> Iterator[str]:
    """The address of `farspun web` on this stash."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "farspun", "--stash", str(stash), "web", "--port", str(port)]
    environment = os.environ | {"HOME": str(stash.parent), "XDG_STATE_HOME": str(stash.parent)}
    with (stash.parent / "served.log").open("w") as log:
        server = subprocess.Popen(command, stdout=log, stderr=log, env=environment)
        try:
            yield _once_it_answers(f"http://127.0.0.1:{port}", server)
        finally:
            server.terminate()
            server.wait(20)


def _once_it_answers(address: str, server: "subprocess.Popen[bytes]") -> str:
    for _ in range(300):
        try:
            httpx.get(f"{address}/static/farspun.css")
            return address
        except httpx.TransportError:
            assert server.poll() is None, "the server ended"
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


@contextmanager
def browser() -> Iterator[Browser]:
    """Chromium, alone with this machine."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=chromium(), args=list(ALONE))
        try:
            yield running
        finally:
            running.close()
