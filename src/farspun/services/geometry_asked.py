"""A cloth whose geometry is asked, as a person gives it: quantities, None where not said."""

from collections.abc import Iterator
from dataclasses import dataclass

from farspun.craft.fibres import Blend, blend
from farspun.craft.weave import Weave
from farspun.craft.weave import weave as weave_named
from farspun.units import Quantity

NAMED_BY_COUNT = ("cotton", "linen", "silk", "hemp")


@dataclass(frozen=True, slots=True)
class YarnAsked:
    """A yarn in the cloth: its count, threads per cm, fibre, diameter."""

    count: Quantity
    per_cm: Quantity
    fibre: Blend | None = None
    diameter: Quantity | None = None

    @property
    def by_count(self) -> str | None:
        """The fibre its count names, where none was said: “20/2 cotton”."""
        named = [one for one in NAMED_BY_COUNT if one in self.count.said.casefold().split()]
        return named[0] if named and self.fibre is None else None

    @property
    def spun_from(self) -> Blend:
        """Not said, and not named by its count: wool."""
        return self.fibre or blend(self.by_count or "wool")


@dataclass(frozen=True, slots=True)
class Asked:
    """Warp, weft, weave, and what is known of the wave they share."""

    warp: YarnAsked
    weft: YarnAsked
    weave: Weave | None = None
    fibre_fill: Quantity | None = None
    crimp_share: Quantity | None = None
    warp_crimp: Quantity | None = None
    weft_crimp: Quantity | None = None

    @property
    def woven(self) -> Weave:
        """Not said: plain."""
        return self.weave or weave_named("plain")

    def quantities(self) -> Iterator[tuple[str, Quantity]]:
        """All that was said, each under the name of its option."""
        said = {
            "warp count": self.warp.count,
            "weft count": self.weft.count,
            "ends": self.warp.per_cm,
            "picks": self.weft.per_cm,
            "warp diameter": self.warp.diameter,
            "weft diameter": self.weft.diameter,
            "fibre fill": self.fibre_fill,
            "crimp share": self.crimp_share,
            "warp crimp": self.warp_crimp,
            "weft crimp": self.weft_crimp,
        }
        yield from ((name, one) for name, one in said.items() if one is not None)
