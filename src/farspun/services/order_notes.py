"""What is to be said of an order: edges that differ, stripes that meet, unequal take-up."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from math import gcd
from shlex import quote

from farspun.craft.case import Case, Yarn
from farspun.craft.fibres import blend
from farspun.craft.order_edges import LONGEST_ORDER, Edges, edges
from farspun.craft.order_text import order_from_text, text_of_order
from farspun.craft.orders import MOST_SHUTTLE_PICKS, Group, Stripe, shuttle_picks, threads_in
from farspun.craft.plan import Plan
from farspun.services.answers import Notice, OrderAnswer, SetupAnswer
from farspun.store.supplies import Supply
from farspun.units import say_cm, say_length

# name: value               unit               source
UNEQUAL = 1.4  # times as thick                judgement: twice the grist, wrapped
LEAST_BREAK_CM = 1.0  # cm                     judgement: a band cut shorter by less is not seen
LONGEST_OFFER = 60  # characters               judgement: of an order that is typed off the screen
MOST_ADDED = 3  # stripes                      judgement: more are not told one by one


def order_notices(
    plan: Plan, case: Case, supplies: Mapping[int, Supply], setup: SetupAnswer, reaches: bool
) -> Iterator[Notice]:
    """All that is to be said of the orders of warp and weft, and of a mixed warp."""
    if plan.warp_order is not None and setup.warp_order is not None:
        yield from _about_edges(plan, case.ends, order_from_text(plan.warp_order, "warp"))
        yield from _about_pairs(plan, setup.warp_order)
        yield from _about_joins(setup.warp_order, "ends")
    if setup.weft_order is not None:
        yield from _about_joins(setup.weft_order, "picks")
        yield from _about_pieces(setup.weft_order, case.picks_per_cm)
        if not reaches:
            yield from _about_shuttles(setup.weft_order, case.weft)
    yield from _about_take_up([supplies[one] for one in {part.skein_id: 0 for part in plan.warp}])


def _about_edges(plan: Plan, ends: int, order: Group) -> Iterator[Notice]:
    """Whether both edges are alike, and what would make them so."""
    long = threads_in(order)
    if long > ends:
        yield Notice(
            "order-cut-off", f"The warp's order is {long} ends long, and only {ends} are wound."
        )
        return
    if long > LONGEST_ORDER:
        return
    found = edges(order, ends, step=2 if plan.direct else 1)
    alike = found.first == found.last and found.only_alike
    if found.balanced or alike:
        return
    said = ", or ".join([*_other_ends(plan, ends, found), *_begun_elsewhere(found)])
    said = said or "mirror the order (… | mirror), or wind other ends"
    yield Notice(
        "order-edges",
        f"The edges differ: {ends} ends begin with {_stripe(found.first)} and break off with"
        f" {_stripe(found.last)}. To make them alike, {said}.",
    )


def _other_ends(plan: Plan, ends: int, found: Edges) -> Iterator[str]:
    """To add so many, where the loom is wide enough; to leave some out, where that is less."""
    added = sum(one.threads for one in found.more)
    fits = plan.loom is None or (ends + added) / plan.sett_per_cm <= plan.loom.width_cm
    if added and fits:
        what = " and ".join(map(_stripe, found.more)) if len(found.more) <= MOST_ADDED else "ends"
        yield f"add {what} ({_ends(plan, ends + added)})"
    if found.fewer and (not fits or found.fewer < added):
        narrower = say_cm(found.fewer / plan.sett_per_cm)
        left = _ends(plan, ends - found.fewer)
        yield f"leave {found.fewer} out ({left}; {narrower} less in the reed)"


def _ends(plan: Plan, ends: int) -> str:
    """How to settle the ends of a cloth; the quick question has no such option."""
    return f"--ends {ends}" if plan.name else f"{ends} ends"


def _begun_elsewhere(found: Edges) -> Iterator[str]:
    """To centre the order, where it can be typed in."""
    if found.centred is None:
        return
    text = text_of_order(found.centred)
    if len(text) <= LONGEST_OFFER:
        yield f"centre the order: --warp-order {quote(text)}"


def _stripe(one: Stripe) -> str:
    return f"{one.threads} {one.yarn}"


def _about_pairs(plan: Plan, order: OrderAnswer) -> Iterator[Notice]:
    """Direct warping carries a yarn there and back."""
    odd = next((one for one in order.stripes if one.threads % 2), None)
    if plan.direct and odd is not None:
        yield Notice(
            "odd-stripes",
            f"Direct warping gives pairs, and a stripe of {odd.threads} {odd.yarn} is odd: make"
            " the stripes even, or cut and tie one end at each odd one.",
        )


def _about_joins(order: OrderAnswer, threads: str) -> Iterator[Notice]:
    """The last stripe of one order and the first of the next are one stripe, if of one yarn."""
    first, last = order.stripes[0], order.stripes[-1]
    comes_again = order.repeats + (order.over > 0) > 1
    if comes_again and len(order.stripes) > 1 and first.yarn == last.yarn:
        yield Notice(
            "order-joins",
            f"Where one order meets the next, {first.threads + last.threads} {threads} of"
            f" {first.yarn} lie side by side.",
        )


def _about_pieces(order: OrderAnswer, picks_per_cm: float) -> Iterator[Notice]:
    """A weft's order that a piece does not hold a whole number of times."""
    order_cm, over_cm = order.threads / picks_per_cm, order.over / picks_per_cm
    if not min(over_cm, order_cm - over_cm) >= LEAST_BREAK_CM:
        return
    piece_cm = order.repeats * order_cm + over_cm
    even_cm = piece_cm / max(1, round(piece_cm / order_cm))
    times = {0: "not once whole", 1: "once"}.get(order.repeats, f"{order.repeats} times")
    yield Notice(
        "order-breaks-off",
        f"Rested, a piece is {say_cm(piece_cm)} long and the weft's order {say_cm(order_cm)}: it"
        f" comes {times}, and breaks off after {say_cm(over_cm)}. One of {say_cm(even_cm)}"
        " would come out even.",
    )


def _about_shuttles(order: OrderAnswer, yarns: Sequence[Yarn]) -> Iterator[Notice]:
    """Two shuttles in turn: how many picks of each would use both skeins up alike."""
    picks = {one.yarn: one.threads for one in order.stripes}
    in_turn = len(order.stripes) == len(yarns) == 2
    if not in_turn or max(picks.values()) > MOST_SHUTTLE_PICKS:
        return
    has_m = [sum(one.free * one.median_m for one in yarn.skeins) for yarn in yarns]
    if not min(has_m) > max(has_m) / (2 * MOST_SHUTTLE_PICKS):
        return  # no order of so few picks helps
    now = [picks[yarn.name] for yarn in yarns]
    best = shuttle_picks(*has_m)
    if (now[0] // gcd(*now), now[1] // gcd(*now)) != best:
        there = " and ".join(say_length(metres) for metres in has_m)
        yield Notice(
            "shuttles",
            f"Of {yarns[0].name} and {yarns[1].name} there are {there}: {best[0]} picks to"
            f" {best[1]} in turn would use them up alike.",
        )


def _about_take_up(warp: Sequence[Supply]) -> Iterator[Notice]:
    """Yarns of one warp that take up unequally: elastic beside firm, thick beside thin."""
    pairs = list(combinations(warp, 2))
    unlike = [(a, b) if _elastic(a) else (b, a) for a, b in pairs if _elastic(a) != _elastic(b)]
    known = [(a, b) for a, b in pairs if a.tex_known and b.tex_known]
    thick = max(
        ((b.wraps_per_cm / a.wraps_per_cm, a, b) for one in known for a, b in (one, one[::-1])),
        key=lambda found: found[0],
        default=None,
    )
    if unlike:
        gives, firm = unlike[0]
        yield _unequal(f"{gives.name} is elastic and {firm.name} is not")
    elif thick is not None and thick[0] >= UNEQUAL:
        yield _unequal(f"{thick[1].name} is {thick[0]:.1f} times as thick as {thick[2].name}")


def _elastic(supply: Supply) -> bool:
    return blend(supply.blend).elastic


def _unequal(why: str) -> Notice:
    return Notice(
        "unequal-take-up",
        f"{why}: in one warp they take up unequally, and one goes slack. Keep each under a tension"
        " of its own (two beams, or weights behind), and weave and wash a sample first.",
    )
