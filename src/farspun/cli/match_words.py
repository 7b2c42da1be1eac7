"""The yarns that would serve, in words: the first ones, what is against each, and the rule."""

from collections.abc import Iterator
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, in_100, labelled
from farspun.units import say_length, say_length_imperial, say_odds

if TYPE_CHECKING:
    from farspun.services.match_left_out import Nearer
    from farspun.services.matching import Explained, Match, Matches

INDENT = " " * 5
NAMES = {
    "odds": "odds",
    "grist": "grist ratio",
    "loft": "loft and elasticity",
    "warp": "as a warp",
    "shrinkage": "shrinkage",
    "dye": "dye",
    "contrast": "contrast",
    "likeness": "likeness",
    "left over": "left over",
}
TOLD_ONLY = ("contrast", "likeness", "left over")  # they stand neither for nor against
WIDEST = max(len(name) for name in NAMES.values())


def match_lines(found: "Matches") -> Iterator[str]:
    """The answer; with --explain that skein alone."""
    yield from wrap(_heading(found), LINE)
    if found.known_odds is not None and found.known_odds < found.promise:
        yield from wrap(_known(found), LINE)
    if found.explained is not None:
        yield ""
        yield from _explained(found, found.explained)
        return
    for one in found.matches:
        yield ""
        yield _line(found, one)
        yield from _wished(found, one)
        yield from _against(one)
    yield ""
    yield from _nearer(found)
    yield from _left_out(found)
    if found.matches:
        yield from _next(found)
        yield from labelled("Order", found.order)
        yield from labelled("", "Every reason for one of them: --explain SKEIN; more: --limit N")


def _heading(found: "Matches") -> str:
    known = " + ".join(found.known)
    other = "warp" if found.side == "weft" else "weft"
    cloth = f"{found.cloth}, {found.size}" if found.cloth else found.size
    asked = f"{cloth}, with {known} as the {other} (you asked for {in_100(found.promise)})"
    if found.why is not None:
        return f"No {found.side} can be told for {asked}: {found.why}."
    if not found.matches:
        return f"No yarn of the stash would serve as the {found.side} for {asked}."
    reach = found.looked.reach
    many = f"{reach} would reach" if reach else "none reaches"
    return f"As the {found.side} for {asked}: {many}."


def _known(found: "Matches") -> str:
    """That the yarn which is there already is not enough itself."""
    odds = say_odds(found.known_odds or 0.0, found.promise)
    other = "warp" if found.side == "weft" else "weft"
    return f"Whatever is chosen, for the {other} itself it is {odds}."


def _line(found: "Matches", one: "Match") -> str:
    """Place, yarn, odds, and what is left over or missing."""
    return f"{one.rank:>3}  {' + '.join(one.skeins)}: {_odds(found, one)}{_left(one)}"


def _odds(found: "Matches", one: "Match") -> str:
    if one.odds is None:
        return "cannot be set up"
    about = "" if one.by == "draws" else "about "
    return f"{about}{say_odds(one.odds, found.promise)}"


def _left(one: "Match") -> str:
    if one.left_m is None:
        return ""
    metric, imperial = say_length(abs(one.left_m)), say_length_imperial(abs(one.left_m))
    return f", about {metric} ({imperial}) {'left over' if one.left_m >= 0 else 'too little'}"


def _wished(found: "Matches", one: "Match") -> Iterator[str]:
    """The criteria of colour that the order goes by."""
    for reason in one.criteria:
        if reason.name in found.wished:
            text = f"{NAMES[reason.name]}: {reason.why}"
            yield from wrap(text, LINE, initial_indent=INDENT, subsequent_indent=INDENT + "  ")


def _against(one: "Match") -> Iterator[str]:
    """What is against it, then what is to mind; the odds speak for themselves."""
    told = [reason for reason in one.criteria if reason.name != "odds" or one.odds is None]
    for stands in ("against", "to mind"):
        for reason in told:
            if reason.stands == stands:
                text = f"{stands}: {NAMES[reason.name]}: {reason.why}"
                yield from wrap(text, LINE, initial_indent=INDENT, subsequent_indent=INDENT + "  ")
    if all(reason.stands == "well" for reason in told):
        yield f"{INDENT}nothing against it"


def _explained(found: "Matches", explained: "Explained") -> Iterator[str]:
    """Every criterion of the skein alone and of the combinations it is in; what is before it."""
    if explained.why_not is not None:
        yield from wrap(f"{explained.skein} is not among them: {explained.why_not}.", LINE)
        return
    looked = found.looked
    for one in explained.matches:
        place = f"{one.rank} of {looked.skeins + looked.combinations}"
        yield from wrap(
            f"{' + '.join(one.skeins)} stands at {place}: {_odds(found, one)}{_left(one)}", LINE
        )
        for reason in one.criteria:
            stands = "" if reason.name in TOLD_ONLY else reason.stands
            start = f"  {NAMES[reason.name].ljust(WIDEST)}  {stands.ljust(7)}  "
            yield from wrap(
                reason.why, LINE, initial_indent=start, subsequent_indent=" " * len(start)
            )
    if explained.above is not None:
        yield from wrap(f"{explained.above}.", LINE)
    yield from labelled("Order", found.order)


def _left_out(found: "Matches") -> Iterator[str]:
    """How many were looked at, and how many could not be."""
    looked = found.looked
    if looked.skeins:
        several = ""
        if looked.combinations:
            several = f" and {_number(looked.combinations, 'combination')} of like ones"
        yield from labelled("Looked", f"at {_number(looked.skeins, 'skein')}{several}")
    label = "Not"
    if looked.unknown_length:
        unknown = f"looked at: {_number(looked.unknown_length, 'skein')} of unknown length"
        named = [f"{one.skein}: {one.why}" for one in looked.unknown]
        rest = looked.unknown_length - len(named)
        named += [f"and {_number(rest, 'other')}"] if rest else []
        for text in (unknown, *named):
            yield from labelled(label, text)
            label = ""
    if looked.nothing_free:
        free = _number(looked.nothing_free, "skein")
        yield from labelled(label, f"looked at: {free} of which nothing is free")


def _nearer(found: "Matches") -> Iterator[str]:
    """What is nearer in colour and was cut off; and that the first one is another colour."""
    if found.far_off is not None:
        first = " + ".join(found.matches[0].skeins)
        how = "that would reach" if found.looked.reach else "as likely as the first"
        text = (
            f"nothing {how} is near {found.like} in colour: {first}, the nearest of that, is"
            f" ΔE2000 {found.far_off:.0f} away"
        )
        yield from labelled("Colour", text)
    if found.nearer:
        told = "; ".join(f"{' + '.join(one.skeins)}, {_chance(one)}" for one in found.nearer)
        label = "" if found.far_off is not None else "Colour"
        yield from labelled(label, f"nearer in colour but less likely: {told}")


def _chance(one: "Nearer") -> str:
    return "which cannot be set up" if one.odds is None else say_odds(one.odds)


def _next(found: "Matches") -> Iterator[str]:
    """How the first of them goes into the cloth, every skein by itself.

    Of another colour than the one wished for, none is put forward.
    """
    if found.far_off is not None:
        if found.nearer:
            name = quote(found.nearer[0].skeins[0])
            yield from labelled("Next", f"why {name} stands where it does: --explain {name}")
        return
    yarns = " ".join(f"--{found.side} {quote(name)}" for name in found.matches[0].skeins)
    first = f"cloth change {quote(found.cloth)}" if found.cloth else "cloth plan NAME"
    rest = "" if found.cloth else ", the rest as here"
    yield from labelled("Next", f"the first of them: farspun {first} {yarns}{rest}")


def _number(many: int, what: str) -> str:
    return f"{many} {what}" + ("" if many == 1 else "s")
