"""Questions about records that can hardly be: what was told, the likely slip, what to do."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from shlex import quote

from farspun.craft.learned import spreads_off
from farspun.craft.outliers import Doubtful
from farspun.craft.records import GROUPED_BY
from farspun.craft.slips import Slip, likely_slip
from farspun.craft.spread import Spread
from farspun.craft.woven import LOSSES, Told, rested_picks_per_cm
from farspun.services.factors import FACTORS
from farspun.services.stages import OPTIONS
from farspun.services.taught import CLOTH, GREW, Piece, Seen, Taught
from farspun.store.records import SAMPLE
from farspun.units import (
    CM_PER_INCH,
    say_cm,
    say_inches,
    say_length,
    say_per_cm,
    say_percent,
)

FORGOTTEN = "Was a ball left out, or what it was weighed with (--tare)?"
MANY = 2.0  # times; from here on percent are hard to read
SIDES = {"off_width_cm": "wide off the loom", "off_length_cm": "long off the loom",
         "washed_width_cm": "wide washed", "washed_length_cm": "long washed",
         "reed_cm": "wide in the reed", "tape_cm": "by the tape", "warp_cm": "of warp",
         "thrums_cm": "of thrums", "spare_cm": "to spare"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """A record to look at again. `slip`: the likeliest one, as a question, or None.

    `counts`: it teaches until she answers; `tell_again`: how to correct it, None where the cloth
    was given up; `confirm`: what to say if it is right.
    """

    cloth: str
    stage: str
    factor: str
    name: str
    why: str
    slip: str | None
    counts: bool
    tell_again: str | None
    confirm: str


def questions(found: Taught) -> list[tuple[Seen, Question]]:
    """Every record in doubt: first what is held back, then what hardly fits her others."""
    held = [(one, question(one, found.held_back, None)) for one in found.held_back]
    counting = found.counting
    doubts = found.lessons.doubtful
    return held + [(counting[one.at], question(counting[one.at], (), one)) for one in doubts]


def question(seen: Seen, held_back: Collection[Seen], doubt: Doubtful | None) -> Question:
    """What to ask about one record; `doubt`: it is only unlike her others."""
    slip = _slip(seen, [one for one in held_back if one.piece is seen.piece])
    name = FACTORS[seen.factor]
    return Question(
        cloth=seen.cloth,
        stage=seen.stage,
        factor=seen.factor,
        name=name,
        why=_why(seen, doubt),
        slip=FORGOTTEN if slip is None and seen.shorter_than_straight else _slip_of(seen, slip),
        counts=doubt is not None and not doubt.set_aside,
        tell_again=_tell_again(seen, slip),
        confirm=f"farspun lessons --confirm {quote(seen.cloth)} {quote(name)}",
    )


def _slip_of(seen: Seen, slip: Slip | None) -> str | None:
    return None if slip is None else _slip_said(seen, slip)


def _slip(seen: Seen, others: Collection[Seen]) -> Slip | None:
    piece = seen.piece

    def off(told: Told) -> Mapping[str, float]:
        found = {}
        for factor, observed in piece.shown_by(told).items():
            habit = piece.habit(factor, told)
            if factor in GROUPED_BY and habit is not None:
                found[factor] = float(spreads_off(observed, habit))
        return found

    planned = _planned(piece) if piece.stage == CLOTH else _of_a_sample(piece.told)
    return likely_slip(piece.told, seen.factor, off, [one.factor for one in others], planned)


def _planned(piece: Piece) -> dict[str, float]:
    """What the plan makes of what can be measured, at the habit."""
    plan, meant = piece.plan, piece.meant
    washed_cm = plan.width_cm + 2 * plan.side_hem_cm, plan.length_cm + 2 * plan.hem_cm
    kept = [piece.factors.shrinkage(one).factor for one in ("shrink_width", "shrink_length")]
    off_cm = [size / part for size, part in zip(washed_cm, kept, strict=True)]
    return {
        "washed_width_cm": washed_cm[0],
        "washed_length_cm": washed_cm[1],
        "off_width_cm": off_cm[0],
        "off_length_cm": off_cm[1],
        "tape_cm": (meant.pieces * off_cm[1] + meant.extra_cm) / (1 - meant.let_off),
    }


def _of_a_sample(told: Told) -> dict[str, float]:
    """A sample is about as long as it is wide, and all its widths are much the same."""
    wide_cm = told.reed_cm or told.off_width_cm or told.washed_width_cm
    names = ("off_width_cm", "off_length_cm", "washed_width_cm", "washed_length_cm")
    return dict.fromkeys(names, wide_cm) if wide_cm else {}


def _why(seen: Seen, doubt: Doubtful | None) -> str:
    """What was told, what it comes to, and what is usual."""
    what = WHAT[seen.factor](seen)
    whose = "its sample" if seen.stage == SAMPLE else seen.cloth
    usual = f"{usual_said(seen.habit, seen.factor)} is usual"
    if doubt is None:
        return f"{whose}: {what}; {usual}."
    off = f"it is off by {abs(doubt.spreads):.1f} spreads of what your other records say"
    return f"{whose}: {what}; {usual}, and {off}."


def usual_said(spread: Spread, factor: str) -> str:
    """A middle value and its spread as they are said of that factor: “10 ± 5 %”, “50 ± 8 cm”.

    >>> usual_said(Spread(0.1, 0.05, "loss"), "shrink_length")
    '10 ± 5 %'
    """
    if factor == "waste_cm":
        return f"{say_cm(spread.mean).removesuffix(' cm')} ± {say_cm(spread.sd)}"
    sign = "+" if spread.kind == "addition" and spread.mean > 0 else ""
    return f"{sign}{say_percent(spread.mean).removesuffix(' %')} ± {say_percent(spread.sd)}"


def observed_said(seen: Seen) -> str:
    """What came out, in the same terms."""
    if seen.factor == "waste_cm":
        return say_cm(seen.observed)
    sign = "+" if seen.habit.kind == "addition" and seen.observed > 0 else ""
    return f"{sign}{say_percent(seen.observed)}"


def _cm(length_cm: float | None) -> str:
    """In both systems."""
    return "" if length_cm is None else f"{say_cm(length_cm)} ({say_inches(length_cm)})"


def _lost(seen: Seen, before: str, after: str, lost: str, grew: str) -> str:
    """Two lengths and what was lost between them, or that it grew, which it should not."""
    if seen.factor in LOSSES and seen.observed < -GREW:
        return f"{before}, {after}: {grew}, to {_part(1 - seen.observed)}"
    return f"{before}, {after}: {say_percent(seen.observed)} {lost}"


def _part(ratio: float) -> str:
    """How one thing compares with another, in percent or in times.

    >>> _part(1.059), _part(3.18), _part(0.1)
    ('105.9 % of it', '3.2 times it', '10 % of it')
    """
    return f"{ratio:.1f} times it" if ratio >= MANY else f"{say_percent(ratio)} of it"


def _washed(side: str) -> Callable[[Seen], str]:
    def said(seen: Seen) -> str:
        told = seen.piece.told
        off, washed = (getattr(told, f"{one}_{side}_cm") for one in ("off", "washed"))
        word = "long" if side == "length" else "wide"
        before, after = f"rested {_cm(off)} {word}", f"washed {_cm(washed)}"
        return _lost(seen, before, after, "lost in the wash", "it grew in the wash")

    return said


def _woven(seen: Seen) -> str:
    told, meant = seen.piece.told, seen.piece.meant
    cloth_cm = meant.pieces * (told.off_length_cm or 0.0) + meant.extra_cm
    if seen.factor == "let_off":
        before, after = f"{_cm(told.tape_cm)} woven by the tape", f"{_cm(cloth_cm)} rested"
        return _lost(seen, before, after, "let off", "it is longer off the loom than on it")
    warp_cm = (told.warp_cm or 0.0) - (told.thrums_cm or 0.0) - meant.unwoven_cm
    before, after = f"{_cm(warp_cm)} of warp woven up", f"{_cm(cloth_cm)} of cloth rested"
    return _lost(seen, before, after, "taken up", "there is more cloth than warp")


def _drawn_in(seen: Seen) -> str:
    told = seen.piece.told
    before, after = f"{_cm(told.reed_cm)} in the reed", f"{_cm(told.off_width_cm)} off the loom"
    return _lost(seen, before, after, "drawn in", "it is wider off the loom than in the reed")


def _beaten(seen: Seen) -> str:
    piece = seen.piece
    let_off = piece.shown.get("let_off", piece.meant.let_off)
    picks = rested_picks_per_cm(piece.told, let_off) or 0.0
    meant = f"{say_per_cm(piece.meant.picks_per_cm)} were meant"
    return f"picks {say_per_cm(picks)} rested, {meant}: {_part(seen.observed)}"


def _wasted(seen: Seen) -> str:
    return f"{_cm(seen.observed)} of warp that could not be woven"


def _picked(seen: Seen) -> str:
    weft_m, told = seen.piece.weft_m or 0.0, seen.piece.told
    weft = say_length(weft_m)
    if seen.shorter_than_straight and told.off_width_cm and told.reed_cm:
        straight_m = weft_m * told.off_width_cm / told.reed_cm / (1 + seen.observed)
        return (
            f"the weft weighed comes to {weft}, and straight across the cloth it is"
            f" {say_length(straight_m)} already"
        )
    return f"the weft weighed comes to {weft}, {observed_said(seen)} over the reed width a pick"


WHAT: Mapping[str, Callable[[Seen], str]] = {
    "shrink_length": _washed("length"),
    "shrink_width": _washed("width"),
    "let_off": _woven,
    "take_up": _woven,
    "draw_in": _drawn_in,
    "beat": _beaten,
    "waste_cm": _wasted,
    "weft_take_up": _picked,
}


def _slip_said(seen: Seen, slip: Slip) -> str:
    """The slip as a question."""
    meant = getattr(slip.told, slip.field)
    if slip.field == "picks_per_cm":
        was = getattr(seen.piece.told, slip.field)
        return {
            "decimal point": f"Is the decimal point right: was it {say_per_cm(meant)}?",
            "inches": f"Were those picks per inch? {was:.3g} per inch are {say_per_cm(meant)}.",
            "centimetres": f"Were those picks per cm, not {was * CM_PER_INCH:.3g} per inch?",
        }[slip.kind]
    of = _of_it(seen, slip.field)
    return {
        "decimal point": f"Is the decimal point right: was it {_cm(meant)} {of}?",
        "inches": f"Were inches meant, not cm: was it {_cm(meant)} {of}?",
        "centimetres": f"Were cm meant, not inches: was it {_cm(meant)} {of}?",
        "exchanged": f"Were width and length exchanged: was it {_cm(meant)} {of}?",
    }[slip.kind]


def _of_it(seen: Seen, name: str) -> str:
    if name == "reed_cm" and seen.stage == CLOTH:
        return f"in the reed, {seen.piece.told.ends or seen.piece.plan.ends} ends"
    return SIDES[name]


def _tell_again(seen: Seen, slip: Slip | None) -> str | None:
    """The command that corrects it, with the option that is likely wrong."""
    plan = seen.piece.plan
    if plan.status == "given-up":
        return None
    command = "sample" if seen.stage == SAMPLE else plan.status
    return f"farspun cloth {command} {quote(seen.cloth)} {_option(seen, slip)} …"


def _option(seen: Seen, slip: Slip | None) -> str:
    if slip is not None and slip.field == "reed_cm" and seen.stage == CLOTH:
        return "--ends"
    if slip is not None:
        return f"--{OPTIONS[slip.field]}"
    return TOLD_BY[seen.factor]


TOLD_BY = {  # the option most likely wrong, where no slip is likely
    "waste_cm": "--thrums",
    "let_off": "--tape",
    "take_up": "--warp",
    "draw_in": "--off",
    "shrink_length": "--washed",
    "shrink_width": "--washed",
    "beat": "--picks",
    "weft_take_up": "--left",
}
