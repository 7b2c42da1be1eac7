"""What the pages say in plainer words than the command line: doubts, states, times, deeds."""

import re
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farspun.services.doubts import Item
    from farspun.services.undoing import Undone

FAR = 3.0  # times its doubt from which a reading is far off the rest; judgement
FITS = 1.0  # times its doubt within which nobody wonders; judgement
NO_FIGURE = 10.0  # times its doubt from which the figure tells no more; judgement
STATES = {
    "relaxed": "washed, dry and slack",
    "unwashed": "as wound, unwashed",
    "under tension": "washed but stretched",
}
DONE = {  # how a command reads to a weaver
    "skein add": "skein added",
    "skein weigh": "skein weighed",
    "skein measure": "skein measured",
    "skein take": "yarn taken",
    "skein close": "skein closed",
    "skein reopen": "skein opened again",
    "skein strike": "reading struck out",
    "skein change": "skein put right",
    "loom add": "loom added",
    "loom change": "loom put right",
    "loom remove": "loom removed",
    "reed add": "reed added",
    "reed change": "reed put right",
    "reed remove": "reed removed",
    "import": "stash brought in",
    "lessons": "record confirmed",
    "share-out": "yarn shared out",
    "cloth plan": "cloth planned",
    "cloth change": "cloth changed",
    "cloth claim": "yarn claimed again",
    "cloth wound": "warp wound",
    "cloth on-loom": "cloth put on the loom",
    "cloth weigh": "ball weighed",
    "cloth off-loom": "cloth off the loom",
    "cloth finished": "cloth finished",
    "cloth sample": "sample measured",
    "cloth cut": "pieces cut",
    "cloth give-up": "cloth given up",
}


def plain(text: str) -> str:
    """A sentence without figures in spreads, and with states as the choices call them.

    >>> plain("The count (168 m) does not fit the rest, off by 108.5 spreads: is it a slip?")
    'The count (168 m) does not fit the rest: is it a slip?'
    >>> plain("and it is off by 3.2 spreads of what your other records say.")
    'and it is far off what your other records say.'
    >>> plain("counted 112 strands, relaxed")
    'counted 112 strands, washed, dry and slack'
    """
    text = re.sub(r", off by [\d.]+(?: and [\d.]+)* spreads", "", text)
    text = re.sub(r"off by ([\d.]+) spreads of", lambda found: f"{_off(float(found[1]))} off", text)
    return re.sub(
        rf", ({'|'.join(STATES)})(?=$|[,;.)])", lambda found: f", {STATES[found[1]]}", text
    )


def _off(spreads: float) -> str:
    return "far" if spreads >= FAR else "a little"


def reading_off(item: "Item") -> str:
    """How a reading stands to all of them together; "" where it was not judged.

    >>> from farspun.services.doubts import Item
    >>> [reading_off(Item("weighed", "71 g", pull)) for pull in (0.4, -2.1, 4.2, 108.5)]
    ... # doctest: +NORMALIZE_WHITESPACE
    ['fits the rest', 'a little off the rest (2.1 times its doubt)',
     'far off the rest (4.2 times its doubt)', 'far off the rest']
    """
    if not item.pull:
        return ""
    off = abs(item.pull)
    if off < FITS:
        return "fits the rest"
    figure = f" ({off:.1f} times its doubt)" if off < NO_FIGURE else ""
    return f"{_off(off)} off the rest{figure}"


def local_minute(at: str) -> str:
    """A moment as the clock of this place showed it."""
    return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")


def done_said(undone: "Undone") -> str:
    """What was done, with what, and when: “Skein weighed: Gorse: 71 g (2025-03-01 10:30).”"""
    done = DONE.get(undone.command, undone.command)
    what = f": {plain(undone.said)}" if undone.said else ""
    return f"{done[:1].upper()}{done[1:]}{what} ({local_minute(undone.at)})."
