"""The warping card of a cloth: everything it says, gathered; and the card as a page to print."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from farspun.cards import facts
from farspun.cards.paper import Paper, checked_paper
from farspun.craft.amounts import fringe_cut
from farspun.craft.bouts import bundled
from farspun.craft.cautions import FINISH, cautions
from farspun.craft.draft import Draft
from farspun.craft.drawn import drawn_draft, drawn_name, is_draft
from farspun.craft.lashing import NARROW_CM, NARROWER_CM, Lashing, lashing
from farspun.craft.plan import Loom, Plan
from farspun.services.answers import Check, NeedAnswer
from farspun.services.card_marks import expected, starts_and_marks, stops
from farspun.services.card_notes import notes
from farspun.services.card_warp import Supplies, sleying, stripes_in, warping
from farspun.services.case_for import yarn_groups
from farspun.services.checking import checked
from farspun.services.cloths import weavable_cloth
from farspun.services.file_asked import check_new_pdf, write_whole
from farspun.services.stages import FIRST_AT, OPTIONS
from farspun.store.cloths import readings_seen
from farspun.store.engine import Stash, reading
from farspun.store.since import last_change
from farspun.store.skeins import colours_of
from farspun.store.supplies import supplies

# name: value           unit       source
SEPARATOR_OVER_CM = 10.0  # cm     common practice, no source: five on either side
LASH_GAP_CM = 8.0  # cm            common practice, no source: from the bar to the knots
LASH_ROD_CM = 2.0  # cm            judgement: a bar as thick as a thumb
CLOSE_SETT_PER_CM = 8.0  # per cm  judgement: from here half an inch makes a bundle thick enough
CROWDED_SHAFTS = 2  # shafts        common practice, no source: heddles of two shafts crowd
WARP_STAGES = ("wound", "on-loom", "off-loom", "finished")


def card_of_cloth(
    stash: Stash,
    name: str,
    gap_cm: float | None = None,
    rod_cm: float | None = None,
    today: date | None = None,
) -> facts.Card:
    """Everything the card of a cloth says; `gap_cm`, `rod_cm` of the lashing where she gave them.

    `today`: the day that is printed, else that of the clock here. Raises NotFound;
    ImpossibleValue for a cloth given up, or woven already.
    """
    day = today or datetime.now().astimezone().date()
    with reading(stash) as connection:
        plan = weavable_cloth(connection, name)
        return _card(connection, plan, (gap_cm, rod_cm), day)


def patch_of(note: str | None) -> str | None:
    """The colour of a patch for a note of colours, `#rrggbb`; None where it is not understood."""
    if not note:
        return None
    from farspun.craft.colour_notes import yarn_colour  # long lists of words: only for a note
    from farspun.craft.optical_mix import mean_hex

    return mean_hex(yarn_colour(note))


def print_card(card: facts.Card, out: Path, paper: str, force: bool = False) -> None:
    """Write the card to `out` as a PDF of two pages. Raises WrongUse, ImpossibleValue."""
    checked_out(out, paper, force)
    write_whole(out, card_pdf(card, paper))


def card_pdf(card: facts.Card, paper: str) -> bytes:
    """The card as a PDF of two pages. Raises ImpossibleValue for a paper that is none."""
    from farspun.cards.warping import warping_pdf

    return warping_pdf(card, checked_paper(paper))


def checked_out(out: Path, paper: str, force: bool) -> Paper:
    """The paper, where a PDF can be written to `out`. Raises WrongUse, ImpossibleValue."""
    check_new_pdf(out, force)
    return checked_paper(paper)


def _card(
    connection: Connection, plan: Plan, cord_cm: tuple[float | None, float | None], day: date
) -> facts.Card:
    check = checked(connection, plan)
    held = supplies(connection, plan.skein_ids)
    colours = colours_of(connection, plan.skein_ids)
    edges = _edges(check)
    starts, marks = starts_and_marks(check, held)
    lashed = _lashing(check, cord_cm)
    ends = check.setup.ends - plan.floating_selvedges
    return facts.Card(
        cloth=plan.name or "",
        made=_made(connection, plan, day),
        status=plan.status,
        verdict=check.verdict,
        promise=plan.promise,
        odds=check.asked_odds,
        purpose=_purpose(plan),
        warp=_yarns(plan.warp, check.warp, held, colours),
        weft=_yarns(plan.weft, check.weft, held, colours),
        setup=_setup(check),
        warping=warping(check, held),
        sleying=sleying(check),
        draft=_draft(plan),
        separator_cm=check.setup.reed_width_cm + SEPARATOR_OVER_CM,
        lashing=lashed,
        lashing_assumed=[
            what for what, cm in zip(("gap", "rod"), cord_cm, strict=True) if lashed and not cm
        ],
        bundles=bundled(ends, min(ends, lashed.bundles)) if lashed else (),
        expected=expected(check),
        notes=list(notes(check, held, readings_seen(connection, plan.skein_ids))),
        picks=_picks(check),
        starts=starts,
        marks=marks,
        stops=stops(check, edges.fringe_cut_cm),
        edges=edges,
        weft_order=stripes_in(check.setup.weft_order),
        wet_finish=FINISH[plan.wash],
        cautions=cautions(plan.name or "", plan.purpose, plan.wash),
        record=_record(plan, held),
    )


def _made(connection: Connection, plan: Plan, day: date) -> facts.Made:
    assert plan.id is not None
    number, at = last_change(connection, plan.id)
    changed = datetime.fromisoformat(at).astimezone().date()
    return facts.Made(day.isoformat(), changed.isoformat(), number)


def _purpose(plan: Plan) -> facts.Purpose:
    return facts.Purpose(
        size_said=plan.size_said,
        width_cm=plan.width_cm,
        length_cm=plan.length_cm,
        pieces=plan.pieces,
        weave=drawn_name(plan.weave),
        purpose=plan.purpose,
        wash=plan.wash,
        loom=plan.loom.name if plan.loom else None,
    )


def _yarns(
    parts: Sequence[Any],
    needs: Sequence[NeedAnswer],
    held: Supplies,
    colours: Mapping[int, str],
) -> list[facts.Yarn]:
    """Each yarn of a side with its need; none where the side is not asked any more."""
    groups = yarn_groups(parts) if needs else []
    found = []
    for group, need in zip(groups, needs, strict=True):
        noted = dict.fromkeys(colours[p.skein_id] for p in group if p.skein_id in colours)
        found.append(
            facts.Yarn(
                skeins=need.skeins,
                need_m=_points(need.need_m),
                have_m=_points(need.have_m),
                odds=need.odds,
                short_m=need.short_m,
                short_g=need.short_g,
                fibre=", ".join(dict.fromkeys(held[p.skein_id].blend for p in group)),
                colour=", ".join(noted) or None,
                hex=patch_of(next(iter(noted))) if len(noted) == 1 else None,
            )
        )
    return found


def _points(three: Any) -> facts.Points:
    return facts.Points(three.p05, three.p50, three.p95)


def _setup(check: Check) -> facts.Setup:
    return facts.Setup(**{one.name: getattr(check.setup, one.name) for one in fields(facts.Setup)})


def _draft(plan: Plan) -> facts.Draft:
    draft = drawn_draft(plan.weave)
    levers = plan.loom is not None and plan.loom.kind == "table"
    heddle = plan.loom is not None and plan.loom.kind == "rigid-heddle"
    draft = draft.as_lift_plan() if levers else draft
    treadled = not draft.lift_plan
    return facts.Draft(
        shafts=draft.shafts,
        threading=list(draft.threading),
        tie_up=[sorted(one) for one in draft.tie_up] if treadled else None,
        treadling=[sorted(one) for one in draft.treadling] if treadled else None,
        lift_plan=[sorted(one) for one in draft.lifts],
        sinking=draft.sinking,
        slots_and_holes=heddle and plan.weave == "plain",
        levers=levers,
        straight=None if heddle or is_draft(plan.weave) else _straight(draft, plan.loom),
    )


def _straight(draft: Draft, loom: Loom | None) -> facts.Straight | None:
    """A draft of two shafts over all there are; None where there are no more."""
    times = (loom.shafts or 0) // CROWDED_SHAFTS if loom else 0
    if draft.shafts != CROWDED_SHAFTS or len(draft.threading) != CROWDED_SHAFTS or times < 2:
        return None
    all_shafts = list(range(1, CROWDED_SHAFTS * times + 1))
    return facts.Straight(all_shafts, [all_shafts[at - 1 :: CROWDED_SHAFTS] for at in (1, 2)])


def _lashing(check: Check, cord_cm: tuple[float | None, float | None]) -> Lashing | None:
    """Where the warp is lashed on: bundles of an inch, half an inch in a close sett."""
    loom = check.plan.loom
    if loom is None or loom.tie != "lashed":
        return None
    close = check.setup.sett_ends_per_cm >= CLOSE_SETT_PER_CM
    bundle_cm = NARROWER_CM if close else NARROW_CM
    gap_cm, rod_cm = cord_cm
    return lashing(
        check.setup.reed_width_cm, bundle_cm, gap_cm or LASH_GAP_CM, rod_cm or LASH_ROD_CM
    )


def _kept(check: Check) -> float:
    """What the wash leaves of a length."""
    plan = check.plan
    return (plan.length_cm + 2 * plan.hem_cm) / check.setup.off_loom_length_cm


def _tight(check: Check) -> float:
    """How much longer tight cloth is than rested."""
    return check.setup.tape_length_cm / check.setup.woven_length_cm


def _picks(check: Check) -> facts.Picks:
    rested = check.setup.picks_per_cm
    return facts.Picks(rested / _tight(check), rested, rested / _kept(check))


def _edges(check: Check) -> facts.Edges:
    plan, kept = check.plan, _kept(check)
    cut_cm = float(fringe_cut(plan.fringe_cm, 1 - kept)) if plan.fringe_cm else 0.0
    return facts.Edges(
        hem_cm=plan.hem_cm,
        hem_tape_cm=plan.hem_cm / kept * _tight(check),
        side_hem_cm=plan.side_hem_cm,
        fringe_cm=plan.fringe_cm,
        fringe_cut_cm=cut_cm,
    )


def _record(plan: Plan, held: Supplies) -> list[facts.Room]:
    """What each command asks for, in that order; what was asked for once is not asked again."""
    stages = WARP_STAGES[1:] if plan.direct else WARP_STAGES
    warp = [held[one].name for one in dict.fromkeys(part.skein_id for part in plan.warp)]
    weft = [held[one].name for one in dict.fromkeys(part.skein_id for part in plan.weft)]
    rooms, asked = [], set[str]()
    for stage in stages:
        upto = WARP_STAGES[: WARP_STAGES.index(stage) + 1]
        names = [OPTIONS.get(name, name) for name, first in FIRST_AT.items() if first in upto]
        asks = [name for name in dict.fromkeys(names) if name not in asked]
        asked.update(asks)
        weighed = {stages[0]: warp, "off-loom": weft}.get(stage, [])
        rooms.append(facts.Room(stage, asks, weighed))
    return rooms
