"""What of a check matters at the loom, in one short line each."""

from collections.abc import Collection, Iterator, Mapping, Set

from farspun.craft.plan import WARPED
from farspun.services.answers import Check
from farspun.store.supplies import Supply

WASHED = frozenset(("relaxed", "under-tension"))  # states in which a washed skein is counted
AS_THEY_STAND = ("short-ends", "order-joins", "floating-selvedge", "sheds-stick")
SHORT = {
    "unequal-take-up": "Yarns of the warp take up unequally: each under a tension of its own.",
    "order-edges": "The two edges of the warp differ.",
}


def notes(
    check: Check, supplies: Mapping[int, Supply], seen: Mapping[int, Set[str]]
) -> Iterator[str]:
    """The notes; `seen`: the states in which each skein was counted."""
    yield from _about_washing(check, supplies, seen)
    for one in check.warnings:
        if one.code in AS_THEY_STAND:
            yield one.text
        elif one.code in SHORT:
            yield SHORT[one.code]
    for_width = check.allowance_for_size.ends
    if for_width:
        ends = "1 end is" if for_width == 1 else f"{for_width} ends are"
        yield f"{ends} there only so that it comes out wide enough."


def washed(seen: Collection[str]) -> bool | None:
    """Whether a skein was washed when it was last counted, from the states it was counted in."""
    if WASHED.intersection(seen):
        return True
    return False if "unwashed" in seen else None


def _about_washing(
    check: Check, supplies: Mapping[int, Supply], seen: Mapping[int, Set[str]]
) -> Iterator[str]:
    """An unwashed skein beside washed ones; of a warp that is wound, of the weft alone."""
    plan = check.plan
    parts = plan.weft if plan.status in WARPED else (*plan.warp, *plan.weft)
    states = {one.skein_id: washed(seen.get(one.skein_id, frozenset())) for one in parts}
    if True not in states.values():
        return
    for number, state in states.items():
        if state is False:
            do = "it will shrink more" if plan.as_spun else "wash it before it is wound"
            yield f"{supplies[number].name} is not washed yet, as others here are: {do}."
