"""What was said of a skein, put right: its name, colour, fibre, plies, when, where, a note."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from farspun.services.browsing import look_at
from farspun.services.corrections import describe_anew
from farspun.services.showing import ShownWhole
from farspun.web.answering import address
from farspun.web.drawing import Desk
from farspun.web.forms import Asks
from farspun.web.pages.skein_boxes import DESCRIBED

SAID = ("name", "colour", "fibre", "plies", "spun", "place", "note")
NEEDED = {"name": "It needs a name.", "fibre": "Say of what fibre it is; “wool” will do."}
PUT_RIGHT = Asks(
    "/skein/change",
    "Put it right",
    [replace(one, needed=NEEDED.get(one.name, "")) for one in DESCRIBED if one.name in SAID],
)


def described_now(skein: ShownWhole) -> Mapping[str, object]:
    """What is said of it, by box."""
    return {name: getattr(skein, name) for name in SAID}


def put_right(desk: Desk, name: str, values: Mapping[str, Any]) -> tuple[str, list[str]]:
    """Change what is another now; an emptied box takes it away. Raises as `describe_anew`."""
    before = described_now(look_at(desk.stash, name).skein)
    said = {one: values[one] for one in SAID if values[one] != before[one]}
    shown = describe_anew(desk.stash, name, said)
    told = ", ".join(f"{one} {'taken away' if now is None else now}" for one, now in said.items())
    return address("/skein", name=shown.name), [f"Put right: {told}."]
