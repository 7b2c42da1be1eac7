"""docs/web.md: every page there is, and the bounds that are kept."""

import re
from pathlib import Path

from docs.pages import TOP
from farspun.cli.web import HOST
from farspun.store.engine import Stash
from farspun.web.app import HOSTS, make_app
from farspun.web.guard import MOST_BYTES

PAGE = (TOP / "docs" / "web.md").read_text(encoding="utf-8")
FRAGMENTS = {
    "/skeins/new/estimate",
    "/cloths/verdict",
    "/cloth/face.png",
    "/skein/weaves/largest",
    "/",
}  # parts of a page, and the way in


def _pages(tmp_path: Path) -> set[str]:
    app = make_app(Stash(path=tmp_path / "stash.db"))
    found: set[str] = set()
    routers = [app.router]
    while routers:
        for route in routers.pop().routes:
            if "GET" in (getattr(route, "methods", None) or ()):
                found.add(route.path)
            inner = getattr(route, "original_router", None)
            if inner is not None:
                routers.append(inner)
    return found


def test_the_table_names_every_page_and_no_other(tmp_path: Path) -> None:
    named = set(re.findall(r"^\| `(/[a-z/-]*)` \|", PAGE, re.MULTILINE))
    assert named == _pages(tmp_path) - FRAGMENTS


def test_the_bounds_told_are_those_that_are_kept() -> None:
    assert f"at most {MOST_BYTES // 1_000_000} MB" in PAGE
    assert all(f"`{host}`" in PAGE for host in HOSTS)
    assert f"`http://{HOST}:8765/`" in PAGE
