"""How much of a yarn each shade is, from what a note tells: shares that add up to one."""

from collections.abc import Sequence

from farspun.craft.colour_segments import Amount, Part

FEW = 0.1  # share of a shade for which the told ones leave nothing; judgement, as "a little"
WHOLE = 1e-9  # a rounding
HUNDRED = (99.5, 100.5)  # bare numbers that add up to so much are percentages, as in a fibre


def shares(parts: Sequence[Part]) -> tuple[list[float], list[str], list[str]]:
    """The share of each part, what was assumed, and numbers that could not be read.

    >>> from farspun.craft.colour_parts import segment
    >>> shares(segment("60% navy 40% sand").parts)[0]
    [0.6, 0.4]
    """
    amounts = [part.amount for part in parts]
    if amounts.count(None) == len(parts):
        return _by_length(parts), [], []
    told, unread = _told(amounts)
    if len(parts) == 1:
        return [1.0], _alone(parts[0]), unread
    shared, assumed = _shared(parts, told)
    words = [
        f"“{amount[2]}” {part.shade.name} is taken as {100 * amount[1]:.3g} %"
        for part, amount in zip(parts, amounts, strict=True)
        if amount is not None and amount[0] == "word"
    ]
    return shared, words + assumed, unread


def _by_length(parts: Sequence[Part]) -> list[float]:
    """As long as they are, where that is told of all; else alike."""
    lengths = [part.length_m or 0.0 for part in parts]
    if not all(lengths):
        return [1 / len(parts)] * len(parts)
    total_m = sum(lengths)
    return [length / total_m for length in lengths]


def _alone(part: Part) -> list[str]:
    """Of a shade that is all there is, a share that is not the whole."""
    kind, share, _ = part.amount or ("", 1.0, "")
    if kind != "exact" or abs(share - 1) <= WHOLE:
        return []
    return [f"shares add to {100 * share:.3g} %, taken in proportion"]


def _told(amounts: Sequence[Amount | None]) -> tuple[list[float | None], list[str]]:
    """Shares as they were told, None where not; bare numbers that are none."""
    kinds = [one[0] for one in amounts if one is not None]
    if "bare" not in kinds and "parts" not in kinds:
        return [None if one is None else one[1] for one in amounts], []
    bare = [one[1] for one in amounts if one is not None and one[0] == "bare"]
    percent = len(bare) == len(amounts) and HUNDRED[0] <= sum(bare) <= HUNDRED[1]
    weight = sum([one[1] for one in amounts if one is not None and one[0] == "parts"])
    over = {"bare": 100.0, "parts": weight}
    found = [
        None if one is None or (one[0] == "bare" and not percent) else one[1] / over.get(one[0], 1)
        for one in amounts
    ]
    unread = [] if percent else [one[2] for one in amounts if one and one[0] == "bare"]
    return found, unread


def _shared(parts: Sequence[Part], told: list[float | None]) -> tuple[list[float], list[str]]:
    """The untold share the rest alike; all of it in proportion where it does not add up to one."""
    known = sum([one for one in told if one is not None])
    each = 0.0
    assumed: list[str] = []
    if untold := told.count(None):
        each = (1 - known) / untold
        if each <= WHOLE:
            each = FEW
            assumed.append(_nothing_left(parts, told))
        known += untold * each
    if abs(known - 1) > WHOLE:
        assumed.append(f"shares add to {100 * known:.3g} %, taken in proportion")
    return [(each if one is None else one) / known for one in told], assumed


def _nothing_left(parts: Sequence[Part], told: Sequence[float | None]) -> str:
    names = [part.shade.name for part, one in zip(parts, told, strict=True) if one is None]
    return f"nothing is left for {' and '.join(names)}: {100 * FEW:.0f} % each is taken"
