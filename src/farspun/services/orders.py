"""The order of a cloth's yarns: names looked up, parts that follow from it, and how it is wound."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Any

from sqlalchemy import Connection

from farspun.craft.amounts import shared_picks, whole_up
from farspun.craft.case import Size, Spreads
from farspun.craft.order_text import order_from_text, text_of_order
from farspun.craft.orders import (
    Group,
    counted,
    counts,
    in_picks,
    number_of_stripes,
    renamed,
    repeat_of,
    shares,
    stripes,
    threads_in,
    yarns_in,
)
from farspun.craft.plan import Part, Plan
from farspun.errors import ImpossibleValue, NotFound, WrongUse, nearest_names
from farspun.services.answers import OrderAnswer, StripeAnswer, YarnThreads
from farspun.services.cloth_asked import ClothAsked
from farspun.store.cloths import orders_with, set_orders
from farspun.units import name_key

# name: value                 unit           source
USUAL_PICKS_PER_CM = 5.0  # picks per cm     judgement: only until the picks are settled
MOST_STRIPES = 10_000  # stripes             judgement: of one repeat; nobody winds so many
LEAST_SHARE = 1e-6  # of the picks           what a stash can hold: a millionth
SIDES = ("warp", "weft")

Names = Mapping[int, str]  # of skeins by their id


def in_order(plan: Plan, asked: ClothAsked, before: Plan, names: Names) -> Plan:
    """The plan with the order of each side read, its yarns found, and its parts from the order.

    `before`: the plan as it was. Raises UnreadableValue or ImpossibleValue with the column,
    NotFound for a yarn that the side has not, WrongUse where two things are said of one yarn.
    """
    for side in SIDES:
        plan = _side_in_order(plan, asked, before, side, names)
    return with_parts(plan, names, plan.picks_asked or USUAL_PICKS_PER_CM)


def _side_in_order(plan: Plan, asked: ClothAsked, before: Plan, side: str, names: Names) -> Plan:
    told: str | None = getattr(asked, f"{side}_order")
    text: str | None = getattr(plan, f"{side}_order") if told is None else told
    yarns: Sequence[str] | None = getattr(asked, side)
    parts: tuple[Part, ...] = getattr(plan, side)
    bare = tuple(Part(one) for one in dict.fromkeys(part.skein_id for part in parts))
    if text is None:
        taken_back = getattr(before, f"{side}_order") is not None and yarns is None
        return _replaced(plan, **{side: bare}) if taken_back else plan
    if yarns and parts != bare:
        word = "ENDS" if side == "warp" else "SHARE"
        raise WrongUse(
            f"--{side}-order says how much of each yarn comes in, and so does :{word}.",
            f"Leave :{word} out, or take the order back: --default {side}-order",
        )
    order = order_from_text(text, side)
    _check_stripes(order, side)
    mine = {name_key(names[part.skein_id]): names[part.skein_id] for part in bare}
    if told is None and not {name_key(yarn) for yarn in yarns_in(order)} <= mine.keys():
        raise WrongUse(
            f"The {side} has other yarns now than its order: {text}",
            f"Give --{side}-order for them, or take it back: --default {side}-order",
        )
    own = {yarn: _own_name(yarn, at, side, mine) for yarn, at in yarns_in(order).items()}
    left_out = [name for name in mine.values() if name not in own.values()]
    if left_out:
        raise WrongUse(
            f"{left_out[0]} is a yarn of this {side}, and its order does not name it.",
            f"Give --{side} with the yarns of the order, or name {left_out[0]} in --{side}-order.",
        )
    written = text_of_order(renamed(order, own))
    return _replaced(plan, **{side: bare, f"{side}_order": written})


def _replaced(plan: Plan, **anew: Any) -> Plan:
    return replace(plan, **anew)


def named_in(text: str, side: str) -> tuple[str, ...]:
    """The yarns that an order names, where she names them nowhere else."""
    return tuple(yarns_in(order_from_text(text, side)))


def _own_name(yarn: str, column: int, side: str, mine: Mapping[str, str]) -> str:
    """The name of the side's skein that is meant."""
    found = mine.get(name_key(yarn))
    if found is None:
        near = nearest_names(yarn, mine.values(), most=1)
        meant = f"did you mean “{near[0]}”?" if near else f"it has {', '.join(mine.values())}."
        where = f"Column {column} of the {side} order"
        raise NotFound(f"yarn of this {side}", yarn, [], f"{where}: {meant}")
    return found


def _check_stripes(order: Group, side: str) -> None:
    number = number_of_stripes(repeat_of(order))
    if not number <= MOST_STRIPES:
        raise ImpossibleValue(
            f"the {side} order", f"{number} stripes", f"at most {MOST_STRIPES} in one repeat"
        )


def with_parts(plan: Plan, names: Names, picks_per_cm: float) -> Plan:
    """The plan with its yarns' parts of one order: ends, and shares of the picks."""
    if plan.warp_order is not None:
        ends = counts(order_from_text(plan.warp_order, "warp"))
        parts = [replace(one, ends=ends[names[one.skein_id]], share=None) for one in plan.warp]
        plan = replace(plan, warp=tuple(parts))
    if plan.weft_order is not None:
        part_of = shares(order_from_text(plan.weft_order, "weft"), picks_per_cm)
        told = {name: max(LEAST_SHARE, part) for name, part in part_of.items()}
        parts = [replace(one, ends=None, share=told[names[one.skein_id]]) for one in plan.weft]
        plan = replace(plan, weft=tuple(parts))
    return plan


def refuse_longer(plan: Plan, ends: int) -> None:
    """An order that does not come in whole. Raises ImpossibleValue."""
    if plan.warp_order is None:
        return
    long = threads_in(order_from_text(plan.warp_order, "warp"))
    if not long <= ends:
        raise ImpossibleValue(
            "the warp order",
            f"{long} ends long",
            f"the warp has {ends}",
            f"Shorten the order, make the cloth wider, or settle the ends: --ends {long}",
        )


def ends_of_yarns(text: str, ends: int) -> dict[str, int]:
    """Ends of each yarn by name, the order repeated and cut off. Raises ImpossibleValue where
    one does not come in."""
    return _all_come_in(counted(order_from_text(text, "warp"), ends), "warp", f"{ends} ends")


def picks_of_yarns(text: str, picks_per_cm: float, spans: Sequence[int]) -> dict[str, int]:
    """Picks of each yarn by name, the order begun anew with each span of picks."""
    order = in_picks(order_from_text(text, "weft"), picks_per_cm)
    found: Counter[str] = Counter()
    for picks, times in Counter(spans).items():
        found.update({yarn: times * part for yarn, part in counted(order, picks).items()})
    return _all_come_in(dict(found), "weft", f"{sum(spans)} picks")


def _all_come_in(found: dict[str, int], side: str, of: str) -> dict[str, int]:
    for yarn, part in found.items():
        if not part > 0:
            raise ImpossibleValue(
                f"the {side} order",
                "so long",
                f"in {of} it does not come as far as {yarn}",
                f"Shorten the stripes before {yarn}.",
            )
    return found


def spans_of_picks(size: Size, spreads: Spreads, picks_per_cm: float) -> list[int]:
    """Picks of header and sample together, if any, then of each piece, at middle values."""
    kept = spreads.shrink_length.factor * spreads.relax_length.factor
    piece_cm = size.full_length_cm / kept / size.pieces
    before_cm = size.sample_cm + size.header_cm
    lengths = [before_cm] * (before_cm > 0) + [piece_cm] * size.pieces
    whole_cm = size.full_length_cm / kept + before_cm
    picks = int(whole_up(whole_cm * picks_per_cm))
    return shared_picks(picks, [one / whole_cm for one in lengths])


def warp_order_answer(text: str | None, ends: int) -> OrderAnswer | None:
    """How the warp's order is wound; None where it has none."""
    if text is None:
        return None
    return _answer(text, order_from_text(text, "warp"), ends, ends_of_yarns(text, ends))


def weft_order_answer(
    text: str | None, picks_per_cm: float, spans: Sequence[int]
) -> OrderAnswer | None:
    """How the weft's order is woven in each piece; None where it has none."""
    if text is None:
        return None
    order = in_picks(order_from_text(text, "weft"), picks_per_cm)
    return _answer(text, order, spans[-1], picks_of_yarns(text, picks_per_cm, spans))


def _answer(text: str, order: Group, threads: int, yarns: Mapping[str, int]) -> OrderAnswer:
    once = repeat_of(order)
    laid = list(stripes(once))
    upto = accumulate(one.threads for one in laid)
    repeats, over = divmod(threads, threads_in(once))
    return OrderAnswer(
        order=text,
        threads=threads_in(once),
        repeats=repeats,
        over=over,
        stripes=[
            StripeAnswer(one.yarn, one.threads, end) for one, end in zip(laid, upto, strict=True)
        ],
        yarns=[YarnThreads(yarn, part) for yarn, part in yarns.items()],
    )


def rename_in_orders(connection: Connection, skein_id: int, was: str, now: str) -> None:
    """A skein goes by another name in every order that it is a yarn of."""
    for cloth_id, texts in orders_with(connection, skein_id):
        anew = {
            column: text_of_order(
                renamed(order_from_text(text, column.removesuffix("_order")), {was: now})
            )
            for column, text in texts.items()
        }
        set_orders(connection, cloth_id, anew)
