"""What an order in a document must keep: it reads, names the side's yarns, and they follow it."""

from collections.abc import Iterator

from farspun.craft.order_text import order_from_text, text_of_order
from farspun.craft.orders import Group, counts, shares, yarns_in
from farspun.errors import FarspunError
from farspun.services.document import ClothDocument

MICRO = 1_000_000
SHARES_OFF_PPM = 10_000  # as for shares as they are typed
PER_CM_IN_MICRO_PER_M = 100_000_000


def order_troubles(one: ClothDocument, side: str) -> Iterator[tuple[str, str]]:
    """Every key of a cloth that does not go with the order of that side, and why."""
    text: str | None = getattr(one, f"{side}_order")
    if text is None:
        return
    key = f"{side}_order"
    try:
        order = order_from_text(text, side)
    except FarspunError as error:
        yield key, error.message
        return
    parts = one.warp if side == "warp" else one.weft
    if text_of_order(order) != text:
        yield key, f"it is written “{text_of_order(order)}” in a stash"
    elif sorted(yarns_in(order)) != sorted(part.skein for part in parts):
        yield key, f"it does not name the yarns of the {side}, each once there"
    else:
        wrong = _ends_that_differ if side == "warp" else _shares_that_differ
        yield from ((f"{side}[{at}]", why) for at, why in wrong(one, order))


def _ends_that_differ(one: ClothDocument, order: Group) -> Iterator[tuple[int, str]]:
    wanted = counts(order)
    for at, part in enumerate(one.warp):
        if part.ends != wanted[part.skein]:
            yield at, f"the order has {wanted[part.skein]} ends of it"


def _shares_that_differ(one: ClothDocument, order: Group) -> Iterator[tuple[int, str]]:
    wanted = shares(order, one.picks_micro_per_m / PER_CM_IN_MICRO_PER_M)
    for at, part in enumerate(one.weft):
        ppm = MICRO * wanted[part.skein]
        if part.share_ppm is None or not abs(part.share_ppm - ppm) <= SHARES_OFF_PPM:
            yield at, f"the order makes its share {max(1, round(ppm))} millionths"
