"""All yarns of the stash held against one cloth: columns, odds, criteria, and their order."""

from dataclasses import dataclass, field, replace

import numpy as np

from farspun.craft.candidates import Bools, Candidates, Floats, Found, Ints, Kind, found
from farspun.craft.closed_form import all_odds, log_moments, lognormal_moments, sum_moments
from farspun.craft.combining import Rows, fewest, growing, lots, together
from farspun.craft.dye_notes import FASTNESS, dye_of
from farspun.craft.fibres import blend
from farspun.craft.matching import (
    Criterion,
    Other,
    Words,
    dye,
    fitness,
    grist,
    left_over,
    loft,
    missing_part,
    order,
    pucker,
    verdicts,
)
from farspun.craft.readings import UNWASHED, relaxation
from farspun.craft.yarn import snug_packing
from farspun.services.case_for import free_share, yarn_groups
from farspun.services.match_colours import Coloured, Wish
from farspun.services.match_question import Loomed, Question, classes, loomed
from farspun.services.showing import Z95
from farspun.services.stock import Block
from farspun.services.wording_skein import HARDLY_KNOWN
from farspun.store.shelf import DRAWS, WRAPS, Shelf, unwashed, wrapped
from farspun.store.supplies import Supply

HOLDS, DRIFTS = 1, 2  # of the tug test, by their place in farspun.store.shelf.TUGS


@dataclass(slots=True)
class Table:
    """Every yarn that may be chosen, one row each: first the skeins `ids`, then combinations.

    `note`: the place of each row's colour note in `colours.notes`; `wishes`: what the order goes by
    beside the criteria. `drawn`: rows whose odds are those of the joint draw; `refused`: why a row
    cannot be set up, where that was tried.
    """

    ids: Ints
    several: Rows
    c: Candidates
    words: Words
    at_class: Ints
    looms: Loomed
    found: Found
    odds: Floats
    criteria: list[Criterion]
    promise: float
    note: Ints
    colours: Coloured
    wishes: list[Floats]
    drawn: set[int] = field(default_factory=set)
    refused: dict[int, str] = field(default_factory=dict)

    def skeins(self, row: int) -> list[int]:
        """The ids of a row's skeins, longest first."""
        singles = len(self.ids)
        at = [row] if row < singles else self.several.members(row - singles).tolist()
        return [int(self.ids[one]) for one in at]

    def order(self) -> Ints:
        """The rows, best first, by the odds as they are known now."""
        left = np.asarray(self.criteria[-1].value)
        verdict = verdicts(self.odds, self.promise)
        missing = missing_part(self.c.have, self.found.need)
        first = np.arange(len(self.odds))
        return order(verdict, self.criteria, left, missing, self.odds, first, self.wishes)


def length_told(shelf: Shelf) -> Bools:
    """Skeins of which a length can be named: not those that are only weighed, whose span is so wide
    that no middle is told of them anywhere."""
    too_wide = 2 * Z95 * shelf.sd_ln > np.log(HARDLY_KNOWN)  # NaN, false: nothing is left of it
    return np.asarray((shelf.flags["length_known"] == 1) & ~too_wide)


def usable(shelf: Shelf, known: set[int]) -> Bools:
    """Skeins that may be chosen: known in length, something of it free, not on the other side."""
    there = np.isfinite(shelf.ln_length) & (shelf.free > 0) & length_told(shelf)
    return np.asarray(there & ~np.isin(shelf.ids, list(known)))


def table(
    q: Question, shelf: Shelf, rows: Bools, other: Other, colours: Coloured | None = None
) -> Table | None:
    """Skeins and combinations with their closed-form odds and criteria.

    Without `colours` nothing is wished of them, and the other side's is not known. None where no
    yarn can be set up. Raises ImpossibleValue where no loom takes the cloth.
    """
    colours = Coloured(shelf.colours, None, Wish()) if colours is None else colours
    at = np.flatnonzero(rows)
    singles, words, like = _singles(q, shelf, at)
    at_class, one_each = classes(q, singles, words.unwashed.astype(np.int64))
    if not len(one_each):
        return None
    looms = loomed(q, [int(shelf.ids[at[row]]) for row in one_each])
    alone = _rated(singles, at_class, looms)
    lot = lots(like, singles.tex)
    grown = growing(lot, singles.have)
    longest = grown.order[grown.start]
    joint = _rated(together(singles, grown), at_class[longest], looms)
    worth = fewest(grown, joint.odds, alone.odds, lot, q.plan.promise)
    rated = alone.and_these(joint.rows(worth))
    several = grown.chosen(worth)
    own = shelf.colour[at]  # like skeins have the same note
    note = np.concatenate([own, own[several.order[several.start]]])
    return _joined(q, shelf.ids[at], several, rated, words, looms, other, (colours, note))


@dataclass(frozen=True, slots=True)
class Rated:
    """Yarns with their class, set-up and margins, and odds as though nothing tied them together."""

    c: Candidates
    at_class: Ints
    found: Found
    odds: Floats

    def rows(self, at: Ints) -> "Rated":
        """Some of them."""
        return Rated(self.c.rows(at), self.at_class[at], self.found.rows(at), self.odds[at])

    def and_these(self, more: "Rated") -> "Rated":
        """Both, one after the other."""
        return Rated(
            self.c.and_these(more.c),
            np.concatenate([self.at_class, more.at_class]),
            self.found.and_these(more.found),
            np.concatenate([self.odds, more.odds]),
        )


def _singles(q: Question, shelf: Shelf, at: Ints) -> tuple[Candidates, Words, Ints]:
    """The skeins as candidates, what is said of them, and which are the same in words."""
    flags = {name: values[at] for name, values in shelf.flags.items()}
    kinds, kind = _kinds(shelf, at, flags)
    dyes = np.array([dye_of(note) for note in shelf.colours], dtype=np.int64)
    fresh = np.zeros(len(at), dtype=bool)
    if q.plan.as_spun or (dyes == FASTNESS.index("dyed")).any():
        fresh = unwashed(q.connection, shelf.ids[at])
    ln_length = shelf.ln_length[at]
    if q.plan.as_spun:
        ln_length = ln_length + _still_to_lose(kinds)[kind] * fresh
    have, have2 = lognormal_moments(shelf.free[at] * np.exp(ln_length), shelf.sd_ln[at])
    # a warp's sett hangs on whether it was wrapped, a weft's does not
    by_wraps = wrapped(q.connection, shelf.ids[at]) if q.side == "warp" else np.zeros_like(fresh)
    snug = np.array([snug_packing(1.0, one.blend.family, one.wrap) for one in kinds])
    c = Candidates(
        kinds, kind, have, have2, np.exp(shelf.ln_whole[at]), shelf.tex[at],
        shelf.wraps_per_cm[at], shelf.fill[at] * snug[kind], by_wraps,
    )  # fmt: skip
    colour = shelf.colour[at]
    words = Words(flags["plies"], flags["tug"], dyes[colour], fresh)
    return c, words, _same_words(shelf, at, flags)


def _same_words(shelf: Shelf, at: Ints, flags: dict[str, Ints]) -> Ints:
    """Equal for skeins of the same fibre, plies, draw, maker and colour note."""
    notes: dict[str, int] = {}
    note = [notes.setdefault((text or "").casefold(), len(notes)) for text in shelf.colours]
    like = shelf.fibre[at]
    own = (flags[name] for name in ("plies", "draw", "superwash", "mill"))
    for values in (*own, np.array(note, dtype=np.int64)[shelf.colour[at]]):
        like = like * (int(values.max(initial=0)) + 1) + values
    return like


def _kinds(shelf: Shelf, at: Ints, flags: dict[str, Ints]) -> tuple[list[Kind], Ints]:
    """The different kinds, and which each row is."""
    blends = [blend(said) for said in shelf.fibres]
    code = shelf.fibre[at]
    for name, size in (("superwash", 2), ("mill", 2), ("draw", 4), ("wrap", 4)):
        code = code * size + flags[name]
    different, kind = np.unique(code, return_inverse=True)
    kinds = []
    for one in different.tolist():
        fibre, superwash, mill = one // 64, one // 32 % 2, one // 16 % 2
        draw, wrap = DRAWS[one // 4 % 4], WRAPS[one % 4]
        kinds.append(Kind(blends[fibre], bool(superwash), draw, bool(mill), wrap))
    return kinds, kind


def _still_to_lose(kinds: list[Kind]) -> Floats:
    """ln of how much longer unwashed yarn is woven as spun, of each kind, at the middle."""
    elastic = np.array([one.blend.elastic and not one.superwash for one in kinds])
    return np.asarray(-np.log1p(-relaxation(elastic, np.full(len(kinds), UNWASHED))[0]))


def _rated(c: Candidates, at_class: Ints, looms: Loomed) -> Rated:
    from scipy.special import ndtr

    asks = looms.asks.at(np.maximum(at_class, 0))
    columns = found(c, looms.bed, asks, looms.cutting, looms.known)
    odds = np.where(at_class < 0, np.nan, ndtr(columns.z).prod(axis=1))
    return Rated(c, at_class, columns, odds)


def _joined(
    q: Question,
    ids: Ints,
    several: Rows,
    rated: Rated,
    words: Words,
    looms: Loomed,
    other: Other,
    seen: tuple[Coloured, Ints],
) -> Table:
    """Skeins and the chosen combinations in one table, with the criteria of each."""
    longest = several.order[several.start]
    held = several.added((words.tug == HOLDS).astype(float)) == several.end - several.start
    drifts = several.added((words.tug == DRIFTS).astype(float)) > 0
    fresh = several.added(words.unwashed.astype(float)) > 0
    tug = np.where(drifts, DRIFTS, np.where(held, HOLDS, 0))
    all_words = Words(
        plies=np.concatenate([words.plies, words.plies[longest]]),
        tug=np.concatenate([words.tug, tug]),
        dye=np.concatenate([words.dye, words.dye[longest]]),
        unwashed=np.concatenate([words.unwashed, fresh]),
    )
    c, columns = rated.c, rated.found
    criteria = [grist(columns.ratio, looms.bed.purpose), loft(c, q.side, other)]
    if q.side == "warp":
        criteria.append(fitness(c, all_words))
    criteria += [
        pucker(c, other, q.plan.wash),
        dye(all_words, other),
        left_over(c.have, columns.need),
    ]
    colours, note = seen
    return Table(
        ids, several, c, all_words, rated.at_class, looms, columns, rated.odds, criteria,
        q.plan.promise, note, colours, colours.wishes(note),
    )  # fmt: skip


def refine(
    t: Table, rows: Ints, q: Question, supplies: dict[int, Supply], block: Block
) -> None:  # fmt: skip
    """Odds of these rows by the closed form with all that their skeins and the known ones share."""
    effects = sorted({key for one in supplies.values() for key in one.load})
    cov, at = block(effects), {name: place for place, name in enumerate(effects)}
    loads = {number: np.zeros(len(effects)) for number in supplies}
    for number, one in supplies.items():
        for name, load in one.load.items():
            loads[number][at[name]] = load
    medians = {
        number: free_share(one, q.plan.id) * float(np.exp(one.ln_length))
        for number, one in supplies.items()
    }

    def carried(numbers: list[int]) -> Floats:
        """What a yarn of several skeins carries of each shared cause, by the metres of each."""
        if len(numbers) == 1:
            return loads[numbers[0]]
        total = sum(medians[one] for one in numbers)
        parts = [medians[one] / total * loads[one] for one in numbers] if total > 0 else []
        return np.asarray(sum(parts, np.zeros(len(effects))))

    have2 = t.c.have2.copy()
    for row in rows[rows >= len(t.ids)].tolist():
        numbers = t.skeins(row)
        each = np.array([loads[one] for one in numbers])
        own = np.diag([supplies[one].own_sd_ln ** 2 for one in numbers])
        mids = np.array([medians[one] for one in numbers])
        mean, second = sum_moments(mids, each @ cov @ each.T + own)
        have2[row] = second * (t.c.have[row] / mean) ** 2
    t.c = replace(t.c, have2=have2)
    columns = _rated(t.c.rows(rows), t.at_class[rows], t.looms).found
    known = [carried([part.skein_id for part in group]) for group in yarn_groups(q.known)]
    yarns = np.array([[carried(t.skeins(row)), *known] for row in rows.tolist()])
    shared = np.einsum("rie,ef,rjf->rij", yarns, cov, yarns)
    shared[:, 1:, 1:] += _need_doubt(t, columns)[:, None, None]
    rho = shared / (columns.sd[:, :, None] * columns.sd[:, None, :])
    t.odds[rows] = np.where(np.isnan(t.odds[rows]), np.nan, all_odds(columns.z, rho))


def _need_doubt(t: Table, columns: Found) -> Floats:
    """Variance of ln of what the known yarns need: they share it."""
    if not t.looms.known:
        return np.full(len(columns.sd), log_moments(t.looms.cutting)[1])
    have = t.looms.known[0].have
    own = log_moments(have)[1] if have[0] > 0 else 0.0
    return np.asarray(columns.sd[:, 1] ** 2 - own)
