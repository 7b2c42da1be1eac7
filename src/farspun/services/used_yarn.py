"""Yarn that a cloth uses up: taken from its skeins when a side is woven or wound, corrected later.

What is not weighed is worked out: warp from ends and length, weft from picks and their length. A
skein that was weighed afterwards holds what the scale says, whatever was worked out before.
"""

import math
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from shlex import quote

from sqlalchemy import RowMapping, delete, select

from farspun.craft.plan import Part, Plan
from farspun.errors import ImpossibleValue, ToConfirm
from farspun.services.balance import weigh_in
from farspun.services.case_for import yarn_groups
from farspun.services.readings import MG_PER_G, MM_PER_M, Weighed
from farspun.services.wording_used import apart_said, more_left_said
from farspun.services.writing import Deed
from farspun.store import ledger
from farspun.store.claims import reduce_claims
from farspun.store.rows import stands
from farspun.store.supplies import Supply, supplies
from farspun.store.tables import action, claim, entry, skein
from farspun.units import Quantity, say_length, say_mass

NOTHING_MORE_M = 0.5  # metres; judgement: less is not worth a remark
FAR_MORE = 2.0  # times what there was; judgement: no cone weighs as much as its yarn
MORE_THAN_THERE = 0.03  # of a skein; judgement: three times what a day's humidity does
FAR_OFF, FAR_OFF_G = 0.3, 2.0  # of what was expected, at least g; judgement: three spreads or so


@dataclass(frozen=True, slots=True)
class Left:
    """What she found of a skein afterwards; `net` None: nothing."""

    net: Weighed | None
    on_scale: Quantity
    tare: Quantity | None

    @property
    def mass_mg(self) -> int:
        """As the ledger keeps it."""
        return 0 if self.net is None else self.net.mass_mg


@dataclass(slots=True)
class Used:
    """What went out of the skeins, by id in mg, and remarks to make."""

    skeins_mg: dict[int, int] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def add(self, skein_id: int, mass_mg: int) -> None:
        """So much more of it."""
        self.skeins_mg[skein_id] = self.skeins_mg.get(skein_id, 0) + mass_mg


@dataclass(slots=True)
class Using:
    """One cloth using yarn in one command. `left`: what she weighed of a skein afterwards; `sure`:
    it is right, though it does not fit; None where only what cannot be is asked about. `asked`:
    skeins whose weight was asked about already."""

    deed: Deed
    plan: Plan
    left: Mapping[int, Left]
    sure: bool | None = False
    used: Used = field(default_factory=Used)
    asked: set[int] = field(default_factory=set)
    _began_mg: dict[int, int] = field(default_factory=dict)
    _there_mg: dict[int, int] = field(default_factory=dict)
    _weighed_before: frozenset[int] = frozenset()
    _expected_mg: dict[int, float] = field(default_factory=dict)
    _touched: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        """What the skeins that were weighed held before, and before this cloth.

        Raises ImpossibleValue where far more is left than there ever was for it, ToConfirm where
        more is left and she is not sure.
        """
        self._began_mg = {one: self._row(one)["balance_mg"] or 0 for one in self.left}
        self._weighed_before = self._weighed_already(self.left.keys())
        for one, began_mg in self._began_mg.items():
            self._there_mg[one] = began_mg - sum(mg for _, mg, _ in self._own(one))
            self._check_there(one)

    def _check_there(self, skein_id: int) -> None:
        left, there_mg = self.left[skein_id], self._there_mg[skein_id]
        if left.net is not None and left.mass_mg > FAR_MORE * max(there_mg, FAR_OFF_G * MG_PER_G):
            name = self._row(skein_id)["name"]
            raise ImpossibleValue(
                "what is left",
                f"{say_mass(left.net.mass_g)} of “{name}”",
                f"there were {say_mass(there_mg / MG_PER_G)} before this cloth",
                "Is the decimal point right? What it was weighed with comes off with --tare.",
            )
        most_mg = there_mg * (1 + MORE_THAN_THERE) + FAR_OFF_G * MG_PER_G
        if left.net is not None and left.mass_mg > most_mg and not self.sure:
            name = self._row(skein_id)["name"]
            raise ToConfirm(
                "what is left",
                f"{say_mass(left.net.mass_g)} of “{name}”",
                f"There were {say_mass(there_mg / MG_PER_G)} of “{name}” before this cloth, and"
                f" {say_mass(left.net.mass_g)} are left: was a cone or shuttle weighed too"
                " (--tare), or is the weight a slip?",
            )

    def gone_mg(self, skein_id: int) -> int | None:
        """What went of a skein into this cloth by the scale, now or before; None: not weighed."""
        if skein_id in self.left:
            return self._there_mg[skein_id] - self.left[skein_id].mass_mg
        if self._weighed_already({skein_id}):
            return -sum(mg for _, mg, _ in self._own(skein_id))
        return None

    def use(self, side: str, metres: Sequence[float]) -> None:
        """Take what one side needs, `metres` of each of its yarns; its claims end there."""
        parts = self.plan.warp if side == "warp" else self.plan.weft
        for group, wanted_m in zip(yarn_groups(parts), metres, strict=True):
            self._use_group(side, group, wanted_m)
        self.release(side)

    def correct(self, needs: Mapping[str, Sequence[float]]) -> None:
        """Take more, or put back, where ends or lengths were told anew.

        `needs`: metres of each yarn of the sides that are wound or woven by now. Skeins that were
        weighed for the cloth stay as the scale said.
        """
        for sides, parts, wanted_m in self._yarns(needs):
            ids = {part.skein_id for part in parts}
            weighed_for = self._weighed_for(ids)
            open_parts = [part for part in parts if part.skein_id not in weighed_for]
            more_m = wanted_m - sum(self._used_m(one) for one in ids)
            if more_m > NOTHING_MORE_M and open_parts:
                self._take(open_parts, more_m, sides)
            elif more_m < -NOTHING_MORE_M and open_parts:
                self._put_back(open_parts, -more_m, sides)

    def _yarns(
        self, needs: Mapping[str, Sequence[float]]
    ) -> Iterator[tuple[str, list[Part], float]]:
        """(sides in words, parts, metres needed) of yarns that have no skein in common."""
        found: list[tuple[str, list[Part], float]] = []
        for side, metres in needs.items():
            parts = self.plan.warp if side == "warp" else self.plan.weft
            for group, wanted_m in zip(yarn_groups(parts), metres, strict=True):
                yarn = (side, list(group), wanted_m)
                for other in [one for one in found if _common(one[1], group)]:
                    found.remove(other)
                    own = [part for part in yarn[1] if not _common([part], other[1])]
                    sides = " and ".join(dict.fromkeys((other[0], yarn[0])))
                    yarn = (sides, [*other[1], *own], other[2] + yarn[2])
                found.append(yarn)
        yield from found

    def weigh(self) -> None:
        """The skeins hold what the scale says; where that is far from the expected, ask."""
        for skein_id, left in self.left.items():
            row = self._row(skein_id)
            began_mg = self._began_mg[skein_id]
            self.used.add(skein_id, began_mg - left.mass_mg)
            if skein_id in self._weighed_before and skein_id not in self._touched:
                self._weigh_again(skein_id, left.mass_mg)
                row = self._row(skein_id)
            if left.net is None:
                self._used_up(row)
                continue
            doubtful = weigh_in(self.deed, row, left.on_scale, left.tare, self._cloth_id)
            if skein_id in self._weighed_before:
                doubtful = []  # it is that weighing which is put right
            self.used.remarks += self._doubt(row, left.net) or doubtful

    def _weigh_again(self, skein_id: int, left_mg: int) -> None:
        """A weighing that is put right: what went by weight alone is put right with it.

        Where a length was said, that stays what went, and the scale is held against it.
        """
        went_mg = self._went_by_weight_mg(skein_id)
        if went_mg is None:
            return
        more_mg = self._there_mg[skein_id] - left_mg - went_mg
        if more_mg:
            ledger.add_entry(
                self.deed.connection,
                self.deed.action_id,
                skein_id,
                "taken" if more_mg > 0 else "returned",
                -more_mg,
                ledger.PUT_RIGHT,
                cloth_id=self._cloth_id,
            )

    def _used_up(self, row: RowMapping) -> None:
        """Nothing is left of it."""
        if row["balance_mg"]:
            ledger.add_entry(
                self.deed.connection,
                self.deed.action_id,
                row["id"],
                "taken",
                -row["balance_mg"],
                "all that was left",
                cloth_id=self._cloth_id,
                off_claim_mg=reduce_claims(
                    self.deed.connection, self._cloth_id, row["id"], row["balance_mg"]
                ),
            )
        close = f"farspun skein close {quote(row['name'])} --because used"
        self.used.remarks.append(f"Nothing is left of “{row['name']}”: {close}")

    def _doubt(self, row: RowMapping, left: Weighed) -> list[str]:
        """Where the scale says more than there was, or far from what the length makes of it."""
        name, began_mg = row["name"], self._began_mg[row["id"]]
        there_mg = self._there_mg[row["id"]]
        if left.mass_mg > there_mg * (1 + MORE_THAN_THERE):
            return [more_left_said(name, there_mg / MG_PER_G, left.mass_g)]
        went_g, expected_mg = (began_mg - left.mass_mg) / MG_PER_G, self._expected_mg.get(row["id"])
        if expected_mg is None or row["id"] in self.asked:
            return []
        if not _far_apart(went_g, expected_mg / MG_PER_G):
            return []
        return [apart_said(name, expected_mg / MG_PER_G, went_g)]

    def release(self, side: str) -> None:
        """The claims of a side end."""
        own = (claim.c.cloth_id == self._cloth_id) & (claim.c.side == side)
        self.deed.connection.execute(delete(claim).where(own))

    @property
    def _cloth_id(self) -> int:
        assert self.plan.id is not None
        return self.plan.id

    def _use_group(self, side: str, group: Sequence[Part], wanted_m: float) -> None:
        """Skeins that were weighed give what the scale says, the others the rest, in order."""
        to_find_m = max(0.0, wanted_m - self._in_hand_m(group, side))
        alone = len(group) == 1
        for part in group:
            if part.skein_id not in self.left:
                continue
            supply = self._supply(part.skein_id)
            went_mg = (supply.balance_mg or 0) - self.left[part.skein_id].mass_mg
            if alone:
                self._expected_mg[part.skein_id] = to_find_m * supply.tex
            if went_mg > 0:
                length_m = to_find_m if alone and side == "warp" else None
                self._entry(supply, went_mg, length_m, side)
                to_find_m -= 1000 * went_mg / MG_PER_G / supply.tex
        others = [part for part in group if part.skein_id not in self.left]
        if to_find_m > NOTHING_MORE_M and others:
            self._take(others, to_find_m, side)

    def _take(self, parts: Sequence[Part], wanted_m: float, side: str) -> None:
        to_find_m = wanted_m
        for part in parts:
            supply = self._supply(part.skein_id)
            if not supply.balance_mg or not supply.tex_known:
                continue
            there_m = 1000 * supply.balance_mg / MG_PER_G / supply.tex
            taken_m = min(to_find_m, there_m)
            taken_mg = min(supply.balance_mg, round(taken_m * supply.tex))
            if taken_mg > 0:
                self._entry(supply, taken_mg, taken_m, side)
                to_find_m -= taken_m
        if to_find_m > NOTHING_MORE_M:
            names = " + ".join(self._supply(part.skein_id).name for part in parts)
            self.used.remarks.append(
                f"By its ledger there was {say_length(to_find_m)} less of {names} than the"
                f" {side} took: weigh what is left (--left)."
            )

    def _put_back(self, parts: Sequence[Part], wanted_m: float, side: str) -> None:
        """The last taken comes back first, never more than was taken for this cloth, and not what
        she took herself."""
        to_find_m = wanted_m
        for part in reversed(parts):
            supply = self._supply(part.skein_id)
            taken_mg = -sum(mg for by_hand, mg, _ in self._own(part.skein_id) if not by_hand)
            back_mg = min(taken_mg, round(to_find_m * supply.tex))
            if back_mg > 0:
                back_m = back_mg / supply.tex
                self._entry(supply, -back_mg, back_m, side)
                to_find_m -= back_m

    def _own(self, skein_id: int) -> list[tuple[bool, int, int | None]]:
        """(by her own hand, mg, mm where said) of the skein's entries for this cloth."""
        rows = self.deed.connection.execute(
            select(action.c.command, entry.c.delta_mg, entry.c.length_mm)
            .join_from(entry, action, entry.c.action_id == action.c.id)
            .where(entry.c.skein_id == skein_id, entry.c.cloth_id == self._cloth_id, stands(entry))
        )
        return [(command == ledger.BY_HAND, mg, mm) for command, mg, mm in rows]

    def _went_by_weight_mg(self, skein_id: int) -> int | None:
        """What was written down as gone into this cloth; None where a length was said of it."""
        rows = self.deed.connection.execute(
            select(entry.c.delta_mg, entry.c.length_mm)
            .where(entry.c.skein_id == skein_id, entry.c.cloth_id == self._cloth_id, stands(entry))
            .where(entry.c.kind.in_(("taken", "returned")))
        ).all()
        if any(row.length_mm is not None for row in rows):
            return None
        return -sum(int(row.delta_mg) for row in rows)

    def _used_m(self, skein_id: int) -> float:
        """Metres of the skein in this cloth, by the length where one was said."""
        tex = self._supply(skein_id).tex
        return math.fsum(
            -mg / tex if mm is None else -math.copysign(mm / MM_PER_M, mg)
            for _, mg, mm in self._own(skein_id)
        )

    def _entry(self, supply: Supply, taken_mg: int, length_m: float | None, side: str) -> None:
        off_mg = None
        if taken_mg > 0:
            connection, skein_id = self.deed.connection, supply.skein_id
            off_mg = reduce_claims(connection, self._cloth_id, skein_id, taken_mg)
        self._touched.add(supply.skein_id)
        how = "about " + say_length(length_m) if length_m is not None else "weighed"
        ledger.add_entry(
            self.deed.connection,
            self.deed.action_id,
            supply.skein_id,
            "taken" if taken_mg > 0 else "returned",
            -taken_mg,
            f"{side}: {how}",
            length_mm=None if length_m is None else max(1, round(length_m * MM_PER_M)),
            cloth_id=self._cloth_id,
            off_claim_mg=off_mg,
        )
        if supply.skein_id not in self.left:
            self.used.add(supply.skein_id, taken_mg)

    def _in_hand_m(self, group: Sequence[Part], side: str) -> float:
        """What she took for this cloth with her own hand; on both sides it is for the warp."""
        on_warp = {part.skein_id for part in self.plan.warp}
        ids = {p.skein_id for p in group if side == "warp" or p.skein_id not in on_warp}
        return math.fsum(
            mm / MM_PER_M if mm else -mg / self._supply(skein_id).tex
            for skein_id in ids
            for by_hand, mg, mm in self._own(skein_id)
            if by_hand
        )

    def _weighed_for(self, skein_ids: Set[int]) -> set[int]:
        """Those weighed for this cloth, before or now."""
        return set(self._weighed_already(skein_ids)) | (self.left.keys() & skein_ids)

    def _weighed_already(self, skein_ids: Set[int]) -> frozenset[int]:
        rows = self.deed.connection.execute(
            select(entry.c.skein_id)
            .where(entry.c.kind == "weighed", entry.c.cloth_id == self._cloth_id)
            .where(entry.c.skein_id.in_(skein_ids), stands(entry))
        )
        return frozenset(rows.scalars())

    def _supply(self, skein_id: int) -> Supply:
        """As it is now, after what this command took already."""
        return supplies(self.deed.connection, [skein_id])[skein_id]

    def _row(self, skein_id: int) -> RowMapping:
        return (
            self.deed.connection.execute(select(skein).where(skein.c.id == skein_id))
            .mappings()
            .one()
        )


def _common(parts: Sequence[Part], others: Sequence[Part]) -> bool:
    """Whether they have a skein in common."""
    return bool({part.skein_id for part in parts} & {part.skein_id for part in others})


def _far_apart(went_g: float, expected_g: float) -> bool:
    """Whether the scale and the length can hardly both be right.

    >>> _far_apart(54.0, 58.0), _far_apart(54.0, 95.0)
    (False, True)
    """
    return abs(went_g - expected_g) > max(FAR_OFF * expected_g, FAR_OFF_G)
