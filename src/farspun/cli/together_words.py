"""Whether all planned cloths reach together, as the last sentence of an answer."""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE
from farspun.services.wording import in_words
from farspun.units import say_odds

if TYPE_CHECKING:
    from farspun.services.answers import Check, InTheWay

LIKELY = 0.5  # judgement: less, and it is worth knowing how many of the cloths are likely
NAMED = 3  # cloths; of more, the first two and how many others


def together_lines(checks: "Sequence[Check]") -> Iterator[str]:
    """The odds of all, and what holds them up where a promise is not kept; of one cloth nothing."""
    if len(checks) < 2 or checks[-1].together is None:
        return
    yield ""
    yield from wrap(_together(checks), LINE, break_on_hyphens=False, break_long_words=False)


def _together(checks: "Sequence[Check]") -> str:
    number = "both" if len(checks) == 2 else f"all {in_words(len(checks))}"
    all_of_them = f"{number} cloths"
    told = checks[-1].together
    assert told is not None
    if told.odds is None:
        return (
            f"Whether {all_of_them} reach together cannot be told: the length of {told.unknown} is"
            " not known."
        )
    said = f"{all_of_them.capitalize()} together: {say_odds(told.odds)}."
    kept = told.odds >= max(check.promise for check in checks)
    if kept or told.in_the_way is None:
        return said
    return f"{said} What holds them up is {_held_up_by(told.in_the_way)}.{_likely(checks)}"


def _likely(checks: "Sequence[Check]") -> str:
    """Where all are not likely to reach, how many of them by priority are."""
    odds = [check.together.odds or 0.0 for check in checks if check.together]
    many = sum(one >= LIKELY for one in odds)  # they only fall
    if many in (0, 1, len(odds)):
        return ""
    return f" The first {in_words(many)} by priority: {say_odds(odds[many - 1])}."


def _held_up_by(way: "InTheWay") -> str:
    cloths = _listed(way.cloths)
    if not way.skeins:
        return f"the size of {cloths}"
    yarn = " + ".join(way.skeins)
    return f"{yarn}, which {cloths} share" if len(way.cloths) > 1 else f"{yarn}, in {cloths}"


def _listed(names: Sequence[str]) -> str:
    """A, B and C; of more than three, two and how many others."""
    if len(names) > NAMED:
        return f"{', '.join(names[:2])} and {in_words(len(names) - 2)} others"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
