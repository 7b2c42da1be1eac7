"""What the stash can say to one cloth: skeins, readings, doubts, and who else claims them."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from sqlalchemy import Connection

from farspun.craft.learning import Lessons
from farspun.craft.plan import Reed
from farspun.craft.readings import Floats
from farspun.services.doubts import disagreements
from farspun.services.taught import NOTHING_TAUGHT, Taught, taught
from farspun.store.claims import cloth_names
from farspun.store.cloths import readings_seen
from farspun.store.equipment import reeds
from farspun.store.supplies import Supply, as_spun_supplies, shared_block, supplies
from farspun.units import say_mass

Block = Callable[[Sequence[str]], Floats]  # names of shared causes to their covariance


@dataclass(frozen=True, slots=True)
class Stock:
    """What the stash can say to one cloth."""

    supplies: Mapping[int, Supply]
    seen: Mapping[int, set[str]]
    doubts: Mapping[int, str]
    cloths: Mapping[int, str]
    reeds: Sequence[Reed] = ()
    taught: Taught = NOTHING_TAUGHT

    @property
    def lessons(self) -> Lessons:
        """What her cloths and samples taught."""
        return self.taught.lessons

    @property
    def wrapped(self) -> frozenset[int]:
        """Skeins with a reading of wraps."""
        return frozenset(one for one, kinds in self.seen.items() if "wrapped" in kinds)

    def keepers(self, own: int | None, skeins: Collection[str]) -> Iterator[str]:
        """What other cloths than `own` keep of these skeins, each a sentence without its stop."""
        for one in self.supplies.values():
            kept: dict[int, int] = {}
            for cloth_id, mass_mg in one.claims if one.name in skeins else ():
                if cloth_id != own and mass_mg:
                    kept[cloth_id] = kept.get(cloth_id, 0) + mass_mg
            for cloth_id, mass_mg in kept.items():
                yield f"{self.cloths[cloth_id]} keeps {say_mass(mass_mg / 1000)} of {one.name}"

    @property
    def unwashed(self) -> frozenset[int]:
        """Skeins counted before washing."""
        return frozenset(one for one, kinds in self.seen.items() if "unwashed" in kinds)


def stock_to_weave(
    connection: Connection, skein_ids: tuple[int, ...], as_spun: bool, known: Taught | None = None
) -> tuple[Stock, Block]:
    """These skeins as they are woven, washed or `as_spun`, and the covariance of what they share.

    `known` as in `stock_for`.
    """
    stock = stock_for(connection, skein_ids, known)
    if as_spun and stock.unwashed:
        unwashed, block = as_spun_supplies(connection, skein_ids, stock.unwashed)
        return replace(stock, supplies=unwashed), block
    return stock, partial(shared_block, connection)


def stock_for(
    connection: Connection, skein_ids: tuple[int, ...], known: Taught | None = None
) -> Stock:
    """Supplies and kinds of reading of these skeins.

    `known`: what her cloths taught, where it was looked up for several cloths already.
    """
    doubts = disagreements(connection, skein_ids)
    return Stock(
        supplies(connection, skein_ids),
        readings_seen(connection, skein_ids),
        {skein_id: doubt.why for skein_id, doubt in doubts.items()},
        cloth_names(connection),
        reeds(connection),
        taught(connection) if known is None else known,
    )
