"""How yarns that are matched are told: the heading, each yarn's odds, what is against it, what was
passed over."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.services.wording import Row, counted, in_100
from farspun.units import say_length, say_length_imperial, say_odds

if TYPE_CHECKING:
    from farspun.services.match_left_out import Nearer
    from farspun.services.match_reasons import Reason
    from farspun.services.matching import Match, Matches

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
NOTHING_AGAINST = "nothing against it"


def heading_said(found: "Matches") -> str:
    """What is sought, and how many would reach; or why nothing can be told."""
    known = " + ".join(found.known)
    cloth = f"{found.cloth}, {found.size}" if found.cloth else found.size
    asked = f"{cloth}, with {known} as the {other_side(found.side)} {asked_said(found)}"
    if found.why is not None:
        return f"No {found.side} can be told for {asked}: {found.why}."
    if not found.matches:
        return f"No yarn of the stash would serve as the {found.side} for {asked}."
    reach = found.looked.reach
    many = f"{reach} would reach" if reach else "none reaches"
    return f"As the {found.side} for {asked}: {many}."


def goes_with_said(found: "Matches") -> str:
    """The same with the yarn that is there for its subject: what it goes with."""
    side, asked = other_side(found.side), asked_said(found)
    if found.why is not None:
        return f"As {side} nothing can be told {asked}: {found.why}."
    if not found.matches:
        return f"As {side} it goes with no yarn of the stash {asked}."
    first, reach = found.matches[0], found.looked.reach
    name = " + ".join(first.skeins)
    if not reach:
        nearest = f"the nearest is {name}, {_chance_said(found, first)}"
        return f"As {side} it goes with no yarn of the stash {asked}; {nearest}."
    more = "" if reach == 1 else f", and with {reach - 1} more"
    return f"As {side} it goes with {name}, {odds_said(found, first)}{more} {asked}."


def asked_said(found: "Matches") -> str:
    """What was asked of it, in brackets."""
    return f"(you asked for {in_100(found.promise)})"


def other_side(side: str) -> str:
    """Warp for weft, weft for warp."""
    return "warp" if side == "weft" else "weft"


def known_said(found: "Matches") -> str:
    """That the yarn which is there already is not enough itself; empty where it is."""
    if found.known_odds is None or found.known_odds >= found.promise:
        return ""
    odds = say_odds(found.known_odds, found.promise)
    return f"Whatever is chosen, for the {other_side(found.side)} itself it is {odds}."


def odds_said(found: "Matches", one: "Match") -> str:
    """How likely it is that all yarns reach."""
    if one.odds is None:
        return "cannot be set up"
    about = "" if one.by == "draws" else "about "
    return f"{about}{say_odds(one.odds, found.promise)}"


def _chance_said(found: "Matches", one: "Match") -> str:
    return f"which {odds_said(found, one)}" if one.odds is None else odds_said(found, one)


def left_said(one: "Match") -> str:
    """What is left over or missing; empty where that is not known."""
    if one.left_m is None:
        return ""
    metric, imperial = say_length(abs(one.left_m)), say_length_imperial(abs(one.left_m))
    return f"about {metric} ({imperial}) {'left over' if one.left_m >= 0 else 'too little'}"


def wished_rows(found: "Matches", one: "Match") -> Iterator[Row]:
    """The criteria of colour that the order goes by."""
    for reason in one.criteria:
        if reason.name in found.wished:
            yield NAMES[reason.name], reason.why


def against_rows(one: "Match") -> Iterator[tuple[str, str, str]]:
    """What is against it, then what is to mind: how it stands, the criterion, why. The odds speak
    for themselves."""
    told = _told(one)
    for stands in ("against", "to mind"):
        for reason in told:
            if reason.stands == stands:
                yield stands, NAMES[reason.name], reason.why


def nothing_against(one: "Match") -> bool:
    """Whether it stands well in everything."""
    return all(reason.stands == "well" for reason in _told(one))


def _told(one: "Match") -> "list[Reason]":
    return [reason for reason in one.criteria if reason.name != "odds" or one.odds is None]


def stands_said(reason: "Reason") -> str:
    """How a criterion stands; empty for those that only tell."""
    return "" if reason.name in TOLD_ONLY else reason.stands


def left_out_rows(found: "Matches") -> Iterator[Row]:
    """How many were looked at, and how many could not be."""
    looked = found.looked
    if looked.skeins:
        several = ""
        if looked.combinations:
            several = f" and {counted(looked.combinations, 'combination')} of like ones"
        yield "Looked", f"at {counted(looked.skeins, 'skein')}{several}"
    label = "Not"
    if looked.unknown_length:
        unknown = f"looked at: {counted(looked.unknown_length, 'skein')} of unknown length"
        named = [f"{one.skein}: {one.why}" for one in looked.unknown]
        rest = looked.unknown_length - len(named)
        named += [f"and {counted(rest, 'other')}"] if rest else []
        for text in (unknown, *named):
            yield label, text
            label = ""
    if looked.nothing_free:
        free = counted(looked.nothing_free, "skein")
        yield label, f"looked at: {free} of which nothing is free"


def nearer_rows(found: "Matches") -> Iterator[Row]:
    """What is nearer in colour and was cut off; and that the first one is another colour."""
    if found.far_off is not None:
        first = " + ".join(found.matches[0].skeins)
        how = "that would reach" if found.looked.reach else "as likely as the first"
        yield (
            "Colour",
            f"nothing {how} is near {found.like} in colour: {first}, the nearest of that, is"
            f" ΔE2000 {found.far_off:.0f} away",
        )
    if found.nearer:
        told = "; ".join(f"{' + '.join(one.skeins)}, {_nearer_said(one)}" for one in found.nearer)
        label = "" if found.far_off is not None else "Colour"
        yield label, f"nearer in colour but less likely: {told}"


def _nearer_said(one: "Nearer") -> str:
    return "which cannot be set up" if one.odds is None else say_odds(one.odds)


def names_of(matches: "Sequence[Match]") -> list[str]:
    """Every skein that is told, once."""
    return list(dict.fromkeys(name for one in matches for name in one.skeins))


def verdict_said(one: "Match") -> str:
    """Whether it reaches, as a word of its own."""
    return (one.verdict or "cannot be set up").capitalize()


def value_said(reason: "Reason") -> str:
    """The value of a criterion with its unit, as docs/matching.md tells it; empty where it is not
    known."""
    value, name = reason.value, reason.name
    if value is None:
        return ""
    if name == "odds":
        return say_odds(value)
    if name == "shrinkage":
        return f"{100 * value:+.1f} points"
    if name == "left over":
        return f"{'-' if value < 0 else ''}{say_length(abs(value))}"
    forms = {
        "grist": "{:.2f} (weft over warp)",
        "loft": "{:.2f} fibre fill",
        "warp": "{}-ply",
        "contrast": "{:+.0f} L*",
        "likeness": "ΔE2000 {:.1f}",
    }
    return forms.get(name, "{}").format(value)
