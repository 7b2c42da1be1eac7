"""The first side of a warping card in words: the cloth, its yarns, the warp, the reed."""

from collections.abc import Iterator, Sequence
from shlex import quote

from farspun.cards.facts import Card, Draft, LengthStep, Points, Straight, Stripes, Yarn
from farspun.cards.wording import Row, Said, at_most, both, figure, letters, many, runs
from farspun.units import (
    UNKNOWN,
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_odds,
    say_per_cm,
    say_per_inch,
    say_percent,
)

MOST_NOTES, MOST_BEGINS = 4, 6  # told; judgement
MOST_STRIPES, MOST_SKEINS, MOST_NAMES = 36, 24, 6  # told; judgement: what a side has room for
WASHED = {
    "gentle": "washed gently",
    "hot": "washed hot",
    "fulled": "fulled",
    "machine": "washed by machine",
    "none": "not washed",
}


def cloth_rows(card: Card) -> Iterator[Row]:
    """What it is for, whether it reaches, and each yarn."""
    purpose = card.purpose
    pieces = f", {many(purpose.pieces, 'piece')}" if purpose.pieces > 1 else ""
    on = f"; on {purpose.loom}" if purpose.loom else ""
    metric, imperial = both(
        lambda cm: f"{cm(purpose.width_cm)} wide, {cm(purpose.length_cm)} long when finished"
    )
    like = f"{purpose.weave}, {purpose.purpose}, {WASHED[purpose.wash]}{on}"
    yield Row("For", f"{metric}{pieces}; {like}", imperial)
    odds = UNKNOWN if card.odds is None else say_odds(card.odds, card.promise)
    asked = f"{card.promise * 100:.1f}".removesuffix(".0")
    yield Row("Verdict", f"{card.verdict}: {odds} (you asked for {asked})")
    for yarn in card.warp:
        yield _yarn_row("Warp", yarn, card.promise)
    for letter, yarn in zip(letters(len(card.weft)), card.weft, strict=bool(card.weft)):
        yield _yarn_row(f"Weft {letter}".strip(), yarn, card.promise, "for the least that serves ")
    made, cut_cm = card.made, card.setup.warp_cut_cm
    ends = f"{many(card.warping.ends, 'end')}, warp"
    yield Row(
        "Made from",
        f"the plan of {made.plan_of}, no. {made.plan_action}; {ends} {say_cm(cut_cm)}",
        f"warp {say_inches(cut_cm)}",
    )


def _yarn_row(label: str, yarn: Yarn, promise: float, serving: str = "") -> Row:
    """How much it needs and has, how sure that is, and a patch of its colour."""
    names = " + ".join(yarn.skeins[:MOST_NAMES])
    if len(yarn.skeins) > MOST_NAMES:
        names += f" and {len(yarn.skeins) - MOST_NAMES} more"
    like = f"{yarn.fibre}, {yarn.colour}" if yarn.colour else yarn.fibre
    odds = "length not known" if yarn.odds is None else say_odds(yarn.odds, promise)
    need, have = yarn.need_m, yarn.have_m
    metric = (
        f"{names} ({like}): {serving}needs {_span(need, say_length)},"
        f" has {_span(have, say_length)}; {odds}"
    )
    imperial = f"needs {_span(need, say_length_imperial)}, has {_span(have, say_length_imperial)}"
    if yarn.short_m:
        metric += f"; short of {say_length(max(1.0, yarn.short_m))}"
        imperial += f"; short of {say_length_imperial(max(1.0, yarn.short_m))}"
    return Row(label, metric, imperial, swatch=yarn.hex or "")


def _span(points: Points, say_it: Said) -> str:
    if points.p05 is None or points.p95 is None:
        return UNKNOWN
    if not points.p95:
        return "none free"
    low, high = say_it(points.p05), say_it(points.p95)
    alike = low.split(" ")[-1] == high.split(" ")[-1] or figure(low) == "0"
    return f"{figure(low)}-{high}" if alike else f"{low} to {high}"


def warp_rows(card: Card) -> Iterator[Row]:
    """How long it is and how that comes about; ends in order; bouts or loops; skeins."""
    warp, setup = card.warping, card.setup
    yield Row("Length", *both(lambda cm: f"{cm(setup.warp_cut_cm)}: {_chain(card, cm)}"))
    yield Row("", *both(lambda cm: _farthest(card, cm)))
    floating = (
        f", and {many(warp.floating_selvedges, 'floating selvedge')} beside them"
        if warp.floating_selvedges
        else ""
    )
    sett = setup.sett_ends_per_cm
    yield Row(
        "Ends",
        f"{many(warp.ends, 'end')} at {say_per_cm(sett)}{floating}; {_warp_yarn(card, say_length)}",
        f"at {say_per_inch(sett)}; {_warp_yarn(card, say_length_imperial)}",
    )
    if warp.peg_cm is not None and warp.loops is not None:
        loops, peg_cm = warp.loops, warp.peg_cm
        yield Row(
            "Direct",
            *both(lambda cm: f"peg {cm(peg_cm)} from the back bar"),
        )
        where = "one loop through each slot; then one end of each pair into the hole beside it"
        yield Row("", f"{many(loops, 'loop')} of two ends: {where}")
    if warp.order:
        yield Row("Order", order_text(warp.order, "end", card.cloth))
    if warp.bouts:
        told = ", ".join(f"{one.ends} (up to {one.upto})" for one in warp.bouts)
        yield Row("Bouts", f"{many(len(warp.bouts), 'bout')}: {told}")
    if warp.skeins:
        yield Row("Skeins", _skeins(card))
    if warp.missing_ends:
        yield Row("Missing", f"{many(warp.missing_ends, 'end')} that no skein holds")
    if card.notes:
        yield Row("Note", " ".join(card.notes[:MOST_NOTES]))


def _farthest(card: Card, cm: Said) -> str:
    """How far the warp as cut can be woven, and how long the cloth is then."""
    found = card.expected
    last = "the last piece" if card.purpose.pieces > 1 else "the cloth"
    return (
        f"woven as far as it goes, to about {cm(found.farthest_tape_cm)} on the tape, {last} is"
        f" {cm(found.farthest_off_loom_length_cm)} off the loom and"
        f" {cm(found.farthest_washed_length_cm)} finished"
    )


def _warp_yarn(card: Card, say_it: Said) -> str:
    setup = card.setup
    cut, bare = say_it(setup.warp_yarn_cut_m), say_it(setup.warp_yarn_m)
    return f"{cut} of yarn to wind" + (f", {bare} without the margin" if bare != cut else "")


def _chain(card: Card, cm: Said) -> str:
    """As "160 finished length + 17.8 shrinkage (10 %) … = 205; + 13.2 margin for size"."""
    parts = []
    *steps, last = card.warping.steps
    for number, step in enumerate(steps):
        parts.append(f"{'+ ' if number else ''}{_step(step, cm)}")
    if last.what == "loom waste":  # nothing is added for size
        return f"{' '.join(parts)} + {_step(last, cm)} = {figure(cm(card.setup.warp_length_cm))}"
    sign = "-" if last.adds_cm < 0 else "+"
    middle = figure(cm(card.setup.warp_length_cm))
    return f"{' '.join(parts)} = {middle}; {sign} {_step(last, cm)}"


def _step(step: LengthStep, cm: Said) -> str:
    part = "" if step.part is None else f" ({say_percent(step.part)})"
    return f"{figure(cm(abs(step.adds_cm)))} {step.what}{part}"


def order_text(order: Stripes, thread: str, cloth: str) -> str:
    """The stripes of one repeat counted off, and how often it comes."""
    stripes = [(one.yarn, one.threads, one.upto) for one in order.stripes]
    told = at_most(
        list(runs(stripes)), MOST_STRIPES, "stripes", f"farspun cloth show {quote(cloth)}"
    )
    times = f"{many(order.threads, thread)}, {_times(order.repeats)}"
    over = f" and {order.over} over" if order.over else ""
    return f"{', '.join(told)}: {times}{over}{_begins(order)}"


def _begins(order: Stripes) -> str:
    """Where each repeat begins, counted through; the first of many and the last."""
    at = [1 + number * order.threads for number in range(order.repeats + (order.over > 0))]
    if len(at) < 2:
        return ""
    if len(at) > MOST_BEGINS:
        return f"; it begins at {_list(at[:3])} … {at[-1]}"
    return f"; it begins at {_list(at)}"


def _list(numbers: Sequence[int]) -> str:
    return ", ".join(map(str, numbers))


def _times(number: int) -> str:
    return {0: "not whole", 1: "once"}.get(number, f"{number} times")


def _skeins(card: Card) -> str:
    """Where each skein changes, counted in ends of its own yarn."""
    used = [(one.skein, one.ends, one.upto) for one in card.warping.skeins if one.ends]
    counted = ", ".join(at_most(list(runs(used)), MOST_SKEINS, "skeins", "--json"))
    idle = len(card.warping.skeins) - len(used)
    no_end = "without one end" if card.warping.missing_ends else "not needed"
    over = f"; {many(idle, 'skein')} {no_end}" if idle else ""
    each = "each yarn's own ends" if len(card.warp) > 1 else "ends"
    step = "; a skein changes at the peg or the bar" if card.warping.direct else ""
    return f"{each} {counted or 'unknown'}{over}{step}"


def reed_rows(card: Card) -> Iterator[Row]:
    """Reed and sleying, threading, separator, lashing."""
    setup, sleyed = card.setup, card.sleying
    width = both(lambda cm: f"{cm(setup.reed_width_cm)} wide")
    if sleyed is None:
        yield Row("Reed", f"{width[0]}; sleyed as you like", width[1])
    else:
        dents = "places" if sleyed.rigid_heddle else "dents"
        yield Row(
            "Reed",
            f"{sleyed.reed}, {width[0]}; {_repeat(sleyed.per_dent, sleyed.rigid_heddle)};"
            f" {sleyed.dents} {dents}, the first {sleyed.left_of_middle} left of the middle; end"
            f" {sleyed.middle_end} stands in the middle",
            width[1],
        )
    yield Row("Thread", threading_text(card.draft, card.warping.ends))
    if card.draft.straight:
        yield Row("", _straight_text(card.draft, card.draft.straight, card.warping.ends))
    if card.warping.floating_selvedges:
        yield Row("Selvedge", "floating: through the reed and no heddle, each weighted by itself")
    yield Row("Separator", *both(lambda cm: f"warp separator {cm(card.separator_cm)} wide"))
    if card.lashing:
        cord = card.lashing
        yield Row(
            "Lashing",
            *both(
                lambda cm: (
                    f"{many(cord.bundles, 'bundle')} {cm(cord.bundle_cm)} wide,"
                    f" {cm(cord.gap_cm)} from a bar {cm(cord.rod_cm)} thick to the knots:"
                    f" {cm(cord.cord_cm)} of cord"
                )
            ),
        )
        bundles = f"from the left {_bundled(card)}"
        yield Row("", f"{bundles}; the cord must not stretch{_assumed(card)}")


def _assumed(card: Card) -> str:
    """What of the lashing she did not give."""
    if not card.lashing_assumed:
        return ""
    told = " and ".join({"gap": "gap", "rod": "bar"}[one] for one in card.lashing_assumed)
    return f"; {told} are assumed" if " and " in told else f"; the {told} is assumed"


def _bundled(card: Card) -> str:
    """As "2 bundles of 9 ends, 8 of 10, 2 of 9"."""
    first, *others = card.bundles
    told = [f"{many(first.bundles, 'bundle')} of {many(first.ends, 'end')}"]
    return ", ".join([*told, *(f"{one.bundles} of {one.ends}" for one in others)])


def _repeat(per_dent: Sequence[int], rigid_heddle: bool) -> str:
    """The sleying written out."""
    if list(per_dent) == [1]:
        return "one end in each hole and slot" if rigid_heddle else "one end in each dent"
    if len(per_dent) == 1:
        return f"{per_dent[0]} in each dent"
    return f"{'-'.join(map(str, per_dent))} again and again"


def draft_text(draft: Draft) -> str:
    """What stands where in the picture."""
    if draft.levers:
        return "threading on top, shaft 1 lowest; levers to press beside the cloth, pick 1 on top"
    if draft.tie_up is None:
        return "threading on top, shaft 1 lowest; shafts to lift beside the cloth, pick 1 on top"
    return "threading on top, tie-up beside it, shaft 1 lowest; treadling below that, pick 1 on top"


def _straight_text(draft: Draft, straight: Straight, ends: int) -> str:
    """The same over all the shafts there are, and what then moves for each shaft of the draft."""
    threading = " ".join(map(str, straight.threading))
    repeats, over = divmod(ends, len(straight.threading))
    rest = f" and {over} over" if over else ""
    verb = "press levers" if draft.levers else "tie up shafts"
    moved = "; ".join(
        f"for {number} {verb} {' '.join(map(str, shafts))}"
        for number, shafts in enumerate(straight.shafts, start=1)
    )
    return f"or straight over {threading}: {_times(repeats)}{rest}; {moved}"


def threading_text(draft: Draft, ends: int) -> str:
    """The threading of one repeat by shafts, and how often it comes."""
    if draft.slots_and_holes:
        return "slots and holes in turn"
    repeats, over = divmod(ends, len(draft.threading))
    rest = f" and {over} over" if over else ""
    shown = " ".join(map(str, draft.threading[: MOST_STRIPES * 2]))
    more = " …" if len(draft.threading) > MOST_STRIPES * 2 else ""
    sinking = "; the treadles pull shafts down" if draft.sinking else ""
    once = many(len(draft.threading), "end")
    return f"shafts {shown}{more}: {once}, {_times(repeats)}{rest}{sinking}"
