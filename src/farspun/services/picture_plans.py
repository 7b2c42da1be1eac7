"""Pictures of what is planned and kept: stripes of a cloth, its draft, the stash as swatches."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby
from pathlib import Path
from typing import Any

from farspun.craft.case import Case
from farspun.craft.colour_notes import yarn_colour
from farspun.craft.draft import Draft
from farspun.craft.drawn import drawn_draft, drawn_name
from farspun.craft.fibres import blend
from farspun.craft.plan import Plan
from farspun.craft.pooling import yarns_in_turn
from farspun.errors import WrongUse
from farspun.pictures.draft import draft_sheet
from farspun.pictures.stash import SkeinSeen, stash_sheet
from farspun.pictures.stripes import SidePlan, Stripe, stripes_sheet
from farspun.services.answers import OrderAnswer
from farspun.services.case_for import settled_case, yarn_groups
from farspun.services.checking import set_up_answer
from farspun.services.cloth_face import threads_of_skeins
from farspun.services.drafts import show_draft
from farspun.services.habits_for import spreads_for
from farspun.services.names import cloth_named
from farspun.services.orders import spans_of_picks, warp_order_answer, weft_order_answer
from farspun.services.picture_file import Drawn, kind_of_picture, write_sheet
from farspun.services.showing import Shown, show_all
from farspun.services.stock import stock_to_weave
from farspun.store.engine import Stash, reading
from farspun.store.skeins import colours_of, names_of
from farspun.units import say_length

DOTS = 2  # of a unit in PNG: lines and words are sharp on paper
LONGEST_TURN = 24  # picks; judgement: of two shuttles in turn, a longer repeat is none
AFTER = "skein after skein, as each runs out"
Names = Mapping[int, str]
Skeins = Callable[[str, int], list[Stripe]]  # of a side of one yarn: each skein's threads


def draw_stripes(stash: Stash, name: str, out: Path) -> Drawn:
    """Draw the stripes of a cloth's warp and weft, with all counts.

    Raises NotFound for the cloth, WrongUse for a file that cannot be written.
    """
    kind_of_picture(out)
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        names, notes = names_of(connection, plan.skein_ids), colours_of(connection, plan.skein_ids)
        stock, block = stock_to_weave(connection, plan.skein_ids, plan.as_spun)
        spreads = spreads_for(plan, stock)
        case = settled_case(plan, spreads, stock.supplies, block).case
    setup = set_up_answer(plan, case, spreads, stock)

    def skeins(side: str, passes: int) -> list[Stripe]:
        found = threads_of_skeins(plan, case, setup, stock.supplies, side, passes)
        return [(names[skein_id], threads) for skein_id, threads in found]

    sides = [_warp(plan, case, names, skeins), _weft(plan, case, names, skeins)]
    own = {names[one]: yarn_colour(notes.get(one)) for one in plan.skein_ids}
    yarns = dict.fromkeys(yarn for side in sides for yarn, _ in side.yarns)
    colours = {yarn: own[yarn] for yarn in yarns}
    title = f"{plan.name}: stripes of warp and weft"
    told = f"{title}. " + " ".join(_told(side) for side in sides)
    data = {"title": title, "sides": [asdict(side) for side in sides]}
    return write_sheet(out, stripes_sheet(sides, colours, title, told), data, DOTS)


def _warp(plan: Plan, case: Case, names: Names, skeins: Skeins) -> SidePlan:
    answer = warp_order_answer(plan.warp_order, case.ends)
    if answer is not None:
        return _ordered("Warp", "end", case.ends, answer)
    parts = [(names[part.skein_id], part.ends) for part in plan.warp]
    if all(ends for _, ends in parts):
        return _repeated("Warp", "end", case.ends, [(yarn, ends or 0) for yarn, ends in parts])
    return _one_yarn("Warp", "end", case.ends, skeins("warp", case.ends))


def _weft(plan: Plan, case: Case, names: Names, skeins: Skeins) -> SidePlan:
    spans = spans_of_picks(case.size, case.spreads, case.picks_per_cm)
    note = "the first piece" if plan.pieces > 1 else ""
    answer = weft_order_answer(plan.weft_order, case.picks_per_cm, spans)
    if answer is not None:
        return _ordered("Weft", "pick", spans[-1], answer, note)
    groups = yarn_groups(plan.weft)
    if len(groups) == 1:
        return _one_yarn("Weft", "pick", spans[-1], skeins("weft", spans[-1]), note)
    shares = [group[0].share or 1.0 for group in groups]
    turns = _in_turn(shares, min(spans[-1], 2 * LONGEST_TURN))
    found = [(names[plan.weft[at].skein_id], threads) for at, threads in turns]
    in_turn = "the yarns in turn, by their shares; each on a shuttle of its own"
    return _repeated("Weft", "pick", spans[-1], found, f"{in_turn}; {note}" if note else in_turn)


def _in_turn(shares: Sequence[float], picks: int) -> list[tuple[int, int]]:
    """Runs of one yarn in the shortest repeat of picks in turn; of all of them where none is."""
    turns = [int(one) for one in yarns_in_turn(shares, picks)]
    for long in range(len(shares), picks // 2 + 1):
        if all(turns[at] == turns[at % long] for at in range(picks)):
            turns = turns[:long]
            break
    return [(yarn, len(list(run))) for yarn, run in groupby(turns)]


def _ordered(side: str, thing: str, threads: int, answer: OrderAnswer, note: str = "") -> SidePlan:
    stripes = [(one.yarn, one.threads) for one in answer.stripes]
    return _repeated(side, thing, threads, stripes, note)


def _repeated(
    side: str, thing: str, threads: int, stripes: Sequence[Stripe], note: str = ""
) -> SidePlan:
    once = sum(each for _, each in stripes)
    repeats, over = divmod(threads, once)
    counted = dict.fromkeys((yarn for yarn, _ in stripes), 0)
    for yarn, each in stripes:
        counted[yarn] += repeats * each + min(each, max(0, over))
        over -= each
    return SidePlan(
        side, thing, threads, tuple(stripes), repeats, threads % once, tuple(counted.items()), note
    )


def _one_yarn(
    side: str, thing: str, threads: int, skeins: Sequence[Stripe], note: str = ""
) -> SidePlan:
    """All threads of one yarn, skein after skein."""
    if len(skeins) > 1:
        turn = f"{AFTER}, at middle lengths"
        note = f"{note}; {turn}" if note else turn
    return SidePlan(side, thing, threads, tuple(skeins), 1, 0, tuple(skeins), note, one_yarn=True)


def _told(side: SidePlan) -> str:
    counts = ", ".join(f"{threads} of {yarn}" for yarn, threads in side.yarns)
    things = f"{side.threads} {side.thing}{'' if side.threads == 1 else 's'}"
    stripes = len(side.stripes)
    repeat = f", in a repeat of {stripes} stripes" if stripes > 1 else ""
    if side.one_yarn:
        repeat = f", {AFTER}" if stripes > 1 else ""
    return f"{side.side}: {things}, {counts}{repeat}."


def draw_draft(stash: Stash, name: str | None, weave: str | None, out: Path) -> Drawn:
    """Draw the draft of a cloth, or of a weave (or the file with a draft).

    Raises NotFound, WrongUse; for a file as `show_draft`.
    """
    kind_of_picture(out)
    title, draft = draft_to_draw(stash, name, weave)
    told = _draft_told(title, draft)
    return write_sheet(out, draft_sheet(draft, title, told), _draft_data(title, draft), DOTS)


def draft_to_draw(stash: Stash, name: str | None, weave: str | None) -> tuple[str, Draft]:
    """Its title and the draft. Raises as `draw_draft`, but for the file it is drawn into."""
    if (name is None) == (weave is None):
        raise WrongUse("Whose draft?", "Name a cloth, or give --weave WEAVE|FILE.")
    if name is not None:
        with reading(stash) as connection:
            plan = cloth_named(connection, name)
        return f"{plan.name}: {drawn_name(plan.weave)}", drawn_draft(plan.weave)
    shown = show_draft(weave or "")
    own = shown.answer.weave.name == shown.answer.rows
    title = "your draft" if own else shown.answer.weave.name
    return title[:1].upper() + title[1:], shown.draft


def _draft_told(title: str, draft: Draft) -> str:
    ends, picks = len(draft.threading), len(draft.interlacement)
    by = f"{draft.treadles} treadles" if draft.treadles else "a lift plan"
    return (
        f"{title}. A draft on squares: a repeat of {ends} ends and {picks} picks on"
        f" {draft.shafts} shafts, with {by}."
    )


def _draft_data(title: str, draft: Draft) -> dict[str, Any]:
    return {
        "title": title,
        "threading": draft.threading,
        "tie_up": [sorted(one) for one in draft.tie_up],
        "treadling": [sorted(one) for one in draft.treadling],
        "lift_plan": [sorted(one) for one in draft.lifts],
    }


def draw_stash(stash: Stash, out: Path) -> Drawn:
    """Draw every open skein as a swatch, by fibre, with its free metres.

    Raises WrongUse for a stash without skeins, or a file that cannot be written.
    """
    kind_of_picture(out)
    skeins = [one for one in show_all(stash) if one.status == "open"]
    if not skeins:
        raise WrongUse("There are no skeins to draw.", "Add one: farspun skein add NAME …")
    groups = _by_fibre(skeins)
    seen = [
        SkeinSeen(one.name, fibre, one.fibre, yarn_colour(one.colour), one.free_m, one.colour or "")
        for fibre, one in groups
    ]
    free_m = sum(one.free_m or 0.0 for one in skeins)
    number = f"{len(seen)} skein{'' if len(seen) == 1 else 's'}"
    title = f"The stash: {number}, {say_length(free_m)} free"
    counts = ", ".join(
        f"{len(list(own))} of {fibre}" for fibre, own in groupby(seen, key=lambda one: one.fibre)
    )
    told = f"{title}. A sheet of swatches by fibre: {counts}."
    data = {
        "title": title,
        "skeins": [
            {"name": one.name, "fibre": one.fibre, "free_m": one.free_m,
             "colour": one.note or None, "lie": one.colour.lie.value,
             "shades": [part.shade.hex for part in one.colour.stretches]}
            for one in seen
        ],
    }  # fmt: skip
    return write_sheet(out, stash_sheet(seen, title, told), data, DOTS)


def _by_fibre(skeins: Sequence[Shown]) -> list[tuple[str, Shown]]:
    """Each skein with its main fibre, the commonest fibre first."""
    found = [(blend(one.fibre).main, one) for one in skeins]
    often: dict[str, int] = {}
    for fibre, _ in found:
        often[fibre] = often.get(fibre, 0) + 1
    return sorted(found, key=lambda one: (-often[one[0]], one[0]))
