"""The shortest lay of a few small pieces, by trying all there are: slow, and without a library.

Everything is in whole units. The first empty cell, from the start of the cloth and the left, is
either the corner of a piece that is left or stays empty for good: so every lay is met once.
"""

from collections.abc import Iterator, Sequence

Sizes = Sequence[tuple[int, int, bool]]  # across, along, may be turned


def shortest_length(pieces: Sizes, across: int) -> int:
    """The least length of cloth `across` wide that holds all the pieces."""
    area = sum(w * h for w, h, _ in pieces)
    least = max(-(-area // across), max(min(_lengths(piece, across)) for piece in pieces))
    while not _goes(pieces, across, least):
        least += 1
    return least


def _lengths(piece: tuple[int, int, bool], across: int) -> Iterator[int]:
    return (h for w, h in _ways(piece) if w <= across)


def _ways(piece: tuple[int, int, bool]) -> list[tuple[int, int]]:
    w, h, turnable = piece
    return [(w, h), (h, w)] if turnable and w != h else [(w, h)]


def _goes(pieces: Sizes, across: int, along: int) -> bool:
    spare = across * along - sum(w * h for w, h, _ in pieces)
    return _fill(tuple(sorted(pieces)), [0] * across, along, spare)


def _fill(left: tuple[tuple[int, int, bool], ...], heights: list[int], along: int,
          spare: int) -> bool:  # fmt: skip
    """`heights`: how far each column is full; the lowest column, farthest left, is next."""
    if not left:
        return True
    y = min(heights)
    x = heights.index(y)
    room = next((n for n in range(x, len(heights)) if heights[n] > y), len(heights)) - x
    for at, piece in enumerate(left):
        if at and left[at - 1] == piece:
            continue
        for w, h in _ways(piece):
            if w <= room and y + h <= along:
                after = heights[:x] + [y + h] * w + heights[x + w :]
                if _fill(left[:at] + left[at + 1 :], after, along, spare):
                    return True
    if y >= along or spare < 1:
        return False
    return _fill(left, [*heights[:x], y + 1, *heights[x + 1 :]], along, spare - 1)
