"""What each doubt of several cloths has in common: the weaver's way, a loom, a fibre, a wash."""

from collections.abc import Sequence

from farspun.craft.learning import Question
from farspun.craft.records import GROUPED_BY, group_of
from farspun.craft.spread import Spread
from farspun.craft.ways import OWN, Way
from farspun.services.checking import Asked
from farspun.services.factors import Factors
from farspun.services.taught import piece_of

# What nobody's records speak of; the part that lasts is that of a habit (docs/learning.md).
LASTS = 0.75
CRIMP_AS = "take_up"  # the weft's crimp hangs on loom and fibre as the warp's does
HER_HAND = ("joins", "cutting")  # judgement: no matter which yarn and loom
OF_THE_FIBRE = ("relax_length", "relax_width")  # judgement: as shrinkage, but no way of hers


def ways_of_all(asked: Sequence[Asked]) -> list[dict[str, Way]]:
    """By cloth, what of every factor in doubt it has in common with others of hers."""
    found: list[dict[str, Way]] = []
    learned: list[tuple[int, Question]] = []
    for at, one in enumerate(asked):
        factors = Factors(one.plan, one.stock.supplies)
        own: dict[str, Way] = {}
        for cause in one.spreads.__slots__:
            spread = getattr(one.spreads, cause)
            if spread is None or not spread.log_sd > 0:
                continue
            if cause in GROUPED_BY:
                learned.append((at, _question(one, factors, cause, spread)))
            else:
                own[cause] = _untaught(factors, cause, spread)
        found.append(own)
    if learned:
        ways = asked[0].stock.lessons.ways([question for _, question in learned])
        for (at, question), way in zip(learned, ways, strict=True):
            found[at][question.factor] = way
    return found


def _question(one: Asked, factors: Factors, cause: str, spread: Spread) -> Question:
    group = group_of(cause, factors.traits(cause))
    return Question(cause, group, piece_of(one.plan), spread)


def _untaught(factors: Factors, cause: str, spread: Spread) -> Way:
    if spread.by_hand:
        return OWN
    if cause in HER_HAND:
        return Way(weaver=LASTS)
    if cause in OF_THE_FIBRE:
        return Way(group=LASTS, of=factors.traits(cause)["fibre"])
    return Way(LASTS / 2, LASTS / 2, group_of(CRIMP_AS, factors.traits(cause)))
