"""Random things done to a stash, and what is to be seen of it, for tests that compare the two."""

import re
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from sqlalchemy import func, select

from farspun.craft.woven import Told
from farspun.errors import FarspunError, WrongUse
from farspun.services import (
    balance,
    cloths,
    corrections,
    equipment,
    exporting,
    giving_up,
    history,
    lessons,
    life,
    showing,
    skein_closing,
    skeins,
    undoing,
)
from farspun.services.cloth_asked import ClothAsked
from farspun.services.factors import FACTORS
from farspun.store import tables
from farspun.store.cloths import cloth_names
from farspun.store.engine import Stash, reading
from farspun.store.estimates import estimate_rows
from farspun.store.rows import in_sight, stands
from farspun.store.used import yarn_used
from farspun.units import dents, length, mass
from stashes import add_skein, measured

NAMES = ("Gorse 1", "gorse 2", "Ästa; “B”, c", "D=5:3")
CLOTHS = ("Shawl", "Rug")
WHAT = (
    *("add", "add", "add", "measure", "measure", "weigh", "take", "take for", "close"),
    *("plan", "plan", "change", "claim", "give up", "loom", "reed", "undo", "undo"),
    *("sample", "wound", "wound", "on-loom", "on-loom", "off-loom", "finished", "confirm"),
)
STAGES = ("wound", "on-loom", "off-loom", "finished")
MASSES = ("112 g", "98.5 g", "3 3/4 oz", "1/4 lb", "0.50 kg", "41 g", "7 g")
LENGTHS = ("271 m", "296 yd", "12 yd 18 in", "400 m", "95.5 m")
DOINGS = st.lists(
    st.tuples(
        st.sampled_from(WHAT),
        st.integers(0, len(NAMES) - 1),
        st.sampled_from(MASSES),
        st.sampled_from(LENGTHS),
        st.integers(0, 5),
    ),
    max_size=10,
)
PRELUDE = (  # so that what follows finds yarn, a loom and a cloth
    ("add", 0, "112 g", "400 m", 2),
    ("add", 1, "98.5 g", "296 yd", 0),
    ("loom", 0, "7 g", "95.5 m", 1),
    ("plan", 1, "7 g", "95.5 m", 0),
)
SAMPLES = (
    Told(reed_cm=12.0, off_width_cm=11.0, off_length_cm=10.0, washed_width_cm=9.9),
    Told(picks_per_cm=3.3),
    Told(picks_per_cm=33.0, picks_state="tight", mass_g=4.2),
    Told(off_width_cm=11.0, off_length_cm=10.0, washed_width_cm=10.0, washed_length_cm=90.0),
    Told(picks_state="tight"),
    Told(),
)
TOLD: dict[str, tuple[Told, ...]] = {
    "wound": (
        *(Told(), Told(ends=70, warp_cm=160.0), Told(ends=60), Told(warp_cm=150.0), Told()),
        Told(thrums_cm=50.0),
    ),
    "on-loom": (
        *(Told(), Told(picks_per_cm=3.0, picks_state="tight"), Told(ends=66), Told(), Told()),
        Told(ends=64, warp_cm=140.0),
    ),
    "off-loom": (
        *(Told(), Told(off_width_cm=20.0, off_length_cm=60.0, tape_cm=62.0), Told(thrums_cm=55.0)),
        *(Told(thrums_cm=5000.0), Told(off_width_cm=20.0, off_length_cm=55.0), Told(ends=68)),
    ),
    "finished": (
        *(Told(), Told(washed_width_cm=18.0, washed_length_cm=54.0), Told(wash="hot")),
        *(Told(washed_width_cm=54.0, washed_length_cm=18.0), Told(picks_per_cm=3.2)),
        Told(thrums_cm=60.0, spare_cm=5.0, mass_g=80.0),
    ),
}
# the whole life of the cloth of PRELUDE, with corrections, a slip, and its confirmation
LIVED = (
    ("sample", 1, "7 g", "95.5 m", 0),
    ("wound", 1, "7 g", "95.5 m", 1),
    ("wound", 1, "7 g", "95.5 m", 2),
    ("on-loom", 1, "7 g", "95.5 m", 1),
    ("off-loom", 1, "7 g", "95.5 m", 1),
    ("off-loom", 1, "41 g", "95.5 m", 4),
    ("finished", 1, "7 g", "95.5 m", 1),
    ("finished", 1, "7 g", "95.5 m", 3),
    ("confirm", 1, "7 g", "95.5 m", 5),
)
NUMBER = re.compile(r"\b(?:skein_)?id=\d+")

NOTHING: Any = ([], [], [], [], [], [])  # what is seen of an empty stash
MEMORY = Path("/dev/shm")  # quicker than a disk, where there is one
FIBRES = ("wool", "wool 80, silk 20", "linen", "alpaca", "Wool 66.7% nylon 33.3%", "cotton")
STATES = (None, "relaxed", "unwashed", "under-tension", "relaxed", "unwashed")
TEXTS = (None, "soft, ü", '"quoted"', "=1+1", "a; b", "NA")


def _readings(grams: str, metres: str, n: int) -> dict[str, Any]:
    """A choice of readings."""
    found: dict[str, Any] = {}
    if n != 1:
        found["mass"] = grams
    if n in (0, 2):
        found |= {"length": metres, "state": STATES[n], "tool": TEXTS[1] if n else None}
    if n in (3, 2):
        found |= {"strands": 120, "once_round": "1.5 m", "state": STATES[n]}
    if n in (1, 4):
        found |= {"wpi": "15 wpi; 5.5 wraps/cm", "test_length": "10m=4.3g"}
    if n == 5:
        found |= {"label": "2/8 cotton", "tare": "5 g"}
    return found


@contextmanager
def a_folder() -> Iterator[Path]:
    """A folder that goes again."""
    where = MEMORY if MEMORY.is_dir() else None
    with tempfile.TemporaryDirectory(dir=where) as folder:
        yield Path(folder)


def do_all(stash: Stash, doings: Iterable[tuple[Any, ...]]) -> int:
    """One after the other; how many were not refused."""
    return sum(do(stash, *doing) for doing in doings)


def do(stash: Stash, what: str, which: int, grams: str, metres: str, n: int) -> bool:
    """One thing; False where it was refused, as it may be."""
    try:
        carry_out(stash, what, which, grams, metres, n)
    except FarspunError:
        return False
    return True


def carry_out(stash: Stash, what: str, which: int, grams: str, metres: str, n: int) -> None:
    """One thing; raises FarspunError where it is refused."""
    name, cloth = NAMES[which], CLOTHS[which % 2]
    if what == "add":
        said = skeins.Description(
            name, fibre=FIBRES[n], note=TEXTS[n], colour=TEXTS[5 - n], mill=n == 5,
            plies=n or None, rebuy=mass(grams) if n == 5 else None, wrap="snug" if n == 4 else None,
            spun="2024-05" if n == 3 else None, superwash=n == 2,
        )  # fmt: skip
        skeins.add(stash, said, measured(**_readings(grams, metres, n)))
    elif what == "measure":
        skeins.measure(stash, name, measured(**_readings(grams, metres, n)))
    elif what == "weigh":
        balance.weigh(stash, name, mass(grams), mass("2 g") if n else None)
    elif what == "take":
        balance.take(stash, name, balance.amount("5 g" if n % 2 else "9.5 m"))
    elif what == "take for":
        balance.take(stash, name, balance.amount("9 m" if n % 2 else "3 g"), cloth)
    elif what == "strike":
        said = (metres, "15 wpi", grams, "2/8 cotton", "10 m = 4.3 g", grams)[n]
        corrections.strike(stash, name, said)
    elif what == "describe":
        anew = ("fibre", "note", "wrap", "name", "superwash", "plies")[n]
        value = (FIBRES[which], TEXTS[which] or "", "snug", NAMES[which - 1], True, 3)[n]
        corrections.describe_anew(stash, name, {anew: value})
    elif what == "close":
        skein_closing.close(stash, name, "given", sure=True)
    elif what in ("plan", "change"):
        order = ("Gorse 1:2", "gorse 2:1") if n == 1 else (NAMES[n % 4],)
        in_order = {"warp_order": f'(3 "{order[0]}", 1 "{order[0].upper()}" | mirror)x2'}
        weft = ("gorse 2:60%", "D=5:3:40%") if n == 2 else (name,)
        asked = ClothAsked(
            width_cm=20.0 + n, length_cm=50.0, size_said="small", warp=order, weft=weft,
            priority=n + 1, cut=n == 3, pieces=1 + n % 2, sett_per_cm=4.0 if n == 4 else None,
            **(in_order if n == 5 else {}),
        )  # fmt: skip
        (cloths.plan_cloth if what == "plan" else cloths.change_cloth)(stash, cloth, asked)
    elif what == "claim":
        cloths.claim_cloth(stash, cloth)
    elif what == "give up":
        giving_up.give_up_cloth(stash, cloth)
    elif what == "sample":
        life.sample_cloth(stash, cloth, SAMPLES[n], ": measured")
    elif what in STAGES:
        said, tare = f": {what} {n}", mass("1 g") if n == 4 else None
        left = [(name, mass(grams))] if n in (3, 4) else [(name, mass("0 g", zero=True))][n < 5 :]
        life.advance(stash, cloth, what, TOLD[what][n], said, left, tare)
    elif what == "confirm":
        if lessons.confirm(stash, cloth, list(FACTORS.values())[n]).already:
            raise WrongUse("It counted already.", "Nothing was stored.")  # so nothing to take back
    elif what == "loom":
        equipment.add_loom(
            stash, name, "table", length(metres), length("50cm±8cm") if n else None, sure=True
        )
    elif what == "reed":
        equipment.add_reed(stash, name, dents("8 dpi"), loom=name if n else None)
    else:
        undoing.undo(stash)


def seen(stash: Stash) -> Any:
    """All that the commands show of a stash, but for what was undone."""
    shown = showing.show_all(stash)
    with reading(stash) as connection:
        planned = cloth_names(connection)
    return (
        [(one, _readings_of(stash, one.name)) for one in shown],
        equipment.list_looms(stash),
        equipment.list_reeds(stash),
        [cloths.show_cloth(stash, name) for name in planned],
        [(one.cloth, one.odds, one.verdict) for one in cloths.check_cloths(stash)],
        [one for one in lessons.lessons(stash).factors if one.records],
    )


def _readings_of(stash: Stash, name: str) -> list[tuple[str, str]]:
    return [(one.kind, one.said) for one in showing.show(stash, name).evidence]


def without_numbers(what: Any) -> str:
    """What is seen, but for the numbers of rows, which may be others in another stash."""
    return NUMBER.sub("", repr(what))


def lines(stash: Stash) -> Any:
    """Every line of every skein's history."""
    return [(one.name, history.history(stash, one.name)) for one in showing.show_all(stash)]


def exported(stash: Stash, name: str) -> bytes:
    """What an export to a file of that name beside the stash writes in it."""
    path = stash.path.parent / name
    exporting.export(stash, path)
    return path.read_bytes()


def hangs_together(stash: Stash) -> None:
    """Ledger, balances, claims, estimates and histories agree."""
    with reading(stash) as connection:
        balances = connection.execute(
            select(tables.skein.c.balance_mg, func.coalesce(func.sum(tables.entry.c.delta_mg), 0))
            .join(tables.entry, isouter=True)
            .group_by(tables.skein.c.id)
        ).all()
        assert all((balance or 0) == total >= 0 for balance, total in balances)
        stored = connection.execute(select(tables.estimate)).mappings().all()
        assert [dict(row) for row in stored] == estimate_rows(connection)
        hidden = connection.execute(
            select(tables.claim.c.id)
            .join(tables.cloth)
            .where(tables.cloth.c.undone | (tables.cloth.c.status == "given-up"))
        ).all()
        assert hidden == []
        outside = dict(
            connection.execute(
                select(tables.entry.c.skein_id, func.sum(tables.entry.c.delta_mg))
                .where(tables.entry.c.cloth_id.is_(None), stands(tables.entry))
                .group_by(tables.entry.c.skein_id)
            ).all()
        )
        used: dict[int, float] = {}
        for cloth in yarn_used(connection).values():
            for skein_id, grams in cloth.grams.items():
                used[skein_id] = used.get(skein_id, 0.0) + 1000 * grams
        left = dict(connection.execute(select(tables.skein.c.id, tables.skein.c.balance_mg)).all())
        for (
            skein_id,
            had_mg,
        ) in outside.items():  # what cloths used and what is left is what was had
            assert round(used.get(skein_id, 0.0)) + (left[skein_id] or 0) == had_mg
        named = select(tables.skein.c.name, tables.skein.c.balance_mg)
        held = {
            row.name: row.balance_mg
            for row in connection.execute(named.where(in_sight(tables.skein)))
        }
    for name, happened in lines(stash):
        known = [line.balance_g for line in happened if line.balance_g is not None]
        assert all(grams >= 0 for grams in known)
        assert (known[-1] if known else 0) == (held[name] or 0) / 1000


def a_skein(stash: Stash, name: str) -> None:
    """A plain one."""
    add_skein(stash, name, mass="100 g", length="400 m", state="relaxed")
