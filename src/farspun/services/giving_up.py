"""Giving a cloth up, at any stage before it is finished: what it held is free again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from shlex import quote
from typing import Any

from sqlalchemy import RowMapping, select

from farspun.craft.plan import Plan
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.names import cloth_named
from farspun.services.readings import MG_PER_G, Weighed, weighed
from farspun.services.stages import SAID
from farspun.services.used_yarn import FAR_OFF_G, MORE_THAN_THERE
from farspun.services.writing import Deed, doing
from farspun.store import cloths, ledger
from farspun.store.engine import Stash, reading
from farspun.store.estimates import recompute
from farspun.store.rows import stands
from farspun.store.supplies import supplies
from farspun.store.tables import entry, skein
from farspun.store.weighings import weighed_balls
from farspun.units import Quantity, name_key, say_mass

UG_PER_G = 1_000_000


@dataclass(frozen=True, slots=True)
class GivenUp:
    """The cloth as it was, grams of each skein that came back (below 0: went), and remarks."""

    plan: Plan
    back_g: Mapping[str, float] = field(default_factory=dict)
    remarks: Sequence[str] = ()


def give_up_cloth(
    stash: Stash,
    name: str,
    back: bool | None = None,
    left: Sequence[tuple[str, Quantity]] = (),
    tare: Quantity | None = None,
) -> GivenUp:
    """Give a cloth up: its claims are free again, its plan and history are kept to look at.

    `back`: whether the warp's yarn goes back to its skeins; None: it does while the warp is only
    wound, and does not once it is on the loom, where it was cut. `left`: balls weighed now; a ball
    weighed at the loom before counts as it was then. Raises NotFound, WrongUse, ImpossibleValue.
    """
    told = {True: ", the warp's yarn back", False: ", the warp's yarn not back", None: ""}[back]
    told += "".join(f", left {skein} {on_scale.said}" for skein, on_scale in left)
    told += f", tare {tare.said}" if tare is not None else ""
    with doing(stash, "cloth give-up", f"{name.strip()}{told}") as deed:
        plan = cloth_named(deed.connection, name)
        if plan.status in ("finished", "given-up"):
            raise ImpossibleValue("cloth", plan.name or "", f"it is {SAID[plan.status]} already")
        if back and plan.status == "off-loom":
            raise WrongUse(
                f"The yarn of “{plan.name}” cannot go back: it is woven.", "Leave --back out."
            )
        ending = _Ending(deed, plan)
        weighed_now = ending.weighed_now(left, tare)
        if back if back is not None else plan.status in ("planned", "wound"):
            ending.put_back()
        ending.weigh(weighed_now)
        cloths.replace_claims(deed.connection, deed.action_id, ending.cloth_id, {})
        cloths.set_status(deed.connection, ending.cloth_id, "given-up")
        recompute(deed.connection)
        return GivenUp(plan, ending.back_g(), ending.remarks)


@dataclass(slots=True)
class _Ending:
    """One cloth coming to its end."""

    deed: Deed
    plan: Plan
    remarks: list[str] = field(default_factory=list)
    before_mg: dict[int, int | None] = field(init=False)

    def __post_init__(self) -> None:
        self.before_mg = {one: self._row(one)["balance_mg"] for one in self.plan.skein_ids}

    @property
    def cloth_id(self) -> int:
        assert self.plan.id is not None
        return self.plan.id

    def back_g(self) -> dict[str, float]:
        """What came back of each skein, in grams."""
        found = {}
        for one, before in self.before_mg.items():
            row = self._row(one)
            change = (row["balance_mg"] or 0) - (before or 0)
            if change:
                found[str(row["name"])] = change / MG_PER_G
        return found

    def put_back(self) -> None:
        """All that went out of the skeins for this cloth goes back, in one line for each."""
        rows = self.deed.connection.execute(
            select(entry.c.skein_id, entry.c.delta_mg, entry.c.length_mm)
            .where(entry.c.cloth_id == self.cloth_id, stands(entry))
            .order_by(entry.c.id)
        )
        gone: dict[int, int] = {}
        gone_mm: dict[int, int | None] = {}  # None where a part went by weight
        for skein_id, delta_mg, length_mm in rows:
            gone[skein_id] = gone.get(skein_id, 0) - delta_mg
            upto = gone_mm.get(skein_id, 0)
            if length_mm is None or upto is None:
                gone_mm[skein_id] = None
            else:
                gone_mm[skein_id] = upto + (length_mm if delta_mg < 0 else -length_mm)
        for skein_id, mass_mg in gone.items():
            row = self._row(skein_id)
            if mass_mg > 0 and row["status"] == "closed":
                grams = say_mass(mass_mg / MG_PER_G)
                self.remarks.append(f"“{row['name']}” is closed: its {grams} did not go back.")
            elif mass_mg > 0:
                length = {"length_mm": gone_mm[skein_id]} if (gone_mm[skein_id] or 0) > 0 else {}
                said = f"{self.plan.name} was given up"
                self._entry(skein_id, "returned", mass_mg, said, **length)

    def weighed_now(
        self, left: Sequence[tuple[str, Quantity]], tare: Quantity | None
    ) -> dict[int, Weighed | None]:
        """What was weighed, by skein of the cloth; None for nothing left.

        Raises NotFound, WrongUse, ImpossibleValue.
        """
        if tare is not None and not left:
            raise WrongUse("--tare goes with --left.", "Give --left SKEIN=MASS too.")
        if left and self.plan.status in ("planned", "wound"):
            raise WrongUse(
                f"Nothing of “{self.plan.name}” is woven yet, so there is nothing to weigh.",
                "Leave --left out; a skein by itself: farspun skein weigh",
            )
        there = supplies(self.deed.connection, self.plan.skein_ids).values()
        known = {one.name: one for one in there}
        found: dict[int, Weighed | None] = {}
        for text, on_scale in left:
            own = [one for name, one in known.items() if name_key(name) == name_key(text)]
            if not own:
                hint = f"It has {', '.join(known)}."
                raise NotFound(f"skein in “{self.plan.name}”", text.strip(), known, hint)
            if own[0].skein_id in found:
                raise WrongUse(f"--left names “{text.strip()}” twice.", "Weigh all of it at once.")
            net = None if on_scale.value == 0 else weighed(on_scale, tare)
            self._check_there(own[0].name, own[0].balance_mg, net)
            found[own[0].skein_id] = net
        return found

    def _check_there(self, name: str, balance_mg: int | None, net: Weighed | None) -> None:
        there_g = (balance_mg or 0) / MG_PER_G
        if net is not None and net.mass_g > there_g * (1 + MORE_THAN_THERE) + FAR_OFF_G:
            raise ImpossibleValue(
                "what is left",
                f"{say_mass(net.mass_g)} of “{name}”",
                f"its skein holds {say_mass(there_g)}",
                "Is the decimal point right? What it was weighed with comes off with --tare.",
            )

    def weigh(self, now: Mapping[int, Weighed | None]) -> None:
        """Balls hold what the scale says, now or the last time at the loom."""
        if self.plan.status not in ("on-loom", "off-loom"):
            return
        for skein_id, net in now.items():
            mass, step = (net.mass_mg, net.step_ug) if net else (0, 1)
            self._hold(skein_id, mass, step, net.said if net else "all that was left")
        if self.plan.status != "on-loom":
            return
        last = {one.skein_id: one for one in weighed_balls(self.deed.connection, self.cloth_id)}
        for skein_id, ball in last.items():
            if skein_id not in now:
                step = max(1, round(ball.step_g * UG_PER_G))
                said = f"weighed at the loom: {ball.said}"
                self._hold(skein_id, round(ball.mass_g * MG_PER_G), step, said)
        for skein_id in dict.fromkeys(part.skein_id for part in self.plan.weft):
            if skein_id not in now and skein_id not in last:
                name = self._row(skein_id)["name"]
                self.remarks.append(
                    f"What was woven of “{name}” is not known: if any was, tell what is left:"
                    f" farspun skein weigh {quote(name)} MASS"
                )

    def _hold(self, skein_id: int, mass_mg: int, step_ug: int, said: str) -> None:
        """The skein holds so much now."""
        change_mg = mass_mg - (self._row(skein_id)["balance_mg"] or 0)
        if mass_mg == 0 and change_mg:
            self._entry(skein_id, "taken", change_mg, said)
        elif mass_mg:
            more = {"weighed_mg": mass_mg, "step_ug": step_ug}
            self._entry(skein_id, "weighed", change_mg, said, **more)

    def _entry(self, skein_id: int, kind: str, delta_mg: int, said: str, **more: Any) -> None:
        ledger.add_entry(
            self.deed.connection, self.deed.action_id, skein_id, kind, delta_mg, said,
            cloth_id=self.cloth_id, **more,
        )  # fmt: skip

    def _row(self, skein_id: int) -> RowMapping:
        found = self.deed.connection.execute(select(skein).where(skein.c.id == skein_id))
        return found.mappings().one()


def what_giving_up_does(stash: Stash, name: str, back: bool | None = None) -> str:
    """The question to ask before, which says what becomes of its yarn. Raises NotFound."""
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
    goes_back = back if back is not None else plan.status == "wound"
    then = ""
    if plan.status == "off-loom":
        then = "; what is woven stays used"
    elif plan.status == "wound" and goes_back:
        then = "; its warp's yarn goes back to the skeins (--no-back, if it was cut)"
    elif plan.status in ("wound", "on-loom") and not goes_back:
        then = "; its warp's yarn stays used (--back, if it came off whole)"
    return f"Give up “{plan.name}” and free the yarn it claims{then}?"
